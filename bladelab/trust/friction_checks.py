"""Values of glide friction for the published checks.

The cases are in data/reference/measured_friction.csv; what was not reported with a coefficient is assumed
there.
"""

from __future__ import annotations

import math
from functools import cache

from bladelab.physics.contact import solve_contact
from bladelab.physics.friction_gap import (
    DEFAULT,
    EXPLANATIONS,
    judge,
)
from bladelab.physics.glide import Friction, solve_friction
from bladelab.physics.ice import GRAVITY_M_S2, Ice
from bladelab.physics.stance import Stance
from bladelab.shape.blade import Blade
from bladelab.shape.hollow import Hollow
from bladelab.shape.rocker import Rocker
from bladelab.trust.measured_cases import case_of, ratio_of_hollows

_VISCOUS = next(e for e in EXPLANATIONS if e.name.startswith("viscous meltwater, 3"))
_CURVE_RADIUS_M = 26.0  # of the inner lane of a 400 m oval, from memory


def speed_skate() -> float:
    return float(case_of("speed skate").computed())


def hockey_blade() -> float:
    return float(case_of("hockey").computed())


def speed_skate_viscous() -> float:
    return float(case_of("speed skate").computed(_VISCOUS))


def hockey_blade_viscous() -> float:
    return float(case_of("hockey").computed(_VISCOUS))


def coldest_least() -> float:
    return judge(DEFAULT).least_C


def coldest_least_viscous() -> float:
    return judge(_VISCOUS).least_C


@cache
def _skating(speed_m_s: float, lean_deg: float = 0.0) -> Friction:
    skate = case_of("speed skate")
    stance = Stance(skate.mass_kg * GRAVITY_M_S2, 0.0, lean_deg)
    return solve_friction(skate.blade, stance, Ice(skate.temperature_C), speed_m_s)


def curve_over_straight() -> float:
    """Friction leaned as the curve asks over friction upright, both at the measured speed."""
    speed = case_of("speed skate").speed_m_s
    lean = math.degrees(math.atan(speed**2 / (GRAVITY_M_S2 * _CURVE_RADIUS_M)))
    return float(_skating(speed, lean).total / _skating(speed).total)


def film_thickness_um() -> float:
    return float(_skating(case_of("speed skate").speed_m_s).film_thickness_um)


def eighth_over_three_eighths() -> float:
    return ratio_of_hollows("1/8", "3/8", DEFAULT)


def three_eighths_over_seven_eighths() -> float:
    return ratio_of_hollows("3/8", "7/8", DEFAULT)


@cache
def _flat() -> tuple[float, float, float]:
    """Load, length and ploughing of a blade without a hollow."""
    blade, stance, ice = Blade(Rocker.single(3048.0, 280.0), Hollow(1e7, 3.0)), Stance(736.0), Ice(-5.0)
    found = solve_friction(blade, stance, ice, 6.0)
    return 736.0 / (ice.hardness_MPa * 3.0), found.contact.length_mm, found.plough


def flat_length() -> float:
    """Contact length of a flat gliding blade over N/(H w)."""
    return _flat()[1] / _flat()[0]


def flat_ploughing() -> float:
    """Ploughing coefficient of a flat gliding blade over l/(2 R)."""
    return _flat()[2] / (_flat()[0] / (2 * 3048.0))


def gliding_over_rest_depth() -> float:
    """Depth gliding over depth at rest, flat blade: the same length, all of it on one side."""
    blade, stance = Blade(Rocker.single(3048.0, 280.0), Hollow(1e7, 3.0)), Stance(736.0)
    rest, gliding = (solve_contact(blade, stance, Ice(), moving).depth_mm for moving in (False, True))
    return float(gliding / rest)
