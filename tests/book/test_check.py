"""After grinding both edges are held against the order, within its tolerance, and against each other."""

import datetime

import numpy as np
import pytest

from bladelab import Blade, GaugeReadings, Hollow, InputError, Rocker, Trace
from bladelab.book.check import check_grinding
from bladelab.book.entry import Entry
from bladelab.book.fold import card_of
from bladelab.book.happenings import Joined
from bladelab.book.steel_happenings import Ground, Measured, Ordered

X = np.linspace(-125.0, 125.0, 101)
NINE, TEN = Rocker.single(2743.2, 280.0), Rocker.single(3048.0, 280.0)
TARGET = Blade(NINE, Hollow(12.7, 2.9))


def trace(rocker, off=0.0):
    """An edge that is `off` too high at the ends, as a parabola."""
    return Trace(X, rocker.height_mm(X) + off * (X / 125.0) ** 2 + 0.002 * X, error_mm=0.003)


def checked(*happenings, steel="S1"):
    days = (datetime.date(2026, 9, day) for day in range(1, 30))
    entries = [
        Entry("K07", day, what, number=n)
        for n, (day, what) in enumerate(zip(days, happenings, strict=False), 1)
    ]
    return check_grinding(card_of("K07", entries), steel)


BEFORE = (Measured("S1", "left", trace(TEN)), Measured("S1", "right", trace(TEN)), Ordered("S1", TARGET))


def test_before_grinding_the_edge_is_not_what_was_ordered_and_nothing_is_said_of_after():
    found = checked(*BEFORE)
    assert [one.side for one in found.sides] == ["left", "right"]
    assert all(one.before.verdict == "outside" and one.after is None for one in found.sides)
    assert found.verdict == "not measured" and not found.sides[0].ground


def test_the_tolerance_is_that_of_the_order():
    ground = Ground("S1", NINE)
    after = Measured("S1", "left", trace(NINE, off=0.06)), Measured("S1", "right", trace(NINE, off=0.06))
    assert checked(*BEFORE, ground, *after).verdict == "outside"
    loose = Ordered("S1", TARGET, tolerance_mm=0.2)
    found = checked(*BEFORE[:2], loose, ground, *after)
    assert found.verdict == "within" and found.sides[0].after.tolerance_mm == 0.2
    assert found.sides[0].before.largest_mm == pytest.approx(
        checked(*BEFORE).sides[0].before.largest_mm, rel=1e-9
    )


def test_one_bad_side_makes_the_whole_bad_and_the_sides_differ():
    after = Measured("S1", "left", trace(NINE)), Measured("S1", "right", trace(NINE, off=0.15))
    found = checked(*BEFORE, Ground("S1", NINE), *after)
    assert [one.after.verdict for one in found.sides] == ["within", "outside"]
    assert found.verdict == "outside" and found.apart is not None and found.apart.differs.any()


@pytest.mark.slow
def test_a_gauge_gives_no_left_against_right():
    places = np.arange(-90.0, 91.0, 15.0)
    readings = GaugeReadings(places, np.full(len(places), 60.0**2 / 8 / 2743.2), 60.0, error_mm=0.002)
    found = checked(*BEFORE, Ground("S1", NINE), Measured("S1", "left", readings))
    assert found.apart is None and found.sides[0].after is not None and found.sides[1].after is None


def test_what_was_not_ordered_can_not_be_checked():
    with pytest.raises(InputError, match="no grinding was ordered for set S1"):
        checked(BEFORE[0])
    with pytest.raises(InputError, match="the card of K07 has none"):
        checked(Joined())


def test_readings_that_share_too_little_leave_each_side_its_verdict():
    short = Trace(X[:41], NINE.height_mm(X[:41]), error_mm=0.003)
    after = Measured("S1", "left", trace(NINE)), Measured("S1", "right", short)
    found = checked(*BEFORE, Ground("S1", NINE), *after)
    assert found.apart is None and [one.after.verdict for one in found.sides] == ["within", "within"]
