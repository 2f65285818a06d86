"""How good must the gauge be: what a way of measuring can tell, before anything is measured."""

from __future__ import annotations

import math
from dataclasses import dataclass
from statistics import NormalDist

import numpy as np

from bladelab._checks import kind, number, numbers
from bladelab._errors import InputError
from bladelab._types import Numbers, OneOrMany
from bladelab.workshop.gauge import LEAST_READ_MM, LONGEST_MM


@dataclass(frozen=True)
class GaugePlan:
    """How well one way of measuring will tell a radius.

    Definition
    ----------
    Versine gauge of chord c, n readings: error of 1/R = 8 s / (c^2 sqrt(n)). Heights at n points, evenly
    spaced by d: error of 1/R = 2 s sqrt(180) / (d^2 sqrt(n (n^2 - 1) (n^2 - 4))) (the variance of a
    parabola's second derivative by least squares). Error of R = R^2 times that.

    Parameters
    ----------
    error_mm : float
        Standard error s of one reading, 1e-7 to 1e8 mm.
    chord_mm : float
        Versine gauge: distance of the feet. Heights: length over which one radius is looked for. 1e-7 to 1e8
        mm, as every radius asked about.
    readings : int
        Versine gauge: how many times the place is read. Heights: number of points along the length, at least
        4. At most a million.
    kind : {"versine", "heights"}

    Raises
    ------
    ValueError
        If a number is not finite or out of range, or the kind is unknown.

    Examples
    --------
    >>> plan = GaugePlan(error_mm=0.002, chord_mm=60.0, readings=4)
    >>> print(f"{float(plan.radius_error_mm(3048.0)):.0f} mm")
    21 mm
    """

    error_mm: float
    chord_mm: float
    readings: int = 1
    kind: str = "versine"

    def __post_init__(self) -> None:
        number("error_mm", self.error_mm, "mm", LEAST_READ_MM, LONGEST_MM)
        number("chord_mm", self.chord_mm, "mm", LEAST_READ_MM, LONGEST_MM)
        kind("kind", self.kind, str)
        if self.kind not in ("versine", "heights"):
            raise InputError(f"kind is {self.kind!r}; it must be 'versine' or 'heights'")
        number("readings", self.readings, "readings", 1 if self.kind == "versine" else 4, 1e6)

    @property
    def curvature_error(self) -> float:
        """Standard error of 1/R, 1/mm."""
        n = self.readings
        if self.kind == "versine":
            return float(8 * self.error_mm / self.chord_mm**2 / np.sqrt(n))
        spacing = self.chord_mm / (n - 1)
        return float(2 * self.error_mm * np.sqrt(180 / (n * (n**2 - 1) * (n**2 - 4))) / spacing**2)

    def radius_error_mm(self, radius_mm: Numbers) -> OneOrMany:
        """Standard error of a radius of this size, mm."""
        radius = np.asarray(numbers("radius_mm", radius_mm, "mm", LEAST_READ_MM, LONGEST_MM))
        return radius**2 * self.curvature_error

    def wrong_share(self, radius_a_mm: float, radius_b_mm: float) -> float:
        """Share of blades of one radius that this would take for the other, 0 to 0.5, when it calls the
        nearer one.
        """
        a, b = (number("radius_mm", r, "mm", LEAST_READ_MM, LONGEST_MM) for r in (radius_a_mm, radius_b_mm))
        return math.erfc(abs(1 / a - 1 / b) / 2 / self.curvature_error / math.sqrt(2)) / 2

    def error_needed_mm(self, radius_a_mm: float, radius_b_mm: float, wrong_share: float = 0.025) -> float:
        """Largest error of one reading, mm, with which no more than `wrong_share` are taken for the other."""
        a, b = (number("radius_mm", r, "mm", LEAST_READ_MM, LONGEST_MM) for r in (radius_a_mm, radius_b_mm))
        share = number("wrong_share", wrong_share, "", 0.0, 0.5, low_open=True, high_open=True)
        return float(
            abs(1 / a - 1 / b) / 2 / -NormalDist().inv_cdf(share) * self.error_mm / self.curvature_error
        )
