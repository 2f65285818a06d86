"""Which of two blades glides better, from runs of one skater on both."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from bladelab._errors import InputError
from bladelab._types import Array
from bladelab._values import by_value
from bladelab.rink.glide_fit import between_runs_p, interval, solve_runs
from bladelab.rink.runs import checked_runs


@by_value
@dataclass(frozen=True, eq=False)
class GlideDifference:
    """Two blades on the same ice, glided by one skater in the same crouch.

    Attributes
    ----------
    mu : (float, float)
        Friction coefficient on the first and the second blade.
    mu_error : (float, float)
        Their standard errors.
    difference, difference_error : float
        The second less the first, and its standard error.
    cda_m2, cda_error : float
        The drag area of both, m2.
    p : float
        How often a difference as large would come up by chance if there were none.
    slope : float
        How much the ice rises in direction 1, with the wind in it, m per m; NaN for runs in one direction.
    start_speed_m_s : array (runs,)
        At the first mark.
    degrees_of_freedom : int
    outliers : tuple of (int, int)
        Run and mark, from 0, of times too far from the fit to be chance.
    between_runs_p : float
        How often runs on one blade would differ as much from each other by timing alone; NaN for too few.

    Examples
    --------
    >>> from bladelab.rink.glide_compare import compare_glide_outs
    >>> marks = [0, 4, 8, 12, 16, 20]
    >>> runs = [
    ...     [0.00, 1.36, 2.79, 4.27, 5.84, 7.49],
    ...     [0.00, 1.61, 3.29, 5.07, 6.95, 8.98],
    ...     [0.00, 1.37, 2.81, 4.33, 5.95, 7.69],
    ...     [0.00, 1.62, 3.34, 5.18, 7.17, 9.38],
    ... ]
    >>> found = compare_glide_outs(marks, runs, 80.0, [0, 0, 1, 1], direction=[1, -1, 1, -1])
    >>> found.difference > 0
    True
    """

    mu: tuple[float, float]
    mu_error: tuple[float, float]
    difference: float
    difference_error: float
    cda_m2: float
    cda_error: float
    p: float
    slope: float
    start_speed_m_s: Array
    degrees_of_freedom: int
    outliers: tuple[tuple[int, int], ...]
    between_runs_p: float

    @property
    def interval(self) -> tuple[float, float]:
        """The differences that agree with the times (95 %)."""
        return interval(self.difference, self.difference_error, self.degrees_of_freedom)

    @property
    def percent(self) -> tuple[float, float, float]:
        """The difference, and the lower and the upper end of its interval, as % of the first friction."""
        share = 100 / self.mu[0]
        low, high = self.interval
        return share * self.difference, share * low, share * high


def compare_glide_outs(
    distance_m: ArrayLike,
    time_s: ArrayLike,
    mass_kg: float,
    blade: ArrayLike,
    direction: ArrayLike | None = None,
    air_density_kg_m3: float = 1.29,
) -> GlideDifference:
    """Find the difference in friction between two blades.

    Definition
    ----------
    As `fit_glide_out`, with one friction for each blade and one drag area and slope for all runs: what the
    runs can't tell of the air falls out of the difference.

    Parameters
    ----------
    distance_m, time_s, mass_kg, direction, air_density_kg_m3
        As in `fit_glide_out`, the runs of both blades together.
    blade : array (runs,)
        0 or 1 for each run.

    Returns
    -------
    GlideDifference

    Raises
    ------
    ValueError
        As `fit_glide_out`, or if all runs are on one blade, or each blade goes a way of its own.

    Examples
    --------
    >>> marks, mass = [0, 5, 10, 15, 20], 80.0
    >>> slow, quick = [0.0, 1.71, 3.53, 5.50, 7.66], [0.0, 1.71, 3.50, 5.39, 7.40]
    >>> found = compare_glide_outs(marks, [slow, quick], mass, [0, 1])
    >>> print(f"{found.difference:.4f}")
    -0.0027
    """
    from scipy.stats import t

    runs = checked_runs(distance_m, time_s, mass_kg, direction, air_density_kg_m3, blade)
    if sorted(set(runs.blade.tolist())) != [0, 1]:
        raise InputError(
            f"blade is {runs.blade.tolist()!s:.60}; it must be 0 or 1 for each run, with runs on both blades"
        )
    ways = [set(runs.direction[runs.blade == blade].tolist()) for blade in (0, 1)]
    if runs.both_ways and all(len(way) == 1 for way in ways):
        raise InputError(
            "all runs on the first blade go one way and all on the second the other, so a slope would count "
            "as friction; each blade must be skated both ways"
        )
    found = solve_runs(runs)
    cov = found.covariance
    difference = found.value("mu 1") - found.value("mu 0")
    error = float(np.sqrt(cov[0, 0] + cov[1, 1] - 2 * cov[0, 1]))
    away = abs(difference) / error if error else np.inf
    return GlideDifference(
        (found.value("mu 0"), found.value("mu 1")),
        (found.error("mu 0"), found.error("mu 1")),
        difference,
        error,
        found.value("cda"),
        found.error("cda"),
        float(2 * t.sf(away, runs.free)),
        found.value("slope") if runs.both_ways else float("nan"),
        found.unknowns[len(runs.names) :],
        runs.free,
        found.outliers,
        between_runs_p(found),
    )
