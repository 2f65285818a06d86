"""A trace against the shape asked for, and left against right."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog

from bladelab import GaugeReadings, Rocker, Trace, Zone, deviation, left_against_right, read_trace, versine
from bladelab.show.panels.workshop.measured_files import DEMO
from bladelab.workshop.gauge import gauge_on
from bladelab.workshop.levelling import straight_line

ASKED = Rocker((Zone(2743.2, 80), Zone(3352.8, 120), Zone(2438.4, 80)))
X = np.linspace(-140, 140, 281)


def measured(rng, extra=0.0, noise=0.004, tilt_deg=0.0):
    a = np.radians(tilt_deg)
    y = ASKED.height_mm(X) + extra
    return Trace(
        X * np.cos(a) - y * np.sin(a), X * np.sin(a) + y * np.cos(a) + noise * rng.standard_normal(281)
    )


def bump(at, height, width=15.0):
    return height * np.exp(-(((X - at) / width) ** 2))


def test_a_missing_spot_is_found_with_its_size_and_place():
    # 0.06 mm of steel gone at 50 mm: the edge is higher there, so the deviation is negative.
    seen = deviation(
        measured(np.random.default_rng(1), bump(50, 0.06), tilt_deg=0.3), ASKED, tolerance_mm=0.03
    )
    assert seen.largest_at_mm == pytest.approx(50, abs=4)
    assert seen.largest_mm == pytest.approx(-0.06, abs=0.008)
    assert seen.verdict == "outside"
    # It stays where it is: more than two widths away the edge is as asked for.
    away = np.abs(seen.x_mm - 50) > 35
    assert np.abs(seen.deviation_mm[away]).max() < 0.008


def test_the_verdict_knows_its_limits():
    good = measured(np.random.default_rng(2))
    assert deviation(good, ASKED, tolerance_mm=0.03).verdict == "within"
    assert deviation(good, ASKED, tolerance_mm=0.003).verdict == "too close to call"


@pytest.mark.slow
def test_deviation_errors_agree_with_repeated_draws():
    rng = np.random.default_rng(3)
    seen = [deviation(measured(rng), ASKED) for _ in range(150)]
    places = [40, 140, 240]
    stated = np.mean([s.error_mm[places] for s in seen], axis=0)
    assert stated == pytest.approx(np.std([s.deviation_mm[places] for s in seen], axis=0), rel=0.15)


@pytest.mark.slow
def test_equal_skates_seldom_differ():
    rng = np.random.default_rng(4)
    alarms = sum(left_against_right(measured(rng), measured(rng)).differs.any() for _ in range(200))
    assert 1 <= alarms <= 22  # 5 in 100 wanted: 10, and 22 is four standard deviations above


@pytest.mark.slow
@pytest.mark.parametrize("known", [0.004, None], ids=["error known", "error told by the readings"])
@pytest.mark.parametrize("mixed", [False, True], ids=["two gauges", "gauge and heights"])
def test_equal_skates_read_by_a_gauge_seldom_differ(known, mixed):
    rng, ten = np.random.default_rng(6), Rocker.single(3048, 280)
    exact, alarms = gauge_on(ten, np.arange(-100.0, 101.0, 20.0), 60.0), 0

    def gauged():
        drawn = exact.versine_mm + 0.004 * rng.standard_normal(len(exact.versine_mm))
        return GaugeReadings(exact.position_mm, drawn, 60.0, known)

    def by_height():
        return Trace(X, ten.height_mm(X) + 0.004 * rng.standard_normal(281))

    for _ in range(60):
        alarms += left_against_right(gauged(), by_height() if mixed else gauged()).differs.any()
    assert alarms <= 9  # 5 in 100 wanted: 3, and 9 is less than four standard deviations above


def test_a_gauge_tells_what_is_large_enough():
    """A 10 ft and a 9 ft edge, by a gauge and by heights without error: the same difference."""
    at = np.arange(-100.0, 101.0, 20.0)
    left, right = (replace(gauge_on(Rocker.single(r, 280), at, 60.0), error_mm=0.003) for r in (3048, 2743.2))
    seen = left_against_right(left, right)
    heights = left_against_right(
        *(Trace(X, Rocker.single(r, 280).height_mm(X), 0.003) for r in (3048, 2743.2))
    )
    assert seen.differs.any() and not left_against_right(left, left).differs.any()
    same = np.interp(seen.x_mm, heights.x_mm, heights.difference_mm)
    assert seen.difference_mm == pytest.approx(same, abs=0.01)
    assert seen.threshold_mm.max() > 3 * heights.threshold_mm.max(), "and it is less sure than heights"


def test_unequal_skates_differ_where_they_do():
    rng = np.random.default_rng(5)
    seen = left_against_right(measured(rng, tilt_deg=0.4), measured(rng, bump(-60, 0.05), tilt_deg=-0.2))
    # The right has lost steel at -60: its height is greater, so left less right is negative.
    # Smoothing over 30 mm takes a tenth off a spot so narrow.
    assert seen.largest_mm == pytest.approx(-0.045, abs=0.006)
    assert seen.largest_at_mm == pytest.approx(-60, abs=5)
    ((start, end),) = seen.stretches_mm
    assert -95 < start < -75 and -45 < end < -25


@pytest.mark.parametrize(("at", "size"), [(-100, 0.08), (0, 0.3), (58, -0.05), (105, 0.2)])
def test_one_bad_spot_is_told_as_one_stretch(at, size):
    rng = np.random.default_rng(9)
    alone = 0
    for _ in range(8):
        seen = left_against_right(measured(rng, bump(at, size), tilt_deg=0.3), measured(rng))
        assert seen.largest_mm == pytest.approx(size, rel=0.15, abs=0.004)
        assert seen.largest_at_mm == pytest.approx(at, abs=4)
        ((start, end),) = [(a, b) for a, b in seen.stretches_mm if a < at < b]
        assert end - start < 80
        # Elsewhere nothing is told but what chance, or nearly chance, makes: the band is 0.006 mm.
        far = np.abs(seen.x_mm - at) > 50
        assert np.abs(seen.difference_mm[far]).max() < 0.012
        alone += len(seen.stretches_mm) == 1
    assert alone >= 4
    against = deviation(measured(rng, bump(at, size)), ASKED, 0.03)
    off = np.abs(against.deviation_mm) > 0.015
    assert np.abs(against.x_mm[off] - at).max() < 50


def test_the_invented_pair_differs_along_one_stretch():
    seen = left_against_right(*(read_trace(DEMO / f"{side}_edge.csv") for side in ("left", "right")))
    ((start, end),) = seen.stretches_mm
    # Made with 0.045 mm at 58 mm, falling to a third of it 22 mm away.
    assert 25 < start < 40 and 78 < end < 95
    assert seen.largest_mm == pytest.approx(-0.045, abs=0.005)


def primal_line(x, y):
    """Least absolute deviations by scipy's linprog in its plain form: one slack for each point."""
    n = len(x)
    plane = np.column_stack([np.ones(n), x])
    done = linprog(
        np.r_[0, 0, np.ones(n)],
        A_ub=np.block([[plane, -np.eye(n)], [-plane, -np.eye(n)]]),
        b_ub=np.r_[y, -y],
        bounds=[(None, None)] * 2 + [(0, None)] * n,
    )
    return done.fun


@settings(max_examples=25)
@given(st.lists(st.floats(-5, 5), min_size=5, max_size=60), st.floats(-1, 1), st.booleans())
def test_the_line_is_that_of_least_absolute_deviations(heights, slope, reversed_sign):
    x = np.linspace(-140, 140, len(heights))
    y = (-1 if reversed_sign else 1) * np.array(heights) + slope * x
    offset, tilt = straight_line(x, y)
    assert np.abs(y - offset - tilt * x).sum() == pytest.approx(primal_line(x, y), rel=1e-6, abs=1e-6)


def test_a_known_level_shows_a_level_point_that_is_off():
    rng = np.random.default_rng(10)
    asked = Rocker.single(3048, 280)
    off = Rocker.single(3048, 280, pivot_mm=5).height_mm(X) + 0.002 * rng.standard_normal(281)
    known = deviation(Trace(X, off, level_error_deg=0.005), asked, 0.05)
    # 5 mm off the level point is 5/3048 of slope: 0.23 mm at either end, more steel at the toe.
    assert known.level_known and known.verdict == "outside"
    assert known.deviation_mm[[0, -1]] == pytest.approx([-0.2296, 0.2296], abs=0.008)
    # With the level known no better than 0.2 deg, 0.49 mm at the ends, nothing can be said of it.
    assert deviation(Trace(X, off, level_error_deg=0.2), asked, 0.05).verdict == "too close to call"
    unknown = deviation(Trace(X, off), asked, 0.05)
    assert not unknown.level_known and np.abs(unknown.deviation_mm).max() < 0.01
    with pytest.raises(ValueError, match="level_error_deg is 5 deg; it must be at least 0 deg and at most 3"):
        Trace(X, off, level_error_deg=5)


def test_swapping_the_sides_turns_the_sign():
    rng = np.random.default_rng(6)
    a, b = measured(rng), measured(rng, bump(20, 0.03))
    one, other = left_against_right(a, b), left_against_right(b, a)
    assert one.difference_mm == pytest.approx(-other.difference_mm, abs=1e-12)


def test_what_cannot_be_compared_is_refused():
    good = measured(np.random.default_rng(7))
    with pytest.raises(ValueError, match="zero at mid-length"):
        deviation(Trace(X + 60, good.y_mm), ASKED)
    with pytest.raises(ValueError, match="tolerance_mm is 0 mm"):
        deviation(good, ASKED, tolerance_mm=0)
    with pytest.raises(ValueError, match="they must share at least 150 mm"):
        left_against_right(good, Trace(X + 200, good.y_mm))


@pytest.mark.slow
def test_gauge_readings_carry_their_error_into_the_deviation():
    rng = np.random.default_rng(8)
    places = np.arange(-110.0, 111.0, 10.0)
    true = versine(60.0, 3048.0)
    single = Rocker.single(3048.0, 280)

    def read(error):
        return GaugeReadings(places, true + error * rng.standard_normal(len(places)), 60.0, error)

    drawn = [read(0.002) for _ in range(200)]
    seen = [deviation(readings.trace, single).deviation_mm for readings in drawn]
    first = deviation(drawn[0], single)
    assert np.array_equal(first.deviation_mm, seen[0])
    scatter = np.std(seen, axis=0)
    # 60 draws inside tell a standard deviation to 9 %.
    assert first.error_mm[5:-5] == pytest.approx(scatter[5:-5], rel=0.35)
    assert np.mean(first.error_mm) == pytest.approx(np.mean(scatter), rel=0.2)
    assert deviation(read(0.0002), single, tolerance_mm=0.05).verdict == "within"
    assert deviation(read(0.01), single, tolerance_mm=0.02).verdict != "within"
