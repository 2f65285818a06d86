"""How hard is this ice? A steel ball is dropped on it, and the craters are measured."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace

import numpy as np
from numpy.typing import ArrayLike

from bladelab._checks import number
from bladelab._errors import InputError
from bladelab._values import by_value
from bladelab.physics.ice import GRAVITY_M_S2, STEEL_DENSITY_KG_M3, Ice
from bladelab.physics.possible_ices import OWN_AGE_FACTOR
from bladelab.rink.craters import Craters, CraterTest, cap_volume, checked_craters

#: A ball can be of anything from glass to tungsten carbide, kg/m3 (from memory, rounded outwards).
_LIGHTEST_KG_M3, _HEAVIEST_KG_M3 = 2000.0, 16000.0
_LEAST_WEIGHT_KG, _MOST_WEIGHT_KG = 0.5, 20.0


def steel_ball_kg(ball_radius_mm: float) -> float:
    """Mass of a steel ball, kg."""
    return 4 / 3 * np.pi * (ball_radius_mm / 1000) ** 3 * STEEL_DENSITY_KG_M3


@by_value
@dataclass(frozen=True, eq=False)
class DropTest(CraterTest):
    """What the craters of a dropped ball say of the ice.

    Attributes
    ----------
    ball_radius_mm : float
        Radius of the ball, mm.
    crater_mm : array (n,)
        The diameters measured, mm.
    craters : Craters
        What each crater says, and all of them together.
    mass_kg : float
        What fell: the ball, or the ball with its weight, kg.

    Examples
    --------
    >>> from bladelab import hardness_from_drop
    >>> test = hardness_from_drop(12.7, 1.0, [9.7, 9.9, 9.6, 9.8, 9.7])
    >>> print(f"{test.hardness_MPa:.1f} +- {test.standard_error_MPa:.1f} MPa")
    17.9 +- 0.4 MPa
    """

    mass_kg: float

    @property
    def loading_time_s(self) -> float:
        """How long the ball pressed, s: a quarter period, (pi/2) sqrt(m / (2 pi R p))."""
        stiffness_N_m = 2 * np.pi * self.ball_radius_mm / 1000 * self.hardness_MPa * 1e6
        return float(np.pi / 2 * np.sqrt(self.mass_kg / stiffness_N_m))

    def ice(self, temperature_C: float) -> Ice:
        """Return the ice with this hardness at that temperature, for `solve_contact` and `solve_friction`.

        Raises
        ------
        ValueError
            If the hardness is below 0.2 or above 3 times the usual fit for that temperature.
        """
        return Ice(temperature_C, self.hardness_MPa / Ice(temperature_C).hardness_MPa)

    def pressed_ice(self, temperature_C: float, rate_exponent: float = 0.15) -> Ice:
        """Return ice that had this hardness for as long as the ball pressed, and is softer after longer.

        Parameters
        ----------
        temperature_C : float
        rate_exponent : float
            As in `Ice.pressed`. The closer the ball's time is to the blade's, the less it matters.

        Raises
        ------
        ValueError
            As `ice`, or if the exponent is out of range.
        """
        usual = Ice.pressed(temperature_C, self.ball_radius_mm, rate_exponent)
        factor = self.hardness_MPa / float(usual.pressed_hardness_MPa(self.loading_time_s))
        return replace(usual, hardness_factor=factor)

    def possible_ices(self, temperature_C: float) -> Ice:
        """Return the ices still held possible after this test, as one `Ice` of arrays (5,): as hard under a
        blade as under the ball; pressed with the exponents 0.15, 0.1 and 0.2; and with each patch at its own
        age. Of those at any rink (`bladelab.physics.possible_ices`) the unknown ball is gone.

        Raises
        ------
        ValueError
            As `ice`.
        """
        pressed = [self.pressed_ice(temperature_C, exponent) for exponent in (0.15, 0.1, 0.2)]
        own_age = replace(pressed[0], hardness_factor=max(OWN_AGE_FACTOR * pressed[0].hardness_factor, 0.2))
        ices = (self.ice(temperature_C), *pressed, own_age)
        return Ice(*(np.array([getattr(one, f.name) for one in ices]) for f in fields(Ice)))


def hardness_from_drop(
    ball_radius_mm: float,
    height_m: float,
    crater_mm: ArrayLike,
    mass_kg: float | None = None,
    rebound_m: float = 0.0,
    height_error_m: float = 0.005,
) -> DropTest:
    """Find the hardness of ice from the craters of a ball dropped on it.

    Definition
    ----------
    p_H = m g (h - 3/8 h_rebound) / V, V the spherical cap below the rim of the crater. Each crater gives a
    hardness; the result is their geometric mean.

    Parameters
    ----------
    ball_radius_mm : float
        Radius of the ball, mm, 2 to 50.
    height_m : float
        From the ice to the underside of the ball, m, 0.02 to 5.
    crater_mm : float or array (n,)
        Diameters of the craters at the level of the ice, mm, below the ball's diameter. Leave cracked ones
        out.
    mass_kg : float, optional
        What fell, kg: a ball of another material, or a ball under a guided weight of 0.5 to 20 kg. Left out:
        a free steel ball.
    rebound_m : float
        How high it bounced, m, below the height.
    height_error_m : float
        Standard error of the height, m, 0 to 1: all craters have it in common.

    Returns
    -------
    DropTest

    Raises
    ------
    ValueError
        If a number is out of range, a crater is as wide as the ball, or nothing of that size has that mass.

    Notes
    -----
    The correction for the rebound is Tabor's (The Hardness of Metals, 1951; from memory). Near the fourth
    power of the diameter counts: 3 % in the diameter is 12 % in the hardness, so measure ten craters. A free
    ball presses for about a third of a millisecond from whatever height, a guided weight of 5 kg for 3 ms,
    near the time that a gliding blade presses.

    Examples
    --------
    >>> test = hardness_from_drop(12.7, 1.0, [9.9, 10.1, 9.8, 10.2, 10.0])
    >>> print(f"{test.hardness_MPa:.1f} MPa, pressed {1000 * test.loading_time_s:.2f} ms")
    16.1 MPa, pressed 0.36 ms
    """
    radius = number("ball_radius_mm", ball_radius_mm, "mm", 2.0, 50.0)
    height = number("height_m", height_m, "m", 0.02, 5.0)
    craters = checked_craters(crater_mm, radius)
    mass = steel_ball_kg(radius) if mass_kg is None else _checked_mass(mass_kg, radius)
    rebound = number("rebound_m", rebound_m, "m", 0.0, height, high_open=True)
    height_error = number("height_error_m", height_error_m, "m", 0.0, 1.0)
    energy_mJ = 1000 * mass * GRAVITY_M_S2 * (height - 3 / 8 * rebound)
    each = energy_mJ / cap_volume(craters, radius)
    return DropTest(radius, craters, Craters(each, height_error / height, 4.0), mass)


def _checked_mass(mass_kg: float, radius_mm: float) -> float:
    mass = number("mass_kg", mass_kg, "kg", 0.0, _MOST_WEIGHT_KG, low_open=True)
    steel = steel_ball_kg(radius_mm)
    lightest, heaviest = (
        steel * density / STEEL_DENSITY_KG_M3 for density in (_LIGHTEST_KG_M3, _HEAVIEST_KG_M3)
    )
    if lightest <= mass <= heaviest or max(_LEAST_WEIGHT_KG, steel) <= mass:
        return mass
    raise InputError(
        f"mass_kg is {mass:g} kg; a ball of radius {radius_mm:g} mm has {steel:.3g} kg if it is steel, and a "
        f"guided weight has {_LEAST_WEIGHT_KG:g} to {_MOST_WEIGHT_KG:g} kg"
    )
