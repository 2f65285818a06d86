"""The hollow as ground: against the closed form, circles through points (scikit-image), repeated draws."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from skimage.measure import CircleModel

from bladelab import (
    Hollow,
    Ice,
    Rocker,
    Stance,
    groove_from_arc,
    groove_from_depth,
    groove_from_edges,
    hollow_difference,
    inches,
)


@given(width=st.floats(1.0, 5.0), share=st.floats(1.01, 20))
def test_depth_and_radius_undo_each_other(width, share):
    hollow = Hollow(width / 2 * share, width)
    reading = groove_from_depth(hollow.depth_mm, width)
    assert reading.radius_mm == pytest.approx(hollow.radius_mm, rel=1e-6)
    assert reading.edge_angles_deg == pytest.approx((hollow.edge_angle_deg,) * 2, rel=1e-6)
    even = groove_from_edges(hollow.depth_mm, hollow.depth_mm, width)
    assert even.radius_mm == pytest.approx(hollow.radius_mm, rel=1e-6)
    assert even.proud_mm == 0.0


@given(radius=st.floats(5, 40), off=st.floats(-0.4, 0.4))
def test_uneven_edges_are_the_circle_through_three_points(radius, off):
    # A groove whose deepest point lies `off` mm beside the middle of a 3 mm runner.
    a, b = 1.5 + off, 1.5 - off
    depth_a, depth_b = radius - np.sqrt(radius**2 - a**2), radius - np.sqrt(radius**2 - b**2)
    reading = groove_from_edges(depth_a, depth_b, 3.0)
    assert reading.radius_mm == pytest.approx(radius, rel=1e-6)
    assert reading.edge_angles_deg == pytest.approx(np.degrees(np.arcsin([a / radius, b / radius])), rel=1e-6)
    points = np.array([[-a, -depth_a], [0, 0], [b, -depth_b]])
    assert CircleModel.from_estimate(points).radius == pytest.approx(reading.radius_mm, rel=1e-4)
    assert reading.proud_mm == pytest.approx(depth_a - depth_b)


def test_errors_agree_with_repeated_draws():
    rng = np.random.default_rng(8)
    true = Hollow(inches("5/8"), 3.0)
    draws = [
        groove_from_depth(
            true.depth_mm + 0.002 * rng.standard_normal(), 3.0 + 0.02 * rng.standard_normal(), 0.002
        )
        for _ in range(4000)
    ]
    bend = np.array([1 / r.radius_mm for r in draws])
    stated = np.mean([r.standard_error_mm / r.radius_mm**2 for r in draws])
    assert stated == pytest.approx(bend.std(), rel=0.05)
    assert np.mean([r.agrees_with(true.radius_mm) for r in draws]) == pytest.approx(0.95, abs=0.01)
    uneven = [
        groove_from_edges(*(true.depth_mm + 0.002 * rng.standard_normal(2)), 3.0, 0.002, 0.0)
        for _ in range(4000)
    ]
    assert np.mean([r.standard_error_mm / r.radius_mm**2 for r in uneven]) == pytest.approx(
        np.std([1 / r.radius_mm for r in uneven]), rel=0.05
    )


def test_a_poor_gauge_says_that_flat_would_agree_too():
    reading = groove_from_depth(0.03, 3.0, depth_error_mm=0.02)
    assert np.isinf(reading.high_mm) and reading.agrees_with(1000.0)


def test_the_arc_that_fits():
    reading = groove_from_arc(12.7, 11.1125, 14.2875, 3.0)
    assert 1 / reading.low_mm == pytest.approx((1 / 12.7 + 1 / 11.1125) / 2)
    assert reading.low_mm < 12.7 < reading.high_mm
    # Any true radius between the midpoints would have been called 12.7: the spread of 1/r is that of an even
    # chance.
    bends = np.random.default_rng(9).uniform(1 / reading.high_mm, 1 / reading.low_mm, 100_000)
    assert reading.standard_error_mm / reading.radius_mm**2 == pytest.approx(bends.std(), rel=0.01)


def test_what_a_deeper_groove_does_on_the_ice():
    rocker, stance, ice = Rocker.single(3048, 280), Stance(735.75, 0, 30), Ice(-5)
    result = hollow_difference(groove_from_edges(0.10, 0.09, 3.0), inches("1/2"), rocker, stance, ice)
    assert result["asked"]["groove_depth_mm"] == pytest.approx(0.0888938, abs=1e-6)
    assert result["ground"]["radius_mm"] < 12.7
    assert result["ground"]["bite_mm"] > result["asked"]["bite_mm"]
    assert result["ground"]["hold_deg"] > result["asked"]["hold_deg"]
    assert result["lowest"]["radius_mm"] < result["ground"]["radius_mm"] < result["highest"]["radius_mm"]


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: groove_from_depth(0.0, 3.0), "depth_mm is 0 mm; it must be above 0 mm"),
        (lambda: groove_from_depth(2.0, 3.0), "depth_mm is 2 mm; it must be above 0 mm and at most 1.5 mm"),
        (lambda: groove_from_depth(0.1, 3.0, -1), "depth_error_mm is -1 mm"),
        (lambda: groove_from_depth(float("nan"), 3.0), "depth_mm is nan"),
        (lambda: groove_from_edges(0.1, 0.0, 3.0), "depth_b_mm is 0 mm"),
        (lambda: groove_from_arc(12.7, 14, 16, 3.0), "must rise"),
    ],
)
def test_readings_that_cannot_be_are_refused(call, words):
    with pytest.raises(ValueError, match=words):
        call()
