"""A skater who coasts: when each mark is passed while ice and air slow the glide, in closed form."""

from __future__ import annotations

import numpy as np

from bladelab._types import Array, OneOrMany

#: The slowest speed at which a coasting skater is followed, m/s; below it ice and balance are anyone's guess.
STILL_M_S = 0.05


def speed_after(distance: OneOrMany, speed: OneOrMany, ice: OneOrMany, air: OneOrMany) -> OneOrMany:
    """Speed after a distance, m/s, for dv/dt = -(ice + air v^2); `STILL_M_S` where the skater would have
    stopped.

    Parameters
    ----------
    distance, speed : array
        m; at its start, m/s.
    ice, air : array
        m/s2 and 1/m. They may be complex, with an imaginary part so small that it carries a slope.
    """
    square = speed * speed - (ice + air * speed * speed) * _gone(distance, air)
    return np.sqrt(np.where(np.real(square) > STILL_M_S**2, square, STILL_M_S**2))


def passing_time(distance: OneOrMany, speed: OneOrMany, ice: OneOrMany, air: OneOrMany) -> OneOrMany:
    """Time in which a coasting skater covers a distance, s; arguments as in `speed_after`.

    Definition
    ----------
    v = sqrt(a/b) tan(c - sqrt(ab) t) with the ice's a and the air's b, solved for t: sqrt(ab) t = atan(v0
    sqrt(b/a)) - atan(v sqrt(b/a)), written with one arctangent, so that it holds for a = 0, b = 0 and a
    falling slope too.
    """
    later = speed_after(distance, speed, ice, air)
    drop = (ice + air * speed * speed) * _gone(distance, air) / (speed + later)
    # Where the skater would have stopped, the speed lost is all there was.
    drop = np.where(np.real(later) > STILL_M_S, drop, speed - later)
    slowing = ice + air * speed * later
    # Neither ice nor air slows: the speed stays.
    level = np.abs(slowing) < 1e-12
    short = np.where(level, distance / speed, drop / np.where(level, 1.0, slowing))
    return short * _arctangent_over(ice * air * short * short)


def _gone(distance: OneOrMany, air: OneOrMany) -> OneOrMany:
    """(1 - exp(-2 b x)) / b, also for b near 0."""
    x = 2 * air * distance
    small = np.abs(x) < 1e-5
    series = 2 * distance * (1 - x / 2 + x * x / 6)
    return np.where(small, series, (1 - np.exp(-x)) / np.where(small, 1.0, air))


def _arctangent_over(square: OneOrMany) -> OneOrMany:
    """atan(q) / q of q = sqrt(square); for a negative square atanh(q) / q."""
    small = np.abs(square) < 1e-6
    q = np.sqrt(np.where(small, 1.0, square) + 0j)
    whole = np.arctan(q) / q
    series = 1 - square / 3 + square * square / 5
    if np.iscomplexobj(square):
        return np.where(small, series, whole)
    return np.where(small, series, whole.real)


def slopes(distance: Array, speed: Array, ice: Array, air: float) -> tuple[Array, Array, Array]:
    """Return the derivatives of the passing times with speed, ice and air, exact to the last digits.

    They come from a complex step: the imaginary part of the time for a tiny imaginary part of the argument.
    """
    step = 1e-30
    return (
        passing_time(distance, speed + step * 1j, ice, air).imag / step,
        passing_time(distance, speed, ice + step * 1j, air).imag / step,
        passing_time(distance, speed, ice, air + step * 1j).imag / step,
    )
