"""Arcs, chords and versines against handbook examples.

Circle segments: Machinery's Handbook, 31st ed., pp. 50 and 79 (read). Railway curves by versine: from memory.
"""

import numpy as np
import pytest

from bladelab import radius_from_versine, versine


def test_machinerys_handbook_p_79_radius_from_chord_and_height():
    # "Chord 16, height 6: radius 8 1/3."
    assert radius_from_versine(16.0, 6.0) == pytest.approx(8 + 1 / 3, rel=1e-12)


@pytest.mark.parametrize(
    ("radius", "height", "chord", "tolerance"),
    [
        (12.0, 2.0, 13.27, 0.005),  # p. 79: rounded to hundredths
        (60.0, 8.0, 59.86, 0.01),  # p. 50: truncated
    ],
)
def test_machinerys_handbook_height_of_a_segment(radius, height, chord, tolerance):
    # The printed chord is rounded; the height follows it with the slope c / (4 (r - h)).
    assert versine(chord, radius) == pytest.approx(height, abs=tolerance * chord / (4 * (radius - height)))
    assert radius_from_versine(chord, height) == pytest.approx(radius, rel=2e-3)


def test_one_inch_of_versine_on_62_feet_is_one_degree_of_curve():
    # From memory: the rule of string lining. A one-degree curve turns 1 deg in 100 ft of arc: R = 5729.58 ft.
    radius_in = 100 / np.radians(1.0) * 12
    assert versine(62 * 12.0, radius_in) == pytest.approx(1.0, abs=0.01)


def test_fifty_thousand_over_the_radius_on_a_chord_of_20_metres():
    # From memory: versine in mm = 50,000 / radius in m, on a chord of 20 m.
    for radius_m in (200.0, 400.0, 1500.0):
        assert versine(20_000.0, radius_m * 1000) == pytest.approx(50_000 / radius_m, rel=1e-3)
