"""Blends against the clothoid.

READ, Fresnel tables: C(1) 0.7798934004, S(1) 0.4382591474 (Abramowitz & Stegun 7.7, from memory); a
clothoid of parameter 12 reaches radius 9 after a length of 16, heading 50.93 degrees.
"""

import numpy as np
import pytest
from scipy.special import fresnel

from bladelab import Rocker, Zone


def test_scipys_fresnel_integrals_are_the_tables() -> None:
    # The reference of the checks below is itself checked.
    sine, cosine = fresnel(1.0)
    assert cosine == pytest.approx(0.7798934004, abs=5e-11)
    assert sine == pytest.approx(0.4382591474, abs=5e-11)


def test_the_printed_clothoid_is_scipys() -> None:
    # Parameter A: curvature = s / A^2, so heading = s^2 / 2 A^2: the direction of the curve at its end.
    length = 12**2 / 9
    assert length == 16
    scale, step = 12 * np.sqrt(np.pi), 1e-6
    (s1, c1), (s0, c0) = fresnel((length + step) / scale), fresnel((length - step) / scale)
    assert np.degrees(np.arctan2(s1 - s0, c1 - c0)) == pytest.approx(50.93, abs=0.005)


@pytest.mark.parametrize("radius", [1220.0, 3048.0, 9144.0])
@pytest.mark.parametrize("blend", [20.0, 60.0, 120.0])
def test_a_blend_of_a_blade_is_the_clothoid(radius: float, blend: float) -> None:
    # From a straight stretch into the radius. On blades people skate on, clothoid and blend differ by less
    # than the square of the tilt.
    rocker = Rocker((Zone(1e12, 150.0), Zone(radius, 150.0)), blend_mm=blend, pivot_mm=-blend / 2)
    scale = np.sqrt(np.pi * radius * blend)
    sine, cosine = fresnel(np.linspace(0.05, 1.0, 20) * blend / scale)
    x, y = scale * cosine - blend / 2, scale * sine
    tilt = blend / (2 * radius)
    np.testing.assert_allclose(rocker.height_mm(x), y, rtol=tilt**2)
    # To the first order, the heading is that of the clothoid too.
    assert np.radians(rocker.tilt_deg(blend / 2)) == pytest.approx(tilt, rel=tilt**2)


def test_a_straight_line_would_not_pass_for_a_blend() -> None:
    # A stepped rocker in its place is off by far more than the difference allowed above.
    radius, blend = 3048.0, 60.0
    stepped = Rocker((Zone(1e12, 150.0), Zone(radius, 150.0)), pivot_mm=-blend / 2)
    scale = np.sqrt(np.pi * radius * blend)
    sine, cosine = fresnel(blend / scale)
    off = abs(float(stepped.height_mm(scale * cosine - blend / 2)) / (scale * sine) - 1)
    assert off > 100 * (blend / (2 * radius)) ** 2
