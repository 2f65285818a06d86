"""Craters that a steel ball leaves in ice: their size, and what several of them say together."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from bladelab._checks import number, numbers
from bladelab._errors import InputError
from bladelab._types import Array, SomeNumbers
from bladelab._values import by_value

#: How far one diameter is off, as a share of it, where too few craters were measured to tell: a caliper on
#: the rim of a crater. Our own assumption.
DIAMETER_ERROR_SHARE = 0.03
#: From this many craters on, their own scatter says how far one is off.
ENOUGH_CRATERS = 5
# A crater is odd when it is this many robust standard deviations from the median (Iglewicz & Hoaglin 1993,
# from memory).
_ODD, _FEWEST_FOR_ODD = 3.5, 5


def cap_depth(diameter: SomeNumbers, ball_radius: float) -> SomeNumbers:
    """Depth of a crater, from its rim to its bottom, in the unit of its diameter."""
    half_square = diameter * diameter / 4
    # R - sqrt(R^2 - a^2) without the difference of nearly equal numbers.
    depth: SomeNumbers = half_square / (ball_radius + np.sqrt(ball_radius**2 - half_square))
    return depth


def cap_volume(diameter: SomeNumbers, ball_radius: float) -> SomeNumbers:
    """Volume of the ice pressed away: the spherical cap below the rim, in that unit cubed."""
    depth = cap_depth(diameter, ball_radius)
    return np.pi * depth * (3 * diameter * diameter / 4 + depth * depth) / 6


def checked_craters(crater_mm: ArrayLike, ball_radius_mm: float) -> Array:
    """Return the diameters as an array, if each can be of a crater of that ball.

    Raises
    ------
    ValueError
        For no crater at all, or one that is as wide as the ball or wider.
    """
    craters = np.atleast_1d(numbers("crater_mm", crater_mm, "mm", 0.0, low_open=True))
    if craters.ndim != 1 or not craters.size:
        raise InputError(
            f"crater_mm has the shape {craters.shape}; it must be one diameter or a row of at least one"
        )
    if craters.max() >= 2 * ball_radius_mm:
        raise InputError(
            f"a crater is {craters.max():g} mm across; it must be below the ball's diameter, "
            f"{2 * ball_radius_mm:g} mm: is that the ball that was used?"
        )
    number("a crater", craters.min(), "mm", 0.02 * ball_radius_mm)
    craters.setflags(write=False)
    return craters


@by_value
@dataclass(frozen=True, eq=False)
class Craters:
    """What several craters say together of the hardness; each of them says it with the same error.

    Attributes
    ----------
    each_MPa : array (n,)
        The hardness by each crater.
    common_share : float
        The error, as a share, that all of them have in common: of the height, or of the load.
    power : float
        By which power of the diameter the hardness falls: about 4 for a fall, 2 for a steady load.
    """

    each_MPa: Array
    common_share: float
    power: float

    @property
    def hardness_MPa(self) -> float:
        """The geometric mean: an error in the diameter is a share of the hardness."""
        return float(np.exp(np.mean(np.log(self.each_MPa))))

    @property
    def one_share(self) -> float:
        """How far the hardness by one crater is off, as a share (one standard deviation).

        From `ENOUGH_CRATERS` on this is their own scatter; with fewer, at least what `DIAMETER_ERROR_SHARE`
        makes of it.
        """
        known = len(self.each_MPa)
        scatter = float(np.std(np.log(self.each_MPa), ddof=1)) if known > 1 else 0.0
        return scatter if known >= ENOUGH_CRATERS else max(scatter, self.power * DIAMETER_ERROR_SHARE)

    @property
    def standard_error_MPa(self) -> float:
        """Standard error of the hardness, MPa."""
        share = np.hypot(self.one_share / np.sqrt(len(self.each_MPa)), self.common_share)
        return float(self.hardness_MPa * share)

    @property
    def interval_MPa(self) -> tuple[float, float]:
        """The hardnesses that agree with the craters, MPa (95 %)."""
        from scipy.stats import t

        known = len(self.each_MPa)
        times = float(t.ppf(0.975, known - 1)) if known >= ENOUGH_CRATERS else 1.96
        share = np.hypot(times * self.one_share / np.sqrt(known), 1.96 * self.common_share)
        return float(self.hardness_MPa * np.exp(-share)), float(self.hardness_MPa * np.exp(share))

    @property
    def odd(self) -> tuple[int, ...]:
        """Places, from 0, of craters so far from the others that they may be cracked or misread."""
        if len(self.each_MPa) < _FEWEST_FOR_ODD:
            return ()
        logs = np.log(self.each_MPa)
        away = np.abs(logs - np.median(logs))
        # 0.6745 makes the median deviation a standard deviation; half of what a caliper reads is the least.
        spread = max(np.median(away) / 0.6745, self.power * DIAMETER_ERROR_SHARE / 2)
        return tuple(int(i) for i in np.flatnonzero(away > _ODD * spread))


@by_value
@dataclass(frozen=True, eq=False)
class CraterTest:
    """What the craters of a ball say of the ice, whether it was dropped or pressed.

    Attributes
    ----------
    ball_radius_mm : float
        Radius of the ball, mm.
    crater_mm : array (n,)
        The diameters measured, mm.
    craters : Craters
        What each crater says, and all of them together.
    """

    ball_radius_mm: float
    crater_mm: Array
    craters: Craters

    @property
    def hardness_MPa(self) -> float:
        """Hardness of the ice, MPa."""
        return self.craters.hardness_MPa

    @property
    def standard_error_MPa(self) -> float:
        """Its standard error, MPa."""
        return self.craters.standard_error_MPa

    @property
    def interval_MPa(self) -> tuple[float, float]:
        """The hardnesses that agree with the craters, MPa (95 %)."""
        return self.craters.interval_MPa
