"""Contacts and frictions with dull edges: against the independent solver, worked cases, and what must hold.

The reference solver (tests/reference) has its own description of a dull edge and slices the contact
lengthwise. These are regressions against our own reference; no published edge radius is known to us.
"""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from bladelab import Blade, Hollow, Ice, Rocker, Stance, Zone, solve_contact, solve_friction
from bladelab.physics.contact import solve_contacts
from bladelab.physics.glide import solve_frictions
from tests.physics.stances import COMPARED, as_blade, as_ice, as_stance, sample
from tests.physics.test_contact import FOUR_ZONES, SITUATIONS, WEIGHT, contact, worst_difference
from tests.reference.contact import Sections, balance, solve
from tests.reference.glide import Glide
from tests.reference.glide import solve as solve_glide
from tests.reference.standing import Case

PUSH = Case(((3048.0, 280.0),), 12.7, 2.9, WEIGHT, lean=30.0, hardness=17.7)


@pytest.mark.parametrize(
    ("edge", "depth", "length", "hold", "yaw_hold"),
    [
        (0.0, 0.3959, 105.57, 5.314, 9.764),
        (0.02, 0.3866, 104.31, 2.515, 9.309),
        (0.05, 0.3729, 102.46, -1.491, 8.662),
    ],
)
def test_worked_cases_of_dull_edges(
    edge: float, depth: float, length: float, hold: float, yaw_hold: float
) -> None:
    # From a brute-force solver written before this code, on a grid across the blade. The outside of a dull
    # edge is vertical where it meets the side: a grid loses some of that, and there the hold lies 0.03 and
    # 0.05 degrees off; the lengthwise strips of tests/reference, graded toward it, agree with bladelab.
    found = contact(replace(PUSH, edge_radius=edge))
    assert found.depth_mm == pytest.approx(depth, rel=5e-4)
    assert found.length_mm == pytest.approx(length, rel=5e-4)
    assert found.yaw_hold_Nm == pytest.approx(yaw_hold, rel=5e-4)
    assert found.hold_deg == pytest.approx(hold, abs=0.06 if edge else 0.001)


DULL = {
    **{
        f"{name}, edges of {edge:g} mm": replace(SITUATIONS[name], edge_radius=edge)
        for name, edge in (
            ("upright, two edges", 0.02),
            ("upright, flooded", 0.05),
            ("upright, flat", 0.01),
            ("a little lean, two edges", 0.1),
            ("a little lean, flooded", 0.02),
            ("lean at the edge angle", 0.05),
            ("one edge", 0.02),
            ("leaned, flooded to the far edge", 0.05),
            ("gliding, two edges", 0.05),
            ("gliding, one edge", 0.002),
            ("gliding, flooded", 0.1),
            ("stepped, big jumps", 0.05),
            ("blended, gliding", 0.02),
            ("cut off by the toe", 0.1),
            ("cut off at both ends", 0.05),
        )
    }
}


@pytest.mark.parametrize("case", DULL.values(), ids=DULL.keys())
def test_each_situation_agrees_with_the_reference(case: Case) -> None:
    difference, name = worst_difference(contact(case), solve(case))
    assert difference < 1e-4, name


@pytest.mark.slow
def test_the_quadrature_error_over_the_whole_range_is_below_1e_4() -> None:
    for case in sample(15, seed=21, dull=True):
        difference, name = worst_difference(contact(case), solve(case))
        assert difference < 1e-4, (name, case)


def test_a_solver_that_cuts_sections_with_shapely_agrees() -> None:
    case = replace(PUSH, edge_radius=0.05)
    baseline = balance(case, lambda attitude, depth: Sections(attitude, depth, sections=200, facets=400))
    assert baseline.depth == pytest.approx(contact(case).depth_mm, rel=2e-3)


def test_the_balance_is_solved_to_1e_10() -> None:
    cases = sample(150, seed=102, dull=True)
    found = solve_contacts([(as_blade(c), as_stance(c), as_ice(c), c.gliding) for c in cases])
    for case, one in zip(cases, found, strict=True):
        assert abs(one.force_error) < 1e-10, case
        assert abs(one.moment_error) < 1e-10, case


def test_sharp_and_dull_blades_in_one_call_are_as_if_alone() -> None:
    cases = [
        (as_blade(c), as_stance(c), as_ice(c), c.gliding)
        for pair in zip(sample(12, seed=3), sample(12, seed=4, dull=True), strict=True)
        for c in pair
    ]
    for case, one in zip(cases, solve_contacts(cases), strict=True):
        alone = solve_contacts([case])[0]
        for name in COMPARED:
            assert getattr(one, name) == pytest.approx(getattr(alone, name), rel=1e-9, abs=1e-9), name
    glides = [(blade, stance, ice, 6.0) for blade, stance, ice, _ in cases[:8]]
    for case, one in zip(glides, solve_frictions(glides), strict=True):
        assert one.total == pytest.approx(solve_friction(*case).total, rel=1e-12)


def test_an_array_of_edges_equals_single_calls() -> None:
    edges = np.array([0.0, 1e-4, 0.02, 0.05, 0.1])
    rocker = Rocker(tuple(Zone(*zone) for zone in FOUR_ZONES), 20.0, 5.0)
    for gliding in (False, True):
        stance = Stance(WEIGHT, 10.0, 30.0)
        table = solve_contact(Blade(rocker, Hollow(12.7, 2.9, edges)), stance, Ice(), gliding)
        for i, edge in enumerate(edges):
            one = solve_contact(Blade(rocker, Hollow(12.7, 2.9, edge)), stance, Ice(), gliding)
            for name in COMPARED:
                assert getattr(table, name)[i] == pytest.approx(getattr(one, name), rel=1e-9, abs=1e-9), name


def test_dull_edges_on_pressed_ice_bear_on_the_hardness_of_their_own_length() -> None:
    edges = np.array([0.0, 0.02, 0.05])
    blade = Blade(Rocker.single(3048.0, 280.0), Hollow(12.7, 2.9, edges))
    for gliding in (False, True):
        stance = Stance(WEIGHT, 0.0, 30.0, speed_m_s=6.0, standing_s=0.3)
        found = solve_contact(blade, stance, Ice.pressed(-5.0), gliding)
        for i, edge in enumerate(edges):
            plain = Ice(-5.0)
            plain = replace(plain, hardness_factor=found.hardness_MPa[i] / plain.hardness_MPa)
            alone = Blade(blade.rocker, Hollow(12.7, 2.9, edge))
            same = solve_contact(alone, Stance(WEIGHT, 0.0, 30.0), plain, gliding)
            assert found.hold_deg[i] == pytest.approx(same.hold_deg, abs=1e-7)
            assert found.depth_mm[i] == pytest.approx(same.depth_mm, rel=1e-8)
        assert (np.diff(found.hardness_MPa) > 0).all() == gliding  # the shorter, the harder


@pytest.mark.parametrize("lean", [15.0, 30.0, 50.0])
@pytest.mark.parametrize("radius", [8.0, 12.7, 25.4])
def test_a_duller_edge_bites_and_holds_less(radius: float, lean: float) -> None:
    edges = np.array([0.0, 1e-4, 1e-3, 0.01, 0.02, 0.05, 0.1, 0.2])
    blade = Blade(Rocker.single(3048.0, 280.0), Hollow(radius, 2.9, edges))
    found = solve_contact(blade, Stance(WEIGHT, 0.0, lean), Ice())
    # The step from sharp edges to 0.1 um is within the error of the quadrature.
    for name in ("hold_deg", "depth_mm", "length_mm", "yaw_hold_Nm"):
        assert np.all(np.diff(getattr(found, name)[1:]) < 0), name
        assert getattr(found, name)[1] == pytest.approx(getattr(found, name)[0], rel=6e-3), name


def test_an_edge_that_is_not_in_to_its_side_pushes_straight_up() -> None:
    # While the ice does not reach the side of the blade, pressure on the round edge has no sideways part in
    # space: off the plane of the blade the push is the lean itself, the other way.
    blade = Blade(Rocker.single(6000.0, 280.0), Hollow(12.7, 2.9, 1.2))
    found = solve_contact(blade, Stance(200.0, 0.0, 12.0), Ice(-12.0))
    assert found.depth_mm < 1.2 * (1 - np.sin(np.radians(12.0)))
    assert found.hold_deg == pytest.approx(-12.0, abs=1e-9)


@given(st.floats(6.0, 40.0), st.floats(2.4, 4.2), st.floats(1e-3, 0.3), st.floats(0.0, 60.0), st.booleans())
def test_area_times_hardness_is_the_load(
    radius: float, width: float, edge: float, lean: float, gliding: bool
) -> None:
    blade = Blade(Rocker.single(3048.0, 280.0), Hollow(radius, width, edge))
    found = solve_contact(blade, Stance(700.0, 0.0, lean), Ice(), gliding)
    assume(found.reason == "")
    assert found.area_mm2 * Ice().hardness_MPa == pytest.approx(700.0 / np.cos(np.radians(lean)), rel=1e-9)
    # The footprint, drawn at many places, covers that area.
    x = (found.heel_end_mm + found.toe_end_mm) / 2
    x = x - found.length_mm / 2 * np.cos(np.linspace(0, np.pi, 801))
    outer, inner, far_inner, far_outer = found.footprint_mm(x)
    assert np.trapezoid(inner - outer + far_outer - far_inner, x) == pytest.approx(found.area_mm2, rel=5e-4)
    assert np.all((outer >= 0) & (outer <= inner) & (inner <= far_inner) & (far_outer <= width * (1 + 1e-12)))


@pytest.mark.slow
@pytest.mark.parametrize(
    ("radius", "edge", "load", "place", "lean", "cold", "speed"),
    [
        (12.7, 0.05, 736, 0, 0, -5, 6),
        (12.7, 0.02, 520, 20, 4, -2, 1.8),
        (30.0, 0.1, 1200, 0, 0, -1, 9),
        (12.7, 0.05, 736, 0, 30, -5, 6),
    ],
)
def test_friction_agrees_with_a_stiff_ode(
    radius: float, edge: float, load: float, place: float, lean: float, cold: float, speed: float
) -> None:
    zones = ((3048.0, 280.0),)
    case = Case(zones, radius, 3.0, load, place, lean, 14.7 - 0.6 * cold, True, edge_radius=edge)
    plough, film, thickness = solve_glide(Glide(case, speed, cold))
    found = solve_friction(as_blade(case), as_stance(case), Ice(cold), speed)
    assert found.plough == pytest.approx(plough, rel=1e-4)
    assert found.film == pytest.approx(film, rel=0.005)
    assert found.film_thickness_um == pytest.approx(thickness, rel=0.005)


def test_a_lean_at_which_only_the_side_would_bear_is_refused() -> None:
    blade = Blade(Rocker.single(3048.0, 280.0), Hollow(1.6, 2.9, 0.02))
    with pytest.raises(ValueError, match=r"lean_deg is 40 deg; .* only the side wall would bear"):
        solve_contact(blade, Stance(700.0, 0.0, 40.0), Ice())
