"""Ice: how hard it is, and what its meltwater and its heat flow are like."""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np

from bladelab._checks import keep_numbers, numbers, shared_shape
from bladelab._errors import InputError
from bladelab._types import Numbers, OneOrMany
from bladelab._values import by_value

GRAVITY_M_S2 = 9.81

# Water at 0 °C (LSBU water data; the tests compute it again with iapws) and ice (CRC Handbook; same check).
WATER_VISCOSITY_PA_S = 1.792e-3
ICE_DENSITY_KG_M3 = 916.7
LATENT_HEAT_J_KG = 333.6e3
MELTING_POINT_C = 0.0
# Conductivity 2.14 W/(m K) at 0 °C and 2.3 at -10 °C (LSBU water data): a straight line through both.
_CONDUCTIVITY_0, _CONDUCTIVITY_SLOPE = 2.14, -0.016
# Heat capacity 2097 J/(kg K) at 0 °C, falling 7.4 per degree (derived from the IAPWS equation for ice, which
# the tests evaluate).
_HEAT_CAPACITY_0, _HEAT_CAPACITY_SLOPE = 2097.0, 7.4
STEEL_DENSITY_KG_M3 = 7800.0  # of the ball of a drop test; carbon steel, from memory
# How hard ice is under a blade, in the words of pages and cards: the two kinds of `Ice.of_kind`.
DROP_TEST_ICE, PRESSED_ICE = ICE_KINDS = "drop test", "pressed"
# Chosen, not derived: see Ice.with_viscous_film.
VISCOUS_FILM_FACTOR = 3.0


@by_value
@dataclass(frozen=True, eq=False)
class Ice:
    """Ice at one temperature, taken as perfectly plastic: where steel presses, the pressure is the hardness.

    Definition
    ----------
    hardness = hardness_factor * (14.7 - 0.6 T) MPa, T in degrees C: what a dropped ball finds. Of pressed ice
    (`Ice.pressed`) that times (t / t_drop)^-rate_exponent, with the time t that the blade presses.

    Parameters
    ----------
    temperature_C : float or array
        Surface temperature, °C, -30 to 0. An array is several ices at once.
    hardness_factor : float or array
        The hardness as a multiple of the drop-ball fit, 0.2 to 3. 1 is the fit itself.
    viscosity_factor : float or array
        The viscosity of the melt film as a multiple of that of water at 0 °C, 0.5 to 100. 1 is water itself;
        only the friction depends on it.
    rate_exponent : float or array
        How fast the ice softens with the time it is pressed, 0 to 0.5. 0 is ice as hard under a blade as
        under a dropped ball.
    ball_radius_mm : float or array
        Radius of the steel ball of the drop test, mm, 1 to 100; only pressed ice depends on it.

    Raises
    ------
    ValueError
        If a number is not finite or out of range, the shapes do not broadcast, or pressed ice has a viscous
        film.

    Notes
    -----
    Source of the hardness: the fit of drop-ball tests given by Poirier, Lozowski & Thompson 2011 (from
    memory, not re-read). Rinks keep hockey ice between -5.6 and -4.4 °C (U.S. Ice Rink Association 2019).

    Examples
    --------
    >>> Ice(-5.0).hardness_MPa
    17.7
    """

    temperature_C: OneOrMany = -5.0
    hardness_factor: OneOrMany = 1.0
    viscosity_factor: OneOrMany = 1.0
    rate_exponent: OneOrMany = 0.0
    ball_radius_mm: OneOrMany = 12.7

    def __post_init__(self) -> None:
        keep_numbers(
            self,
            temperature_C=("°C", -30.0, 0.0),
            hardness_factor=("", 0.2, 3.0),
            viscosity_factor=("", 0.5, 100.0),
            rate_exponent=("", 0.0, 0.5),
            ball_radius_mm=("mm", 1.0, 100.0),
        )
        self.shape  # noqa: B018  refuses shapes that do not go together
        if np.any((np.asarray(self.rate_exponent) > 0) & (np.asarray(self.viscosity_factor) != 1)):
            raise InputError(
                f"viscosity_factor is {self.viscosity_factor} on pressed ice; it must be 1: each explains "
                "the same missing friction, and both together would count it twice"
            )

    @classmethod
    def pressed(
        cls, temperature_C: Numbers = -5.0, ball_radius_mm: Numbers = 12.7, rate_exponent: Numbers = 0.15
    ) -> Ice:
        """Return ice that is softer the longer it is pressed: an option, not the default.

        Definition
        ----------
        hardness = (14.7 - 0.6 T) (t / t_drop)^-rate_exponent. t is contact length / speed under a gliding
        blade, and the time pressed under one at rest. A dropped ball presses for t_drop = (pi/2) R sqrt(2
        rho_s / (3 p_0)), with its radius R, p_0 = (14.7 - 0.6 T) MPa and rho_s = 7800 kg/m3: a quarter period
        of a ball in plastic ice, whatever the height.

        Parameters
        ----------
        temperature_C : float or array
            As in `Ice`.
        ball_radius_mm : float or array
            Radius of the ball of the drop test, mm, 1 to 100. The test's own ball is not known to us: 12.7
            is assumed.
        rate_exponent : float or array
            Above 0 and at most 0.5. Flow stress of freshwater ice at -11 degrees C goes with the strain rate
            to the power 0.15, from 0.1 to 10 per second (J. Phys. Chem. B 101, 6099, 1997; abstract); creep,
            far slower, with 1/3 (Barnes, Tabor & Walker 1971; abstract).

        Notes
        -----
        Nothing is fitted to a friction, but the ball and the age that counts are choices:
        `bladelab.physics.possible_ices` has the range they leave open. The exponent is used near 100 per
        second, beyond where it was read. The time counts from when the first ice of the contact was touched.
        The strain rate also goes with the groove's slope, which is left out: valid for an upright blade;
        leaned 45 degrees the ice would be about 1.4 times as hard.

        Examples
        --------
        >>> from bladelab import Blade, Hollow, Rocker, Stance, solve_contact
        >>> blade = Blade(Rocker.single(3048.0, 280.0), Hollow(12.7, 3.0))
        >>> contact = solve_contact(blade, Stance(736.0, speed_m_s=6.0), Ice.pressed(-5.0), gliding=True)
        >>> print(f"{contact.hardness_MPa:.1f} MPa, {contact.length_mm:.1f} mm long")
        11.9 MPa, 28.2 mm long
        """
        exponent = numbers("rate_exponent", rate_exponent, "", 0.0, 0.5, low_open=True)
        return cls(temperature_C, 1.0, 1.0, exponent, ball_radius_mm)

    @classmethod
    def with_viscous_film(cls, temperature_C: Numbers = -5.0) -> Ice:
        """Return ice whose meltwater is three times as viscous as water: an option, not the default.

        Meltwater between ice and a slider was measured to be up to a hundred times as viscous as water
        (Canale et al. 2019, Phys. Rev. X 9, 041025; abstract). The factor 3 is chosen so that the friction
        of a speed skate agrees with its measured value; `friction_gap` says what else that explains, and
        what it leaves unexplained.
        """
        return cls(temperature_C, 1.0, VISCOUS_FILM_FACTOR)

    @classmethod
    def of_kind(cls, kind: str, temperature_C: Numbers = -5.0) -> Ice:
        """Return plain ice for "drop test", and for "pressed" that of `pressed`."""
        return cls.pressed(temperature_C) if kind == PRESSED_ICE else cls(temperature_C)

    @property
    def shape(self) -> tuple[int, ...]:
        """Shape of the broadcast fields; () for one ice."""
        return shared_shape({f.name: getattr(self, f.name) for f in fields(self)})

    @property
    def is_pressed(self) -> bool:
        """Whether the hardness depends on how long the ice is pressed."""
        return bool(np.any(np.asarray(self.rate_exponent) > 0))

    @property
    def hardness_MPa(self) -> OneOrMany:
        """Pressure under the steel, MPa; pressed ice has none until a blade presses: `Contact.hardness_MPa`.

        Raises
        ------
        ValueError
            If the ice is pressed.
        """
        if self.is_pressed:
            raise InputError(
                f"rate_exponent is {self.rate_exponent}; pressed ice has no hardness of its own: ask "
                "Contact.hardness_MPa of a solved contact"
            )
        return self.drop_hardness_MPa

    @property
    def drop_hardness_MPa(self) -> OneOrMany:
        """Pressure under a dropped ball, MPa."""
        return self.hardness_factor * (14.7 - 0.6 * self.temperature_C)

    @property
    def drop_time_s(self) -> OneOrMany:
        """How long a dropped ball presses, s; see `pressed`."""
        pressure_Pa = (14.7 - 0.6 * self.temperature_C) * 1e6
        radius_m = self.ball_radius_mm / 1000
        return np.pi / 2 * radius_m * np.sqrt(2 * STEEL_DENSITY_KG_M3 / (3 * pressure_Pa))

    def pressed_hardness_MPa(self, seconds: Numbers) -> OneOrMany:
        """Return the pressure under steel that has pressed for so many seconds, MPa."""
        return self.drop_hardness_MPa * (seconds / self.drop_time_s) ** -self.rate_exponent

    @property
    def conductivity_W_mK(self) -> OneOrMany:
        """Thermal conductivity of the ice, W/(m K)."""
        return _CONDUCTIVITY_0 + _CONDUCTIVITY_SLOPE * self.temperature_C

    @property
    def diffusivity_m2_s(self) -> OneOrMany:
        """Thermal diffusivity of the ice, m2/s: conductivity / (density * heat capacity)."""
        capacity = _HEAT_CAPACITY_0 + _HEAT_CAPACITY_SLOPE * self.temperature_C
        return self.conductivity_W_mK / (ICE_DENSITY_KG_M3 * capacity)

    @property
    def film_viscosity_Pa_s(self) -> OneOrMany:
        """Viscosity of the melt film, Pa s."""
        return self.viscosity_factor * WATER_VISCOSITY_PA_S
