"""Single radius and local curve against scikit-image's circle fit, numpy's covariance and repeated draws."""

import re
from functools import partial

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from skimage.measure import CircleModel

from bladelab import GaugeReadings, InputError, Rocker, Trace, fit_radius, fit_zones, local_curve
from bladelab.workshop.radius import arc_rise


def arc(radius, x, tilt_deg=0.0):
    """An arc turned by tilt_deg, by the circle's own equation."""
    centre = -radius * np.sin(np.radians(tilt_deg))
    return radius - np.sqrt(radius**2 - (x - centre) ** 2)


@given(
    radius=st.floats(1200, 12200),
    tilt=st.floats(-4, 4),
    offset=st.floats(-50, 50),
    length=st.floats(150, 340),
    count=st.integers(5, 300),
)
def test_exact_arcs_come_back(radius, tilt, offset, length, count):
    x = np.linspace(-length / 2, length / 2, count)
    fit = fit_radius(x, arc(radius, x, tilt) + offset)
    assert fit.radius_mm == pytest.approx(radius, rel=1e-7)
    assert fit.lowest_mm == pytest.approx(-radius * np.sin(np.radians(tilt)), abs=1e-3)
    assert fit.height_mm(x) == pytest.approx(arc(radius, x, tilt) + offset, abs=1e-8)


def test_a_noisy_arc_agrees_with_scikit_images_circle_fit():
    # scikit-image 0.26, skimage.measure.CircleModel: total least squares of the distances to the circle. On a
    # flat arc it is biased toward a smaller circle by noise; 0.5 micrometres keep that below a fifth of the
    # error.
    rng = np.random.default_rng(3)
    x = np.linspace(-140, 140, 281)
    y = arc(3048.0, x) + 0.0005 * rng.standard_normal(len(x))
    model = CircleModel.from_estimate(np.column_stack([x, y]))
    fit = fit_radius(x, y)
    assert fit.radius_mm == pytest.approx(model.radius, abs=0.2 * fit.standard_error_mm)
    assert fit.lowest_mm == pytest.approx(model.center[0], abs=1e-3)


def test_the_standard_error_is_that_of_numpys_polynomial_covariance():
    rng = np.random.default_rng(4)
    x = np.linspace(-100, 100, 101)
    y = arc(6000.0, x) + 0.003 * rng.standard_normal(len(x))
    # numpy.polyfit with cov=True: covariance scaled by chi2 / (n - 3).
    terms, covariance = np.polyfit(x, y, 2, cov=True)
    fit = fit_radius(x, y)
    assert 1 / fit.radius_mm == pytest.approx(2 * terms[0], rel=1e-3)
    assert fit.standard_error_mm == pytest.approx(fit.radius_mm**2 * 2 * np.sqrt(covariance[0, 0]), rel=1e-3)


def test_standard_errors_agree_with_repeated_draws():
    rng = np.random.default_rng(5)
    x = np.linspace(-140, 140, 141)
    y = arc(3048.0, x, 1.0)
    fits = [fit_radius(x, y + 0.004 * rng.standard_normal(len(x))) for _ in range(1000)]
    seen = np.std([fit.radius_mm for fit in fits])
    stated = np.mean([fit.standard_error_mm for fit in fits])
    assert stated == pytest.approx(seen, rel=0.1)
    covered = np.mean([fit.interval_mm[0] < 3048 < fit.interval_mm[1] for fit in fits])
    assert covered == pytest.approx(0.95, abs=0.02)


@pytest.mark.slow
def test_local_errors_agree_with_repeated_draws():
    places = [-139.0, -60.0, 0.0, 120.0]
    rng = np.random.default_rng(6)
    x = np.linspace(-140, 140, 281)
    y = arc(3048.0, x)
    fits = [local_curve(Trace(x, y + 0.004 * rng.standard_normal(281)), places, 60.0) for _ in range(800)]
    # 800 draws tell a standard deviation to 2.5 %.
    assert np.mean([f.height_error_mm for f in fits], axis=0) == pytest.approx(
        np.std([f.height_mm for f in fits], axis=0), rel=0.1
    )
    # In 1/R the error is symmetric, also at the ends where the window is cut short and R scatters wildly.
    bend = np.array([1 / f.radius_mm for f in fits])
    stated = np.mean([f.standard_error_mm / f.radius_mm**2 for f in fits], axis=0)
    assert stated == pytest.approx(bend.std(axis=0), rel=0.1)


def test_the_local_radius_is_that_of_the_zone():
    rocker = Rocker.single(2743.2, 280.0)
    x = np.linspace(-140, 140, 561)
    local = local_curve(Trace(x, rocker.height_mm(x)), window_mm=30.0)
    assert local.radius_mm == pytest.approx(2743.2, rel=2e-4)
    assert local.x_mm[0] == pytest.approx(-125.0)


def test_local_curve_by_least_squares_in_each_window():
    rng = np.random.default_rng(7)
    x = np.sort(rng.uniform(-140, 140, 400))
    y = arc(3500.0, x, 0.7) + 0.01 * rng.standard_normal(400)
    local = local_curve(Trace(x, y), [-90.0, 12.0, 100.0], 50.0)
    for place, height, radius in zip(local.x_mm, local.height_mm, local.radius_mm, strict=True):
        near = np.abs(x - place) <= 25.0
        c, b, a = np.polyfit(x[near] - place, y[near], 2)
        assert height == pytest.approx(a, abs=1e-9)
        assert radius == pytest.approx((1 + b**2) ** 1.5 / (2 * c), rel=1e-7)


@given(turn=st.floats(-3, 3))
def test_levelling_turns_the_trace_and_nothing_else(turn):
    x = np.linspace(-140, 140, 281)
    y = arc(3048.0, x)
    a = np.radians(turn)
    tilted = Trace(x * np.cos(a) - y * np.sin(a) + 7, x * np.sin(a) + y * np.cos(a) + 3)
    level = tilted.level()
    fit = fit_radius(level.x_mm, level.y_mm)
    assert fit.radius_mm == pytest.approx(3048.0, rel=1e-6)
    assert fit.tilt_deg == pytest.approx(0.0, abs=1e-3)
    assert level.y_mm.min() == pytest.approx(0.0, abs=1e-3)


def test_the_rise_of_an_arc_is_exact():
    x = np.linspace(0, 200, 11)
    assert arc_rise(x, 0.0, 1 / 3048.0) == pytest.approx(arc(3048.0, x), rel=1e-12)
    assert arc_rise(x, np.sin(0.1), 0.0) == pytest.approx(x * np.tan(0.1), rel=1e-12)


@pytest.mark.parametrize(
    ("x", "y", "words"),
    [
        ([0, 1, 2], [0, 0, 0], "3 points; it must have at least 5"),
        ([0, 1, 1, 2, 3], [0, 0, 0, 0, 0], "position 1 mm repeats"),
        ([0, 2, 1, 3, 4], [0, 0, 0, 0, 0], "position 1 mm comes after a greater one"),
        ([0, 1, 2, 3, np.nan], [0, 0, 0, 0, 0], "x_mm is nan mm"),
        ([0, 1, 2, 3, 4], [0, 0, np.inf, 0, 0], "y_mm is inf mm"),
        ([0, 1, 2, 3, 4], [0, 1, 2], "shape"),
        ([0, 1, 2, 3, 4], [0, 3, 4, 3, 0], "bend the wrong way"),
        ([0, 1, 2, 3, 4], [0, 0, 0, 0, 0], "bend the wrong way or not at all"),
        ([0, 1, 2, 3, 4], [0, 1, 2, 3, 4], "climbs 45 deg"),
        ("abc", [0], "must be a number"),
    ],
)
def test_points_that_make_no_trace_are_refused_in_words(x, y, words):
    with pytest.raises(ValueError, match=words):
        fit_radius(x, y)


def test_a_window_of_few_points_is_widened_to_five():
    x = np.linspace(-140, 140, 57)
    y = arc(3048.0, x)
    local = local_curve(Trace(x, y), [0.0, -140.0], window_mm=6.0)
    assert local.radius_mm == pytest.approx(3048.0, rel=1e-3)
    coarse = Trace(np.linspace(-140, 140, 5), arc(3048.0, np.linspace(-140, 140, 5)))
    # Five points are smoothed by one parabola: 0.2 micrometres beside the arc.
    assert coarse.level().y_mm == pytest.approx(coarse.y_mm, abs=5e-4)
    with pytest.raises(ValueError, match="window_mm is 300 mm; it must be above 0 mm and at most 280 mm"):
        local_curve(Trace(x, y), window_mm=300.0)


@pytest.mark.parametrize("window", [1e-300, 1e-9, 1.0, 40.0])
@pytest.mark.filterwarnings("error")
def test_a_window_of_too_few_points_is_widened(window):
    x = np.linspace(-100, 100, 201)
    assert local_curve(Trace(x, x**2 / 6000), [0.0], window).radius_mm == pytest.approx(3000, rel=1e-6)


@pytest.mark.parametrize("bend", [0.0, 5e-324, 1e-160, -1e-100, 1e-16])
@pytest.mark.filterwarnings("error")
def test_what_hardly_bends_is_straight(bend):
    x = np.linspace(-100, 100, 201)
    for error_mm in (None, 1e-12, 0.002):
        local = local_curve(Trace(x, bend * x**2 / 2, error_mm), [0.0, 90.0])
        assert np.all(local.radius_mm == np.inf) and np.all(local.standard_error_mm == np.inf)
    gentle = local_curve(Trace(x, 1e-12 * x**2 / 2, 1e-12), [0.0, 90.0])
    assert gentle.radius_mm == pytest.approx(1e12, rel=1e-3) and np.all(gentle.standard_error_mm > 0)


@pytest.mark.parametrize("error_mm", [1e300, 10_001, 0.0, -0.1])
def test_an_error_that_is_none_is_refused_wherever_it_is_given(error_mm):
    x = np.linspace(-100, 100, 201)
    says = re.escape(f"error_mm is {error_mm:g} mm; it must be above 0 mm and at most 10000 mm")
    for take in (Trace, fit_radius, fit_zones, partial(GaugeReadings, chord_mm=50.0)):
        with pytest.raises(ValueError, match=says):
            take(x, x**2 / 6000 + 0.1, error_mm=error_mm)


@pytest.mark.filterwarnings("error")
def test_the_greatest_error_on_the_shortest_and_nearly_straight_trace_gives_numbers():
    x = np.linspace(-0.05, 0.05, 9)
    local = local_curve(Trace(x, 1e-14 * x**2 / 2, 10_000), [0.0, 0.04], window_mm=0.1)
    assert local.radius_mm == pytest.approx(1e14, rel=0.01)
    assert np.all(np.isfinite(local.standard_error_mm)) and np.all(local.standard_error_mm > 1e30)


def test_places_and_heights_beyond_ten_metres_are_refused():
    x = np.linspace(-100, 100, 9)
    y = x**2 / 6000
    y[4] = 1e300
    with pytest.raises(
        ValueError, match=r"y_mm is 1e\+300 mm; it must be at least -10000 mm and at most 10000"
    ):
        Trace(x, y)


def test_an_edge_measured_upside_down_is_the_readers_to_mend():
    x = np.linspace(-140, 140, 29)
    with pytest.raises(InputError, match="were they measured upside down"):
        fit_radius(x, -Rocker.single(3048, 280).height_mm(x))
