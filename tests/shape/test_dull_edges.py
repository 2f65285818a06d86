"""Dull edges: the shape of the steel against shapely, which rounds a sharp blade with a disc, and limits."""

import numpy as np
import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from shapely import affinity

from bladelab import Hollow
from bladelab.shape.dull import DullGroove

RADII = st.floats(4.5, 200.0)
WIDTHS = st.floats(1.5, 4.4)
EDGES = st.floats(1e-3, 0.3)
TOP = 20.0  # of the drawn steel, higher than any ice line reaches
LEANS = st.just(0.0) | st.floats(0.0, 12.0) | st.floats(0.0, 60.0)


def steel(radius: float, width: float, edge: float) -> shapely.Polygon:
    """All that a disc of the edge's radius covers while it stays inside a sharp blade, drawn with shapely.

    Its centre stays an edge's radius away from the sides and from the groove.
    """
    drop = np.sqrt(radius**2 - width**2 / 4)

    def arc(r: float, half: float) -> np.ndarray:
        angle = np.linspace(-half, half, 601)
        return np.column_stack([width / 2 + r * np.sin(angle), r * np.cos(angle) - drop])

    beta = np.arcsin((width / 2 - edge) / (radius + edge))
    inner, groove = arc(radius + edge, beta), arc(radius, beta)
    core = shapely.Polygon([*inner, (width - edge, TOP), (edge, TOP)])
    ends = [shapely.Point(*inner[i]).buffer(edge, quad_segs=200) for i in (0, -1)]
    sides = [shapely.box(x, inner[0, 1], x + edge, TOP) for x in (0.0, width - edge)]
    return shapely.union_all([core, shapely.Polygon([*inner, *groove[::-1]]), *ends, *sides])


def flooded_at(groove: DullGroove) -> float:
    """The height from which all of the width bears."""
    return float(max(groove.far_wall, groove.roof if groove.both else 0.0))


def below(shape: shapely.Polygon, tip_depth: float, lean_deg: float) -> shapely.Geometry:
    """The steel that lies below the ice, in the frame of the blade."""
    leaned = affinity.rotate(shape, lean_deg, origin=(0, 0))
    low = leaned.bounds[1]
    ice = shapely.box(-50.0, low - 1.0, 50.0, low + tip_depth)
    return affinity.rotate(leaned.intersection(ice), -lean_deg, origin=(0, 0))


@settings(max_examples=30)
@given(RADII, WIDTHS, EDGES)
def test_the_steel_is_a_sharp_blade_rounded_by_a_disc(radius: float, width: float, edge: float) -> None:
    hollow, shape = Hollow(radius, width, edge), steel(radius, width, edge)
    low = shape.bounds[1]
    u = width * np.sin(np.linspace(0.02, np.pi / 2 - 0.02, 25)) ** 2
    rays = [shape.intersection(shapely.LineString([(x, -1.0), (x, 2.9)])).bounds[1] - low for x in u]
    np.testing.assert_allclose(hollow.height_mm(u), rays, atol=3e-5 + 3e-3 * edge)
    assert hollow.depth_mm == pytest.approx(rays[12], abs=3e-6)
    assert hollow.height_mm(width / 2) == pytest.approx(hollow.depth_mm, rel=1e-12)


@settings(max_examples=40)
@given(RADII, WIDTHS, EDGES, LEANS, st.floats(0.02, 1.2))
def test_contact_width_and_pressed_section_agree_with_shapely(
    radius: float, width: float, edge: float, lean: float, part: float
) -> None:
    hollow = Hollow(radius, width, edge)
    assume(lean + hollow.edge_angle_deg < 85.0)
    shape = steel(radius, width, edge)
    groove = DullGroove(np.radians(lean), radius, width, edge)
    depth = part * flooded_at(groove)
    cut = below(shape, depth, lean)
    parts = [one.bounds for one in getattr(cut, "geoms", [cut])]
    # Where the ice line runs along the groove a hair decides how much of it is wet.
    hair = 2e-5 / float(np.sin(np.radians(max(abs(lean - hollow.edge_angle_deg), 0.5))))
    wide = sum(right - left for left, _, right, _ in parts)
    assert hollow.contact_width_mm(depth, lean) == pytest.approx(wide, abs=3e-3 * width + hair)
    assert groove.section(depth) == pytest.approx(cut.area, rel=2e-3, abs=1e-6)


@given(RADII, WIDTHS, EDGES, LEANS, st.floats(0.001, 1.1))
def test_the_bearing_width_is_what_the_section_grows_by(
    radius: float, width: float, edge: float, lean: float, part: float
) -> None:
    # Independent of any drawing: the area's derivative is the width over the cosine of the lean, and the
    # width's own derivative is what Newton's method is given.
    hollow = Hollow(radius, width, edge)
    assume(lean + hollow.edge_angle_deg < 85.0)
    groove = DullGroove(np.radians(lean), radius, width, edge)
    depth = part * flooded_at(groove)
    marks = (groove.near_touch, groove.near_wall, groove.far, groove.far_touch, groove.far_wall, groove.roof)
    step = 1e-4 * depth
    assume(min(abs(depth - float(mark)) for mark in marks) > 5 * step)
    bearing, growth = groove.widths(depth)
    areas = groove.section(depth + step), groove.section(depth - step)
    widths = groove.widths(depth + step)[0], groove.widths(depth - step)[0]
    assert (areas[0] - areas[1]) / (2 * step) == pytest.approx(bearing / groove.cos, rel=1e-4)
    assert (widths[0] - widths[1]) / (2 * step) == pytest.approx(growth, rel=1e-3, abs=1e-6)


@given(RADII, WIDTHS, EDGES, LEANS, st.floats(0.001, 1.1))
def test_the_rise_across_the_width_is_the_height_at_its_ends(
    radius: float, width: float, edge: float, lean: float, part: float
) -> None:
    hollow = Hollow(radius, width, edge)
    assume(lean + hollow.edge_angle_deg < 85.0)
    groove = DullGroove(np.radians(lean), radius, width, edge)
    depth = part * flooded_at(groove)
    a, b, c, d = (hollow.height_mm(np.clip(u, 0.0, width)) for u in groove.footprint(depth))
    found = groove.sideways(depth, groove.widths(depth)[0])
    # Where the side of the blade is vertical, a rounding of the place is much more in height.
    assert found == pytest.approx((b - a) + (d - c), abs=1e-6)


@given(RADII, WIDTHS, LEANS, st.floats(0.01, 1.2))
def test_ever_sharper_edges_come_to_the_sharp_groove(
    radius: float, width: float, lean: float, part: float
) -> None:
    sharp, nearly = Hollow(radius, width), Hollow(radius, width, 1e-9)
    assume(lean + sharp.edge_angle_deg < 85.0)
    assume(abs(lean - sharp.edge_angle_deg) > 0.1)
    full = max(sharp.depth_mm, width * np.sin(np.radians(lean)))
    assert nearly.depth_mm == pytest.approx(sharp.depth_mm, rel=1e-6)
    assert nearly.contact_width_mm(part * full, lean) == pytest.approx(
        sharp.contact_width_mm(part * full, lean), abs=1e-4 * width
    )


@given(RADII, WIDTHS, EDGES, st.floats(1.1, 3.0))
def test_a_duller_edge_leaves_a_shallower_groove(
    radius: float, width: float, edge: float, factor: float
) -> None:
    assume(edge * factor < width / 2.1)
    one, duller = Hollow(radius, width, edge), Hollow(radius, width, edge * factor)
    assert duller.depth_mm < one.depth_mm < Hollow(radius, width).depth_mm
    assert duller.edge_angle_deg < one.edge_angle_deg < Hollow(radius, width).edge_angle_deg


def test_arrays_equal_single_calls_and_sharp_ones_among_them_stay_sharp() -> None:
    edges = np.array([0.0, 0.02, 0.05])
    family = Hollow(12.7, 3.0, edges)
    assert family.shape == (3,)
    single = [Hollow(12.7, 3.0, edge) for edge in edges]
    np.testing.assert_array_equal(family.depth_mm, [one.depth_mm for one in single])
    np.testing.assert_array_equal(family.edge_angle_deg, [one.edge_angle_deg for one in single])
    widths = family.contact_width_mm(0.2, 20.0)
    np.testing.assert_allclose(widths, [one.contact_width_mm(0.2, 20.0) for one in single], rtol=1e-12)
    assert Hollow(12.7, 3.0) == Hollow(12.7, 3.0, 0.0)
    assert Hollow(12.7, 3.0) != Hollow(12.7, 3.0, 0.02)


@pytest.mark.parametrize(
    ("edge", "message"),
    [
        (1.5, r"edge_radius_mm is 1.5 mm; it must be below half the width, 1.5 mm"),
        ([0.01, 2.0], r"edge_radius_mm is 2 mm; it must be below half the width, 1.5 mm"),
        (-0.01, r"edge_radius_mm is -0.01 mm; it must be at least 0 mm"),
        (np.nan, r"edge_radius_mm is nan mm"),
        ("dull", r"edge_radius_mm is 'dull'; it must be a number"),
        (True, r"edge_radius_mm is True"),
    ],
)
def test_impossible_edges_are_refused(edge: object, message: str) -> None:
    with pytest.raises(ValueError, match=message):
        Hollow(12.7, 3.0, edge)
