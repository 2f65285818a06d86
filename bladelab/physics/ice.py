"""Ice: how hard it is."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from bladelab._checks import numbers

GRAVITY_M_S2 = 9.81


@dataclass(frozen=True)
class Ice:
    """Ice at one temperature, taken as perfectly plastic: where steel presses, the pressure is the hardness.

    Definition
    ----------
    hardness = 14.7 - 0.6 T MPa, T in degrees C.

    Parameters
    ----------
    temperature_C : float or array
        Surface temperature, °C, -30 to 0. An array stands for several ices.

    Raises
    ------
    ValueError
        If the temperature is not finite or out of range.

    Notes
    -----
    Source: the fit of drop-ball tests given by Poirier, Lozowski & Thompson 2011 (from memory, not re-read). Rinks keep hockey
    ice between -5.6 and -4.4 °C (U.S. Ice Rink Association 2019).

    Examples
    --------
    >>> Ice(-5.0).hardness_MPa
    17.7
    """

    temperature_C: Any = -5.0

    def __post_init__(self) -> None:
        object.__setattr__(self, "temperature_C", numbers("temperature_C", self.temperature_C, "°C", -30.0, 0.0))

    @property
    def hardness_MPa(self) -> Any:
        """Pressure under the steel, MPa."""
        return 14.7 - 0.6 * self.temperature_C
