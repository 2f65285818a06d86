"""A trace: heights measured along one edge, and what the points near each place say of the curve there."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from bladelab._checks import keep, keep_number, number, numbers, takes
from bladelab._errors import InputError
from bladelab._types import Array
from bladelab._values import by_value

LEAST_POINTS = 5
#: A trace that climbs more than this from end to end was not set level: the fits take the tilt as small.
STEEPEST_DEG = 10.0
#: No place or height on a blade is further off than this, however the gauge was set.
FARTHEST_MM = 10_000.0
SHORTEST_MM = 0.1
# What bends less is straight: its radius, and the error of that, would soon be too large for a number.
_STRAIGHT_PER_MM = 1e-15


def checked_points(x_mm: ArrayLike, y_mm: ArrayLike, least: int = LEAST_POINTS) -> tuple[Array, Array]:
    """Return positions and heights as arrays if they make a trace; else say in a sentence why not."""
    x = np.atleast_1d(numbers("x_mm", x_mm, "mm", -FARTHEST_MM, FARTHEST_MM))
    y = np.atleast_1d(numbers("y_mm", y_mm, "mm", -FARTHEST_MM, FARTHEST_MM))
    if x.ndim != 1 or x.shape != y.shape:
        raise InputError(
            f"x_mm has shape {x.shape} and y_mm {y.shape}; both must be the same plain list of numbers"
        )
    if len(x) < least:
        raise InputError(f"the trace has {len(x)} points; it must have at least {least}")
    step = np.diff(x)
    if (step <= 0).any():
        i = int(np.argmax(step <= 0))
        word = "repeats" if step[i] == 0 else "comes after a greater one"
        raise InputError(
            f"position {x[i + 1]:g} mm {word} (point {i + 2}); positions must rise from heel to toe, each "
            "once"
        )
    if x[-1] - x[0] < SHORTEST_MM:
        raise InputError(f"the trace is {x[-1] - x[0]:g} mm long; it must be at least {SHORTEST_MM:g} mm")
    climb = float(np.degrees(np.arctan2(y[-1] - y[0], x[-1] - x[0])))
    if abs(climb) > STEEPEST_DEG:
        raise InputError(
            f"the trace climbs {climb:.3g} deg from end to end; it must stay within {STEEPEST_DEG:g} deg: "
            "level it first"
        )
    return x, y


def checked_error(error_mm: float | None) -> float | None:
    """Return the standard error of one reading, None if it is not known; else say in a sentence why not."""
    return None if error_mm is None else number("error_mm", error_mm, "mm", 0.0, FARTHEST_MM, low_open=True)


@by_value
@dataclass(frozen=True, eq=False)
class Trace:
    """Points measured along one edge, from heel to toe.

    Parameters
    ----------
    x_mm : array, shape (n,)
        Positions along the runner, mm, rising, 0 at mid-length.
    y_mm : array, shape (n,)
        Height of the edge there, mm: lowest where the blade would stand, higher at the ends. Offset and tilt
        are free.
    error_mm : float, optional
        Standard error of one height, mm, if it is known (above 0, at most 10 m); left out, the scatter of the
        points themselves tells it.
    level_error_deg : float, optional
        How well the level of the heights is known: the standard error of the angle between the rail they were
        read from and the runner's own level, as its holder has it, deg, 0 to 3. Left out, nothing is known of
        the tilt, and no level point can be told.

    Raises
    ------
    ValueError
        For fewer than 5 points, unequal lengths, numbers that are not finite or beyond 10 m, positions that
        do not rise, a climb of more than 10 deg from end to end, a level error out of range.

    Examples
    --------
    >>> import numpy as np
    >>> from bladelab import Rocker
    >>> x = np.linspace(-100.0, 100.0, 81)
    >>> trace = Trace(x, Rocker.single(3048.0, 280.0).height_mm(x), error_mm=0.005)
    >>> trace.length_mm
    200.0
    """

    x_mm: Array
    y_mm: Array
    error_mm: float | None = None
    level_error_deg: float | None = None

    def __post_init__(self) -> None:
        x, y = checked_points(self.x_mm, self.y_mm)
        keep(self, x_mm=x, y_mm=y, error_mm=checked_error(self.error_mm))
        if self.level_error_deg is not None:
            keep_number(self, level_error_deg=("deg", 0.0, 3.0))

    @property
    def length_mm(self) -> float:
        """Length measured, mm."""
        return float(self.x_mm[-1] - self.x_mm[0])

    @property
    def spacing_mm(self) -> float:
        """Usual distance between neighbouring points, mm: the median."""
        return float(np.median(np.diff(self.x_mm)))

    def level(self, window_mm: float = 40.0) -> Trace:
        """Return the trace level, its lowest point at 0.

        One whose level is known stays as level as it is. Any other is turned until both ends are equally
        high; the ends are taken from a smooth curve through `window_mm`, so that one bad reading does not
        tilt the whole.
        """
        if self.level_error_deg is not None:
            lowest = _parabolas(self, self.x_mm, window_mm).height.min()
            return replace(self, y_mm=self.y_mm - lowest)
        ends = _parabolas(self, self.x_mm[[0, -1]], window_mm).height
        turn = np.arctan2(ends[1] - ends[0], self.length_mm)
        x, y = self.x_mm - (self.x_mm[0] + self.x_mm[-1]) / 2, self.y_mm - ends.mean()
        cos, sin = np.cos(turn), np.sin(turn)
        turned = Trace(x * cos + y * sin, y * cos - x * sin, self.error_mm)
        lowest = _parabolas(turned, turned.x_mm, window_mm).height.min()
        middle = (self.x_mm[0] + self.x_mm[-1]) / 2
        return Trace(turned.x_mm + middle, turned.y_mm - lowest, self.error_mm)


@by_value
@dataclass(frozen=True, eq=False)
class LocalCurve:
    """What the points near each place say: arrays share the shape of `x_mm`.

    Attributes
    ----------
    x_mm : array
        Places along the runner, mm.
    height_mm, height_error_mm : array
        The smoothed edge and its standard error, mm.
    radius_mm, standard_error_mm : array
        The local radius, mm: infinite where the points lie straight, negative where they bend the wrong
        way.
    noise_mm : float
        Standard error of a single reading, mm.
    window_mm : float
        The length over which each number looks, mm.
    """

    x_mm: Array
    height_mm: Array
    height_error_mm: Array
    radius_mm: Array
    standard_error_mm: Array
    noise_mm: float
    window_mm: float


@takes(trace=Trace)
def local_curve(trace: Trace, x_mm: ArrayLike | None = None, window_mm: float = 40.0) -> LocalCurve:
    """Find height and radius near each place by a parabola through the points of a window.

    Definition
    ----------
    Least squares over the points within half a window of x; at the ends the window is cut short, never moved.
    A window of fewer than 5 points is widened to 5. radius = (1 + slope^2)^1.5 / second derivative; standard
    errors from the least squares and the scatter of all residuals.

    Parameters
    ----------
    trace : Trace
    x_mm : array, optional
        Places; left out, all places of the trace where a whole window fits.
    window_mm : float
        Above 0 and at most the length of the trace.

    Raises
    ------
    ValueError
        If the window is longer than the trace, or a place lies off it.

    Notes
    -----
    A radius that changes within the window is smeared over it. Independent errors of equal size are assumed;
    the standard errors agree with repeated noisy draws within 10 % (tests/workshop).

    Examples
    --------
    >>> import numpy as np
    >>> from bladelab import Rocker, Trace
    >>> x = np.linspace(-100.0, 100.0, 81)
    >>> trace = Trace(x, Rocker.single(3048.0, 280.0).height_mm(x))
    >>> print(f"{float(local_curve(trace, [0.0]).radius_mm[0]):.0f} mm")
    3048 mm
    """
    window = number("window_mm", window_mm, "mm", 0.0, trace.length_mm, low_open=True)
    x, y = trace.x_mm, trace.y_mm
    first, last = float(x[0]), float(x[-1])
    if x_mm is None:
        x_mm = x[(x >= first + window / 2 - 1e-9) & (x <= last - window / 2 + 1e-9)]
        if not len(x_mm):
            x_mm = np.array([(first + last) / 2])
    at = np.atleast_1d(numbers("x_mm", x_mm, "mm", first - 1e-6, last + 1e-6))
    some = np.empty(0, dtype=int)
    if trace.error_mm is None:
        # Windows at a few hundred of the points tell the scatter as well as windows at all of them.
        some = np.unique(np.linspace(0, len(x) - 1, 400).astype(int))
    both = _parabolas(trace, np.concatenate([x[some], at]), window)
    near, own = (_Parabolas(*part) for part in np.split(np.array(both), [len(some)], axis=1))
    if trace.error_mm is None:
        free = np.clip(1 - near.height_spread, 0.05, 1)
        noise = float(np.sqrt(np.mean((y[some] - near.height) ** 2 / free)))
    else:
        noise = trace.error_mm
    bend = own.bend
    bend_error = noise * np.sqrt(own.bend_spread)
    turned = (1 + own.slope**2) ** 1.5
    straight = np.abs(bend) < _STRAIGHT_PER_MM
    bend[straight] = 1.0  # any number will do
    radius = np.where(straight, np.inf, turned / bend)
    error = np.where(straight, np.inf, turned * bend_error / bend**2)
    return LocalCurve(
        x_mm=at,
        height_mm=own.height,
        height_error_mm=noise * np.sqrt(own.height_spread),
        radius_mm=radius,
        standard_error_mm=error,
        noise_mm=noise,
        window_mm=window,
    )


class _Parabolas(NamedTuple):
    """Height, slope and second derivative of the parabola at each place; and the variances of height and
    second derivative for readings of variance 1."""

    height: Array
    slope: Array
    bend: Array
    height_spread: Array
    bend_spread: Array


def _parabolas(trace: Trace, at: Array, window_mm: float) -> _Parabolas:
    """Fit a parabola to the points near each place, as `local_curve` says."""
    window = number("window_mm", window_mm, "mm", 0.0, trace.length_mm, low_open=True)
    x, y = trace.x_mm, trace.y_mm
    # Prefix sums of powers give every window's normal equations at once. A parabola through all points is
    # taken off first and everything is scaled to -1..1, so that the differences of large sums keep their
    # digits.
    middle, half = (x[0] + x[-1]) / 2, (x[-1] - x[0]) / 2
    t, s = (x - middle) / half, (at - middle) / half
    whole = np.polynomial.polynomial.polyfit(t, y, 2)
    rest = y - np.polynomial.polynomial.polyval(t, whole)
    terms = np.empty((8, len(x) + 1))
    terms[:, 0], terms[0, 1:], terms[5, 1:] = 0.0, 1.0, rest
    for i in (1, 2, 3, 4, 6, 7):
        terms[i, 1:] = terms[i - 1, 1:] * t
    sums = np.cumsum(terms, axis=1)
    low = np.searchsorted(x, at - window / 2 - 1e-9)
    high = np.searchsorted(x, at + window / 2 + 1e-9)
    # Where a window holds too few points it is widened to the nearest.
    nearest = np.clip(np.searchsorted(x, at) - LEAST_POINTS // 2, 0, len(x) - LEAST_POINTS)
    low, high = np.minimum(low, nearest), np.maximum(high, nearest + LEAST_POINTS)
    m0, m1, m2, m3, m4, r0, r1, r2 = sums[:, high] - sums[:, low]
    # Moments about the place itself, in units of the window, which holds a few points at least: so the three
    # columns are of one size.
    unit = max(window, trace.spacing_mm) / 2 / half
    r2 = (r2 - 2 * s * r1 + s**2 * r0) / unit**2
    r1 = (r1 - s * r0) / unit
    m4 = (m4 - 4 * s * m3 + 6 * s**2 * m2 - 4 * s**3 * m1 + s**4 * m0) / unit**4
    m3 = (m3 - 3 * s * m2 + 3 * s**2 * m1 - s**3 * m0) / unit**3
    m2 = (m2 - 2 * s * m1 + s**2 * m0) / unit**2
    m1 = (m1 - s * m0) / unit
    # The inverse of ((m0, m1, m2), (m1, m2, m3), (m2, m3, m4)) is ((a, b, c), (b, d, e), (c, e, f)) / size.
    a, b, c = m2 * m4 - m3**2, m2 * m3 - m1 * m4, m1 * m3 - m2**2
    d, e, f = m0 * m4 - m2**2, m1 * m2 - m0 * m3, m0 * m2 - m1**2
    size = m0 * a + m1 * b + m2 * c
    slope = (b * r0 + d * r1 + e * r2) / size / unit
    bend = 2 * (c * r0 + e * r1 + f * r2) / size / unit**2
    return _Parabolas(
        height=(a * r0 + b * r1 + c * r2) / size + np.polynomial.polynomial.polyval(s, whole),
        slope=(slope + whole[1] + 2 * whole[2] * s) / half,
        bend=(bend + 2 * whole[2]) / half**2,
        height_spread=a / size,
        bend_spread=4 * f / size / unit**4 / half**4,
    )
