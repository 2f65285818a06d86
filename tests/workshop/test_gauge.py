"""Versine gauges, what they can tell, and the edge square."""

import itertools
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bladelab import (
    Blade,
    EdgeLevel,
    GaugePlan,
    GaugeReadings,
    Hollow,
    Ice,
    Rocker,
    Stance,
    Zone,
    fit_radius,
    radius_from_versine,
    solve_contact,
    versine,
)

THREE = Rocker((Zone(2600, 70), Zone(3400, 110), Zone(2200, 100)), pivot_mm=5)


def read_with_gauge(rocker, places, chord):
    """What a gauge reads: feet on the edge `chord` apart, plunger square to their line, midway. Found by
    geometry.
    """
    readings = []
    for place in places:
        lean = np.arctan2(rocker.height_mm(place + chord / 2) - rocker.height_mm(place - chord / 2), chord)
        reach = chord / 2 * np.cos(lean)
        middle = (rocker.height_mm(place - reach) + rocker.height_mm(place + reach)) / 2
        readings.append((middle - rocker.height_mm(place)) * np.cos(lean))
    return np.array(readings)


@given(radius=st.floats(30, 20000), share=st.floats(0.001, 1))
def test_versine_and_radius_undo_each_other(radius, share):
    chord = 2 * radius * share
    assert radius_from_versine(chord, versine(chord, radius)) == pytest.approx(radius, rel=1e-9)


def test_a_gauge_on_a_single_radius_reads_that_radius():
    readings = GaugeReadings(
        [-50.0, 0.0, 50.0], read_with_gauge(Rocker.single(3048, 280), [-50, 0, 50], 60.0), 60.0, 0.001
    )
    assert readings.radius_mm == pytest.approx(3048, rel=1e-5)
    # By hand: R^2 * 8 s / c^2 = 3048^2 * 8 * 0.001 / 3600 = 20.6 mm.
    assert readings.standard_error_mm == pytest.approx(20.645, rel=1e-3)
    single = readings.fit_radius()
    assert single.radius_mm == pytest.approx(3048, rel=1e-5)
    assert single.standard_error_mm == pytest.approx(20.645 / np.sqrt(3), rel=1e-3)


def test_gauge_zones_come_back_without_noise():
    places = np.arange(-110, 111, 5.0)
    fit = GaugeReadings(places, read_with_gauge(THREE, places, 60.0), 60.0).fit_zones()
    assert [z.radius_mm for z in fit.zones] == pytest.approx([2600, 3400, 2200], rel=5e-4)
    assert fit.junctions_mm == pytest.approx(THREE.junctions_mm, abs=0.1)
    assert np.isnan(fit.lowest_mm)  # a versine does not see how the blade was clamped


@pytest.mark.slow
def test_gauge_errors_agree_with_repeated_draws():
    rng = np.random.default_rng(21)
    places = np.arange(-110, 111, 5.0)
    true = read_with_gauge(THREE, places, 60.0)
    fits = [
        GaugeReadings(places, true + 0.001 * rng.standard_normal(len(places)), 60.0).fit_zones()
        for _ in range(200)
    ]
    three = [f for f in fits if len(f.zones) == 3]
    assert len(three) > 180
    radii = np.array([[z.radius_mm for z in f.zones] for f in three])
    # 45 readings over two zones within a chord's length of each other: the linear error is 20 % large for the
    # heel zone.
    assert np.mean([f.standard_errors_mm for f in three], axis=0) == pytest.approx(
        radii.std(axis=0), rel=0.25
    )
    junctions = np.array([f.junctions_mm for f in three])
    assert np.mean([f.junction_errors_mm for f in three], axis=0) == pytest.approx(
        junctions.std(axis=0),
        rel=0.15,  # 200 draws tell a standard deviation to 5 %
    )


def test_the_rebuilt_edge_is_the_measured_one():
    places = np.arange(-110, 111, 5.0)
    rebuilt = GaugeReadings(places, read_with_gauge(THREE, places, 40.0), 40.0).trace.level()
    heights = THREE.height_mm(np.clip(rebuilt.x_mm, -140, 140))
    apart = rebuilt.y_mm - heights
    apart -= np.polynomial.polynomial.polyval(
        rebuilt.x_mm, np.polynomial.polynomial.polyfit(rebuilt.x_mm, apart, 1)
    )
    assert np.abs(apart).max() < 0.02


@pytest.mark.parametrize(
    ("place", "reading", "chord", "words"),
    [
        ([0, 10], [0.1, 0.0], 50, "versine_mm is 0 mm; it must be above 0 mm"),
        ([0, 10], [0.1, -0.1], 50, "versine_mm is -0.1 mm"),
        ([0, 10], [0.1, 30.0], 50, "at most half the chord, 25 mm"),
        ([10, 0], [0.1, 0.1], 50, "does not come after"),
        ([0, 10], [0.1], 50, "shape"),
        ([0, 10], [0.1, np.nan], 50, "versine_mm is nan"),
        ([0, 10], [0.1, 0.1], 0, "chord_mm is 0 mm"),
    ],
)
def test_readings_that_cannot_be_are_refused(place, reading, chord, words):
    with pytest.raises(ValueError, match=words):
        GaugeReadings(place, reading, chord)


def test_zones_need_three_readings():
    with pytest.raises(ValueError, match="there are 2 readings; zones need at least 3"):
        GaugeReadings([0, 10], [0.15, 0.15], 60.0).fit_zones()


def test_one_reading_needs_its_error():
    with pytest.raises(ValueError, match="give error_mm"):
        GaugeReadings([0.0], [0.15], 60.0).fit_radius()
    assert GaugeReadings([0.0], [0.1477], 60.0, 0.001).fit_radius().radius_mm == pytest.approx(
        3046.8, abs=0.1
    )


@pytest.mark.parametrize(("kind", "readings"), [("versine", 1), ("versine", 4), ("heights", 31)])
def test_the_plan_tells_the_error_that_draws_show(kind, readings):
    rng = np.random.default_rng(22)
    plan = GaugePlan(error_mm=0.003, chord_mm=60.0, readings=readings, kind=kind)
    if kind == "versine":
        read = versine(60.0, 3048.0) + 0.003 * rng.standard_normal((4000, readings))
        bends = 8 * read.mean(axis=1) / 3600.0
    else:
        x = np.linspace(-30, 30, readings)
        y = 3048 - np.sqrt(3048**2 - x**2)
        bends = [1 / fit_radius(x, y + 0.003 * rng.standard_normal(readings)).radius_mm for _ in range(2000)]
    assert plan.curvature_error == pytest.approx(np.std(bends), rel=0.05)
    assert plan.radius_error_mm(3048.0) == pytest.approx(3048.0**2 * plan.curvature_error)
    # Called by the nearer one, this share of 10 ft blades is taken for 9 ft.
    wrong = np.mean(np.array(bends) > (1 / 3048 + 1 / 2743.2) / 2)
    assert plan.wrong_share(3048.0, 2743.2) == pytest.approx(wrong, abs=0.015)


def test_the_error_needed_gives_the_share_asked_for():
    plan = GaugePlan(0.01, 50.0)
    needed = plan.error_needed_mm(2743.2, 3048.0, 0.025)
    assert GaugePlan(needed, 50.0).wrong_share(2743.2, 3048.0) == pytest.approx(0.025)
    # By hand: difference of the versines of 9 and 10 ft over 50 mm is 0.01139 mm; half of it is 1.96 errors.
    assert needed == pytest.approx(0.01139 / 2 / 1.96, rel=2e-3)


@pytest.mark.parametrize("kind", ["versine", "heights"])
def test_a_plan_answers_to_the_ends_of_what_it_takes_and_refuses_what_lies_beyond(kind):
    ends = (1e-7, 1e8)
    for error, chord, readings, radius in itertools.product(ends, ends, (4, 1_000_000), ends):
        plan = GaugePlan(error, chord, readings, kind)
        assert 0 < plan.radius_error_mm(radius) < math.inf
        assert 0 <= plan.wrong_share(radius, 3048.0) <= 0.5
        assert 0 < plan.error_needed_mm(radius, 3048.0) < math.inf
    for numbers, words in (
        ((1e-8, 50.0, 10), "error_mm is 1e-08 mm; it must be at least 1e-07 mm"),
        ((0.01, 1e-200, 10), "chord_mm is 1e-200 mm; it must be at least 1e-07 mm"),
        ((0.01, 50.0, 10**7), "readings is 1e[+]07 readings; it must be .* at most 1e[+]06 readings"),
    ):
        with pytest.raises(ValueError, match=words):
            GaugePlan(*numbers, kind)
    with pytest.raises(ValueError, match="radius_mm is 1e-300 mm; it must be at least 1e-07 mm"):
        GaugePlan(0.01, 50.0, 10, kind).wrong_share(1e-300, 3048.0)


BLADE, STANCE, ICE = Blade(Rocker.single(3048, 280), Hollow(15.875, 3.0)), Stance(735.75, 0, 30), Ice(-5)


def test_a_level_edge_holds_alike_on_both_sides():
    a, b = EdgeLevel(0.0, 100.0).hold_deg(BLADE, STANCE, ICE)
    assert a == b == pytest.approx(float(solve_contact(BLADE, STANCE, ICE, gliding=True).hold_deg))


def test_a_proud_edge_holds_more_and_the_other_less():
    level = EdgeLevel(1.0, 100.0, 0.1)
    assert level.tilt_deg == pytest.approx(0.5729, abs=1e-4)
    assert level.tilt_error_deg == pytest.approx(0.0573, abs=1e-4)
    assert level.proud_mm(3.0) == pytest.approx(0.03)
    a, b = level.hold_deg(BLADE, STANCE, ICE)
    even = float(solve_contact(BLADE, STANCE, ICE, gliding=True).hold_deg)
    assert a - even == pytest.approx(0.573, abs=0.1) and even - b == pytest.approx(0.573, abs=0.1)
    assert EdgeLevel(-1.0, 100.0).hold_deg(BLADE, STANCE, ICE) == (b, a)


def test_edge_levels_that_cannot_be_are_refused():
    with pytest.raises(ValueError, match="reading_mm is 30 mm"):
        EdgeLevel(30.0, 100.0)
    with pytest.raises(ValueError, match="lean_deg is 0 deg; it must be at least the tilt"):
        EdgeLevel(1.0, 100.0).hold_deg(BLADE, Stance(735.75), ICE)
