"""Entries are written and read back as they were; what is no entry is refused with a sentence."""

import datetime

import numpy as np
import pytest

from bladelab import Blade, GaugeReadings, Hollow, InputError, Rocker, Trace
from bladelab.book import happenings as happened
from bladelab.book.entry import KINDS, Entry, as_text, of_text
from bladelab.book.plan_happenings import NextDate, SeasonPlanned
from bladelab.book.rink_happenings import GlideMeasured, IceTested, Preferred, Timed

X = np.linspace(-100.0, 100.0, 9)
BLADE = Blade(Rocker.single(3048.0, 280.0), Hollow(12.7, 2.9))
DAY = datetime.date(2026, 11, 3)
A_DAY = datetime.timedelta(days=1)
ONE_OF_EACH = (
    happened.Joined("U14"),
    happened.Circumstances(mass_kg=61.3, units="metric"),
    happened.SteelMeasured("S1", height_mm=13.4, least_mm=9.0),
    happened.Fitted("S1", ("left",)),
    happened.Retired("S1"),
    happened.Stated("S1", BLADE),
    happened.HollowStated("S1", BLADE.hollow, ("right",)),
    happened.Measured("S1", "left", Trace(X, X**2 / 6096, error_mm=0.005)),
    happened.Measured("S1", "right", GaugeReadings(X, np.full(9, 0.1476), 60.0)),
    happened.HollowMeasured("S1", "left", 13.4, 12.1, 15.0, 2.9),
    happened.HollowMeasured("S1", "right", 30.0, 20.0),
    happened.Ordered("S1", BLADE, ("right",), 0.05),
    happened.Ground("S1", BLADE.rocker, taken_mm=0.31),
    happened.Sharpened("S1", hollow_mm=15.875),
    happened.Decided(BLADE, "quicker off the mark"),
    happened.Decided(None),
    happened.Tried(BLADE, {"glide": 4, "balance": -1}, mass_kg=61.3),
    happened.Complained("no bite", "left", {"dull": "no"}, "nicked"),
    SeasonPlanned(DAY, DAY + 252 * A_DAY, (DAY, DAY + 126 * A_DAY), 6.0, DAY + 200 * A_DAY),
    NextDate(DAY + 14 * A_DAY),
    NextDate(None),
    IceTested("R1", 12.7, 1.0, (9.8, 10.1, 9.9), temperature_C=-5.0),
    IceTested("R2", 12.7, 0.1, (16.5,), 5.0, 0.01),
    IceTested("R1", 12.7, 1.0, (9.8,), press_crater_mm=(14.2, 14.0), press_load_N=750.0, press_s=10.0),
    GlideMeasured(
        (0.0, 5.0, 10.0, 15.0, 20.0),
        ((0.0, 1.71, None, 5.50, 7.66), (0.0, 1.71, 3.50, 5.39, 7.40)),
        (1, -1),
        (0, 1),
        80.0,
        BLADE,
        None,
    ),
    Timed("BAAB", 4, (4.0, None, 4.1, 4.2), BLADE, BLADE, "15 m sprint"),
    Preferred(2, 9, 1, BLADE, BLADE),
    happened.Struck(3, "typed twice"),
)


@pytest.mark.parametrize("what", ONE_OF_EACH, ids=lambda what: type(what).__name__)
def test_what_is_written_is_read_back(what):
    entry = Entry("K07", DAY, what)
    assert of_text(entry.word, as_text(what)) == what


def test_dull_edges_are_kept_and_sharp_ones_are_written_as_ever():
    text = as_text(happened.Stated("S1", BLADE))
    assert '"hollow": {"radius_mm": 12.7, "width_mm": 2.9}' in text
    assert of_text("stated", text).blade.hollow.edge_radius_mm == 0.0
    dull = happened.Stated("S1", Blade(BLADE.rocker, Hollow(12.7, 2.9, 0.02)))
    assert '"edge_radius_mm": 0.02' in as_text(dull)
    assert of_text("stated", as_text(dull)) == dull
    with pytest.raises(InputError, match=r"edge_radius_mm is 1.5 mm; it must be below half the width"):
        of_text("stated", as_text(dull).replace("0.02", "1.5"))


def test_a_test_without_a_slow_press_is_written_as_ever():
    text = as_text(IceTested("R1", 12.7, 1.0, (9.8,), temperature_C=-5.0))
    assert text == (
        '{"ball_radius_mm": 12.7, "crater_mm": [9.8], "height_m": 1.0, "mass_kg": null, "rebound_m": 0.0, '
        '"rink": "R1", "temperature_C": -5.0}'
    )


def test_there_is_an_example_of_each_kind():
    assert {type(what) for what in ONE_OF_EACH} == set(KINDS.values())


@pytest.mark.parametrize(
    ("word", "text", "says"),
    [
        ("polished", "{}", "no entry is called 'polished'"),
        ("sharpened", "{", "not JSON"),
        ("sharpened", "[]", "can't be read"),
        ("sharpened", "{}", "required field missing"),
        ("sharpened", '{"steel": "S1", "colour": 3}', "colour"),
        ("sharpened", '{"steel": 3}', "3 is of another kind"),
        ("sharpened", '{"steel": "S1", "hollow_mm": "deep"}', "'deep' is of another kind"),
        ("sharpened", '{"steel": "S1", "taken_mm": 3e400}', "taken_mm is inf"),
        ("fitted", '{"steel": "S1", "sides": ["up"]}', "it must be left, right or both"),
        ("next date", '{"day": "soon"}', "'soon' is not a date such as 2026-10-05"),
        ("next date", '{"day": "1999-10-05"}', "day is 1999-10-05; it must be from 2000 to 2100"),
        (
            "circumstances",
            '{"units": "furlongs"}',
            "units is 'furlongs'; it must be one of feet and",
        ),
        (
            "complained",
            '{"about": "no bite", "found": {"dull": "so"}}',
            "check of dull is 'so'; it must be",
        ),
        ("struck", '{"entry": 0}', "entry is 0; it must be the number of an entry, 1 or more"),
    ],
)
def test_what_is_no_entry_is_refused(word, text, says):
    with pytest.raises(InputError, match=says):
        of_text(word, text)


def test_a_plan_has_only_so_many_reprofiles():
    days = tuple(DAY + datetime.timedelta(days=i) for i in range(111))
    with pytest.raises(InputError, match="reprofile_on has 111 days; it must have at most 110"):
        happened.SeasonPlanned(DAY, days[-1], days, 6.0)


def test_a_name_is_no_code():
    with pytest.raises(InputError, match="no name"):
        Entry("Karl", DAY, happened.Joined())
