"""Every kind of entry in one sentence, in the units chosen."""

import datetime
import re

import numpy as np
import pytest

from bladelab import Blade, Hollow, Rocker, Trace
from bladelab.book import happenings as happened
from bladelab.book.entry import KINDS, Entry
from bladelab.book.history import history
from bladelab.book.invented import invented_entries
from bladelab.book.plan_happenings import NextDate, SeasonPlanned
from bladelab.book.rink_happenings import GlideMeasured, IceTested, Preferred, Timed
from bladelab.show.wording.say_entry import say_entry, say_line
from bladelab.workshop.gauge import GaugeReadings
from tests.show.engine_checks import IMPERIAL, METRIC, NOTHING_WITH_A_SIGN, units

DAY = datetime.date(2026, 11, 3)
BLADE = Blade(Rocker.single(3048.0, 280.0), Hollow(12.7, 2.9))
X = np.arange(-100.0, 101.0, 10.0)

MARKS, SLOW = (0.0, 5.0, 10.0, 15.0, 20.0), (0.0, 1.71, 3.53, 5.50, 7.66)
QUICK = (0.0, 1.71, 3.50, 5.39, 7.40)
SAID = [
    (happened.Joined("U14"), "Joined team U14."),
    (happened.Joined("U16", moved=True), "Moved to team U16."),
    (happened.Joined(), "Put into the book."),
    (happened.Joined(moved=True), "Left the team."),
    (
        happened.Circumstances(mass_kg=61.2, hours_per_week=6.0),
        "Skater with equipment 135 lb, 6 h a week on the ice.",
    ),
    (
        happened.Circumstances(temperature_C=-4.0, speed_m_s=5.0, units="metric"),
        "Ice 24.8 °F, usual glide 11.2 mph, numbers in metric units.",
    ),
    (happened.Circumstances(temperature_C=0.0), "Ice 32.0 °F."),
    (happened.Circumstances(), "Nothing new."),
    (happened.SteelMeasured("S1", 13.2, 9.0), "Set S1: height 13.2 mm, maker's minimum 9.0 mm."),
    (
        happened.SteelMeasured("S1", width_mm=2.9, length_mm=280.0),
        "Set S1: width 2.9 mm, length 280.0 mm.",
    ),
    (happened.SteelMeasured("S1"), "Set S1 put into the book."),
    (happened.Fitted("S1", ("left",)), "Set S1 put on (left only)."),
    (happened.Fitted("S1"), "Set S1 put on."),
    (happened.Retired("S1"), "Set S1 retired."),
    (happened.Stated("S1", BLADE), "Set S1 is said to be: single 10 ft, hollow 1/2 in; not measured."),
    (
        happened.HollowStated("S1", BLADE.hollow, ("left",)),
        "Set S1 (left only) is said to have a hollow of 1/2 in; not measured.",
    ),
    (
        happened.Stated("S1", BLADE, ("left",)),
        "Set S1 (left only) is said to be: single 10 ft, hollow 1/2 in; not measured.",
    ),
    (
        happened.Measured("S1", "right", GaugeReadings([-30, 0, 30], [0.147, 0.148, 0.147], 60.0)),
        "Set S1, right edge measured by versine gauge at 3 places.",
    ),
    (
        happened.Measured("S1", "left", Trace(X, X**2 / 6096)),
        "Set S1, left edge measured by height at 21 places.",
    ),
    (
        happened.HollowMeasured("S1", "left", 12.7, 11.1125, 15.875, 2.9),
        "Set S1, hollow of the left edge measured: 1/2 in, by the reading from 7/16 in to 5/8 in.",
    ),
    (
        happened.HollowMeasured("S1", "right", 25.4, 12.7),
        "Set S1, hollow of the right edge measured: 1 in, by the reading from 1/2 in to a flat bottom.",
    ),
    (happened.HollowMeasured("S1", "right", 12.7), "Set S1, hollow of the right edge measured: 1/2 in."),
    (
        happened.Ordered("S1", BLADE, tolerance_mm=0.04),
        "Grinding of set S1 ordered: single 10 ft, hollow 1/2 in, to within 0.040 mm.",
    ),
    (
        happened.Ordered("S1", BLADE, ("right",)),
        "Grinding of set S1 (right only) ordered: single 10 ft, hollow 1/2 in, to within 0.030 mm.",
    ),
    (happened.Ground("S1", BLADE.rocker, ("left",)), "Set S1 (left only) profiled: single 10 ft."),
    (happened.Ground("S1", BLADE.rocker, taken_mm=0.21), "Set S1 profiled: single 10 ft, 0.21 mm taken off."),
    (
        happened.Sharpened("S1", 12.7, taken_mm=0.05),
        "Set S1 sharpened to a hollow of 1/2 in, 0.05 mm taken off.",
    ),
    (happened.Sharpened("S1", sides=("right",)), "Set S1 (right only) sharpened."),
    (happened.Decided(BLADE, "quicker"), "Next to try: single 10 ft, hollow 1/2 in; why: quicker."),
    (happened.Decided(BLADE), "Next to try: single 10 ft, hollow 1/2 in."),
    (happened.Decided(None), "The trial was called off."),
    (happened.Decided(None, "no time"), "The trial was called off; why: no time."),
    (happened.Tried(BLADE), "Skated on single 10 ft, hollow 1/2 in; not rated."),
    (
        happened.Tried(BLADE, {"steadiness": 5, "balance": -2}, changed="new boots"),
        "Skated on single 10 ft, hollow 1/2 in; changed: new boots; rated steadiness 5, balance −2.",
    ),
    (happened.Tried(BLADE, {"glide": 4}), "Skated on single 10 ft, hollow 1/2 in; rated glide 4."),
    (
        happened.Complained("no bite", "left", {"dull": "yes"}),
        "Complaint on the left: no bite; found: edges dull or nicked.",
    ),
    (
        SeasonPlanned(
            DAY, datetime.date(2027, 3, 1), (DAY, datetime.date(2027, 1, 4)), 6.0, datetime.date(2027, 2, 1)
        ),
        "Season planned from 3 November 2026 to 1 March 2027: sharpen every 6 h on the ice; re-profile on 3 "
        "November 2026, 4 January 2027; the steel lasts until about 1 February 2027.",
    ),
    (
        SeasonPlanned(DAY, datetime.date(2027, 3, 1), (), 7.5, datetime.date(2027, 3, 1)),
        "Season planned from 3 November 2026 to 1 March 2027: sharpen every 7.5 h on the ice; no re-profile; "
        "the steel lasts that long.",
    ),
    (NextDate(datetime.date(2026, 11, 17)), "To come back on 17 November 2026."),
    (NextDate(None), "The date to come back was taken back."),
    (happened.Complained("wobbles", found={"dull": "no"}), "Complaint: wobbles."),
    (
        happened.Complained("squeals", found={"moon": "yes"}),  # as a newer list has them
        "Complaint: squeals; found: moon.",
    ),
    (
        IceTested("R1", 12.7, 1.0, (9.8, 10.1, 9.9, 10.0, 10.2)),
        "Ice of rink R1 tested: hardness 16.1 ± 0.5 MPa by 5 craters.",
    ),
    (
        IceTested("R1", 12.7, 1.0, (9.8,), press_crater_mm=(14.2,), press_load_N=750.0, press_s=10.0),
        "Ice of rink R1 tested: hardness 17.5 ± 2.1 MPa by 1 crater; pressed for 10 s, 4.7 ± 0.3 MPa.",
    ),
    (
        GlideMeasured(MARKS, (SLOW, QUICK), (1, 1), (0, 1), 80.0),
        "Glide measured over 2 runs: friction −21 % on the second blade (−23 to −18; shown).",
    ),
    (
        GlideMeasured(MARKS, (SLOW,), (1,), (0,), 80.0),
        "Glide measured over 1 run: friction 0.0130 ± 0.0015 of the weight.",
    ),
    (
        GlideMeasured(MARKS[:4], (SLOW[:4],), (1,), (0,), 80.0),
        "Glide measured over 1 run: too little to tell the friction.",
    ),
    (
        Timed("ABBAAB", 2, (4.0, 3.9, 3.92, 4.01, 4.02, 3.94)),
        "Timed on two blades: 6 runs, B took −2.2 % (−2.9 to −1.6; shown).",
    ),
    (
        Timed("ABBA", 2, (4.0, None, 3.9, 4.0), drill="one lap"),
        "Timed on two blades, one lap: 4 runs, too few to tell.",
    ),
    (
        Preferred(2, 9, 1),
        "Blind pairs on two blades: B preferred 9 times, A 2, 1 undecided; may be the toss of a coin.",
    ),
    (Preferred(9, 1), "Blind pairs on two blades: B preferred 1 time, A 9; a preference."),
    (happened.Struck(3, "twice"), "Entry 3 struck out: twice."),
    (happened.Struck(3), "Entry 3 struck out."),
]


@pytest.mark.parametrize(("what", "sentence"), SAID)
def test_each_kind_has_its_sentence(what, sentence):
    assert say_entry(Entry("K07", DAY, what)) == sentence


def test_no_kind_is_without_words():
    assert {type(what) for what, _ in SAID} == set(KINDS.values())


@pytest.mark.parametrize(
    ("what", "sentence"),
    [
        (
            happened.Circumstances(61.2, -4.0, 5.0),
            "Skater with equipment 61 kg, ice −4.0 °C, usual glide 5.0 m/s.",
        ),
        (
            happened.Ground("S1", BLADE.rocker, taken_mm=0.21),
            "Set S1 profiled: single 3.05 m, 0.21 mm taken off.",
        ),
        (happened.Sharpened("S1", 12.7), "Set S1 sharpened to a hollow of 12.7 mm."),
        (happened.Decided(BLADE), "Next to try: single 3.05 m, hollow 12.7 mm."),
    ],
)
def test_in_metric_units_too(what, sentence):
    with units("metric"):
        assert say_entry(Entry("K07", DAY, what)) == sentence


@pytest.mark.parametrize(("why", "said"), [("wrong set", ": wrong set"), ("", "")])
def test_a_struck_one_says_since_when_and_why(why, said):
    lines = history(
        [
            Entry("K07", DAY, happened.Fitted("S1"), number=1),
            Entry("K07", DAY + datetime.timedelta(days=1), happened.Struck(1, why), number=2),
        ]
    )
    assert say_line(lines[0]) == f"Struck out on 4 November 2026{said}. It said: Set S1 put on."
    restored = history([line.entry for line in lines] + [Entry("K07", DAY, happened.Struck(2), number=3)])
    assert say_line(restored[0]) == "Set S1 put on."


@pytest.mark.parametrize(("system", "others"), [("metric", IMPERIAL), ("feet and inches", METRIC)])
def test_the_invented_season_is_said_in_the_units_chosen(system, others):
    with units(system):
        for entry in invented_entries():
            said = say_entry(entry)
            assert not others.search(said) and not NOTHING_WITH_A_SIGN.search(said), said
            assert re.fullmatch(r"[A-Z].*[^.]\.", said), said
