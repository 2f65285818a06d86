"""The groove and how wide it meets the ice: against shapely, numerical areas, and its own definition."""

import numpy as np
import pytest
import shapely
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.optimize import brentq

from bladelab import Hollow
from tests.reference.contact import shapely_widths
from tests.reference.standing import Case

RADII = st.floats(4.5, 3000.0)
WIDTHS = st.floats(1.0, 4.4)


@given(RADII, WIDTHS)
def test_the_groove_is_a_circle_through_both_edges(radius: float, width: float) -> None:
    assume(radius > 0.51 * width)
    hollow = Hollow(radius, width)
    u = np.linspace(0, width, 21)
    height = hollow.height_mm(u)
    assert height[0] == height[-1] == 0.0
    assert height.max() == pytest.approx(hollow.depth_mm, rel=1e-12)
    # Every point of the groove is one radius away from the centre, which lies below the middle of the edges.
    distance = np.hypot(u - width / 2, height + hollow.centre_drop_mm)
    np.testing.assert_allclose(distance, radius, rtol=1e-13)


@given(RADII, WIDTHS)
def test_the_edge_angle_is_the_slope_of_the_groove_at_the_edge(radius: float, width: float) -> None:
    hollow = Hollow(radius, width)
    step = 1e-6 * width
    slope = (4 * hollow.height_mm(step) - hollow.height_mm(2 * step)) / (2 * step)
    assert np.tan(np.radians(hollow.edge_angle_deg)) == pytest.approx(slope, rel=1e-6)


@given(RADII, WIDTHS)
def test_depth_radius_and_width_there_and_back(radius: float, width: float) -> None:
    # Inverse pair: from depth and width back to the radius, r = (h^2 + w^2/4) / 2h.
    depth = Hollow(radius, width).depth_mm
    assert (depth**2 + width**2 / 4) / (2 * depth) == pytest.approx(radius, rel=1e-12)


@pytest.mark.parametrize("radius", [6.35, 12.7, 25.4, 100.0])
def test_the_area_of_the_groove_agrees_with_shapely(radius: float) -> None:
    width = 3.0
    hollow = Hollow(radius, width)
    # A disc around the groove's centre, less what lies below the edges.
    disc = shapely.Point(width / 2, -hollow.centre_drop_mm).buffer(radius, quad_segs=40_000)
    area = disc.intersection(shapely.box(0.0, 0.0, width, 10.0)).area
    assert quad(hollow.height_mm, 0, width)[0] == pytest.approx(area, rel=3e-5)


@given(st.floats(4.5, 200.0), WIDTHS, st.floats(0.0, 75.0), st.floats(-0.05, 1.2))
def test_the_contact_width_agrees_with_shapely(radius: float, width: float, lean: float, part: float) -> None:
    hollow = Hollow(radius, width)
    assume(lean + hollow.edge_angle_deg < 89.0)
    case = Case(((3000.0, 280.0),), radius, width, load=700.0, lean=lean)
    full = float(case.leaned(np.linspace(0, width, 400)).max())
    depth = part * full
    expected = shapely_widths(case, np.array([depth]), facets=4000)[0] if depth > 0 else 0.0
    assert hollow.contact_width_mm(depth, lean) == pytest.approx(expected, abs=2e-3 * width)


@pytest.mark.parametrize(
    ("radius", "lean"), [(12.7, 0.0), (12.7, 3.0), (12.7, 30.0), (5.0, 10.0), (2000.0, 50.0)]
)
def test_the_contact_width_is_where_the_groove_crosses_the_ice(radius: float, lean: float) -> None:
    # Exact, not drawn: the crossings found by brentq on the definition.
    width = 3.0
    case = Case(((3000.0, 280.0),), radius, width, load=700.0, lean=lean)
    top = min(width / 2 + radius * np.sin(np.radians(lean)), width)
    for depth in np.array([0.02, 0.3, 0.7, 0.98]) * case.leaned(top):
        active = brentq(lambda u, z=depth: case.leaned(u) - z, 0, top, xtol=1e-15)
        rest = case.leaned(width)
        far = brentq(lambda u, z=depth: case.leaned(u) - z, top, width, xtol=1e-15) if depth > rest else width
        found = Hollow(radius, width).contact_width_mm(depth, lean)
        assert found == pytest.approx(active + width - far, rel=1e-11)


@given(st.floats(4.5, 200.0), WIDTHS, st.just(0.0) | st.floats(0.0, 60.0))
def test_an_edge_that_only_touches_bears_nothing_at_all(radius: float, width: float, lean: float) -> None:
    # Exactly: not a sliver of rounding.
    hollow = Hollow(radius, width)
    assume(lean + hollow.edge_angle_deg < 89.0)
    assert hollow.contact_width_mm(0.0, lean) == 0.0


def test_above_the_ice_nothing_bears_and_flooded_all_of_it() -> None:
    hollow = Hollow(12.7, 3.0)
    for lean in (0.0, 5.0, 30.0):
        assert hollow.contact_width_mm(0.0, lean) == 0.0
        assert hollow.contact_width_mm(-1.0, lean) == 0.0
        assert hollow.contact_width_mm(5.0, lean) == 3.0
    assert hollow.contact_width_mm(hollow.depth_mm * (1 + 1e-9)) == 3.0
    assert hollow.contact_width_mm(hollow.depth_mm * (1 - 1e-9)) < 3.0


@given(st.floats(4.5, 200.0), WIDTHS, st.floats(0.0, 60.0))
def test_deeper_never_bears_less(radius: float, width: float, lean: float) -> None:
    hollow = Hollow(radius, width)
    assume(lean + hollow.edge_angle_deg < 89.0)
    widths = hollow.contact_width_mm(np.linspace(-0.01, 1.1 * width, 300), lean)
    assert np.all(np.diff(widths) >= -1e-12)
    assert widths[0] == 0.0
    assert widths.max() <= width


def test_arrays_equal_single_calls() -> None:
    hollow = Hollow(12.7, 3.0)
    depth = np.linspace(-0.02, 0.12, 15)[:, None]
    lean = np.array([0.0, 2.0, 20.0, 45.0])
    table = hollow.contact_width_mm(depth, lean)
    assert table.shape == (15, 4)
    single = [[hollow.contact_width_mm(float(d), float(phi)) for phi in lean] for d in depth[:, 0]]
    np.testing.assert_array_equal(table, single)

    family = Hollow(np.array([6.35, 12.7, 25.4]), 3.0)
    np.testing.assert_array_equal(family.depth_mm, [Hollow(r, 3.0).depth_mm for r in (6.35, 12.7, 25.4)])
    np.testing.assert_array_equal(
        family.edge_angle_deg, [Hollow(r, 3.0).edge_angle_deg for r in (6.35, 12.7, 25.4)]
    )


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        ((0.0, 3.0), r"radius_mm is 0 mm; it must be above 0 mm"),
        ((-12.7, 3.0), r"radius_mm is -12.7 mm; it must be above 0 mm"),
        ((np.nan, 3.0), r"radius_mm is nan mm"),
        ((np.inf, 3.0), r"radius_mm is inf mm"),
        ((12.7, 0.0), r"width_mm is 0 mm; it must be at least 0.01 mm"),
        ((12.7, -3.0), r"width_mm is -3 mm"),
        ((12.7, np.nan), r"width_mm is nan mm"),
        ((1.5, 3.0), r"radius_mm is 1.5 mm; it must be above half the width, 1.5 mm"),
        (([12.7, 1.0], 3.0), r"radius_mm is 1 mm; it must be above half the width, 1.5 mm"),
        (("wide", 3.0), r"radius_mm is 'wide'; it must be a number"),
        (([10.0, 12.0], [3.0, 3.0, 3.0]), r"broadcast"),
    ],
)
def test_an_impossible_hollow_is_refused(arguments: tuple, message: str) -> None:
    with pytest.raises(ValueError, match=message):
        Hollow(*arguments)


def test_the_refusal_names_the_hollow_that_is_wrong() -> None:
    # The second pair is the impossible one, although the first has the smaller radius.
    with pytest.raises(ValueError, match=r"is 2 mm; it must be above half the width, 2.05 mm"):
        Hollow([1.6, 2.0], [3.0, 4.1])
    # Of two impossible ones, the first, with its own width.
    with pytest.raises(ValueError, match=r"is 1.4 mm; it must be above half the width, 1.5 mm"):
        Hollow([1.4, 2.0], [3.0, 4.1])


def test_places_and_depths_out_of_range_are_refused() -> None:
    hollow = Hollow(12.7, 3.0)
    with pytest.raises(ValueError, match=r"u_mm is 3.1 mm; it must be at least 0 mm and at most 3 mm"):
        hollow.height_mm(3.1)
    with pytest.raises(ValueError, match=r"tip_depth_mm is nan"):
        hollow.contact_width_mm(np.nan)
    with pytest.raises(ValueError, match=r"lean_deg is 84 deg; it must be .* below 83.2"):
        hollow.contact_width_mm(0.1, 84.0)
    with pytest.raises(ValueError, match=r"lean_deg is -1 deg; it must be at least 0 deg"):
        hollow.contact_width_mm(0.1, -1.0)
