"""How does this ice soften? The same ball pressed into it by a known load for some seconds."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from bladelab._checks import kind, number
from bladelab._errors import InputError
from bladelab._values import by_value
from bladelab.rink.craters import Craters, CraterTest, cap_depth, checked_craters
from bladelab.rink.drop_test import DropTest

#: Brinell's number is the load in kilogram-force over the curved area in mm2: 1 / 9.80665 (ISO 6506-1, from
#: memory).
_BRINELL_PER_MPA = 0.102


@by_value
@dataclass(frozen=True, eq=False)
class PressTest(CraterTest):
    """What the craters of a pressed ball say of the ice.

    Attributes
    ----------
    ball_radius_mm : float
        Radius of the ball, mm.
    crater_mm : array (n,)
        The diameters measured, mm.
    craters : Craters
        What each crater says, and all of them together; the hardness is the load over the area of the crater
        seen from above.
    load_N : float
        The load, N.
    loading_time_s : float
        How long it pressed, s.

    Examples
    --------
    >>> from bladelab import hardness_from_press
    >>> test = hardness_from_press(12.7, 750.0, 10.0, [14.2, 14.0, 14.3])
    >>> print(f"{test.hardness_MPa:.2f} +- {test.standard_error_MPa:.2f} MPa, Brinell {test.brinell:.2f}")
    4.76 +- 0.16 MPa, Brinell 0.44
    """

    load_N: float
    loading_time_s: float

    @property
    def brinell(self) -> float:
        """The Brinell number: 0.102 times the load over the *curved* area of the crater, pi D depth."""
        depth = cap_depth(self.crater_mm, self.ball_radius_mm)
        each = _BRINELL_PER_MPA * self.load_N / (2 * np.pi * self.ball_radius_mm * depth)
        return float(np.exp(np.mean(np.log(each))))


def hardness_from_press(
    ball_radius_mm: float,
    load_N: float,
    seconds: float,
    crater_mm: ArrayLike,
    load_error_N: float = 0.0,
) -> PressTest:
    """Find the hardness of ice from the craters of a ball pressed into it by a steady load.

    Definition
    ----------
    p_H = load / (pi d^2 / 4): the area seen from above. Brinell's standard divides by the curved area; see
    `PressTest.brinell`.

    Parameters
    ----------
    ball_radius_mm : float
        Radius of the ball, mm, 2 to 50.
    load_N : float
        The load, N, 1 to 20 000: 9.81 times the kilograms on the ball.
    seconds : float
        How long it pressed, 0.2 to 100 000.
    crater_mm : float or array (n,)
        Diameters of the craters at the level of the ice, mm, below the ball's diameter.
    load_error_N : float
        Standard error of the load, N, at most half of it.

    Returns
    -------
    PressTest

    Raises
    ------
    ValueError
        If a number is out of range or a crater is as wide as the ball.

    Examples
    --------
    >>> print(f"{hardness_from_press(12.7, 750.0, 10.0, 14.2).hardness_MPa:.2f} MPa")
    4.74 MPa
    """
    radius = number("ball_radius_mm", ball_radius_mm, "mm", 2.0, 50.0)
    load = number("load_N", load_N, "N", 1.0, 20000.0)
    time = number("seconds", seconds, "s", 0.2, 100000.0)
    craters = checked_craters(crater_mm, radius)
    load_error = number("load_error_N", load_error_N, "N", 0.0, load / 2)
    each = load / (np.pi * craters**2 / 4)
    return PressTest(radius, craters, Craters(each, load_error / load, 2.0), load, time)


class Exponent(NamedTuple):
    """How much softer ice gets the longer it is pressed: hardness goes with time to the power of `-value`."""

    value: float
    standard_error: float


def exponent_between(one: DropTest | PressTest, other: DropTest | PressTest) -> Exponent:
    """Find by which power of the time pressed the ice softens, from two tests with different times.

    Definition
    ----------
    m = -ln(p2 / p1) / ln(t2 / t1); its error from those of both hardnesses. That of a dropped ball counts 1 -
    m/2 times: harder ice also stops the ball sooner.

    Parameters
    ----------
    one, other : DropTest or PressTest
        In any order; one must have pressed at least twice as long as the other.

    Returns
    -------
    Exponent
        value, standard error.

    Raises
    ------
    ValueError
        If both pressed for about the same time.

    Notes
    -----
    The power is the mean one between the two times. Flow stress of freshwater ice goes with the strain rate
    to the power 0.15 between 0.1 and 10 per second (J. Phys. Chem. B 101, 6099, 1997, abstract), and slow
    creep to the power 1/3 (Barnes, Tabor & Walker 1971, abstract): a test of some seconds gives more than
    holds between a ball and a blade, and so an upper bound for it.

    Examples
    --------
    >>> from bladelab import hardness_from_drop
    >>> drop = hardness_from_drop(12.7, 1.0, [9.9, 10.1, 9.8, 10.2, 10.0])
    >>> press = hardness_from_press(12.7, 750.0, 10.0, [14.2, 14.0, 14.3, 14.1, 14.2])
    >>> found = exponent_between(drop, press)
    >>> print(f"{found.value:.3f} +- {found.standard_error:.3f}")
    0.119 +- 0.003
    """
    for name, test in (("one", one), ("other", other)):
        kind(name, test, (DropTest, PressTest))
    times = one.loading_time_s, other.loading_time_s
    apart = np.log(times[1] / times[0])
    if abs(apart) < np.log(2):
        raise InputError(
            f"the two tests pressed for {times[0]:.3g} s and {times[1]:.3g} s; one must press at least twice "
            "as long as the other"
        )
    value = -np.log(other.hardness_MPa / one.hardness_MPa) / apart
    error, other_error = (
        test.standard_error_MPa / test.hardness_MPa * (1 - value / 2 if isinstance(test, DropTest) else 1)
        for test in (one, other)
    )
    return Exponent(float(value), float(np.hypot(error, other_error) / abs(apart)))
