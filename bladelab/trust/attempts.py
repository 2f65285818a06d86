"""Attempts to break pressed ice: what was varied, what came out, and whether it survives."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from bladelab._types import Array
from bladelab.physics.friction_gap import (
    DEFAULT,
    LEAST_FRICTION_C,
    LEAST_FRICTION_SPAN_C,
    PRESSED,
    Explanation,
    judge,
    read_measured,
)
from bladelab.physics.glide import solve_friction
from bladelab.physics.ice import GRAVITY_M_S2, Ice
from bladelab.physics.possible_ices import OWN_AGE_FACTOR
from bladelab.physics.stance import Stance
from bladelab.shape.blade import Blade
from bladelab.shape.hollow import Hollow
from bladelab.trust import friction_checks, ice_checks
from bladelab.trust.measured_cases import case_of, ratio_of_hollows


@dataclass(frozen=True)
class Attempt:
    """One attempt.

    Attributes
    ----------
    varied : str
        What was changed, over which range.
    published : str
        What is known from outside.
    drop_test, pressed : str
        What comes out on either ice, in words.
    holds : bool or None
        Whether pressed ice survives it; None where sources contradict each other or nothing is published.
    """

    varied: str
    published: str
    drop_test: str
    pressed: str
    holds: bool | None


def attempts() -> tuple[Attempt, ...]:
    """Compute every attempt."""
    return (
        _both("nothing: exponent 0.15, ball of 12.7 mm", PRESSED),
        _both("ball of 25 mm", replace(PRESSED, ball_radius_mm=25.0)),
        _both("ball of 6 mm", replace(PRESSED, ball_radius_mm=6.0)),
        _both("exponent 0.1", replace(PRESSED, rate_exponent=0.1)),
        _both("exponent 0.2", replace(PRESSED, rate_exponent=0.2)),
        _both("exponent 1/3, that of creep", replace(PRESSED, rate_exponent=1 / 3)),
        _both("each patch of ice at its own age", replace(PRESSED, hardness_factor=OWN_AGE_FACTOR)),
        _hollow("hollow from 1/8 to 3/8 in, sled at 1.8 m/s", "1/8", "3/8"),
        _hollow("hollow from 3/8 to 7/8 in, sled at 1.8 m/s", "3/8", "7/8"),
        _hollow("the same, sled's ice at −3 °C", "3/8", "7/8", warmer_C=2.0),
        _skating(),
        _speed(),
        _cold(),
        _curve(),
        _slope(),
        _load(),
    )


def _mu(value: float) -> str:
    return f"{value:.4f}"


def _percent(value: float) -> str:
    return f"{value:+.1f} %".replace("-", "−")


def _celsius(value: float) -> str:
    return f"{value:.1f} °C".replace("-", "−")


def _both(varied: str, why: Explanation) -> Attempt:
    measured = read_measured()
    plain, found = ([float(m.computed(w)) for m in measured] for w in (DEFAULT, why))
    reach = [m.half_range or 0.0005 for m in measured]
    holds = all(abs(mu - m.mu) <= r for mu, m, r in zip(found, measured, reach, strict=True))
    published = " and ".join(f"{m.mu:.4f} ± {r:.4f}" for m, r in zip(measured, reach, strict=True))
    return Attempt(varied, published, " and ".join(map(_mu, plain)), " and ".join(map(_mu, found)), holds)


def _hollow(varied: str, one: str, other: str, warmer_C: float = 0.0) -> Attempt:
    plain, found = (
        replace(why, hockey_colder_C=-warmer_C if warmer_C else 0.0) for why in (DEFAULT, PRESSED)
    )
    falls, pressed = (100 / ratio_of_hollows(one, other, why) - 100 for why in (plain, found))
    if not warmer_C:
        return Attempt(varied, "friction falls", _percent(falls), _percent(pressed), pressed < 0)
    # Warm enough for the direction, the coefficient must still be what was measured.
    hockey = case_of("hockey")
    mu = float(hockey.computed(found))
    holds = pressed < 0 and abs(mu - hockey.mu) <= (hockey.half_range or 0.0)
    said = f"{_percent(pressed)}, but the coefficient {mu:.4f}"
    return Attempt(varied, f"friction falls, and {hockey.mu:.4f}", _percent(falls), said, holds)


def _skating() -> Attempt:
    hockey = case_of("hockey")
    blade = Blade(hockey.blade.rocker, Hollow(np.array([3.175, 9.525, 22.225]), hockey.blade.hollow.width_mm))
    plain, found = _on_both(blade, Stance(75 * GRAVITY_M_S2))
    holds = bool(np.all(np.diff(found) < 0))
    varied = "hollow of 1/8, 3/8, 7/8 in at 6 m/s and 75 kg"
    return Attempt(varied, "friction falls", _listed(plain), _listed(found), holds)


def _speed() -> Attempt:
    plain, found = ice_checks.two_over_ten_m_s(), ice_checks.two_over_ten_m_s_pressed()
    reach = np.sqrt(2) * 0.0009 / 0.0042
    return Attempt(
        "speed skate at 2 m/s over 10 m/s",
        f"1 ± {reach:.1f} (bobsleigh)",
        f"{plain:.2f}",
        f"{found:.2f}",
        bool(abs(found - 1) <= reach),
    )


def _cold() -> Attempt:
    plain, found = (judge(why).least_C for why in (DEFAULT, PRESSED))
    near_koning = abs(found - LEAST_FRICTION_C) <= LEAST_FRICTION_SPAN_C
    return Attempt(
        "temperature of least friction, speed skate",
        "near −7 °C (de Koning); near −1 °C and somewhat colder (Kuroiwa)",
        _celsius(plain),
        _celsius(found) + ("" if near_koning else ", between the two"),
        None,
    )


def _curve() -> Attempt:
    plain, found = friction_checks.curve_over_straight(), ice_checks.curve_over_straight_pressed()
    holds = abs(found - 1.28) < 0.2
    return Attempt("speed skate, curve over straight", "1.28", f"{plain:.2f}", f"{found:.2f}", holds)


def _slope() -> Attempt:
    found = ice_checks.percent_per_kelvin()
    said = f"{found:.1f} %"
    return Attempt(
        "hardness per kelvin at −5 °C", "3.0 % (creep) to 3.8 % (impact)", said, said, 3.0 <= found <= 3.8
    )


def _load() -> Attempt:
    hockey = case_of("hockey")
    plain, found = _on_both(hockey.blade, Stance(np.array([53.0, 75.0, 106.0]) * GRAVITY_M_S2))
    varied = "53, 75, 106 kg on a hockey blade at 6 m/s"
    return Attempt(varied, "nothing", _listed(plain), _listed(found), None)


def _on_both(blade: Blade, stance: Stance) -> tuple[Array, Array]:
    """Friction at 6 m/s on the drop test's ice of -5 °C and on pressed ice."""
    plain, found = (
        np.asarray(solve_friction(blade, stance, ice, 6.0).total) for ice in (Ice(-5.0), Ice.pressed(-5.0))
    )
    return plain, found


def _listed(values: Array) -> str:
    return ", ".join(map(_mu, values))
