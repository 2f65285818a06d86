"""A measured edge against the shape you ordered, and the left edge against the right."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from statistics import NormalDist

import numpy as np

from bladelab._checks import number, takes
from bladelab._errors import InputError
from bladelab._types import Array, OneOrMany
from bladelab._values import by_value
from bladelab.shape.rocker import Rocker
from bladelab.workshop.gauge import GaugeReadings
from bladelab.workshop.levelling import laid_along
from bladelab.workshop.trace import Trace, local_curve

_DOUBT = 1.96
_GAUGE_DRAWS = 400
#: The line of least absolute deviations follows the errors less closely than that of least squares, by which
#: the draws are made: with this factor 2 to 8 in 100 pairs of equal skates differ (tests/workshop).
_LESS_CLOSELY = 1.3


@by_value
@dataclass(frozen=True, eq=False)
class Deviation:
    """How far a measured edge is off a target shape.

    Attributes
    ----------
    x_mm : array, shape (n,)
        Places along the stretch that was measured, mm.
    deviation_mm : array, shape (n,)
        Positive where there is steel beyond the target (the edge is lower than it should be), mm.
    error_mm : array, shape (n,)
        Its standard error, mm.
    tolerance_mm : float
        As set by the user, mm.
    level_known : bool
        Whether the level was measured too. If not, offset and tilt are fitted away: the shape is
        compared, but the level point is not, and no verdict here says anything about it.
    """

    x_mm: Array
    deviation_mm: Array
    error_mm: Array
    tolerance_mm: float
    level_known: bool = False

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


@takes(trace=(Trace, GaugeReadings), target=Rocker)
def deviation(
    trace: Trace | GaugeReadings, target: Rocker, tolerance_mm: float = 0.05, window_mm: float = 20.0
) -> Deviation:
    """Compare a trace with the shape that was ordered.

    Definition
    ----------
    The trace is turned level; (target - trace) is smoothed by parabolas over `window_mm`; the line of least
    absolute deviations through it is taken off (`straight_line`), so that a bad spot shows at its true size
    and place. Of a trace whose level is known only the median is taken off: there a wrong level point shows
    as a slope of 1 / radius for each mm.

    Parameters
    ----------
    trace : Trace or GaugeReadings
        Its x must be that of the target: 0 at mid-length of the runner. Gauge readings are rebuilt into
        heights; the error is the scatter of 60 rebuilt edges whose readings were redrawn with their error.
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

    Examples
    --------
    >>> import numpy as np
    >>> from bladelab import Rocker, Trace
    >>> x = np.linspace(-100.0, 100.0, 81)
    >>> found = deviation(Trace(x, Rocker.single(3352.8, 280.0).height_mm(x)), Rocker.single(3048.0, 280.0))
    >>> print(f"{float(np.abs(found.deviation_mm).max()):.2f} mm")
    0.11 mm
    """
    if isinstance(trace, GaugeReadings):
        rebuilt = deviation(trace.trace, target, tolerance_mm, window_mm)
        return replace(rebuilt, error_mm=_rebuilt_error(trace, window_mm))
    tolerance = number("tolerance_mm", tolerance_mm, "mm", 0.0, low_open=True)
    half = target.length_mm / 2
    # Turning level can carry the last reading a hair over the end.
    if trace.x_mm[0] < -half - 0.5 or trace.x_mm[-1] > half + 0.5:
        raise InputError(
            f"the trace runs from {trace.x_mm[0]:g} to {trace.x_mm[-1]:g} mm; the target only from {-half:g} "
            f"to {half:g} mm, 0 at mid-length: set the trace's zero at mid-length, or lengthen the target"
        )
    level = trace.level()
    x = level.x_mm
    apart = Trace(x, target.height_mm(np.clip(x, -half, half)) - level.y_mm, trace.error_mm)
    smooth = local_curve(apart, x, window_mm)
    if level.level_error_deg is not None:
        error = np.hypot(smooth.height_error_mm, x * np.tan(np.radians(level.level_error_deg)))
        away = smooth.height_mm - np.median(smooth.height_mm)
        return Deviation(x, away, error, tolerance, level_known=True)
    # What the line took off no longer scatters.
    place = x - x.mean()
    taken = smooth.noise_mm**2 * (1 / len(place) + place**2 / np.sum(place**2))
    error = np.sqrt(np.maximum(smooth.height_error_mm**2 - taken, 0.0))
    return Deviation(x, laid_along(x, smooth.height_mm), error, tolerance)


@lru_cache(maxsize=8)
def _rebuilt_error(readings: GaugeReadings, window_mm: float) -> Array:
    """Standard error of the heights rebuilt from gauge readings, smoothed and laid along, at each place."""
    error = readings.error_mm or max(readings.fit_zones().noise_mm, 1e-9)
    rng = np.random.default_rng(20260901)
    rebuilt = readings.trace
    edges = []
    for _ in range(60):
        drawn = readings.versine_mm + error * rng.standard_normal(len(readings.versine_mm))
        again = replace(readings, versine_mm=np.clip(drawn, 1e-6, readings.chord_mm / 2)).trace
        apart = local_curve(Trace(again.x_mm, again.y_mm - rebuilt.y_mm), again.x_mm, window_mm).height_mm
        edges.append(laid_along(again.x_mm, apart))
    return np.asarray(np.std(edges, axis=0, ddof=1))


@by_value
@dataclass(frozen=True, eq=False)
class SideDifference:
    """Left against right along the runner, offset and tilt fitted away.

    Attributes
    ----------
    x_mm : array, shape (n,)
        Places along the stretch that both share, mm.
    difference_mm : array, shape (n,)
        Left height less right height, mm: positive where the right has more steel.
    error_mm : array, shape (n,)
        Its standard error, mm.
    threshold_mm : array, shape (n,)
        The size beyond which it is more than the two measurements can explain, mm: 5 in 100 pairs of
        equal skates would pass it anywhere.
    window_mm : float
        Length over which readings were averaged, mm.
    """

    x_mm: Array
    difference_mm: Array
    error_mm: Array
    threshold_mm: Array
    window_mm: float

    @property
    def differs(self) -> OneOrMany:
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


@takes(left=(Trace, GaugeReadings), right=(Trace, GaugeReadings))
def left_against_right(
    left: Trace | GaugeReadings, right: Trace | GaugeReadings, window_mm: float = 30.0, step_mm: float = 2.0
) -> SideDifference:
    """Compare what was measured of the two skates over the stretch that both share.

    Definition
    ----------
    Both are turned level and smoothed by parabolas over `window_mm` at the same places; the line of least
    absolute deviations is taken off, as in `deviation`. Threshold of two traces: z * error, with z the
    two-sided 5 % point shared among the independent readings (Bonferroni). Gauge readings are rebuilt into
    heights, whose errors go together all along the edge: they are drawn 400 times (`_gauge_error`), and the
    threshold is the share of its error that 95 in 100 draws stay within everywhere.

    Raises
    ------
    ValueError
        If the two share less than 5 windows, or a number is out of range.

    Notes
    -----
    Both edges must be measured from the same mark: a shift along the runner looks like a tilt and, between
    zones, like a difference. A gauge tells a difference less well than heights do: a few hundredths of a mm
    at best, and nothing that is much shorter than its chord.

    Examples
    --------
    >>> import numpy as np
    >>> from bladelab import Rocker, Trace
    >>> x = np.linspace(-120.0, 120.0, 121)
    >>> left, right = (Trace(x, Rocker.single(r, 280.0).height_mm(x), 0.005) for r in (3048.0, 3352.8))
    >>> bool(np.any(left_against_right(left, right).differs))
    True
    """
    first, second = ((e.trace if isinstance(e, GaugeReadings) else e).level() for e in (left, right))
    window = number("window_mm", window_mm, "mm", 1.0)
    step = number("step_mm", step_mm, "mm", 0.01, window)
    start, end = max(first.x_mm[0], second.x_mm[0]), min(first.x_mm[-1], second.x_mm[-1])
    if end - start < 5 * window:
        raise InputError(
            f"left and right share {max(end - start, 0):.4g} mm; they must share at least {5 * window:g} mm "
            "(5 windows): measure both over the same stretch, from the same mark"
        )
    x = np.linspace(start, end, int((end - start) / step) + 1)
    a, b = local_curve(first, x, window), local_curve(second, x, window)
    apart = laid_along(x, a.height_mm - b.height_mm)
    heights = [c.height_error_mm for c, e in ((a, left), (b, right)) if isinstance(e, Trace)]
    error = np.sqrt(np.sum([np.zeros_like(x), *(h**2 for h in heights)], axis=0))
    # A parabola has three free numbers in each window, the smooth curve between them has peaks of its own,
    # and the line follows the scatter less closely than one of least squares. Drawn 600 times each for seven
    # spacings and windows, ten a window give 3 to 6 false alarms in 100 pairs (tests/workshop).
    independent = 10 * (end - start) / window
    threshold = NormalDist().inv_cdf(1 - 0.025 / independent) * error
    if gauges := [edge for edge in (left, right) if isinstance(edge, GaugeReadings)]:
        rebuilt, limit = _gauge_error(gauges, x)
        error, threshold = np.hypot(error, rebuilt), np.hypot(threshold, limit)
    return SideDifference(x, apart, error, threshold, window)


def _gauge_error(gauges: Sequence[GaugeReadings], x_mm: Array) -> tuple[Array, Array]:
    """Standard error of the sum of heights rebuilt from gauge readings, a straight line taken off, and the
    limit within which it stays everywhere in 95 of 100 draws.

    One reading that is off bends the edge around its place, linearly up to the next reading: integrated
    twice, that lifts all the rest of it.
    """
    rng = np.random.default_rng(20260901)
    draws = np.zeros((_GAUGE_DRAWS, len(x_mm)))
    along = np.diff(x_mm, prepend=x_mm[0])
    for readings in gauges:
        noise = readings.error_mm or max(readings.fit_zones().noise_mm, 1e-9)
        errors = replace(readings, error_mm=noise).standard_error_mm
        assert errors is not None
        bends = errors / readings.radius_mm**2
        place = readings.position_mm
        hats = np.array([np.interp(x_mm, place, row) for row in np.eye(len(place))])
        lifts = np.cumsum(np.cumsum(hats * along, axis=1) * along, axis=1)
        few = 1.0 if readings.error_mm else 1 + 2 / max(len(place) - 2, 1)  # an error told by few readings
        draws += few * rng.standard_normal((_GAUGE_DRAWS, len(place))) @ (bends[:, None] * lifts)
    line = np.polynomial.polynomial.polyfit(x_mm, draws.T, 1)
    draws = draws - np.polynomial.polynomial.polyval(x_mm, line)
    error = draws.std(axis=0)
    within = float(np.quantile((np.abs(draws) / error).max(axis=1), 0.95))
    return error, _LESS_CLOSELY * within * error
