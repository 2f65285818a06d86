"""Coasting: how far a skater glides while ice and air slow the blade."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from bladelab._checks import number, numbers, takes
from bladelab._types import Array, Numbers, OneOrMany
from bladelab.physics.glide import Friction, solve_friction
from bladelab.physics.ice import GRAVITY_M_S2, Ice
from bladelab.physics.stance import FASTEST_M_S, SLOWEST_M_S, Stance
from bladelab.shape.blade import Blade

STANDING_DRAG_M2, CROUCHING_DRAG_M2 = 0.65, 0.27
_AIR_DENSITY_KG_M3 = 1.29  # at 0 °C and 1 atm, from memory
_SPEEDS, _SPEED_WEIGHTS = np.polynomial.legendre.leggauss(8)


@takes(blade=Blade, stance=Stance, ice=Ice)
def glide_out(
    blade: Blade,
    stance: Stance,
    ice: Ice,
    speed_m_s: Numbers,
    until_m_s: float = 1.0,
    drag_area_m2: OneOrMany = 0.0,
) -> OneOrMany:
    """Return how far a skater glides while slowing from one speed to another, m.

    Definition
    ----------
    Integral of V dV / (mu(V) g + drag_area * rho V^2 / (2 m)) from `until_m_s` to `speed_m_s`, with m = load
    / g: all the weight on the one blade, upright on level ice.

    Parameters
    ----------
    blade, stance, ice
        As in `solve_contact`; arrays broadcast.
    speed_m_s : float or array
        Speed at the start, m/s, above `until_m_s` and at most 30.
    until_m_s : float
        Speed at the end, m/s, at least 0.2.
    drag_area_m2 : float or array
        Drag coefficient times frontal area, m2, 0 to 1: 0 is the ice alone. A standing skier of 80 kg and
        1.75 m had 0.65 +- 0.05, in a semi-squat 0.27 +- 0.03 (gliding on snow, 1988; abstract), here
        `STANDING_DRAG_M2` and `CROUCHING_DRAG_M2`; at 6 m/s that slows more than the ice.

    Returns
    -------
    float or array

    Raises
    ------
    ValueError
        If a speed or the drag area is out of range, or one stance can't be solved.

    Examples
    --------
    >>> from bladelab import Blade, Hollow, Ice, Rocker, Stance
    >>> blade = Blade(Rocker.single(3048.0, 280.0), Hollow(12.7, 3.0))
    >>> metres = glide_out(blade, Stance(736.0), Ice(-5.0), speed_m_s=4.0, drag_area_m2=0.65)
    >>> print(f"{metres:.0f} m")
    86 m
    """
    until = number("until_m_s", until_m_s, "m/s", SLOWEST_M_S, FASTEST_M_S)
    start = np.asarray(numbers("speed_m_s", speed_m_s, "m/s", until, FASTEST_M_S))
    drag_area = np.asarray(numbers("drag_area_m2", drag_area_m2, "m2", 0.0, 1.0))
    # Friction varies slowly with speed: a few Gauss points, all solved in one call.
    stance = replace(stance, speed_m_s=None)  # its own would not broadcast with those of the way
    given = (start, drag_area, *stance.given.values())
    wide = (-1,) + (1,) * max(len(ice.shape), len(blade.hollow.shape), *map(np.ndim, given))
    half = (start - until) / 2
    speed = until + half * (_SPEEDS.reshape(wide) + 1)
    per_speed = distance_per_speed(solve_friction(blade, stance, ice, speed), drag_area)
    distance = (_SPEED_WEIGHTS.reshape(wide) * half * per_speed).sum(axis=0)
    return float(distance) if np.ndim(distance) == 0 else distance


def distance_per_speed(friction: Friction, drag_area_m2: Numbers = 0.0) -> OneOrMany:
    """Return how far the skater glides for each m/s lost, s: the integrand of `glide_out`, at this speed."""
    speed, load = friction.speed_m_s, friction.contact.stance.load_N
    air = drag_area_m2 * _AIR_DENSITY_KG_M3 * speed**2 / 2 / (load / GRAVITY_M_S2)
    return speed / (friction.total * GRAVITY_M_S2 + air)


def speeds_between(start_m_s: float, until_m_s: float) -> Array:
    """Return the few speeds at which `slowing` wants the friction."""
    return until_m_s + (start_m_s - until_m_s) / 2 * (_SPEEDS + 1)


def slowing(
    friction: Friction, start_m_s: float, until_m_s: float, drag_area_m2: float = 0.0
) -> tuple[Array, Array]:
    """Return distance (m, from the start) and speed (m/s) while gliding out, as two arrays to draw.

    Parameters
    ----------
    friction : Friction
        Of one stance at the `speeds_between`.
    start_m_s, until_m_s, drag_area_m2 : float
        As in `glide_out`, which gives the same whole distance.
    """
    fit = np.polynomial.Legendre.fit(
        friction.speed_m_s,
        distance_per_speed(friction, drag_area_m2),
        len(_SPEEDS) - 1,
        domain=[until_m_s, start_m_s],
    )
    whole = fit.integ(lbnd=until_m_s)
    speed = np.linspace(start_m_s, until_m_s, 12)
    return whole(start_m_s) - whole(speed), speed
