"""The directions that practice states, over a family of blades and stances.

PRACTICE: common practice in the trade, no source, unless the check has another tag. The rows in
data/reference/published_checks.csv show each on one blade; here it must hold on all of them.
"""

import itertools
from functools import cache

import numpy as np
import pytest

from bladelab import Blade, Hollow, Ice, Moment, Rocker, Stance, inches, match_everywhere, solve_contact
from bladelab.physics.ice import GRAVITY_M_S2

LOADS = [400.0, 736.0, 1000.0]
LEANS = [10.0, 30.0, 45.0]
HOLLOWS = [inches(text) for text in ("3/8", "1/2", "5/8", "1")]
ON_ICE = list(itertools.product(LOADS, LEANS, HOLLOWS, [False, True]))
ALL_HOLLOWS = Hollow(np.array(HOLLOWS)[:, None], 2.9)
RADII = np.array([7.0, 9.0, 10.0, 11.0, 13.0]) * 304.8


def everywhere(place_mm: np.ndarray) -> Stance:
    """The stances of `ON_ICE`, all hollows in one, at each of these places."""
    return Stance(np.array(LOADS)[:, None, None, None], place_mm, np.array(LEANS)[:, None, None])


@pytest.mark.parametrize("gliding", [False, True])
def test_a_larger_shape_is_steadier_and_a_smaller_one_quicker(gliding) -> None:
    place = np.array([-5.0, 0.0, 5.0])
    found = [
        solve_contact(Blade(Rocker.single(radius, 290.0), ALL_HOLLOWS), everywhere(place), Ice(), gliding)
        for radius in RADII
    ]
    for name in ("length_mm", "yaw_hold_Nm", "carve_radius_m"):
        values = np.array([getattr(contact, name)[..., 1] for contact in found])
        assert values[0].size == len(ON_ICE) / 2 and np.all(np.diff(values, axis=0) > 0), name
    # Steadier also fore and aft: the boot tips less for the same shift of weight.
    tips = [contact.pitch_deg[..., 2] - contact.pitch_deg[..., 0] for contact in found]
    assert np.all(np.diff(tips, axis=0) < 0)


@cache
def matches(hollow: float, radius: float, keep: str) -> list[float]:
    """The hollows that keep this score on a longer radius than 9 ft, in each stance of `ON_ICE`."""
    mass, blade = 100.0, Blade(Rocker.single(9 * 304.8, 290.0), Hollow(hollow, 2.9))
    moments = [
        Moment(f"{load:g} N, {lean:g} deg", load / GRAVITY_M_S2 / mass, 0.0, lean, gliding, "a stance")
        for load, lean, gliding in itertools.product(LOADS, LEANS, [False, True])
    ]
    found = match_everywhere(blade, Rocker.single(radius, 290.0), mass, Ice(), moments)
    return [match.hollow.radius_mm for match in found if match.keep == keep]


@pytest.mark.parametrize("hollow", HOLLOWS)
@pytest.mark.parametrize("keep", ["hold", "yaw_hold"])
def test_a_longer_contact_goes_with_a_shallower_hollow_at_the_same_hold(hollow, keep) -> None:
    found = matches(hollow, 10 * 304.8, keep)
    assert len(found) == len(ON_ICE) / len(HOLLOWS) and min(found) > hollow


@pytest.mark.parametrize("hollow", HOLLOWS)
def test_the_same_bite_contradicts_it(hollow) -> None:
    # Contradicted openly: the same depth on a longer radius takes a deeper hollow.
    found = matches(hollow, 9.2 * 304.8, "bite")
    assert len(found) == len(ON_ICE) / len(HOLLOWS) and max(found) < hollow


@pytest.mark.parametrize("gliding", [False, True])
def test_weight_toward_the_toe_tips_the_boot_forward(gliding) -> None:
    blade = Blade(Rocker.single(3048.0, 290.0), ALL_HOLLOWS)
    pitch = solve_contact(blade, everywhere(np.linspace(-60, 60, 13)), Ice(), gliding).pitch_deg
    assert pitch.size == 13 * len(ON_ICE) / 2 and np.all(np.diff(pitch, axis=-1) > 0)


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
