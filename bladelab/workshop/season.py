"""A season of upkeep: steel and the drift of the shape, week by week, for many simulated seasons at once."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from bladelab._checks import number, takes
from bladelab._errors import InputError
from bladelab._types import Array, Truths
from bladelab._values import by_value
from bladelab.workshop.season_plan import SeasonPlan

if TYPE_CHECKING:
    import pandas as pd


@by_value
@dataclass(frozen=True, eq=False)
class Season:
    """Simulated seasons of one plan; arrays (seasons, weeks + 1) at the end of each week, column 0 before the
    season.

    A season stops where the next sharpening or re-profile would go below the maker's minimum: from there on
    nothing is ground, and all numbers stay as they are.

    Attributes
    ----------
    plan : SeasonPlan
    steel_left_mm : array
        Height of the steel where it is lowest, mm.
    drift_mm : array
        How far the edge is off its shape: half the span between the place that lost most against it
        and the one that lost least, mm. A re-profile comes at the start of its week.
    tilt_mm : array
        Part of the drift that one end has lost more than the other, mm at the toe; positive: more off the
        toe.
    sharpenings : array (seasons, weeks)
        Number in each week.
    spent_week : array (seasons,)
        The week, counted from 1, in which it stops; infinite where the steel lasts.

    Examples
    --------
    >>> from bladelab import SeasonPlan, simulate_season
    >>> season = simulate_season(SeasonPlan(), seasons=100)
    >>> season.steel_left_mm.shape
    (100, 37)
    """

    plan: SeasonPlan
    steel_left_mm: Array
    drift_mm: Array
    tilt_mm: Array
    sharpenings: NDArray[np.int64]
    spent_week: Array

    def band(self, what: str = "steel_left_mm", low: float = 10.0, high: float = 90.0) -> Array:
        """Return (3, weeks + 1): the `low` percentile, the median and the `high` percentile of one of the
        arrays.
        """
        numbers: Array = getattr(self, what)
        return np.percentile(numbers, [low, 50.0, high], axis=0)

    @property
    def passing_week(self) -> Array:
        """The first week at whose end the drift has passed the tolerance, for each season; infinite where it
        never does.
        """
        over = self.drift_mm > self.plan.tolerance_mm
        return np.where(over.any(axis=1), np.argmax(over, axis=1), np.inf)

    @property
    def passing_share(self) -> float:
        """Share of the seasons in which the drift passes the tolerance at some time."""
        return float(np.isfinite(self.passing_week).mean())

    @property
    def passing_date(self) -> date | None:
        """The date by which half of all seasons have passed the tolerance; None if fewer than half do."""
        week = float(np.median(self.passing_week))
        return self.plan.start + timedelta(days=round(7 * week)) if np.isfinite(week) else None

    @property
    def weeks_beyond(self) -> NDArray[np.int_]:
        """Number of weeks each season skates beyond the tolerance, until it stops."""
        skated = np.arange(1, self.plan.weeks + 1) <= self.spent_week[:, None]
        beyond: Truths = skated & (self.drift_mm[:, 1:] > self.plan.tolerance_mm)
        return np.asarray(np.count_nonzero(beyond, axis=1))

    @property
    def spent_share(self) -> float:
        """Share of the seasons that stop at the maker's minimum height before their end."""
        return float(np.isfinite(self.spent_week).mean())


@takes(plan=SeasonPlan)
def simulate_season(plan: SeasonPlan, seasons: int = 1000, seed: int = 20260901) -> Season:
    """Simulate a plan many times.

    Definition
    ----------
    With s = -1 at the heel and 1 at the toe, a sharpening of steel d takes d (1 + a s + b s^2): a ~ N(0,
    unevenness), b ~ N(rounding of the season, unevenness), d log-normal with the mean and spread of the plan,
    and so are the hours of a week. A log-normal number keeps its mean at any spread and is never 0, nor next
    to it as a gamma number of a large spread often is: no sharpening takes nothing. Several in one week are
    taken as log-normal together, with their mean and variance (Fenton and Wilkinson's way, from memory). A
    sharpening falls due whenever enough hours have gathered. Loss against the shape is A s + B s^2, the sums;
    drift is half its span over -1..1. A re-profile takes as much everywhere as the place that lost most, and
    `reprofile_extra_mm` beyond. What would go below the maker's minimum is not ground: there the season
    stops.

    Parameters
    ----------
    plan : SeasonPlan
    seasons : int
        How many, 1 to 100,000.
    seed : int
        Of the random numbers: the same seed gives the same seasons.

    Notes
    -----
    Two plans under one seed meet the same luck as far as their calendars agree, so that differences show
    sooner. Wear on the ice itself is left out: it dulls the edge, but takes little steel beside a sharpening
    (no source).

    Examples
    --------
    >>> from bladelab import SeasonPlan
    >>> season = simulate_season(SeasonPlan(weeks=20, reprofile_weeks=(0.0,)), seasons=200)
    >>> 0 <= season.passing_share <= 1
    True
    """
    count = int(number("seasons", seasons, "seasons", 1, 100_000))
    rng = np.random.default_rng(int(number("seed", seed, "", 0, 2**63)))
    # The calendar first, then the habit, then the weeks: plans that share a calendar share their luck.
    busy = _lognormal_sum(1, plan.hours_spread, rng.standard_normal((count, plan.weeks)))
    hours = np.cumsum(busy * plan.ice_hours_per_week, axis=1)
    # 3 times 0.3 h are 0.9 h, though not to the last digit of a computer.
    due = np.floor(hours / plan.hours_per_sharpening + 1e-9).astype(np.int64)
    sharpenings = np.diff(due, axis=1, prepend=0)
    habit = plan.rounding + plan.rounding_habit * rng.standard_normal(count)
    luck = rng.standard_normal((3, plan.weeks, count))
    planned = plan.steel_per_sharpening_mm * _lognormal_sum(sharpenings.T, plan.steel_spread, luck[0])

    lost = np.zeros(count)  # by the frame of the shape, at mid-length
    one_end, both_ends = np.zeros(count), np.zeros(count)
    left, drift, tilt = (np.zeros((count, plan.weeks + 1)) for _ in range(3))
    spent = np.full(count, np.inf)
    profiles = list(plan.reprofile_weeks)
    if profiles and profiles[0] == 0:
        lost += plan.first_cut_mm + plan.reprofile_extra_mm
    left[:, 0] = plan.height_mm - lost
    profiles = [w for w in profiles if w > 0]
    for week in range(1, plan.weeks + 1):
        if profiles and profiles[0] <= week - 1:
            cut = _most(one_end, both_ends) + plan.reprofile_extra_mm
            spent[(lost + cut > plan.usable_mm) & np.isinf(spent)] = week
            done = np.isinf(spent)
            lost = lost + np.where(done, cut, 0.0)
            one_end, both_ends = np.where(done, 0.0, one_end), np.where(done, 0.0, both_ends)
            profiles = [w for w in profiles if w > week - 1]
        n = np.where(np.isinf(spent), sharpenings[:, week - 1], 0)
        steel = planned[week - 1]
        # Of n sharpenings the unevenness adds up as the root of n, the habit as n.
        random = plan.unevenness * steel / np.sqrt(np.maximum(n, 1))
        step = np.array([steel, random * luck[1, week - 1], steel * habit + random * luck[2, week - 1]])
        before = lost + _most(one_end, both_ends)
        after = lost + step[0] + _most(one_end + step[1], both_ends + step[2])
        short = (after > plan.usable_mm) & (n > 0)
        spent[short] = week
        # The loss grows ever faster along the week, so those that fit by a straight line do fit.
        fit = np.floor(n * (plan.usable_mm - before) / np.where(short, after - before, 1.0))
        n = np.where(short, fit, n).astype(np.int64)
        sharpenings[:, week - 1], planned_n = n, np.maximum(sharpenings[:, week - 1], 1)
        lost, one_end, both_ends = np.array([lost, one_end, both_ends]) + step * (n / planned_n)
        most, least = _most(one_end, both_ends), -_most(one_end, -both_ends)
        left[:, week] = plan.height_mm - lost - most
        drift[:, week] = (most - least) / 2
        tilt[:, week] = one_end
    return Season(plan, left, drift, tilt, sharpenings, spent)


def _lognormal_sum(n: int | NDArray[np.int_], spread: float, luck: Array) -> Array:
    """Sum of n numbers of mean 1 and standard deviation `spread`, one sum for each normal number of `luck`:
    the log-normal number of mean n and variance n spread^2, as the sum of log-normal ones nearly is.
    """
    variance = np.log1p(spread**2 / np.maximum(n, 1))
    return np.asarray(n * np.exp(np.sqrt(variance) * luck - variance / 2), dtype=float)


def _most(one_end: Array, both_ends: Array) -> Array:
    """The greatest of A s + B s^2 over s in -1..1, at least 0 (its value at mid-length)."""
    ends = np.maximum(both_ends + one_end, both_ends - one_end)
    inside = (both_ends < 0) & (np.abs(one_end) < -2 * both_ends)
    top = np.where(inside, one_end**2 / (-4 * np.where(inside, both_ends, -1.0)), 0.0)
    return np.maximum(np.maximum(ends, top), 0.0)


@takes(plans=[SeasonPlan])
def compare_plans(
    plans: list[SeasonPlan] | tuple[SeasonPlan, ...], seasons: int = 1000, seed: int = 20260901
) -> pd.DataFrame:
    """Put plans side by side, under the same luck.

    Returns
    -------
    pandas.DataFrame
        A row a plan, by its name: sharpenings (median), steel used in mm (median, and the 10th and 90th
        percentile), share of the usable steel used, share of seasons that pass the tolerance, median date of
        that, weeks beyond it (mean), share of seasons that stop at the maker's minimum.

    Raises
    ------
    ValueError
        If there is no plan, or two have one name.

    Examples
    --------
    >>> from bladelab import SeasonPlan
    >>> plans = [SeasonPlan(name="three"), SeasonPlan(name="one", reprofile_weeks=(0.0,))]
    >>> compare_plans(plans, seasons=50).index.tolist()
    ['three', 'one']
    """
    import pandas as pd

    names = [plan.name for plan in plans]
    if not plans or len(set(names)) < len(names):
        raise InputError(f"the plans are named {names}; there must be at least one, each with its own name")
    rows: list[Mapping[str, str | float]] = []
    for plan in plans:
        season = simulate_season(plan, seasons, seed)
        used = plan.height_mm - season.steel_left_mm[:, -1]
        low, middle, high = np.percentile(used, [10, 50, 90])
        passing = season.passing_date
        rows.append(
            {
                "plan": plan.name,
                "sharpenings": float(np.median(season.sharpenings.sum(axis=1))),
                "steel_used_mm": middle,
                "steel_used_low_mm": low,
                "steel_used_high_mm": high,
                "share_of_usable_steel": middle / plan.usable_mm,
                "seasons_beyond_tolerance": season.passing_share,
                "usual_date_beyond": passing.isoformat() if passing else "",
                "weeks_beyond": float(season.weeks_beyond.mean()),
                "seasons_at_minimum": season.spent_share,
            }
        )
    return pd.DataFrame(rows).set_index("plan")
