"""The solver against closed forms and worked cases, and the worked cases against the solver of the tests.

The worked cases are a regression: they come from a brute-force solver that was there before this one.
"""

import numpy as np
import pytest

from bladelab import Blade, Hollow, Ice, Rocker, Stance, solve_contact, solve_friction
from bladelab.physics.reference import FlatContact, LeanedEdge
from bladelab.physics.worked_cases import WORKED_CASES, WorkedCase
from tests.reference.contact import solve
from tests.reference.standing import Case

WIDTH, NO_GROOVE = 3.0, 1e8


@pytest.mark.parametrize("gliding", [False, True])
@pytest.mark.parametrize("radius", [1500.0, 3048.0, 9000.0])
def test_an_upright_blade_without_a_groove_is_solved_as_by_hand(radius: float, gliding: bool) -> None:
    load, ice = np.array([200.0, 736.0, 1500.0]), Ice(-5.0)
    blade = Blade(Rocker.single(radius, 280.0), Hollow(NO_GROOVE, WIDTH))
    found = solve_contact(blade, Stance(load), ice, gliding)
    by_hand = FlatContact(load, ice.hardness_MPa, WIDTH, radius, gliding)
    np.testing.assert_allclose(found.length_mm, by_hand.length_mm, rtol=5e-4)
    np.testing.assert_allclose(found.depth_mm, by_hand.depth_mm, rtol=1e-3)
    np.testing.assert_allclose(found.pitch_deg, by_hand.pitch_deg, rtol=1e-3, atol=1e-6)


def test_an_upright_blade_without_a_groove_ploughs_as_by_hand() -> None:
    blade = Blade(Rocker.single(3048.0, 280.0), Hollow(NO_GROOVE, WIDTH))
    found = solve_friction(blade, Stance(736.0), Ice(-5.0), 6.0)
    by_hand = FlatContact(736.0, Ice(-5.0).hardness_MPa, WIDTH, 3048.0, gliding=True)
    assert found.plough == pytest.approx(by_hand.plough_coefficient, rel=1e-3)


@pytest.mark.parametrize("gliding", [False, True])
@pytest.mark.parametrize("radius", [3048.0, 9000.0])
def test_a_leaned_blade_without_a_groove_is_solved_as_by_hand(radius: float, gliding: bool) -> None:
    load, lean = np.array([[200.0], [736.0]]), np.array([20.0, 30.0, 45.0])
    blade = Blade(Rocker.single(radius, 400.0), Hollow(NO_GROOVE, WIDTH))
    found = solve_contact(blade, Stance(load, 0.0, lean), Ice(-5.0), gliding)
    by_hand = LeanedEdge(load, Ice(-5.0).hardness_MPa, radius, lean, gliding)
    assert np.all(by_hand.depth_mm < WIDTH * np.sin(np.radians(lean)))  # where the closed form holds
    np.testing.assert_allclose(found.depth_mm, by_hand.depth_mm, rtol=2e-3)
    np.testing.assert_allclose(found.length_mm, by_hand.length_mm, rtol=2e-3)


@pytest.mark.parametrize("case", WORKED_CASES, ids=lambda case: f"lean {case.stance.lean_deg:g}")
def test_both_solvers_agree_with_the_worked_cases(case: WorkedCase) -> None:
    found = solve_contact(case.blade, case.stance, case.ice, case.gliding)
    assert found.depth_mm == pytest.approx(case.depth_mm, rel=case.tolerance)
    assert found.length_mm == pytest.approx(case.length_mm, rel=case.tolerance)
    (zone,) = case.blade.rocker.zones
    hollow, stance = case.blade.hollow, case.stance
    other = Case(
        ((zone.radius_mm, zone.length_mm),),
        hollow.radius_mm,
        hollow.width_mm,
        stance.load_N,
        stance.position_mm,
        stance.lean_deg,
        case.ice.hardness_MPa,
        case.gliding,
    )
    assert solve(other).depth_mm == pytest.approx(case.depth_mm, rel=case.tolerance)


@pytest.mark.parametrize("wrong", [0.0, -1.0, np.nan])
def test_a_number_that_makes_no_contact_is_refused(wrong: float) -> None:
    with pytest.raises(ValueError, match=r"load_N is .* N; it must be above 0 N"):
        FlatContact(wrong, 17.7, 3.0, 3048.0)
    with pytest.raises(ValueError, match=r"lean_deg is .* deg; it must be above 0 deg and below 90 deg"):
        LeanedEdge(736.0, 17.7, 3048.0, wrong)
