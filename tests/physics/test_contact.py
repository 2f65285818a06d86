"""The contact against an independent solution of the same model (tests/reference/contact.py).

That solution shares no code with bladelab, slices the contact the other way and needs no formula for its
width. Agreement means the model is solved right, not that the model is right: what is known from outside
is in tests/published. All of these are regressions against our own reference, labelled as such here.
"""

from functools import cache

import numpy as np
import pytest

from bladelab import Blade, Hollow, Ice, Rocker, Stance, Zone, solve_contact
from bladelab.physics.contact import solve_contacts
from tests.physics.stances import COMPARED, as_blade, as_ice, as_stance, sample
from tests.reference.contact import Sections, balance, shapely_widths, solve
from tests.reference.standing import Case

WEIGHT = 75 * 9.81
FOUR_ZONES = ((2600.0, 60.0), (3400.0, 110.0), (2900.0, 70.0), (1900.0, 50.0))
BIG_JUMPS = ((1220.0, 60.0), (12190.0, 80.0), (1220.0, 70.0), (12190.0, 80.0))


@cache
def contact(case: Case):
    return solve_contact(as_blade(case), as_stance(case), as_ice(case), gliding=case.gliding)


def scale(name: str, expected: object) -> float:
    """What an error is measured by: the value; for angles 5 degrees; for places the length of the contact."""
    if name.endswith("_deg"):
        return 5.0
    if name.endswith("end_mm"):
        return expected.length_mm  # type: ignore[attr-defined]
    return abs(getattr(expected, name))


def worst_difference(found: object, expected: object) -> tuple[float, str]:
    differences = []
    for name in COMPARED:
        value, target = getattr(found, name), getattr(expected, name)
        if np.isinf(target):
            assert value == target, name
        else:
            differences.append((abs(value - target) / scale(name, expected), name))
    return max(differences)


def test_worked_case_of_four_blended_zones() -> None:
    # Regression: solved by a brute-force solver before this code was written, as those in test_reference.py.
    rocker = Rocker(tuple(Zone(*zone) for zone in FOUR_ZONES), blend_mm=20.0, pivot_mm=5.0)
    found = solve_contact(Blade(rocker, Hollow(12.7, 2.9)), Stance(WEIGHT, 60.0, 30.0), Ice(-5.0))
    assert found.depth_mm == pytest.approx(0.4035, rel=2e-3)
    assert found.pitch_deg == pytest.approx(1.0354, rel=2e-3)
    assert found.heel_end_mm == pytest.approx(7.91, rel=2e-3)
    assert found.toe_end_mm == pytest.approx(110.85, rel=2e-3)


def test_worked_case_of_a_flat_speed_skate_gliding() -> None:
    # Regression, as above; the depth is known to three digits only.
    blade = Blade(Rocker.single(22000.0, 400.0), Hollow(2000.0, 1.1))
    found = solve_contact(blade, Stance(72 * 9.81), Ice(-5.0), gliding=True)
    assert found.length_mm == pytest.approx(36.30, rel=2e-3)
    assert found.depth_mm == pytest.approx(0.0300, rel=2e-3)
    assert found.gliding


SITUATIONS = {
    "upright, two edges": Case(((3048.0, 280.0),), 12.7, 3.0, WEIGHT),
    "upright, flooded": Case(((3048.0, 280.0),), 40.0, 3.0, 1500.0, hardness=14.7),
    "upright, flat": Case(((9000.0, 280.0),), 2000.0, 3.0, WEIGHT),
    "a little lean, two edges": Case(((3048.0, 280.0),), 12.7, 3.0, WEIGHT, lean=1.0),
    "a little lean, flooded": Case(((3048.0, 280.0),), 25.4, 3.0, 1500.0, lean=1.5, hardness=14.7),
    "lean at the edge angle": Case(((3048.0, 280.0),), 12.7, 3.0, WEIGHT, lean=6.78305),
    "one edge": Case(((3048.0, 280.0),), 12.7, 3.0, WEIGHT, lean=30.0),
    "leaned, flooded to the far edge": Case(((1220.0, 200.0),), 12.7, 2.4, 1900.0, 0.0, 30.0, 14.7, True),
    "gliding, two edges": Case(((3048.0, 280.0),), 9.0, 3.0, WEIGHT, gliding=True),
    "gliding, one edge": Case(((3048.0, 280.0),), 12.7, 3.0, WEIGHT, lean=45.0, gliding=True),
    "gliding, flooded": Case(((3048.0, 280.0),), 40.0, 3.0, 1500.0, gliding=True, hardness=14.7),
    "stepped, big jumps": Case(BIG_JUMPS, 12.7, 2.9, WEIGHT, position=10.0, lean=20.0),
    "stepped, gliding across a jump": Case(BIG_JUMPS, 12.7, 2.9, WEIGHT, position=-20.0, gliding=True),
    "blended, big jumps": Case(BIG_JUMPS, 12.7, 2.9, WEIGHT, position=10.0, lean=20.0, blend=60.0),
    "blended, gliding": Case(FOUR_ZONES, 12.7, 2.9, WEIGHT, 60.0, 30.0, 17.7, True, 20.0, 5.0),
    "cut off by the toe": Case(((3048.0, 280.0),), 12.7, 3.0, WEIGHT, position=125.0, lean=30.0),
    "cut off by the heel": Case(((3048.0, 280.0),), 12.7, 3.0, WEIGHT, position=-130.0),
    "cut off by the toe, gliding": Case(((3048.0, 280.0),), 12.7, 3.0, WEIGHT, 125.0, 30.0, gliding=True),
    "cut off by the heel, gliding": Case(((3048.0, 280.0),), 12.7, 3.0, WEIGHT, -133.0, gliding=True),
    "deepest at the heel, stepped": Case(BIG_JUMPS[::-1], 12.7, 2.9, WEIGHT, position=-134.0, lean=25.0),
    "cut off at both ends": Case(((12190.0, 200.0),), 12.7, 2.9, 1900.0, lean=60.0, hardness=14.7),
}


@pytest.mark.parametrize("case", SITUATIONS.values(), ids=SITUATIONS.keys())
def test_each_situation_agrees_with_the_reference(case: Case) -> None:
    difference, name = worst_difference(contact(case), solve(case))
    assert difference < 1e-4, name


def test_the_situations_are_what_they_are_called() -> None:
    found = {name: contact(case) for name, case in SITUATIONS.items()}
    for name, result in found.items():
        assert result.reaches_end == ("cut off" in name or "at the heel" in name), name
        case = SITUATIONS[name]
        _, u1, u2, _ = result.footprint_mm(result.deepest_mm)
        if "flooded" in name or "flat" in name:
            assert u1 == u2, name
        elif "one edge" in name:
            assert 0 < u1 < case.width, name
            assert u2 == case.width, name
        elif "two edges" in name:
            assert 0 < u1 < u2 < case.width, name
    assert found["deepest at the heel, stepped"].deepest_mm == -145.0
    both = found["cut off at both ends"]
    assert (both.heel_end_mm, both.toe_end_mm) == (-100.0, 100.0)


@pytest.mark.slow
def test_the_quadrature_error_over_the_whole_range_is_below_1e_4() -> None:
    # At rest and gliding, upright and leaned, one edge and two, flooded or not, stepped and blended with big
    # jumps, cut off by the runner's ends: fixed nodes in bladelab against the reference's graded ones.
    compared, cut_off, flooded = 0, 0, 0
    for case in sample(30, seed=20):
        found = contact(case)
        difference, name = worst_difference(found, solve(case))
        assert difference < 1e-4, (name, case)
        compared += 1
        cut_off += found.reaches_end
        _, u1, u2, _ = found.footprint_mm(found.deepest_mm)
        flooded += bool(u1 == u2)
    assert compared == 30
    assert cut_off >= 3
    assert flooded >= 3


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(3))
def test_the_balance_is_solved_to_1e_10(seed: int) -> None:
    cases = sample(150, seed=100 + seed)
    found = solve_contacts([(as_blade(c), as_stance(c), as_ice(c), c.gliding) for c in cases])
    for case, one in zip(cases, found, strict=True):
        assert abs(one.force_error) < 1e-10, case
        assert abs(one.moment_error) < 1e-10, case


@pytest.mark.parametrize("case", SITUATIONS.values(), ids=SITUATIONS.keys())
def test_the_footprint_carries_the_load_where_it_stands(case: Case) -> None:
    # A dense integration of the footprint that the pictures draw: on this many places, crowded where it
    # begins and ends, the trapezoids are good to 1e-6.
    found = contact(case)
    start, end = _ends(found)
    x = np.unique(
        np.append(end - (end - start) * (1 + np.cos(np.linspace(0, np.pi, 8001))) / 2, found.deepest_mm)
    )
    outer, inner, far_inner, far_outer = found.footprint_mm(x)
    width = inner - outer + far_outer - far_inner
    area, moment = np.trapezoid(width, x), np.trapezoid(width * (x - case.position), x)
    assert area * case.hardness * np.cos(np.radians(case.lean)) == pytest.approx(case.load, rel=1e-4)
    assert abs(moment) / area < 1e-4 * found.length_mm


def _ends(found: object) -> tuple[float, float]:
    return found.heel_end_mm, found.toe_end_mm  # type: ignore[attr-defined]


@pytest.mark.parametrize(
    "name", ["upright, two edges", "one edge", "a little lean, two edges", "blended, gliding"]
)
def test_the_contact_area_agrees_with_shapely(name: str) -> None:
    # shapely cuts the drawn groove at 400 places along bladelab's own ice line.
    case = SITUATIONS[name]
    found = contact(case)
    x = np.linspace(*_ends(found), 401)
    widths = shapely_widths(case, np.maximum(found.tip_depth_mm(x), 0.0), facets=1000)
    assert np.trapezoid(widths, x) == pytest.approx(found.area_mm2, rel=2e-4)


@pytest.mark.parametrize("name", ["upright, two edges", "one edge", "blended, gliding"])
def test_a_solver_that_cuts_sections_with_shapely_agrees(name: str) -> None:
    # The baseline of the benchmark solves the same problem: to 2e-4 with 200 drawn sections.
    case = SITUATIONS[name]
    baseline = balance(case, lambda attitude, depth: Sections(attitude, depth, sections=200, facets=200))
    found = contact(case)
    assert baseline.depth == pytest.approx(found.depth_mm, rel=2e-3)
    assert np.degrees(baseline.attitude.pitch) == pytest.approx(found.pitch_deg, abs=2e-3)


def test_gliding_and_rest_differ_by_a_factor_of_four_in_depth() -> None:
    # For the same length of contact on one radius, the depth is l^2/8R at rest and l^2/2R gliding.
    blade = Blade(Rocker.single(3048.0, 280.0), Hollow(2000.0, 3.0))
    rest = solve_contact(blade, Stance(WEIGHT), Ice())
    gliding = solve_contact(blade, Stance(WEIGHT), Ice(), gliding=True)
    assert gliding.depth_mm / gliding.length_mm**2 == pytest.approx(
        4 * rest.depth_mm / rest.length_mm**2, rel=1e-3
    )


@pytest.mark.parametrize("lean", [20.0, 45.0])
@pytest.mark.parametrize("gliding", [False, True])
def test_a_single_radius_carves_its_radius_over_the_sine_of_the_lean(lean: float, gliding: bool) -> None:
    blade = Blade(Rocker.single(3048.0, 280.0), Hollow(12.7, 3.0))
    found = solve_contact(blade, Stance(WEIGHT, 0.0, lean), Ice(), gliding=gliding)
    assert found.carve_radius_m == pytest.approx(3.048 / np.sin(np.radians(lean)), rel=1e-9)
    assert found.balanced_speed_m_s**2 == pytest.approx(
        9.81 * found.carve_radius_m * np.tan(np.radians(lean)), rel=1e-12
    )


def test_upright_the_trace_is_straight() -> None:
    found = solve_contact(Blade(Rocker.single(3048.0, 280.0), Hollow(12.7, 3.0)), Stance(WEIGHT), Ice())
    assert found.carve_radius_m == np.inf
    assert found.hold_deg == pytest.approx(0.0, abs=1e-9)


def test_depth_and_footprint_along_the_runner() -> None:
    case = SITUATIONS["blended, gliding"]
    found = contact(case)
    assert found.tip_depth_mm(found.deepest_mm) == pytest.approx(found.depth_mm, rel=1e-12)
    assert found.tip_depth_mm(found.toe_end_mm) == pytest.approx(0.0, abs=1e-9)
    x = np.linspace(-145, 145, 500)
    assert found.tip_depth_mm(x).max() <= found.depth_mm
    # What the runner behind the deepest point meets is already cut.
    behind = found.footprint_mm(found.heel_end_mm - 1.0)
    assert tuple(map(float, behind)) == (0.0, 0.0, case.width, case.width)
