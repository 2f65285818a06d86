"""What the melt film leaves out by default, each a term that can be switched on."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from bladelab._checks import keep_number, kind
from bladelab._types import Array
from bladelab.physics.ice import ICE_DENSITY_KG_M3, LATENT_HEAT_J_KG, MELTING_POINT_C

WATER_DENSITY_KG_M3 = 999.8  # at 0 °C, CRC Handbook; the tests compute it again with iapws
# Clausius and Clapeyron, T (1/rho_ice - 1/rho_water) / L: within 5 % of the IAPWS melting curve to 20 MPa.
MELTING_K_MPA = 273.15 * (1 / ICE_DENSITY_KG_M3 - 1 / WATER_DENSITY_KG_M3) / LATENT_HEAT_J_KG * 1e6
# Stainless steel that can be hardened: 25 W/(m K), 7750 kg/m3, 460 J/(kg K) (handbooks, from memory).
STEEL_EFFUSIVITY = float(np.sqrt(25.0 * 7750.0 * 460.0))


@dataclass(frozen=True)
class FilmTerms:
    """Terms of the melt film that are left out by default.

    None is on by default: they have opposite signs and nearly cancel. On a hockey blade of 75 kg at 6 m/s and
    -5 °C the water's density adds 0.8 % to the friction (1.9 % to the film's), pressure melting takes off
    2.9 %, and steel as cold as the ice, 5 s into a glide, adds 1.2 %: together -1.1 %. On a speed skate it is
    -2.5 %, on a sled at 1.8 m/s, where pressure alone is -10 % and steel +7 %, -3.6 %; on pressed ice within
    2 %. All that is far below the range that the ice itself leaves open. How cold the steel was nobody
    published along with a friction.

    Parameters
    ----------
    water_density : bool
        Melting takes the latent heat of as much water as the film gains; else, of as much ice by volume.
    pressure_melting : bool
        The film is as warm as ice melts under the pressure of the steel, 0.074 K per MPa below 0 °C, so that
        less heat flows into the ice.
    steel_colder_K : float
        How much colder than the film the blade's steel was when the glide began, K, 0 to 50. It draws k K /
        sqrt(pi a t) W/m2, as a deep block of steel does; 0 is none.
    gliding_s : float
        Time since then, s, 0.1 to 3600.

    Raises
    ------
    ValueError
        If a number is out of range.

    Notes
    -----
    Stainless steel of 25 W/(m K), 7750 kg/m3 and 460 J/(kg K) (from memory). A deep block draws more than a
    thin blade that has warmed up, so the term is the most that the steel can take.

    Examples
    --------
    >>> print(f"{FilmTerms(steel_colder_K=5.0).steel_W_m2 / 1000:.0f} kW/m2")
    12 kW/m2
    """

    water_density: bool = False
    pressure_melting: bool = False
    steel_colder_K: float = 0.0
    gliding_s: float = 5.0

    def __post_init__(self) -> None:
        for name in ("water_density", "pressure_melting"):
            kind(name, getattr(self, name), bool, "True or False")
        keep_number(self, steel_colder_K=("K", 0.0, 50.0), gliding_s=("s", 0.1, 3600.0))

    @property
    def melt_J_m3(self) -> float:
        """Heat that melts a volume of film, J/m3."""
        return (WATER_DENSITY_KG_M3 if self.water_density else ICE_DENSITY_KG_M3) * LATENT_HEAT_J_KG

    @property
    def steel_W_m2(self) -> float:
        """Heat flow into the steel, W/m2."""
        return STEEL_EFFUSIVITY * self.steel_colder_K / float(np.sqrt(np.pi * self.gliding_s))

    def film_C(self, hardness_MPa: Array) -> Array:
        """Return the temperature of the film under each hardness, °C."""
        return MELTING_POINT_C - (MELTING_K_MPA * hardness_MPa if self.pressure_melting else 0 * hardness_MPa)


PLAIN = FilmTerms()
