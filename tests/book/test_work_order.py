"""The work order: cut, height and gauge readings against closed forms and a handbook; what is refused."""

import datetime

import numpy as np
import pytest
from scipy.optimize import fsolve

from bladelab import Blade, Hollow, InputError, Rocker, Trace, Zone
from bladelab.book.entry import Entry
from bladelab.book.fold import card_of
from bladelab.book.happenings import Decided
from bladelab.book.ordering import orders_due, orders_of, work_order
from bladelab.book.steel_happenings import Fitted, Ground, Measured, Ordered, Sharpened, Stated, SteelMeasured
from bladelab.workshop.gauge import gauge_on

DAY = datetime.date(2026, 11, 3)
TEN, NINE, EIGHT = (Blade(Rocker.single(304.8 * feet, 280.0), Hollow(12.7, 3.0)) for feet in (10, 9, 8))
SHAPED = Blade(Rocker((Zone(2600, 90), Zone(3400, 110), Zone(1900, 80)), 20.0, 5.0), Hollow(15.875, 3.0))


def card(*happenings, skater="K07"):
    """The card after these, one a day."""
    entries = [
        Entry(skater, DAY + datetime.timedelta(days=i), what, number=i + 1)
        for i, what in enumerate(happenings)
    ]
    return card_of(skater, entries)


def sagitta(radius_mm, half_mm):
    """Height of a circle's segment, r - sqrt(r^2 - c^2 / 4): Machinery's Handbook, 31st ed., p. 79."""
    return radius_mm - np.sqrt(radius_mm**2 - np.asarray(half_mm) ** 2)


# Gauge readings -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(("radius", "chord", "height"), [(12, 13.27, 2), (25 / 3, 16, 6), (60, 59.86, 8)])
def test_the_gauge_reads_the_segments_of_the_handbook(radius, chord, height):
    """Machinery's Handbook, 31st ed., pp. 50 and 79; the chord 59.86 is truncated there."""
    reading = gauge_on(Rocker.single(radius, chord + 0.1), [0.0], chord)
    assert reading.versine_mm[0] == pytest.approx(height, abs=0.005)


def test_on_one_radius_the_gauge_reads_the_same_everywhere():
    expected = work_order(card(Stated("S1", TEN), Ordered("S1", NINE)), "S1", DAY).edges[0].expected
    assert list(expected.position_mm) == list(range(-100, 101, 20))
    assert expected.versine_mm == pytest.approx(sagitta(2743.2, 30.0), rel=1e-7)


def test_over_a_junction_the_gauge_reads_what_its_geometry_gives():
    """Against scipy's solver: feet a chord apart, the plunger square to the chord from its middle."""
    height = SHAPED.rocker.height_mm
    for place in (-60.0, 40.0, 55.0, 100.0):

        def off(feet, place=place):
            a, b = np.array([feet[0], height(feet[0])]), np.array([feet[1], height(feet[1])])
            return np.hypot(*(b - a)) - 60.0, ((a + b) / 2 - [place, height(place)]) @ (b - a)

        a, b = fsolve(off, [place - 30, place + 30], xtol=1e-13)
        middle = np.array([a + b, height(a) + height(b)]) / 2
        wanted = np.hypot(*(middle - [place, height(place)]))
        assert gauge_on(SHAPED.rocker, [place], 60.0).versine_mm[0] == pytest.approx(wanted, rel=1e-6)


def test_a_gauge_that_would_reach_over_the_end_is_refused():
    with pytest.raises(InputError, match=r"would reach 150 mm from the middle; the runner ends at 140 mm"):
        gauge_on(TEN.rocker, [120.0], 60.0)


def test_on_a_runner_shorter_than_the_gauge_it_reads_nothing():
    short = Blade(Rocker.single(3048.0, 150.0), Hollow(12.7, 3.0))
    order = work_order(card(Fitted("S1"), Ordered("S1", short)), "S1", DAY, chord_mm=160.0)
    assert order.edges[0].expected is None
    assert np.isnan(order.edges[0].expected_mm(order.places_mm)).all()


# The cut ------------------------------------------------------------------------------------------------


def test_the_cut_is_the_difference_of_two_segments():
    order = work_order(card(Stated("S1", TEN), Ordered("S1", NINE, tolerance_mm=0.02)), "S1", DAY)
    left, right = order.edges
    assert order.places_mm.tolist() == list(range(-140, 141, 20))
    wanted = sagitta(2743.2, order.places_mm) - sagitta(3048.0, order.places_mm)
    for edge in (left, right):
        assert edge.cut_mm(order.places_mm) == pytest.approx(wanted, abs=1e-4)
        assert (edge.now.how, edge.hollow_now_mm, edge.tolerance_mm) == ("stated", 12.7, 0.02)
        assert (abs(edge.cut.largest_at_mm), edge.ordered_on) == (140.0, DAY + datetime.timedelta(days=1))


def test_a_measured_edge_is_cut_from_its_own_trace():
    """A lump of 0.1 mm between the places of two zones: no zone has it, the cut does."""
    x = np.linspace(-120.0, 120.0, 241)
    lump = -0.1 * np.exp(-(((x - 60.0) / 8.0) ** 2))
    trace = Trace(x, NINE.rocker.height_mm(x) + lump, error_mm=0.002, level_error_deg=0.02)
    known = card(Stated("S1", TEN), Measured("S1", "left", trace), Ordered("S1", NINE))
    order = work_order(known, "S1", DAY)
    left, right = order.edges
    assert (left.now.how, right.now.how) == ("measured", "stated")
    assert left.cut_mm(np.array([60.0, 0.0])) == pytest.approx([0.08, 0.0], abs=0.02)
    assert left.not_measured_mm == pytest.approx(40.0)
    # Nothing is known of the ends, which were not measured.
    assert np.isnan(left.cut_mm(np.array([-140.0, 140.0]))).all()
    assert right.not_measured_mm == 0.0


def test_left_and_right_may_be_ground_to_different_shapes():
    known = card(
        Stated("S1", TEN),
        Ordered("S1", NINE, ("left",)),
        Ordered("S1", SHAPED, ("right",), tolerance_mm=0.05),
    )
    left, right = work_order(known, "S1", DAY).edges
    assert (left.target, right.target) == (NINE, SHAPED)
    assert (left.tolerance_mm, right.tolerance_mm) == (0.03, 0.05)


# What it is ground to -----------------------------------------------------------------------------------


def test_without_an_order_the_trial_is_the_target():
    edge = work_order(card(Stated("S1", TEN), Decided(NINE, "quicker feet")), "S1", DAY).edges[0]
    assert (edge.target, edge.ordered_on) == (NINE, None)


def test_a_trial_newer_than_the_grinding_is_the_target_and_an_older_one_is_not():
    done = (Stated("S1", TEN), Decided(EIGHT), Ordered("S1", NINE), Ground("S1", NINE.rocker))
    assert work_order(card(*done), "S1", DAY).edges[0].target == NINE
    assert work_order(card(*done, Decided(EIGHT)), "S1", DAY).edges[0].target == EIGHT


def test_an_order_that_waits_is_the_target_whatever_came_later():
    known = card(Stated("S1", TEN), Ordered("S1", NINE), Decided(EIGHT))
    assert work_order(known, "S1", DAY).edges[0].target == NINE


def test_nothing_to_grind_to_is_refused():
    with pytest.raises(InputError, match=r"nothing is ordered for the left edge of K07's set S1, and there"):
        work_order(card(Stated("S1", TEN)), "S1", DAY)


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"steel": "S9"}, r"the set is 'S9'; the card of K07 has S1"),
        ({"sides": ("top",)}, r"sides is \('top',\); it must be left, right or both"),
        ({"chord_mm": 5.0}, r"chord_mm is 5 mm; it must be at least 10 mm and at most 200 mm"),
        ({"tolerance_mm": 0.0}, r"tolerance_mm is 0 mm; it must be above 0 mm"),
        ({"on": DAY.replace(year=1999)}, r"on is 1999-11-03; it must be from 2000 to 2100"),
    ],
)
def test_what_it_is_given_is_checked(change, says):
    given = {"card": card(Stated("S1", TEN), Ordered("S1", NINE)), "steel": "S1", "on": DAY}
    with pytest.raises(InputError, match=says):
        work_order(**{**given, **change})


# Height and minimum -------------------------------------------------------------------------------------


def measured(height=None, least=None):
    return SteelMeasured("S1", height_mm=height, least_mm=least)


def test_the_height_that_remains():
    known = card(Stated("S1", TEN), measured(30.0, 28.0), Sharpened("S1", taken_mm=0.1), Ordered("S1", NINE))
    order = work_order(known, "S1", DAY)
    most = sagitta(2743.2, 140.0) - sagitta(3048.0, 140.0)
    assert (order.height_now_mm, order.measure_first) == (29.9, ())
    assert order.left_mm(order.edges[0]) == pytest.approx(29.9 - most, abs=1e-4)


def test_an_order_that_would_go_below_the_minimum_is_refused_with_both_numbers():
    below = (Stated("S1", TEN), measured(29.3, 29.0), Ordered("S1", NINE))
    says = r"left runner of K07's set S1 would be 28\.94 mm high .*; the maker's minimum is 29\.00 mm"
    with pytest.raises(InputError, match=says):
        work_order(card(*below), "S1", DAY)
    # However much more came off, it is below.
    with pytest.raises(InputError, match=says):
        work_order(card(*below, Sharpened("S1")), "S1", DAY)


def test_what_is_not_known_is_to_be_measured_first():
    order = work_order(card(Stated("S1", TEN, ("left",)), Ordered("S1", NINE)), "S1", DAY)
    assert order.measure_first == ("height", "minimum", "right shape")
    left, right = order.edges
    assert (order.height_now_mm, order.left_mm(left), right.cut, right.now) == (None,) * 4
    assert np.isnan(right.cut_mm(order.places_mm)).all()
    # A height before a sharpening that nobody measured is not the height now.
    known = card(Stated("S1", TEN), measured(30.0, 28.0), Sharpened("S1"), Ordered("S1", NINE))
    assert work_order(known, "S1", DAY).measure_first == ("height",)


# Many skaters -------------------------------------------------------------------------------------------


def test_the_sets_that_are_fitted_are_ordered_each_for_its_sides():
    known = card(
        Stated("S1", TEN), Stated("S2", TEN), Fitted("S1", ("left",)), Fitted("S2", ("right",)), Decided(NINE)
    )
    orders = orders_of(known, DAY)
    assert [(o.steel, *(e.side for e in o.edges)) for o in orders] == [("S1", "left"), ("S2", "right")]
    [spare] = orders_of(known, DAY, ["S2"])
    assert [edge.side for edge in spare.edges] == ["right"]


def test_where_one_side_waits_the_other_is_left_alone():
    known = card(Stated("S1", TEN), Fitted("S1"), Decided(NINE), Ordered("S1", NINE, ("right",)))
    [order] = orders_of(known, DAY)
    assert [edge.side for edge in order.edges] == ["right"]


def test_a_team_keeps_its_order_and_says_who_can_have_none():
    ready = [Stated("S1", TEN), Fitted("S1"), Decided(NINE)]
    cards = [
        card(*ready, skater="K09"),
        card(skater="K01"),
        card(*ready[:2], skater="K05"),
        card(*ready, skater="K03"),
    ]
    orders, refused = orders_due(cards, DAY)
    assert [order.skater for order in orders] == ["K09", "K03"]
    assert refused[0] == ("K01", "nobody said which steel is on the skates of K01")
    assert refused[1][0] == "K05" and refused[1][1].startswith("nothing is ordered for the left edge")
