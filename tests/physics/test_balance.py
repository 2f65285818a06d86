"""Balance against closed forms of a single radius and the independent solution of the contact."""

from __future__ import annotations

import numpy as np
import pytest

from bladelab import Blade, Hollow, Ice, Rocker, Stance, Zone, boot_tip, rock_deg, solve_contact, zone_reach
from tests.reference.contact import solve
from tests.reference.rock import rock_by_shifting
from tests.reference.standing import Case

HOLLOW = Hollow(12.7, 3.0)
SINGLE = Blade(Rocker.single(3048, 280), HOLLOW)
ZONES = ((2600.0, 60.0), (3400.0, 110.0), (2900.0, 70.0), (1900.0, 50.0))
FOUR_ZONES = Blade(Rocker(tuple(Zone(*zone) for zone in ZONES), 20, 5), HOLLOW)


def test_rock_on_a_single_radius_is_its_closed_form() -> None:
    # Rolling on a circle keeps the contact's shape: sin(pitch) = x/R, so d(pitch)/dx = 1/(R cos(pitch)).
    for lean in (0.0, 30.0):
        x = np.array([-60.0, 0.0, 60.0])
        found = rock_deg(SINGLE, Stance(736, x, lean), Ice())
        expected = np.degrees(10 / 3048 / np.sqrt(1 - (x / 3048) ** 2))
        assert found == pytest.approx(expected, rel=1e-3)


@pytest.mark.slow
@pytest.mark.parametrize("gliding", [False, True])
@pytest.mark.parametrize("place", [-80.0, 0.0, 30.0, 90.0])
def test_rock_agrees_with_the_independent_solution(place: float, gliding: bool) -> None:
    pitch = [
        solve(Case(ZONES, 12.7, 3.0, 736, place + step, 0, 17.7, gliding, 20, 5)).pitch_deg
        for step in (-0.5, 0.5)
    ]
    found = rock_deg(FOUR_ZONES, Stance(736, place), Ice(), gliding)
    assert found == pytest.approx((pitch[1] - pitch[0]) * 10, rel=2e-3)


@pytest.mark.parametrize("lean", [0.0, 3.0, 25.0, 50.0])
@pytest.mark.parametrize("gliding", [False, True])
def test_rock_is_what_shifting_the_load_shows(lean: float, gliding: bool) -> None:
    for place in (-70.0, -20.0, 0.0, 33.0, 80.0):
        stance = Stance(736, place, lean)
        shifted = rock_by_shifting(FOUR_ZONES, stance, Ice(), gliding)
        assert rock_deg(FOUR_ZONES, stance, Ice(), gliding) == pytest.approx(shifted, rel=2e-3)


def test_rock_has_the_shape_of_what_is_asked() -> None:
    assert rock_deg(SINGLE, Stance([700.0, 800.0], [[0.0], [10.0], [20.0]]), Ice()).shape == (3, 2)
    assert isinstance(rock_deg(SINGLE, Stance(700.0), Ice()), float)


def test_boot_tip_of_a_moved_pivot_is_its_closed_form() -> None:
    # The same circle, level 10 mm further to the heel: at the same load the boot tips forward by asin(10/R).
    moved = Blade(Rocker.single(3048, 280, -10), HOLLOW)
    tip = boot_tip(SINGLE, moved, Stance(736, 0), Ice(), boot_length_mm=300)
    angle = np.arcsin(10 / 3048)
    assert tip.change_deg == pytest.approx(np.degrees(angle), rel=1e-4)
    assert tip.heel_lift_mm == pytest.approx(300 * np.sin(angle), rel=1e-4)
    assert "further forward" in tip.sentence and "1.0 mm under the heel" in tip.sentence
    back = boot_tip(moved, SINGLE, Stance(736, 0), Ice(), boot_length_mm=300)
    assert back.heel_lift_mm == pytest.approx(-tip.heel_lift_mm, rel=1e-9)
    assert "further back" in back.sentence and "under the toe" in back.sentence


def test_boot_tip_of_one_blade_is_none() -> None:
    tip = boot_tip(FOUR_ZONES, FOUR_ZONES, Stance(736, [0.0, 30.0]), Ice())
    assert np.all(tip.change_deg == 0.0)
    assert boot_tip(SINGLE, SINGLE, Stance(736), Ice()).sentence == "The boot sits the same on both blades."
    with pytest.raises(ValueError, match="boot_length_mm is 20 mm"):
        boot_tip(SINGLE, SINGLE, Stance(736), Ice(), boot_length_mm=20)


@pytest.mark.parametrize("gliding", [False, True])
def test_zones_end_where_the_contact_touches_their_junctions(gliding: bool) -> None:
    ice, borders = Ice(), np.array([-145.0, -85.0, 25.0, 95.0, 145.0])
    reach = zone_reach(FOUR_ZONES, Stance(736, 0), ice, gliding)
    heel = solve_contact(FOUR_ZONES, Stance(736, reach.low_mm), ice, gliding).heel_end_mm
    toe = solve_contact(FOUR_ZONES, Stance(736, reach.high_mm), ice, gliding).toe_end_mm
    assert heel == pytest.approx(borders[:-1], abs=0.01)
    assert toe == pytest.approx(borders[1:], abs=0.01)
    assert reach.zone == 1
    assert reach.shift_forward_mm[1] == reach.high_mm[1]
    assert np.isnan(reach.shift_forward_mm[[0, 2, 3]]).all()
    further = zone_reach(FOUR_ZONES, Stance(736, -20.0), ice, gliding)
    assert further.shift_forward_mm[1] == pytest.approx(reach.shift_forward_mm[1] + 20, abs=1e-9)


def test_a_contact_longer_than_a_zone_is_never_wholly_on_it() -> None:
    reach = zone_reach(FOUR_ZONES, Stance(736, 0, 45), Ice())
    assert np.isnan(reach.low_mm[[0, 2, 3]]).all()
    assert reach.zone is None
    with pytest.raises(ValueError, match="takes one stance"):
        zone_reach(FOUR_ZONES, Stance(736, [0.0, 1.0]), Ice())
