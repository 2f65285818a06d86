"""What was tested on the ice: kept as readings, on the skater's card and on the rink's."""

import csv
import datetime
import io
from dataclasses import replace

import numpy as np
import pytest

from bladelab import Blade, Hollow, InputError, Rocker, fit_glide_out, hardness_from_drop
from bladelab._data import data_file
from bladelab.book.entry import Entry, as_text, of_text
from bladelab.book.fold import card_of
from bladelab.book.happenings import Struck
from bladelab.book.kept_cards import card_of_text, text_of_card
from bladelab.book.measured_on_card import measured_differences
from bladelab.book.rink_happenings import GlideMeasured, IceTested, Preferred, Timed
from bladelab.book.rinks import rink_cards
from bladelab.rink.glide_compare import compare_glide_outs
from bladelab.rink.reading import read_glide_times, read_session

DAY = datetime.date(2026, 11, 3)
OLD, NEW = (Blade(Rocker.single(3048.0, 280.0), Hollow(r, 2.9)) for r in (12.7, 15.875))
CRATERS = (9.8, 10.1, 9.9, 10.0, 10.2)
RUNS = read_glide_times(data_file("demo/glide_outs.csv"))
SESSION = read_session(data_file("demo/timed_session.csv"))


def entries(*happened, skater="K07", first=1):
    return [
        Entry(skater, DAY + datetime.timedelta(days), what, number=first + days)
        for days, what in enumerate(happened)
    ]


def test_a_card_has_what_was_tested_and_what_it_says_is_computed_from_the_readings():
    glide, timed = GlideMeasured.of(RUNS, 75.0, OLD, NEW), Timed.of(SESSION, OLD, NEW)
    card = card_of("K07", entries(IceTested("R1", 12.7, 1.0, CRATERS), glide, timed))
    assert card.ice.what.drop.hardness_MPa == hardness_from_drop(12.7, 1.0, CRATERS).hardness_MPa
    (entry,) = card.glides
    found = compare_glide_outs(RUNS.distance_m, RUNS.time_s, 75.0, RUNS.blade, RUNS.direction)
    assert entry.what.found.difference == found.difference
    assert card.timed[0].what.session.result == SESSION.result
    assert card_of_text(text_of_card(card)) == card
    one = GlideMeasured.of(RUNS, 75.0)
    alone = GlideMeasured(RUNS.distance_m, one.time_s[:4], (1, -1, 1, -1), (0,) * 4, 75.0)
    fit = fit_glide_out(RUNS.distance_m, RUNS.time_s[:4], 75.0, [1, -1, 1, -1])
    assert alone.found.mu == fit.mu


def test_a_missed_mark_is_written_as_nothing_and_read_back():
    what = GlideMeasured.of(RUNS, 75.0, OLD)
    assert sum(time is None for run in what.time_s for time in run) == 1
    assert "NaN" not in as_text(what)
    assert of_text("glide measured", as_text(what)) == what


def test_a_rink_has_its_tests_by_date_from_all_cards():
    first, wrong, later, other = (IceTested(rink, 12.7, 1.0, CRATERS[:n]) for rink, n in (
        ("R1", 5), ("R1", 1), ("R1", 4), ("R2", 3)))  # fmt: skip
    all_of_them = [
        *entries(first, wrong, Struck(2), first=1),
        *entries(other, later, skater="K09", first=10),
    ]
    cards = rink_cards(all_of_them)
    assert list(cards) == ["R1", "R2"]
    assert [len(entry.what.crater_mm) for entry in cards["R1"].tests] == [5, 4]
    assert cards["R1"].last == later and cards["R2"].last == other


def test_a_rinks_card_tells_the_change_since_the_test_before_and_is_a_table():
    soft, hard = (10.0, 10.1, 9.9, 10.0, 10.1), (9.4, 9.5, 9.4, 9.45, 9.5)
    tests = (
        IceTested("R1", 12.7, 1.0, soft, temperature_C=-4.0),
        IceTested("R1", 12.7, 1.0, (10.0, 10.2, 9.9, 10.1, 9.9)),
        IceTested("R1", 12.7, 1.0, hard, temperature_C=-6.0),
        IceTested("R1", 12.7, 0.1, (16.5,), 5.0),
    )
    card = rink_cards(entries(*tests))["R1"]
    first, alike, harder, heavy = card.changes
    assert first is None and heavy is None  # a guided weight presses nine times as long
    assert not alike.shown and harder.shown
    drops = [hardness_from_drop(12.7, 1.0, one.crater_mm) for one in tests[1:3]]
    assert harder.difference_MPa == pytest.approx(drops[1].hardness_MPa - drops[0].hardness_MPa)
    rows = list(csv.DictReader(io.StringIO(card.as_csv().decode("utf-8-sig"))))
    assert [row["change"] for row in rows] == ["", "not shown", "shown", "not comparable"]
    assert [row["date"] for row in rows] == [f"2026-11-0{day}" for day in (3, 4, 5, 6)]
    assert [row["temperature_C"] for row in rows] == ["-4", "", "-6", ""]
    assert float(rows[2]["change_MPa"]) == pytest.approx(harder.difference_MPa, rel=1e-3)
    assert float(rows[0]["hardness_error_MPa"]) == pytest.approx(tests[0].drop.standard_error_MPa, rel=1e-3)
    assert float(rows[3]["pressed_ms"]) > 5 * float(rows[2]["pressed_ms"])


def test_differences_are_those_between_blades_that_are_known():
    glide, timed = GlideMeasured.of(RUNS, 75.0, OLD, NEW), Timed.of(SESSION, OLD, NEW)
    few = Timed("ABBA", 2, (4.0, None, 3.9, 4.0), OLD, NEW)
    unknown, one_blade = Timed.of(SESSION, OLD, None), replace(glide, blade=(0,) * len(glide.blade))
    card = card_of("K07", entries(glide, timed, few, unknown, one_blade))
    friction, time = measured_differences(card)
    assert (friction.about, time.about) == ("glide", "time")
    assert (time.percent, time.low, time.high) == SESSION.result.percent
    found = glide.found
    assert friction.percent == pytest.approx(100 * found.difference / found.mu[0])
    assert (friction.low, friction.high) == pytest.approx(
        tuple(100 * end / found.mu[0] for end in found.interval)
    )
    assert (time.before, time.after) == (OLD, NEW) and time.shown


def test_blind_pairs_on_blades_that_are_known_are_a_difference():
    card = card_of("K07", entries(Preferred(0, 10, 3, OLD, NEW), Preferred(1, 9)))
    (found,) = measured_differences(card)
    assert (found.about, found.before, found.after) == ("preference", OLD, NEW) and found.shown
    # Clopper and Pearson: of ten alike the lower end is the tenth root of 0.025 (textbook).
    assert found.share == pytest.approx((100.0, 100 * 0.025**0.1, 100.0))
    (unsure,) = measured_differences(card_of("K07", entries(Preferred(2, 9, 1, OLD, NEW))))
    assert not unsure.shown and unsure.share[0] == pytest.approx(100 * 9 / 11)


def pressed(craters, load_N):
    return IceTested("R1", 12.7, 1.0, CRATERS, press_crater_mm=craters, press_load_N=load_N, press_s=10.0)


@pytest.mark.parametrize(
    ("make", "said"),
    [
        (lambda: IceTested("the big one", 12.7, 1.0, CRATERS), "rink is 'the big one'"),
        (
            lambda: IceTested("R1", 12.7, 1.0, (26.0,)),
            "it must be below the ball's diameter",
        ),
        (lambda: pressed((26.0,), 750.0), "a crater is 26 mm across; it must be below the ball's diameter"),
        (lambda: pressed((14.0,), None), "it must have both"),
        (lambda: Preferred(0, 0, 3), "at least one preference"),
        (lambda: IceTested("R1", 12.7, 1.0, CRATERS, temperature_C=5.0), "temperature_C is 5 °C"),
        (
            lambda: GlideMeasured((0.0, 5.0, 10.0), ((0.0, 2.0, 1.0),), (1,), (0,), 75.0),
            "times must rise from mark to mark",
        ),
        (
            lambda: GlideMeasured((0.0, 5.0, 10.0), ((0.0, 2.0, 4.1),), (1,), (2,), 75.0),
            "it must be 0 or 1 for each run",
        ),
        (lambda: Timed("AABB", 2, (4.0,) * 4), "they must be pairs of A and B"),
        (lambda: Timed("ABBA", 2, (4.0,) * 3), "there must be one time for each of the 4 runs"),
    ],
)
def test_what_can_not_be_is_said_in_a_sentence(make, said):
    with pytest.raises(InputError, match=said):
        make()


def test_times_of_a_session_are_plain_numbers():
    assert all(type(time) is float for time in Timed.of(SESSION).time_s)
    assert np.isfinite(SESSION.time_s).all()
