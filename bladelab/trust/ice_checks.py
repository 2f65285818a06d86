"""Values of the ice and of its friction when pressed, for the published checks."""

from __future__ import annotations

import math
from functools import cache

import numpy as np

from bladelab.physics.friction_gap import PRESSED, judge
from bladelab.physics.glide import solve_friction
from bladelab.physics.glide_out import CROUCHING_DRAG_M2, STANDING_DRAG_M2
from bladelab.physics.ice import GRAVITY_M_S2, VISCOUS_FILM_FACTOR, Ice
from bladelab.physics.possible_ices import OWN_AGE_FACTOR, friction_span
from bladelab.physics.stance import BRIEFEST_S, LONGEST_S, Stance
from bladelab.shape.blade import Blade
from bladelab.shape.hollow import Hollow
from bladelab.shape.rocker import Rocker
from bladelab.trust.measured_cases import case_of, ratio_of_hollows


def pressed_exponent() -> float:
    """How the hardness of pressed ice goes with the pace of pressing: a slope in logarithms."""
    ice = Ice.pressed(-11.0)
    return float(math.log10(ice.pressed_hardness_MPa(0.1) / ice.pressed_hardness_MPa(1.0)))


def bend_with_temperature() -> float:
    """Second difference of the hardness from -10 over -5 to 0 °C over its whole rise."""
    cold, middle, warm = (Ice(at).drop_hardness_MPa for at in (-10.0, -5.0, 0.0))
    return float((cold - 2 * middle + warm) / (cold - warm))


def briefest_press_s() -> float:
    return BRIEFEST_S


def longest_press_s() -> float:
    return LONGEST_S


def drop_time_s() -> float:
    return float(Ice.pressed().drop_time_s)


def percent_per_kelvin() -> float:
    """Rise of the hardness per degree of cold at -5 °C, per cent."""
    return float(100 * (Ice(-5.5).hardness_MPa - Ice(-4.5).hardness_MPa) / Ice(-5.0).hardness_MPa)


def hardness_near_melting() -> float:
    return float(Ice(-0.5).hardness_MPa)


def hardness_cold_over_warm() -> float:
    return float(Ice(-14.5).hardness_MPa / Ice(-0.5).hardness_MPa)


@cache
def _skating(ice: Ice, speed_m_s: float, lean_deg: float = 0.0) -> float:
    skate = case_of("speed skate")
    stance = Stance(skate.mass_kg * GRAVITY_M_S2, 0.0, lean_deg)
    return float(solve_friction(skate.blade, stance, ice, speed_m_s).total)


def pressure_under_a_skate() -> float:
    """Mean pressure under the speed skate on pressed ice, MPa."""
    skate = case_of("speed skate")
    stance = Stance(skate.mass_kg * GRAVITY_M_S2)
    found = solve_friction(skate.blade, stance, Ice.pressed(skate.temperature_C), skate.speed_m_s)
    return float(found.contact.hardness_MPa)


def speed_skate_pressed() -> float:
    return float(case_of("speed skate").computed(PRESSED))


def hockey_blade_pressed() -> float:
    return float(case_of("hockey").computed(PRESSED))


def _at_own_ages(start: str) -> float:
    case = case_of(start)
    ice = Ice(case.temperature_C, OWN_AGE_FACTOR, 1.0, PRESSED.rate_exponent, PRESSED.ball_radius_mm)
    stance = Stance(case.mass_kg * GRAVITY_M_S2, 0.0, case.lean_deg)
    return float(solve_friction(case.blade, stance, ice, case.speed_m_s).total)


def speed_skate_own_ages() -> float:
    return _at_own_ages("speed skate")


def hockey_blade_own_ages() -> float:
    return _at_own_ages("hockey")


def coldest_least_pressed() -> float:
    return judge(PRESSED).least_C


def curve_over_straight_pressed() -> float:
    """Friction leaned as a curve of 26 m asks over friction upright, at the measured speed."""
    skate = case_of("speed skate")
    lean = math.degrees(math.atan(skate.speed_m_s**2 / (GRAVITY_M_S2 * 26.0)))
    ice = Ice.pressed(skate.temperature_C)
    return _skating(ice, skate.speed_m_s, lean) / _skating(ice, skate.speed_m_s)


def eighth_over_three_eighths_pressed() -> float:
    return ratio_of_hollows("1/8", "3/8", PRESSED)


def three_eighths_over_seven_eighths_pressed() -> float:
    return ratio_of_hollows("3/8", "7/8", PRESSED)


def three_eighths_over_seven_eighths_skating() -> float:
    """On pressed ice at 6 m/s under 75 kg, hollow 3/8 over 7/8 in."""
    rocker, stance = Rocker.single(3048.0, 280.0), Stance(75 * GRAVITY_M_S2)
    small, large = (
        solve_friction(Blade(rocker, Hollow(r, 2.9)), stance, Ice.pressed(), 6.0).total
        for r in (9.525, 22.225)
    )
    return float(small / large)


def two_over_ten_m_s() -> float:
    """Friction of the speed skate at 2 m/s over that at 10 m/s, drop test."""
    ice = Ice(case_of("speed skate").temperature_C)
    return _skating(ice, 2.0) / _skating(ice, 10.0)


def two_over_ten_m_s_pressed() -> float:
    ice = Ice.pressed(case_of("speed skate").temperature_C)
    return _skating(ice, 2.0) / _skating(ice, 10.0)


@cache
def _hockey_over_ices() -> tuple[float, float]:
    blade = Blade(Rocker.single(3048.0, 280.0), Hollow(12.7, 2.9))
    span = friction_span(blade, Stance(75 * GRAVITY_M_S2), -1.0, 6.0)
    return span.low, span.high


def hockey_least_at_one_below() -> float:
    """Friction of a hockey blade of 75 kg at 6 m/s on ice of -1 °C, least over the ices held possible."""
    return _hockey_over_ices()[0]


def hockey_most_at_one_below() -> float:
    return _hockey_over_ices()[1]


def viscous_film_factor() -> float:
    return VISCOUS_FILM_FACTOR


def film_viscosity_mPa_s() -> float:
    return float(Ice(-10.0).film_viscosity_Pa_s * 1000)


def standing_drag_m2() -> float:
    return STANDING_DRAG_M2


def crouching_drag_m2() -> float:
    return CROUCHING_DRAG_M2


def pressed_two_seconds() -> float:
    """Hardness after two seconds over that under a dropped ball, at -6 °C."""
    ice = Ice.pressed(-6.0)
    return float(ice.pressed_hardness_MPa(np.float64(2.0)) / ice.drop_hardness_MPa)
