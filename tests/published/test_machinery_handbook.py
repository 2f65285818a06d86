"""Circle segments: Machinery's Handbook, 31st ed., pp. 50 and 79.

READ. The three printed examples are rows in data/reference/published_checks.csv; here segments between
and around them are checked by the handbook's formulas and by shapely.
"""

import numpy as np
import pytest
import shapely
from scipy.integrate import quad

from bladelab import Hollow, Rocker
from bladelab.trust.published import published_checks

SOURCE = "Machinery's Handbook, 31st ed., pp. 50, 79"
SEGMENTS = [(12.0, 2.0), (25 / 3, 6.0), (60.0, 8.0), (12.7, 0.0889), (3048.0, 3.2)]


def test_the_printed_examples_are_in_the_table() -> None:
    rows = [check for check in published_checks() if check.source == SOURCE]
    assert {check.tag for check in rows} == {"READ"}
    assert {13.27, 14.06, 18.01, 59.86} <= {check.expected for check in rows}


@pytest.mark.parametrize(("radius", "height"), SEGMENTS)
def test_chord_height_and_radius(radius: float, height: float) -> None:
    # p. 79 (READ): c = 2 sqrt(h (2 r - h)); r = (c^2 + 4 h^2) / 8 h; h = r - sqrt(4 r^2 - c^2) / 2.
    chord = 2 * np.sqrt(height * (2 * radius - height))
    assert Hollow(radius, chord).depth_mm == pytest.approx(height, rel=1e-10)
    assert Rocker.single(radius, chord).height_mm(chord / 2) == pytest.approx(height, rel=1e-8)
    assert (chord**2 + 4 * height**2) / (8 * height) == pytest.approx(radius, rel=1e-10)


@pytest.mark.parametrize(("radius", "height"), SEGMENTS)
def test_arc_and_area(radius: float, height: float) -> None:
    # p. 79 (READ): l = 0.01745 r alpha; A = (r l - c (r - h)) / 2; here with alpha in radians.
    chord = 2 * np.sqrt(height * (2 * radius - height))
    hollow = Hollow(radius, chord)
    arc = 2 * radius * np.radians(hollow.edge_angle_deg)
    area = quad(hollow.height_mm, 0.0, chord, epsabs=0.0, limit=200)[0]
    assert area == pytest.approx((radius * arc - chord * (radius - height)) / 2, rel=1e-7)


@pytest.mark.parametrize(("radius", "height"), [(12.0, 2.0), (25 / 3, 6.0), (60.0, 8.0)])
def test_arc_and_area_agree_with_shapely(radius: float, height: float) -> None:
    chord = 2 * np.sqrt(height * (2 * radius - height))
    hollow = Hollow(radius, chord)
    disc = shapely.Point(chord / 2, height - radius).buffer(radius, quad_segs=20_000)
    above = shapely.box(-1.0, 0.0, chord + 1.0, 2 * radius)
    assert quad(hollow.height_mm, 0.0, chord)[0] == pytest.approx(disc.intersection(above).area, rel=1e-6)
    arc = disc.exterior.intersection(above).length
    assert 2 * radius * np.radians(hollow.edge_angle_deg) == pytest.approx(arc, rel=1e-6)


@pytest.mark.parametrize("radius", [3.175, 6.35, 12.7])
def test_the_parabola_is_not_the_groove(radius: float) -> None:
    # DERIVED. The shortcut w^2/8r falls short by about (w/4r)^2 of the depth; a groove of 1/8 in shows it.
    depth = Hollow(radius, 3.0).depth_mm
    shortfall = 1 - 3.0**2 / (8 * radius) / depth
    assert shortfall == pytest.approx((3.0 / (4 * radius)) ** 2, rel=0.15)
    assert shortfall > 0.003
