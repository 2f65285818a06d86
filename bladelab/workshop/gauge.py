"""The versine gauge: two feet on the edge and a plunger midway between them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from bladelab._checks import keep, number, numbers, takes
from bladelab._errors import InputError
from bladelab._types import Array, Numbers, OneOrMany
from bladelab._values import by_value
from bladelab.shape.curve import Curve
from bladelab.shape.rocker import Rocker
from bladelab.workshop.radius import RadiusFit
from bladelab.workshop.trace import Trace, checked_error
from bladelab.workshop.zone_search import Readings
from bladelab.workshop.zones import ZoneFit, fit_readings

#: No radius or chord is longer, mm: such an arc is a straight line. No gauge reads less than LEAST_READ_MM.
LONGEST_MM, LEAST_READ_MM = 1e8, 1e-7


def versine(chord_mm: Numbers, radius_mm: Numbers) -> OneOrMany:
    """Height of the arc above its chord, mm: R - sqrt(R^2 - c^2 / 4), for a chord of at most 2R.

    Examples
    --------
    >>> print(f"{versine(60.0, 3048.0):.4f} mm")
    0.1476 mm
    """
    radius = np.asarray(numbers("radius_mm", radius_mm, "mm", 0.0, LONGEST_MM, low_open=True))
    half = np.asarray(numbers("chord_mm", chord_mm, "mm", 0.0, LONGEST_MM, low_open=True)) / 2
    if np.any(half > radius):
        raise InputError(
            f"chord_mm is {2 * np.max(half):g} mm; it must be at most twice the radius, "
            f"{2 * np.min(radius):g} mm"
        )
    # Written so that nothing cancels on a long radius.
    height = half**2 / (radius + np.sqrt((radius - half) * (radius + half)))
    return float(height) if np.ndim(height) == 0 else height


def radius_from_versine(chord_mm: Numbers, versine_mm: Numbers) -> OneOrMany:
    """Radius of the arc, mm: c^2 / (8 v) + v / 2, for a versine v of at most half the chord c.

    Raises
    ------
    ValueError
        For a reading of 0 (a straight line has no radius), below 0, or above half the chord.

    Examples
    --------
    >>> round(radius_from_versine(16.0, 6.0), 4)
    8.3333
    """
    chord = np.asarray(numbers("chord_mm", chord_mm, "mm", 0.0, LONGEST_MM, low_open=True))
    height = np.asarray(numbers("versine_mm", versine_mm, "mm"))
    if np.any(height <= 0):
        raise InputError(
            f"versine_mm is {np.min(height):g} mm; it must be above 0 mm: a gauge that reads 0 is on a "
            "straight edge, or was not pushed down"
        )
    if np.any(height > chord / 2):
        raise InputError(
            f"versine_mm is {np.max(height):g} mm; it must be at most half the chord, {np.min(chord) / 2:g} "
            "mm"
        )
    if np.any(height < LEAST_READ_MM):
        raise InputError(f"versine_mm is {np.min(height):g} mm; it must be at least {LEAST_READ_MM:g} mm")
    radius = chord**2 / (8 * height) + height / 2
    return float(radius) if np.ndim(radius) == 0 else radius


@by_value
@dataclass(frozen=True, eq=False)
class GaugeReadings:
    """Readings of a gauge with two feet and a plunger midway, set along the edge.

    Parameters
    ----------
    position_mm : array, shape (n,)
        Places of the plunger along the runner, mm, rising.
    versine_mm : array, shape (n,)
        Readings: height of the arc above the chord of the feet, mm, above 0.
    chord_mm : float
        Distance of the feet, mm.
    error_mm : float, optional
        Standard error of one reading, mm, above 0 and at most 10 m.

    Raises
    ------
    ValueError
        If there is no reading, the error is out of range, positions do not rise, or a reading is not above 0
        or above half the chord.

    Examples
    --------
    >>> readings = GaugeReadings([-40.0, 0.0, 40.0], [0.15, 0.15, 0.15], chord_mm=60.0)
    >>> print(f"{float(readings.radius_mm[1]):.0f} mm")
    3000 mm
    """

    position_mm: Array
    versine_mm: Array
    chord_mm: float
    error_mm: float | None = None

    def __post_init__(self) -> None:
        place = np.atleast_1d(numbers("position_mm", self.position_mm, "mm"))
        height = np.atleast_1d(numbers("versine_mm", self.versine_mm, "mm"))
        chord = number("chord_mm", self.chord_mm, "mm", 0.0, low_open=True)
        if place.ndim != 1 or place.shape != height.shape or not len(place):
            raise InputError(
                f"position_mm has shape {place.shape} and versine_mm {height.shape}; both must be one list "
                "of numbers"
            )
        if (np.diff(place) <= 0).any():
            i = int(np.argmax(np.diff(place) <= 0)) + 1
            raise InputError(
                f"position {place[i]:g} mm (reading {i + 1}) does not come after {place[i - 1]:g} mm; "
                "positions must rise"
            )
        radius_from_versine(chord, height)
        error = checked_error(self.error_mm)
        keep(self, position_mm=place, versine_mm=height, chord_mm=chord, error_mm=error)

    @property
    def radius_mm(self) -> Array:
        """Radius at each place, mm: that of the arc through the feet and the plunger."""
        return np.asarray(radius_from_versine(self.chord_mm, self.versine_mm))

    @property
    def standard_error_mm(self) -> Array | None:
        """Standard error of each radius, mm; None without `error_mm`."""
        if self.error_mm is None:
            return None
        return np.abs(self.chord_mm**2 / (8 * self.versine_mm**2) - 0.5) * self.error_mm

    @property
    def trace(self) -> Trace:
        """The edge rebuilt from the readings: curvature linear between them, integrated twice; for pictures
        and for a target.

        Its heights share the readings' errors, so fit the readings themselves, not this.
        """
        reach = self.chord_mm / 2
        place = self.position_mm
        knots = np.concatenate([[place[0] - reach], place, [place[-1] + reach]])
        bend = np.pad(1 / self.radius_mm, 1, mode="edge")
        curve = Curve.from_curvature(knots, bend[:-1], bend[1:], (knots[0] + knots[-1]) / 2)
        x = np.linspace(knots[0], knots[-1], max(41, 2 * len(place) + 1))
        return Trace(x, curve.height(x))

    def fit_radius(self) -> RadiusFit:
        """Return the single radius: that of the mean curvature, with the error of the mean.

        Raises
        ------
        ValueError
            For one reading whose error is not given.
        """
        bend = 1 / self.radius_mm
        n, mean = len(bend), float(bend.mean())
        slope = 1 / np.mean(np.abs(self.chord_mm**2 / (8 * self.versine_mm**2) - 0.5) / self.radius_mm**2)
        if self.error_mm is None and n < 2:
            raise InputError(
                "one reading says nothing about its own error; give error_mm, or read at two or more places"
            )
        noise = float(np.std(bend, ddof=1) * slope) if self.error_mm is None else self.error_mm
        middle = float((self.position_mm[0] + self.position_mm[-1]) / 2)
        return RadiusFit(
            1 / mean, float(noise / slope / np.sqrt(n) / mean**2), noise, middle, 0.0, 0.0, middle
        )

    def fit_zones(self, count: int | None = None, most: int = 4, least_length_mm: float = 20.0) -> ZoneFit:
        """Find the zones whose readings would be these; as `bladelab.fit_zones`, on versines.

        A versine averages the curvature over the chord (most under the plunger), and the fit takes that into
        account; overlapping chords tell junctions finer than the chord. Needs at least 3 readings a zone,
        less 2.
        """
        place, reach, n = self.position_mm, self.chord_mm / 2, len(self.position_mm)
        if n < 3:
            raise InputError(f"there are {n} readings; zones need at least 3")
        single = self.fit_radius()
        start, end = float(place[0] - reach), float(place[-1] + reach)
        arc = np.array([0.0, -(end - start) / 2 / single.radius_mm, 1 / single.radius_mm])
        # On a slope the feet are closer together in x, and the plunger reads square to the edge.
        upright = np.sqrt(1 - ((place - (start + end) / 2) / single.radius_mm) ** 2)

        def fold(h: Array) -> Array:
            drop = (h[:n] + h[2 * n :]) / 2 - h[n : 2 * n]
            return (drop.T * upright).T

        feet = reach * upright
        readings = Readings(
            np.concatenate([place - feet, place, place + feet]), self.versine_mm, np.ones(n), start, end, fold
        )
        return fit_readings(readings, arc, 0, self.error_mm, count, most, least_length_mm)


@takes(rocker=Rocker)
def gauge_on(rocker: Rocker, position_mm: Numbers, chord_mm: float) -> GaugeReadings:
    """Return what a gauge reads on a rocker, so that a grinding can be checked at the bench.

    Definition
    ----------
    Both feet on the edge, `chord_mm` apart along the straight line between them; the plunger square to that
    line from its middle, meeting the edge at the place given. On one radius this is `versine`; over a
    junction it lies between those of the zones.

    Parameters
    ----------
    rocker : Rocker
    position_mm : array
        Places of the plunger, mm from mid-length, rising.
    chord_mm : float
        Distance of the feet, mm, above 0.

    Raises
    ------
    ValueError
        If a foot would be off the runner.

    Examples
    --------
    >>> from bladelab import Rocker
    >>> print(f"{gauge_on(Rocker.single(3048.0, 280.0), [100.0], 60.0).versine_mm[0]:.4f} mm")
    0.1476 mm
    """
    place = np.atleast_1d(numbers("position_mm", position_mm, "mm"))
    chord = number("chord_mm", chord_mm, "mm", 0.0, rocker.length_mm, low_open=True)
    outer = float(np.abs(place).max()) + chord / 2
    if outer > rocker.length_mm / 2 + 1e-9:
        raise InputError(
            f"a gauge with feet {chord:g} mm apart would reach {outer:g} mm from the middle; the runner ends "
            f"at {rocker.length_mm / 2:g} mm"
        )
    height = rocker.curve.height
    at, heel, toe = height(place), place - chord / 2, place + chord / 2
    for _ in range(8):  # each step leaves less than a hundredth of what was off
        across, up = toe - heel, height(toe) - height(heel)
        length = np.hypot(across, up)
        cos, sin = across / length, up / length
        aside, above = (heel + toe) / 2 - place, (height(heel) + height(toe)) / 2 - at
        off, wide = aside * cos + above * sin, (length - chord) / 2
        heel, toe = heel + (wide - off) * cos, toe - (wide + off) * cos
    return GaugeReadings(place, above * cos - aside * sin, chord)
