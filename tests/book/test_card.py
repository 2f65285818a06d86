"""A card is what the entries say, in the order of the days, without what was struck."""

import datetime

import numpy as np
import pytest

from bladelab import Blade, Hollow, InputError, Rocker, Trace
from bladelab.book.entry import Entry
from bladelab.book.fold import card_of
from bladelab.book.happenings import Circumstances, Joined, Struck, Tried
from bladelab.book.steel_happenings import (
    Fitted,
    Ground,
    Measured,
    Ordered,
    Retired,
    Sharpened,
    Stated,
    SteelMeasured,
)

TEN, ELEVEN = Rocker.single(3048.0, 280.0), Rocker.single(3352.8, 280.0)
BLADE = Blade(TEN, Hollow(12.7, 2.9))
X = np.linspace(-120.0, 120.0, 25)
TRACE = Trace(X, X**2 / 6096)


def card(*happenings, skater="K07"):
    """The card after these things, one a day from 1 September; a pair gives the day."""
    entries = []
    for number, what in enumerate(happenings, 1):
        day, what = what if isinstance(what, tuple) else (number, what)
        entries.append(Entry(skater, datetime.date(2026, 9, day), what, number=number))
    return card_of(skater, entries)


def test_nothing_is_made_up():
    empty = card(Joined("U14"))
    assert (empty.mass_kg, empty.units, empty.trial, dict(empty.steel)) == (None, None, None, {})
    assert empty.edge("left") is None
    steel = card(Fitted("S1")).on("left")
    assert (steel.height_mm, steel.least_mm, steel.left.hollow_mm, steel.left_above_least_mm) == (None,) * 4


def test_later_days_count_over_earlier_ones_whatever_was_written_first():
    found = card((5, Circumstances(mass_kg=62.0)), (2, Circumstances(mass_kg=60.0, temperature_C=-6.0)))
    assert (found.mass_kg, found.temperature_C) == (62.0, -6.0)


def test_the_ice_to_reckon_with_is_what_was_said_last():
    assert card(Joined("U14")).hardness is None
    assert (
        card((1, Circumstances(hardness="pressed")), (2, Circumstances(mass_kg=60.0))).hardness == "pressed"
    )
    with pytest.raises(InputError, match="hardness is 'soft'; it must be one of drop test, pressed"):
        Circumstances(hardness="soft")


def test_two_sets_are_rotated():
    found = card(
        Fitted("S1"), Sharpened("S1", 12.7), Fitted("S2"), Sharpened("S2", 15.875), Fitted("S1", ("left",))
    )
    assert dict(found.fitted) == {"left": "S1", "right": "S2"}
    assert (found.edge("left").hollow_mm, found.edge("right").hollow_mm) == (12.7, 15.875)


def test_edges_are_as_stated_until_they_are_sharpened():
    dull = Blade(TEN, Hollow(12.7, 2.9, 0.03))
    assert card(Fitted("S1")).edge("left").edge_radius_mm is None
    assert card(Fitted("S1"), Stated("S1", dull)).edge("left").edge_radius_mm == 0.03
    found = card(Fitted("S1"), Stated("S1", dull), Sharpened("S1", sides=("left",)))
    assert (found.edge("left").edge_radius_mm, found.edge("right").edge_radius_mm) == (0.0, 0.03)


def test_a_retired_set_is_on_no_side_and_stays_readable():
    found = card(Fitted("S1"), Sharpened("S1", 12.7), Retired("S1"))
    assert dict(found.fitted) == {}
    assert found.steel["S1"].retired_on == datetime.date(2026, 9, 3)


def test_steel_left_counts_what_came_off_since_it_was_measured():
    found = card(
        SteelMeasured("S1", height_mm=14.0, least_mm=9.0),
        Sharpened("S1", taken_mm=0.05),
        Ground("S1", TEN, taken_mm=0.3),
        Sharpened("S1"),
    ).steel["S1"]
    assert abs(found.left_above_least_mm - 4.65) < 1e-12
    assert (found.unknown_cuts, found.sharpenings) == (1, 2)
    again = card(SteelMeasured("S1", height_mm=14.0), Sharpened("S1"), SteelMeasured("S1", height_mm=13.9))
    assert (again.steel["S1"].unknown_cuts, again.steel["S1"].taken_mm) == (0, 0.0)


def test_grinding_puts_the_measurement_before_and_fulfils_the_order():
    found = card(
        Stated("S1", BLADE), Measured("S1", "left", TRACE), Ordered("S1", BLADE, tolerance_mm=0.05),
        Ground("S1", ELEVEN),
    ).steel["S1"]  # fmt: skip
    assert (found.left.measured, found.left.before) == (None, TRACE)
    assert found.left.order_done and found.left.ground and found.left.rocker == ELEVEN
    assert found.left.order.tolerance_mm == 0.05 and found.left.hollow_mm == 12.7


def test_what_was_struck_counts_no_more_and_a_strike_can_be_struck():
    weights = Circumstances(mass_kg=60.0), Circumstances(mass_kg=90.0)
    assert card(*weights).mass_kg == 90.0
    assert card(*weights, Struck(2)).mass_kg == 60.0
    assert card(*weights, Struck(2), Struck(3)).mass_kg == 90.0


def test_nobody_elses_entries_count():
    entries = [
        Entry("K08", datetime.date(2026, 9, 1), Circumstances(mass_kg=80.0), number=1),
        Entry("K07", datetime.date(2026, 9, 1), Tried(BLADE, {"glide": 3}), number=2),
    ]
    found = card_of("K07", entries)
    assert found.mass_kg is None and found.trials == (entries[1],) and found.last == 2
