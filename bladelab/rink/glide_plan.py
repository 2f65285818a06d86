"""Before a glide-out: how well it will tell, and how many runs a difference between two blades takes."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from bladelab._checks import keep, keep_number, number, numbers
from bladelab._errors import InputError
from bladelab._types import Array
from bladelab._values import by_value
from bladelab.physics.ice import GRAVITY_M_S2
from bladelab.rink.coasting import STILL_M_S, passing_time, speed_after
from bladelab.rink.runs import FASTEST_GLIDE_M_S, Runs

#: More runs on one blade than anyone skates in a session.
MOST_RUNS = 200
#: Runs that all start alike tell ice from air by four marks or more.
FEWEST_PLANNED = 4


@by_value
@dataclass(frozen=True, eq=False)
class GlidePlan:
    """Runs to be skated, half of them in each direction, and what is expected of the skater.

    Parameters
    ----------
    distance_m : array (marks,)
        Where the marks are, m, rising.
    start_speed_m_s : float
        At the first mark, m/s, 0.3 to 9.
    mass_kg : float
        Skater with equipment, kg, 10 to 250.
    mu : float
        Friction coefficient expected, 0.001 to 0.1.
    cda_m2 : float
        Drag area expected, m2, 0 to 2: standing 0.65, half crouched 0.27 (cross-country skiers, 1988,
        abstract).
    timing_error_s : float
        Scatter of one time, s, 0.0005 to 1: a stopwatch 0.1, a video of 60 frames a second 0.01.
    run_cv_percent : float
        How much the friction itself varies from run to run, per cent, 0 to 50: crouch, line, ice. No source:
        5 is our own assumption.
    air_density_kg_m3 : float
        0.5 to 2.

    Raises
    ------
    ValueError
        If a number is out of range, or the skater stops before the fourth mark.

    Examples
    --------
    >>> from bladelab.rink.glide_plan import GlidePlan
    >>> plan = GlidePlan([0, 5, 10, 15, 20, 25], 2.5, 80.0)
    >>> plan.runs_needed(20.0) > plan.runs_needed(40.0)
    True
    """

    distance_m: ArrayLike
    start_speed_m_s: float
    mass_kg: float
    mu: float = 0.006
    cda_m2: float = 0.5
    timing_error_s: float = 0.1
    run_cv_percent: float = 5.0
    air_density_kg_m3: float = 1.29

    def __post_init__(self) -> None:
        marks = np.atleast_1d(numbers("distance_m", self.distance_m, "m", 0.0, 500.0))
        if marks.ndim != 1 or len(marks) < FEWEST_PLANNED or (np.diff(marks) <= 0).any():
            raise InputError(
                f"distance_m is {np.array2string(marks, threshold=8)}; it must be at least {FEWEST_PLANNED} "
                "marks that rise"
            )
        keep(self, distance_m=marks)
        keep_number(
            self,
            start_speed_m_s=("m/s", 0.3, FASTEST_GLIDE_M_S),
            mass_kg=("kg", 10.0, 250.0),
            mu=("", 0.001, 0.1),
            cda_m2=("m2", 0.0, 2.0),
            timing_error_s=("s", 0.0005, 1.0),
            run_cv_percent=("%", 0.0, 50.0),
            air_density_kg_m3=("kg/m3", 0.5, 2.0),
        )
        if self.reached < FEWEST_PLANNED:
            raise InputError(
                f"at {self.start_speed_m_s:g} m/s the skater stops before mark {self.reached + 1} of "
                f"{len(marks)}; at least {FEWEST_PLANNED} must be passed: start faster or tape closer marks"
            )

    @property
    def _slowing(self) -> tuple[float, float]:
        return GRAVITY_M_S2 * self.mu, self.air_density_kg_m3 * self.cda_m2 / (2 * self.mass_kg)

    @property
    def _reach(self) -> Array:
        marks = np.asarray(self.distance_m, dtype=float)
        reach: Array = marks - marks[0]
        return reach

    @property
    def reached(self) -> int:
        """How many of the marks the skater passes before stopping."""
        return int(np.sum(speed_after(self._reach, self.start_speed_m_s, *self._slowing) > 2 * STILL_M_S))

    @property
    def end_speed_m_s(self) -> float:
        """Speed at the last mark reached, m/s."""
        return float(speed_after(self._reach[: self.reached], self.start_speed_m_s, *self._slowing)[-1])

    @property
    def glide_s(self) -> float:
        """How long a run takes from the first to the last mark reached, s."""
        return float(passing_time(self._reach[: self.reached], self.start_speed_m_s, *self._slowing)[-1])

    def expected_errors(self, runs: int) -> tuple[float, float, float]:
        """Return the standard errors of friction and drag area (m2), and their correlation.

        Parameters
        ----------
        runs : int
            2 to 200 on one blade; of an odd number one more in one direction.
        """
        count = int(number("runs", runs, "", 2, MOST_RUNS))
        cov = self._covariance(np.zeros(count, dtype=np.intp))
        mu_error, cda_error = np.sqrt(np.diag(cov)[:2])
        correlation = cov[0, 1] / (mu_error * cda_error)
        return float(np.hypot(mu_error, self._varies / np.sqrt(count))), float(cda_error), float(correlation)

    @property
    def _varies(self) -> float:
        """How much the friction coefficient varies from run to run."""
        return self.mu * self.run_cv_percent / 100

    def difference_error(self, runs_each: int) -> float:
        """Return the standard error of the difference in friction between two blades, one skater, in the same
        crouch: the drag area is one for both.

        Parameters
        ----------
        runs_each : int
            2 to 200 on each blade.
        """
        count = int(number("runs_each", runs_each, "", 2, MOST_RUNS))
        cov = self._covariance(np.repeat([0, 1], count))
        timing = cov[0, 0] + cov[1, 1] - 2 * cov[0, 1]
        return float(np.sqrt(timing + 2 * self._varies**2 / count))

    def runs_needed(self, difference_percent: float, power: float = 0.8) -> int:
        """Return how many runs on each blade show a difference of so many per cent of the friction.

        Definition
        ----------
        The least even number for which the difference is found with this chance at 5 % two-sided, from the
        noncentral t distribution.

        Parameters
        ----------
        difference_percent : float
            0.1 to 500.
        power : float
            0.5 to 0.99.

        Raises
        ------
        ValueError
            If it takes more than 200 on each blade.
        """
        from scipy.stats import nct, t

        percent = number("difference_percent", difference_percent, "%", 0.1, 500.0)
        wanted = number("power", power, "", 0.5, 0.99)
        # Errors fall with the root of the number of runs, exactly, since every run is like the others.
        of_two = self.difference_error(2)
        runs = np.arange(2, MOST_RUNS + 1, 2)
        free = 2 * runs - 3  # the run is the unit; two frictions and a slope are found
        away = self.mu * percent / 100 / (of_two * np.sqrt(2 / runs))
        # Beyond some 30 standard errors nothing is left to chance, and scipy gives no number.
        chance = np.where(away > 30, 1.0, nct.sf(t.ppf(0.975, free), free, np.minimum(away, 30)))
        if (enough := runs[chance >= wanted]).size:
            return int(enough[0])
        raise InputError(
            f"a difference of {percent:g} % takes more than {MOST_RUNS} runs on each blade with "
            f"{self.timing_error_s:g} s for one time; start slower, use video, or look for a larger one"
        )

    def _covariance(self, blade: Array) -> Array:
        """Of all unknowns, for runs on these blades, the directions in turn."""
        count = len(blade)
        marks = self._reach[: self.reached]
        runs = Runs(
            marks,
            np.zeros((count, len(marks))),
            self.mass_kg,
            np.where(np.arange(count) % 2, -1.0, 1.0),
            blade.astype(np.intp),
            self.air_density_kg_m3 / 2,
        )
        friction = [self.mu] * (int(blade.max()) + 1)
        unknowns = np.array([*friction, self.cda_m2, 0.0, *[self.start_speed_m_s] * count])
        rows = runs.steepness(unknowns).reshape(-1, len(unknowns))
        scale = np.linalg.norm(rows, axis=0)
        unit = np.linalg.inv((rows / scale).T @ (rows / scale)) / np.outer(scale, scale)
        whole: Array = self.timing_error_s**2 * unit
        return whole
