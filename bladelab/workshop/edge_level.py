"""Edge level: how far the two edges are from square to the blade, and what that does to the hold of each."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from bladelab._checks import number
from bladelab._errors import InputError
from bladelab._values import by_value
from bladelab.physics.contact import all_solved, solve_contacts
from bladelab.physics.ice import Ice
from bladelab.physics.stance import Stance
from bladelab.shape.blade import Blade


@by_value
@dataclass(frozen=True, eq=False)
class EdgeLevel:
    """How far the two edges are from level, read with a square laid across them.

    Parameters
    ----------
    reading_mm : float
        How much higher the square's arm is at its end than a level arm would be, mm; positive where edge A
        is proud (longer). 0 is level.
    arm_mm : float
        Distance from the blade at which it was read, mm.
    error_mm : float
        Standard error of the reading, mm.

    Examples
    --------
    >>> print(f"{EdgeLevel(reading_mm=0.5, arm_mm=100.0).tilt_deg:.2f} deg")
    0.29 deg
    """

    reading_mm: float
    arm_mm: float
    error_mm: float = 0.0

    def __post_init__(self) -> None:
        number("arm_mm", self.arm_mm, "mm", 0.0, low_open=True)
        number("reading_mm", self.reading_mm, "mm", -0.2 * self.arm_mm, 0.2 * self.arm_mm)
        number("error_mm", self.error_mm, "mm", 0.0)

    @property
    def tilt_deg(self) -> float:
        """Angle of the groove against the blade's square, degrees."""
        return float(np.degrees(np.arctan2(self.reading_mm, self.arm_mm)))

    @property
    def tilt_error_deg(self) -> float:
        """Standard error of the tilt, degrees."""
        return float(np.degrees(self.error_mm / self.arm_mm))

    def proud_mm(self, width_mm: float) -> float:
        """How much longer edge A is than edge B on a runner of this width, mm."""
        return number("width_mm", width_mm, "mm", 0.0, low_open=True) * self.reading_mm / self.arm_mm

    def hold_deg(self, blade: Blade, stance: Stance, ice: Ice, gliding: bool = True) -> tuple[float, float]:
        """Return the hold angle of edge A and of edge B when the skater leans on it, degrees.

        Leaning toward the proud edge A the groove meets the ice as if the lean were greater by the tilt, and
        its slope is steeper against the blade's plane by the tilt: hold = hold of a level groove at (lean
        + tilt) + tilt. Edge B has both the other way. Good for tilts of a few degrees.

        Raises
        ------
        ValueError
            If the stance leans less than the tilt: then both edges bear, and there is no answer.
        """
        lean, tilt = number("lean_deg", stance.lean_deg, "deg"), self.tilt_deg
        if lean < abs(tilt):
            raise InputError(
                f"lean_deg is {lean:g} deg; it must be at least the tilt of the groove, {abs(tilt):.3g} deg"
            )
        leaned = [replace(stance, lean_deg=lean + turn) for turn in (tilt, -tilt)]
        one, other = all_solved(solve_contacts([(blade, each, ice, gliding) for each in leaned]))
        return one.hold_deg + tilt, other.hold_deg - tilt
