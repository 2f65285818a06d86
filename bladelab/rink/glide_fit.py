"""How does it glide? Friction and drag area from the times at which a coasting skater passes taped marks."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike

from bladelab._errors import InputError
from bladelab._types import Array, Truths
from bladelab._values import by_value
from bladelab.rink.runs import Runs, checked_runs

# A time is named as an outlier if one as far off happens in fewer than this share of such tests.
_RARE = 0.05
# Beyond this ratio of the largest to the smallest of the scaled unknowns the times can't tell them apart.
_WORST_CONDITION = 1e8
# A fit takes some ten steps; one that takes more than this goes nowhere, since the times don't tell where.
_MOST_STEPS = 200


@by_value
@dataclass(frozen=True, eq=False)
class GlideFit:
    """What a glide-out says of ice and air.

    Attributes
    ----------
    mu, mu_error : float
        Friction coefficient of the skater on the ice, and its standard error.
    cda_m2, cda_error : float
        Drag area, m2, and its standard error.
    correlation : float
        Of both errors: near -1 where the runs can hardly tell ice from air.
    slope, slope_error : float
        How much the ice rises in direction 1, with the wind in it, m per m; NaN for runs in one direction.
    timing_error_s : float
        Scatter of one time about the fit, s.
    degrees_of_freedom : int
    distance_m, time_s, direction : array
        The marks (marks,), the times (runs, marks) and the directions (runs,).
    start_speed_m_s : array (runs,)
        At the first mark.
    residual_s : array (runs, marks)
        Time written down less time by the fit, s; NaN where a mark was missed.
    outliers : tuple of (int, int)
        Run and mark, from 0, of times too far from the fit to be chance.
    between_runs_p : float
        How often the runs would differ as much from each other by timing alone; NaN for too few. Where it is
        small, the skater or the ice changed from run to run, and the errors above are too small.

    Examples
    --------
    >>> from bladelab import fit_glide_out
    >>> marks = [0, 4, 8, 12, 16, 20, 24]
    >>> east = [0.00, 1.36, 2.78, 4.28, 5.84, 7.50, 9.25]
    >>> west = [0.00, 1.61, 3.29, 5.07, 6.96, 8.97, 11.13]
    >>> fit = fit_glide_out(marks, [east, west], 80.0, direction=[1, -1])
    >>> print(f"{fit.mu:.4f} +- {fit.mu_error:.4f}")
    0.0054 +- 0.0008
    """

    mu: float
    mu_error: float
    cda_m2: float
    cda_error: float
    correlation: float
    slope: float
    slope_error: float
    timing_error_s: float
    degrees_of_freedom: int
    distance_m: Array
    time_s: Array
    direction: Array
    start_speed_m_s: Array
    residual_s: Array
    outliers: tuple[tuple[int, int], ...]
    between_runs_p: float

    @property
    def mu_interval(self) -> tuple[float, float]:
        """The friction coefficients that agree with the times (95 %)."""
        return interval(self.mu, self.mu_error, self.degrees_of_freedom)

    @property
    def cda_interval_m2(self) -> tuple[float, float]:
        """The drag areas that agree with the times, m2 (95 %)."""
        return interval(self.cda_m2, self.cda_error, self.degrees_of_freedom)


def fit_glide_out(
    distance_m: ArrayLike,
    time_s: ArrayLike,
    mass_kg: float,
    direction: ArrayLike | None = None,
    air_density_kg_m3: float = 1.29,
) -> GlideFit:
    """Find friction and drag area from times at taped marks.

    Definition
    ----------
    Least squares of the times over dv/dt = -(mu g + rho CdA v^2 / (2 m)), each run with a start of its own in
    speed and in time; with runs in both directions mu + slope one way and mu - slope the other. Errors by the
    scatter of the times and the t distribution.

    Parameters
    ----------
    distance_m : array (marks,)
        How far the skater has glided at each mark, m, rising; at least 3. The same both ways: tape the marks
        evenly.
    time_s : array (marks,) or (runs, marks)
        When each was passed, s, on any clock; NaN for a missed mark. At least 3 in each run.
    mass_kg : float
        Skater with equipment, kg, 10 to 250.
    direction : array (runs,), optional
        1 or -1 for each run. Left out: all in one direction, and a slope counts as friction.
    air_density_kg_m3 : float
        0.5 to 2; 1.29 at 0 °C.

    Returns
    -------
    GlideFit

    Raises
    ------
    ValueError
        If marks or times don't rise, the skater gets faster, or there are too few times.

    Notes
    -----
    The drag area may come out below 0 where the runs can't tell it from the friction; its error says so. At 5
    m/s the air slows 2.4 times as much as the ice: only runs that end below 3 m/s tell the ice. The intervals
    hold for errors of timing that are independent; a skater who crouches differently from run to run adds
    to them. A wind counts like a slope, up to its square.

    Examples
    --------
    >>> marks = [0, 4, 8, 12, 16, 20, 24]
    >>> fit = fit_glide_out(marks, [0.00, 1.36, 2.78, 4.28, 5.84, 7.50, 9.25], 80.0)
    >>> print(f"{fit.mu:.4f} +- {fit.mu_error:.4f}")
    0.0049 +- 0.0018
    """
    runs = checked_runs(distance_m, time_s, mass_kg, direction, air_density_kg_m3)
    found = solve_runs(runs)
    slope, slope_error = (found.value("slope"), found.error("slope")) if runs.both_ways else (np.nan, np.nan)
    cov = found.covariance
    return GlideFit(
        mu=found.value("mu 0"),
        mu_error=found.error("mu 0"),
        cda_m2=found.value("cda"),
        cda_error=found.error("cda"),
        correlation=float(cov[0, 1] / np.sqrt(cov[0, 0] * cov[1, 1])) if cov[0, 0] * cov[1, 1] else np.nan,
        slope=float(slope),
        slope_error=float(slope_error),
        timing_error_s=found.timing_error_s,
        degrees_of_freedom=runs.free,
        distance_m=runs.distance_m,
        time_s=runs.time_s,
        direction=runs.direction,
        start_speed_m_s=found.unknowns[len(runs.names) :],
        residual_s=found.residual_s,
        outliers=found.outliers,
        between_runs_p=between_runs_p(found),
    )


@dataclass(frozen=True, eq=False)
class FittedRuns:
    """The fit of some runs: the unknowns, their covariance, and what is left over of the times."""

    runs: Runs
    unknowns: Array
    covariance: Array
    timing_error_s: float
    residual_s: Array
    outliers: tuple[tuple[int, int], ...]

    def value(self, name: str) -> float:
        """Return an unknown by its name."""
        return float(self.unknowns[self.runs.names.index(name)])

    def error(self, name: str) -> float:
        """Return its standard error."""
        at = self.runs.names.index(name)
        return float(np.sqrt(self.covariance[at, at]))


def solve_runs(runs: Runs, start: Array | None = None) -> FittedRuns:
    """Fit the unknowns that the runs have to their times, from `start` on or from a guess.

    Raises
    ------
    ValueError
        If there are too few times, or they can't tell ice from air.
    """
    from scipy.optimize import least_squares

    if runs.free < 1:
        needed = 1 - runs.free
        raise InputError(
            f"{int(runs.seen.sum())} times in {len(runs.time_s)} run{'s' * (len(runs.time_s) > 1)} are too "
            f"few; there must be at least {needed} more: tape more marks or skate more runs"
        )
    seen, times = runs.seen, runs.centred(runs.time_s)
    start = runs.guess() if start is None else start

    def rest(unknowns: Array) -> Array:
        return (runs.times(unknowns) - times)[seen]

    def steepness(unknowns: Array) -> Array:
        return runs.steepness(unknowns)[seen]

    done = least_squares(
        rest, start, steepness, method="lm", x_scale="jac", xtol=1e-9, ftol=1e-9, max_nfev=_MOST_STEPS
    )
    rows = steepness(done.x)
    scale = np.linalg.norm(rows, axis=0)
    if (
        not (done.success and np.isfinite(done.x).all() and scale.all())
        or np.linalg.cond(rows / scale) > _WORST_CONDITION
    ):
        raise InputError("these times can't tell ice from air: start faster, or let the skater glide longer")
    unit = np.linalg.inv((rows / scale).T @ (rows / scale)) / np.outer(scale, scale)
    left = -rest(done.x)
    variance = float(left @ left) / runs.free
    residual = np.full(seen.shape, np.nan)
    residual[seen] = left
    # What each time counts in its own fit; a run's own start in time takes its share too.
    own = np.einsum("ij,jk,ik->i", rows, unit, rows) + np.repeat(1 / seen.sum(1), seen.sum(1))
    return FittedRuns(
        runs,
        done.x,
        variance * unit,
        float(np.sqrt(variance)),
        residual,
        tuple((int(run), int(mark)) for run, mark in np.argwhere(seen)[_outlying(left, own, runs.free)]),
    )


def between_runs_p(found: FittedRuns) -> float:
    """Return how often runs would differ as much by timing alone: an F test against a friction for each run.

    NaN where there are too few runs or times to tell, or too poor ones.
    """
    from scipy.stats import f

    runs = found.runs
    each = replace(runs, blade=np.arange(len(runs.time_s)), direction=np.ones(len(runs.time_s)))
    more = runs.free - each.free
    if each.free < 1 or more < 1:
        return float("nan")
    # Each run begins with the friction found for its blade, and the slope as part of it.
    slope = found.value("slope") * runs.direction if runs.both_ways else 0.0
    friction = found.unknowns[: int(runs.blade.max()) + 1][runs.blade] + slope
    start = np.concatenate([friction, [found.value("cda")], found.unknowns[len(runs.names) :]])
    try:
        apart = solve_runs(each, start)
    except InputError:  # a single run may not tell ice from air where all of them together do
        return float("nan")
    rest, rest_each = (np.nansum(one.residual_s**2) for one in (found, apart))
    if rest_each <= 0:
        return float("nan")
    return float(f.sf((rest - rest_each) / more / (rest_each / each.free), more, each.free))


def _outlying(left: Array, own: Array, free: int) -> Truths:
    """Whether each residual is too far off: studentised without itself, against t, by Bonferroni's rule."""
    from scipy.stats import t

    if free < 2:
        return np.zeros(len(left), dtype=bool)
    room = np.maximum(1 - own, 1e-12)
    without = np.maximum(left @ left - left**2 / room, 1e-300) / (free - 1)
    far = np.abs(left) / np.sqrt(without * room)
    chance: Array = 2 * t.sf(far, free - 1) * len(left)
    # A time that decides its own fit has no residual to judge it by; a rounding error is none either.
    far_off: Truths = (chance < _RARE) & (room > 1e-6) & (np.abs(left) > 1e-9)
    return far_off


def interval(value: float, error: float, free: int) -> tuple[float, float]:
    """The values that agree with an estimate and its standard error (95 %)."""
    from scipy.stats import t

    half = float(t.ppf(0.975, free)) * error
    return value - half, value + half
