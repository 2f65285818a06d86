"""A measured edge against the shape that was asked for, and the left edge against the right."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache
from statistics import NormalDist
from typing import Any

import numpy as np

from bladelab._checks import number
from bladelab._errors import InputError
from bladelab.shape.rocker import Rocker
from bladelab.workshop.gauge import GaugeReadings
from bladelab.workshop.trace import Array, Trace, local_curve

_DOUBT = 1.96


@dataclass(frozen=True, eq=False)
class Deviation:
    """How far a measured edge lies from a target shape, offset and tilt fitted away.

    `x_mm`, `deviation_mm`, `error_mm`: arrays along the runner; positive where steel stands proud of the
    target (the edge is lower than it should be). `tolerance_mm`: as set by the user.
    """

    x_mm: Array
    deviation_mm: Array
    error_mm: Array
    tolerance_mm: float

    @property
    def largest_mm(self) -> float:
        """The deviation of largest size, with its sign, mm."""
        return float(self.deviation_mm[np.argmax(np.abs(self.deviation_mm))])

    @property
    def largest_at_mm(self) -> float:
        """Where it lies, mm."""
        return float(self.x_mm[np.argmax(np.abs(self.deviation_mm))])

    @property
    def verdict(self) -> str:
        """``"within"``, ``"outside"``, or ``"too close to call"`` where the measurement's error (95 %) spans
        the tolerance.
        """
        size = np.abs(self.deviation_mm)
        if (size - _DOUBT * self.error_mm > self.tolerance_mm).any():
            return "outside"
        return "within" if (size + _DOUBT * self.error_mm <= self.tolerance_mm).all() else "too close to call"


def deviation(
    trace: Trace | GaugeReadings, target: Rocker, tolerance_mm: float = 0.05, window_mm: float = 20.0
) -> Deviation:
    """Compare a trace with the shape that was asked for.

    Definition
    ----------
    The trace is turned level; the offset and tilt that leave the least squares of (target - trace) are taken
    off; what remains is smoothed by parabolas over `window_mm`.

    Parameters
    ----------
    trace : Trace or GaugeReadings
        Its x must be that of the target: 0 at mid-length of the runner. Gauge readings are rebuilt into
        heights; the error is the scatter of 60 rebuilt edges whose readings were drawn anew with their error.
    target : Rocker
        At least as long as the trace.
    tolerance_mm : float
        Allowed deviation, mm.
    window_mm : float
        Length over which single readings are averaged, mm; features shorter than this are flattened.

    Raises
    ------
    ValueError
        If the trace reaches beyond the target's runner, or a number is out of range.
    """
    if isinstance(trace, GaugeReadings):
        rebuilt = deviation(trace.trace, target, tolerance_mm, window_mm)
        return replace(rebuilt, error_mm=_rebuilt_error(trace))
    tolerance = number("tolerance_mm", tolerance_mm, "mm", 0.0, low_open=True)
    half = target.length_mm / 2
    # Turning level can carry the last reading a hair over the end.
    if trace.x_mm[0] < -half - 0.5 or trace.x_mm[-1] > half + 0.5:
        raise InputError(
            f"the trace runs from {trace.x_mm[0]:g} to {trace.x_mm[-1]:g} mm; the target only from {-half:g} "
            f"to {half:g} mm, 0 at "
            "mid-length: set the trace's zero at mid-length, or lengthen the target"
        )
    level = trace.level()
    apart = target.height_mm(np.clip(level.x_mm, -half, half)) - level.y_mm
    line = np.polynomial.polynomial.polyfit(level.x_mm, apart, 1)
    rest = Trace(level.x_mm, apart - np.polynomial.polynomial.polyval(level.x_mm, line), trace.error_mm)
    smooth = local_curve(rest, level.x_mm, window_mm)
    # What the line took off no longer scatters.
    place = level.x_mm - level.x_mm.mean()
    taken = smooth.noise_mm**2 * (1 / len(place) + place**2 / np.sum(place**2))
    error = np.sqrt(np.maximum(smooth.height_error_mm**2 - taken, 0.0))
    return Deviation(smooth.x_mm, smooth.height_mm, error, tolerance)


@lru_cache(maxsize=8)
def _rebuilt_error(readings: GaugeReadings) -> Array:
    """Standard error of the heights rebuilt from gauge readings, offset and tilt taken off, at each place."""
    error = readings.error_mm or max(readings.fit_zones().noise_mm, 1e-9)
    rng = np.random.default_rng(20260901)
    edges = []
    for _ in range(60):
        drawn = readings.versine_mm + error * rng.standard_normal(len(readings.versine_mm))
        trace = replace(readings, versine_mm=np.clip(drawn, 1e-6, readings.chord_mm / 2)).trace
        line = np.polynomial.polynomial.polyfit(trace.x_mm, trace.y_mm, 1)
        edges.append(trace.y_mm - np.polynomial.polynomial.polyval(trace.x_mm, line))
    return np.std(edges, axis=0, ddof=1)


@dataclass(frozen=True, eq=False)
class SideDifference:
    """Left against right along the runner, offset and tilt fitted away.

    `difference_mm`: left height less right height, so positive where the right has more steel. `error_mm`:
    its standard error. `threshold_mm`: the size beyond which it is more than the two measurements can explain
    (5 in 100 pairs of equal skates would pass it anywhere). `differs`: where it passes.
    """

    x_mm: Array
    difference_mm: Array
    error_mm: Array
    threshold_mm: Array
    window_mm: float

    @property
    def differs(self) -> Any:
        """True where left and right differ by more than the measurement can tell."""
        return np.abs(self.difference_mm) > self.threshold_mm

    @property
    def stretches_mm(self) -> list[tuple[float, float]]:
        """Stretches (from, to) where they differ, mm; less than half a window apart they count as one."""
        edges = np.flatnonzero(np.diff(np.concatenate([[0], self.differs.astype(int), [0]])))
        stretches: list[tuple[float, float]] = []
        for a, b in zip(edges[::2], edges[1::2], strict=True):
            start, end = float(self.x_mm[a]), float(self.x_mm[b - 1])
            if stretches and start - stretches[-1][1] < self.window_mm / 2:
                start = stretches.pop()[0]
            stretches.append((start, end))
        return stretches

    @property
    def largest_mm(self) -> float:
        """The difference of largest size, with its sign, mm."""
        return float(self.difference_mm[np.argmax(np.abs(self.difference_mm))])

    @property
    def largest_at_mm(self) -> float:
        """Where it lies, mm."""
        return float(self.x_mm[np.argmax(np.abs(self.difference_mm))])


def left_against_right(
    left: Trace, right: Trace, window_mm: float = 30.0, step_mm: float = 2.0
) -> SideDifference:
    """Compare the traces of the two skates over the stretch they share.

    Definition
    ----------
    Both are turned level and smoothed by parabolas over `window_mm` at the same places; the straight line
    through the differences is taken off. Threshold: z * error, with z the two-sided 5 % point shared among
    the independent windows (Bonferroni).

    Raises
    ------
    ValueError
        If the traces share less than 5 windows, or a number is out of range.

    Notes
    -----
    Both traces must be measured from the same mark: a shift along the runner looks like a tilt and, between
    zones, like a difference.
    """
    left, right = left.level(), right.level()
    window = number("window_mm", window_mm, "mm", 1.0)
    step = number("step_mm", step_mm, "mm", 0.01, window)
    start, end = max(left.x_mm[0], right.x_mm[0]), min(left.x_mm[-1], right.x_mm[-1])
    if end - start < 5 * window:
        raise InputError(
            f"left and right share {max(end - start, 0):.4g} mm; they must share at least {5 * window:g} mm "
            "(5 windows): measure both "
            "over the same stretch, from the same mark"
        )
    x = np.linspace(start, end, int((end - start) / step) + 1)
    a, b = local_curve(left, x, window), local_curve(right, x, window)
    apart = a.height_mm - b.height_mm
    apart = apart - np.polynomial.polynomial.polyval(x, np.polynomial.polynomial.polyfit(x, apart, 1))
    error = np.hypot(a.height_error_mm, b.height_error_mm)
    # A parabola has three free numbers in each window; the smooth curve between them has peaks of its own.
    # Five a window keeps the share of false alarms at 5 in 100 (tests/workshop).
    independent = 5 * (end - start) / window
    return SideDifference(x, apart, error, NormalDist().inv_cdf(1 - 0.025 / independent) * error, window)
