"""The directions that practice states, over a family of blades and stances.

PRACTICE: common practice in the trade, no source, unless the check has another tag. The rows in
data/reference/published_checks.csv show each on one blade; here it must hold on all of them.
"""

import itertools

import numpy as np
import pytest

from bladelab import Blade, Hollow, Ice, Rocker, Stance, inches, match_hollow, solve_contact

LOADS = [400.0, 736.0, 1000.0]
LEANS = [10.0, 30.0, 45.0]
HOLLOWS = [inches(text) for text in ("3/8", "1/2", "5/8", "1")]
ON_ICE = list(itertools.product(LOADS, LEANS, HOLLOWS, [False, True]))
RADII = np.array([7.0, 9.0, 10.0, 11.0, 13.0]) * 304.8


@pytest.mark.parametrize(("load", "lean", "hollow", "gliding"), ON_ICE)
def test_a_larger_shape_is_steadier_and_a_smaller_one_quicker(load, lean, hollow, gliding) -> None:
    stance, ice = Stance(load, np.array([-5.0, 0.0, 5.0]), lean), Ice()
    found = [
        solve_contact(Blade(Rocker.single(radius, 290.0), Hollow(hollow, 2.9)), stance, ice, gliding)
        for radius in RADII
    ]
    for name in ("length_mm", "yaw_hold_Nm", "carve_radius_m"):
        assert np.all(np.diff([getattr(contact, name)[1] for contact in found]) > 0), name
    # Steadier also fore and aft: the boot tips less for the same shift of weight.
    assert np.all(np.diff([contact.pitch_deg[2] - contact.pitch_deg[0] for contact in found]) < 0)


@pytest.mark.parametrize(("load", "lean", "hollow", "gliding"), ON_ICE)
def test_a_longer_contact_goes_with_a_shallower_hollow_at_the_same_hold(load, lean, hollow, gliding) -> None:
    blade = Blade(Rocker.single(9 * 304.8, 290.0), Hollow(hollow, 2.9))
    longer = Rocker.single(10 * 304.8, 290.0)
    stance = Stance(load, 0.0, lean)
    for keep in ("hold", "yaw_hold"):
        found = match_hollow(blade, longer, stance, Ice(), keep=keep, gliding=gliding)
        assert found.radius_mm > hollow


@pytest.mark.parametrize(("load", "lean", "hollow", "gliding"), ON_ICE)
def test_the_same_bite_contradicts_it(load, lean, hollow, gliding) -> None:
    # Contradicted openly: the same depth on a longer radius takes a deeper hollow.
    blade = Blade(Rocker.single(9 * 304.8, 290.0), Hollow(hollow, 2.9))
    stance = Stance(load, 0.0, lean)
    found = match_hollow(blade, Rocker.single(9.2 * 304.8, 290.0), stance, Ice(), "bite", gliding)
    assert found.radius_mm < hollow


@pytest.mark.parametrize(("load", "lean", "hollow", "gliding"), ON_ICE)
def test_weight_toward_the_toe_tips_the_boot_forward(load, lean, hollow, gliding) -> None:
    blade = Blade(Rocker.single(3048.0, 290.0), Hollow(hollow, 2.9))
    pitch = solve_contact(blade, Stance(load, np.linspace(-60, 60, 13), lean), Ice(), gliding).pitch_deg
    assert np.all(np.diff(pitch) > 0)


@pytest.mark.parametrize("pivot", [5.0, 10.0, 20.0])
def test_the_level_point_toward_the_toe_tips_it_back(pivot: float) -> None:
    # Contradicted openly, if "balance" is read as the place where the rocker is level.
    before, after = (
        solve_contact(Blade(Rocker.single(3048.0, 290.0, place), Hollow(12.7, 2.9)), Stance(736.0), Ice())
        for place in (0.0, pivot)
    )
    assert after.pitch_deg < before.pitch_deg


@pytest.mark.parametrize("radius", [2133.6, 3048.0, 3962.4])
@pytest.mark.parametrize("lean", [5.0, 20.0, 40.0])
def test_leaning_moves_the_curvature_from_the_vertical_into_the_ice(radius: float, lean: float) -> None:
    # READ, Grzemba & Pohrt 2024, Lubricants 12, 203, s. 3.1: leaning lowers the curvature in the vertical
    # plane and adds one in the ice plane. DERIVED: by cos(lean) and sin(lean), up to the tilt squared.
    found = solve_contact(
        Blade(Rocker.single(radius, 290.0), Hollow(12.7, 2.9)), Stance(736.0, 0.0, lean), Ice()
    )
    vertical = 8 * found.depth_mm / found.length_mm**2 * radius
    in_ice = radius / 1000 / found.carve_radius_m
    assert vertical == pytest.approx(np.cos(np.radians(lean)), rel=1e-3)
    assert in_ice == pytest.approx(np.sin(np.radians(lean)), rel=1e-9)
    assert vertical**2 + in_ice**2 == pytest.approx(1.0, rel=2e-3)


def test_the_turn_is_not_that_of_a_ski() -> None:
    # DERIVED: the ski law R cos(lean), for a side-cut bent flat onto the snow, must fail.
    found = solve_contact(
        Blade(Rocker.single(3048.0, 290.0), Hollow(12.7, 2.9)), Stance(736.0, 0.0, 30.0), Ice()
    )
    assert abs(found.carve_radius_m / (3.048 * np.cos(np.radians(30))) - 1) > 1
