"""Values of the contact, the turn and the balance for the published checks.

Directions are computed on one blade of our own: 10 ft (3048 mm), hollow 1/2 in (12.7 mm), 280 mm long, 2.9 mm
wide, under 75 kg on ice of -5 °C, changed in one thing at a time.
"""

from __future__ import annotations

import math
from functools import cache

from bladelab.advice.match import match_hollow
from bladelab.advice.match_search import Keep
from bladelab.physics.contact import Contact, solve_contact
from bladelab.physics.ice import GRAVITY_M_S2, Ice
from bladelab.physics.stance import Stance
from bladelab.shape.blade import Blade
from bladelab.shape.hollow import Hollow
from bladelab.shape.rocker import Rocker

LOAD_N = 75.0 * GRAVITY_M_S2
RADIUS_MM, LONGER_MM = 3048.0, 3657.6
LEAN_DEG = 30.0


def _blade(radius_mm: float = RADIUS_MM, pivot_mm: float = 0.0) -> Blade:
    return Blade(Rocker.single(radius_mm, 280.0, pivot_mm), Hollow(12.7, 2.9))


@cache
def _contact(
    radius_mm: float = RADIUS_MM, place_mm: float = 0.0, lean_deg: float = LEAN_DEG, pivot_mm: float = 0.0
) -> Contact:
    return solve_contact(_blade(radius_mm, pivot_mm), Stance(LOAD_N, place_mm, lean_deg), Ice())


def _matched(keep: Keep) -> float:
    """Radius of hollow on the longer radius over the present one, at the same `keep`."""
    stance = Stance(LOAD_N, 0.0, LEAN_DEG)
    longer = Rocker.single(LONGER_MM, 280.0)
    return float(match_hollow(_blade(), longer, stance, Ice(), keep=keep).radius_mm / 12.7)


def vertical_curvature_leaned() -> float:
    """Curvature of the leaned edge in the vertical plane, 8 depth / length^2, over that of the rocker."""
    contact = _contact()
    return float(8 * contact.depth_mm / contact.length_mm**2 * RADIUS_MM)


def ice_plane_curvature_upright() -> float:
    return float(1 / _contact(lean_deg=0.0).carve_radius_m)


def ice_plane_curvature_leaned() -> float:
    return float(1 / _contact().carve_radius_m)


def turn_balance() -> float:
    """v^2 / (g r) at the balanced speed, over tan(lean)."""
    contact = _contact()
    ratio = contact.balanced_speed_m_s**2 / (9.81 * contact.carve_radius_m)
    return float(ratio / math.tan(math.radians(LEAN_DEG)))


def usual_ice_temperature() -> float:
    return float(Ice().temperature_C)


def longer_radius_contact() -> float:
    return float(_contact(LONGER_MM).length_mm / _contact().length_mm)


def longer_radius_spin() -> float:
    return float(_contact(LONGER_MM).yaw_hold_Nm / _contact().yaw_hold_Nm)


def longer_radius_rock() -> float:
    """How much the boot tips for 10 mm of weight shift, longer radius over shorter."""
    tips = [
        _contact(radius, 10.0).pitch_deg - _contact(radius, 0.0).pitch_deg
        for radius in (RADIUS_MM, LONGER_MM)
    ]
    return float(tips[1] / tips[0])


def shorter_radius_turn() -> float:
    """Radius of the turn, shorter radius over longer."""
    return float(_contact().carve_radius_m / _contact(LONGER_MM).carve_radius_m)


def longer_radius_hollow_at_same_hold() -> float:
    return _matched("hold")


def longer_radius_hollow_at_same_yaw_hold() -> float:
    return _matched("yaw_hold")


def longer_radius_hollow_at_same_bite() -> float:
    return _matched("bite")


def weight_toward_toe() -> float:
    """Change of the pitch when the weight moves 10 mm toward the toe, degrees."""
    return float(_contact(place_mm=10.0).pitch_deg - _contact().pitch_deg)


def level_point_toward_toe() -> float:
    """Change of the pitch when the rocker's level point moves 10 mm toward the toe, degrees."""
    return float(_contact(pivot_mm=10.0).pitch_deg - _contact().pitch_deg)
