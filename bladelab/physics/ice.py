"""Ice: how hard it is, and what its meltwater and its heat flow are like."""

from __future__ import annotations

from dataclasses import dataclass

from bladelab._checks import numbers
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
# Chosen, not derived: see Ice.with_viscous_film.
VISCOUS_FILM_FACTOR = 3.0


@by_value
@dataclass(frozen=True, eq=False)
class Ice:
    """Ice at one temperature, taken as perfectly plastic: where steel presses, the pressure is the hardness.

    Definition
    ----------
    hardness = hardness_factor * (14.7 - 0.6 T) MPa, T in degrees C.

    Parameters
    ----------
    temperature_C : float or array
        Surface temperature, °C, -30 to 0. An array is several ices at once.
    hardness_factor : float or array
        The hardness as a multiple of the drop-ball fit, 0.2 to 3. 1 is the fit itself.
    viscosity_factor : float or array
        The viscosity of the melt film as a multiple of that of water at 0 °C, 0.5 to 100. 1 is water itself;
        only the friction depends on it.

    Raises
    ------
    ValueError
        If a number is not finite or out of range.

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

    def __post_init__(self) -> None:
        object.__setattr__(
            self, "temperature_C", numbers("temperature_C", self.temperature_C, "°C", -30.0, 0.0)
        )
        object.__setattr__(
            self, "hardness_factor", numbers("hardness_factor", self.hardness_factor, "", 0.2, 3.0)
        )
        object.__setattr__(
            self, "viscosity_factor", numbers("viscosity_factor", self.viscosity_factor, "", 0.5, 100.0)
        )

    @classmethod
    def with_viscous_film(cls, temperature_C: Numbers = -5.0) -> Ice:
        """Return ice whose meltwater is three times as viscous as water: an option, not the default.

        Meltwater between ice and a slider was measured to be up to a hundred times as viscous as water
        (Canale et al. 2019, Phys. Rev. X 9, 041025; from memory). The factor 3 is chosen so that the friction
        of a speed skate agrees with its measured value; `friction_gap` says what else that explains, and
        what it leaves unexplained.
        """
        return cls(temperature_C, 1.0, VISCOUS_FILM_FACTOR)

    @property
    def hardness_MPa(self) -> OneOrMany:
        """Pressure under the steel, MPa."""
        return self.hardness_factor * (14.7 - 0.6 * self.temperature_C)

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
