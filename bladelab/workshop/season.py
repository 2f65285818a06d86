"""A season of upkeep: steel and the drift of the shape, week by week, for many simulated seasons at once."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from bladelab._checks import number
from bladelab._errors import InputError
from bladelab.workshop.trace import Array

if TYPE_CHECKING:
    import pandas as pd


@dataclass(frozen=True)
class SeasonPlan:
    """The calendar and the habits of one season's upkeep.

    Parameters
    ----------
    weeks : int
        Length of the season, weeks, 1 to 104.
    ice_hours_per_week : float
        Usual hours on ice, h.
    hours_per_sharpening : float
        Hours on ice after which the skater has the blades sharpened, h.
    steel_per_sharpening_mm : float
        Steel a sharpening takes at mid-length, mm.
    steel_spread : float
        Standard deviation of that from one sharpening to the next, as a share, 0 to 2.
    rounding : float
        How much more a sharpening takes at both ends than at mid-length, as a share of its steel; negative
        where less.
    rounding_habit : float
        Standard deviation of `rounding` from one pair of hands, or machine setting, to another: it stays for
        a season.
    unevenness : float
        Standard deviation, each sharpening anew, of the share by which one end gets more than the middle and
        the other less, and of the share by which both ends get more.
    reprofile_weeks : tuple of float
        Weeks (0 to `weeks`) at whose start the shape is ground anew, e.g. ``(0, 16, 30)``.
    reprofile_extra_mm : float
        Steel a re-profile takes everywhere beyond the least that brings the shape back, mm.
    first_cut_mm : float
        Steel the first profiling of a new blade takes at its deepest, mm (see `steel_to_remove`); 0 if the
        shape is in the steel already. Taken with the first re-profile at week 0.
    tolerance_mm : float
        Drift allowed, mm.
    height_mm, least_height_mm : float
        Height of the steel at the start and the maker's minimum, mm.
    hours_spread : float
        Standard deviation of the weekly hours, as a share, 0 to 1.
    start : date
        First day of week 0.
    name : str

    Raises
    ------
    ValueError
        For a number out of range.

    Notes
    -----
    No published figures are known for steel per sharpening or its unevenness: the defaults are assumptions,
    to be replaced by what your own gauge reads before and after (a sharpening's steel, and its share at the
    ends).
    """

    weeks: int = 36
    ice_hours_per_week: float = 6.0
    hours_per_sharpening: float = 6.0
    steel_per_sharpening_mm: float = 0.05
    steel_spread: float = 0.3
    rounding: float = 0.08
    rounding_habit: float = 0.06
    unevenness: float = 0.15
    reprofile_weeks: tuple[float, ...] = (0.0, 18.0, 32.0)
    reprofile_extra_mm: float = 0.03
    first_cut_mm: float = 0.0
    tolerance_mm: float = 0.08
    height_mm: float = 14.0
    least_height_mm: float = 9.0
    hours_spread: float = 0.25
    start: date = date(2026, 9, 1)
    name: str = "plan"

    def __post_init__(self) -> None:
        weeks = number("weeks", self.weeks, "weeks", 1, 104)
        if weeks != int(weeks):
            raise InputError(f"weeks is {weeks:g}; it must be a whole number from 1 to 104")
        object.__setattr__(self, "weeks", int(weeks))
        for name, unit, low, high, low_open in (
            ("ice_hours_per_week", "h", 0.0, 100.0, True),
            ("hours_per_sharpening", "h", 0.5, 1000.0, False),
            ("steel_per_sharpening_mm", "mm", 0.0, 2.0, True),
            ("steel_spread", "", 0.0, 2.0, False),
            ("rounding", "", -1.0, 2.0, False),
            ("rounding_habit", "", 0.0, 2.0, False),
            ("unevenness", "", 0.0, 2.0, False),
            ("reprofile_extra_mm", "mm", 0.0, 2.0, False),
            ("first_cut_mm", "mm", 0.0, 10.0, False),
            ("tolerance_mm", "mm", 0.0, 5.0, True),
            ("height_mm", "mm", 0.0, 100.0, True),
            ("least_height_mm", "mm", 0.0, 100.0, False),
            ("hours_spread", "", 0.0, 1.0, False),
        ):
            number(name, getattr(self, name), unit, low, high, low_open=low_open)
        if self.least_height_mm >= self.height_mm:
            raise InputError(
                f"height_mm is {self.height_mm:g} mm; it must be above the maker's minimum, "
                f"{self.least_height_mm:g} mm: this runner is spent"
            )
        profiles = sorted(number("reprofile_weeks", w, "weeks", 0.0, weeks) for w in self.reprofile_weeks)
        object.__setattr__(self, "reprofile_weeks", tuple(profiles))


@dataclass(frozen=True, eq=False)
class Season:
    """Simulated seasons of one plan; arrays (seasons, weeks + 1) at the end of each week, column 0 before the
    season.

    Attributes
    ----------
    plan : SeasonPlan
    steel_left_mm : array
        Height of the steel where it is lowest, mm.
    drift_mm : array
        How far the edge has come from its shape: half the span between the place that lost most against it
        and the one that lost least, mm. A re-profile comes at the start of its week.
    tilt_mm : array
        Part of the drift that one end has lost more than the other, mm at the toe; positive: more off the
        toe.
    sharpenings : array (seasons, weeks)
        Number in each week.
    """

    plan: SeasonPlan
    steel_left_mm: Array
    drift_mm: Array
    tilt_mm: Array
    sharpenings: NDArray[np.int64]

    def band(self, what: str = "steel_left_mm", low: float = 10.0, high: float = 90.0) -> Array:
        """Return (3, weeks + 1): the `low` percentile, the median and the `high` percentile of one of the
        arrays.
        """
        return np.percentile(getattr(self, what), [low, 50.0, high], axis=0)

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
    def weeks_beyond(self) -> Array:
        """Number of weeks each season skates beyond the tolerance."""
        return (self.drift_mm[:, 1:] > self.plan.tolerance_mm).sum(axis=1)

    @property
    def below_minimum_share(self) -> float:
        """Share of the seasons that end below the maker's minimum height."""
        return float((self.steel_left_mm[:, -1] < self.plan.least_height_mm).mean())


def simulate_season(plan: SeasonPlan, seasons: int = 1000, seed: int = 20260901) -> Season:
    """Play a plan many times over.

    Definition
    ----------
    With s = -1 at the heel and 1 at the toe, a sharpening of steel d takes d (1 + a s + b s^2): a ~ N(0,
    unevenness), b ~ N(rounding of the season, unevenness), d gamma distributed with the mean and spread of
    the plan. Hours of a week are normal, cut at 0; a sharpening falls due whenever enough hours have
    gathered. Loss against the shape is A s + B s^2, the sums; drift is half its span over -1..1. A re-profile
    takes as much everywhere as the place that lost most, and `reprofile_extra_mm` beyond.

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
    """
    count = int(number("seasons", seasons, "seasons", 1, 100_000))
    rng = np.random.default_rng(seed)
    # The calendar first, then the habit, then the weeks: plans that share a calendar share their luck.
    busy = np.maximum(0.0, 1 + plan.hours_spread * rng.standard_normal((count, plan.weeks)))
    hours = np.cumsum(busy * plan.ice_hours_per_week, axis=1)
    due = np.floor(hours / plan.hours_per_sharpening).astype(np.int64)
    sharpenings = np.diff(due, axis=1, prepend=0)
    habit = plan.rounding + plan.rounding_habit * rng.standard_normal(count)
    luck = rng.standard_normal((3, plan.weeks, count))

    lost = np.zeros(count)  # by the frame of the shape, at mid-length
    one_end, both_ends = np.zeros(count), np.zeros(count)
    left, drift, tilt = (np.zeros((count, plan.weeks + 1)) for _ in range(3))
    profiles = list(plan.reprofile_weeks)
    if profiles and profiles[0] == 0:
        lost += plan.first_cut_mm + plan.reprofile_extra_mm
        profiles.pop(0)
    left[:, 0] = plan.height_mm - lost
    for week in range(1, plan.weeks + 1):
        if profiles and profiles[0] <= week - 1:
            lost += _most(one_end, both_ends) + plan.reprofile_extra_mm
            one_end, both_ends = np.zeros(count), np.zeros(count)
            profiles = [w for w in profiles if w > week - 1]
        n = sharpenings[:, week - 1]
        steel = plan.steel_per_sharpening_mm * _gamma_sum(n, plan.steel_spread, luck[0, week - 1])
        # Of n sharpenings the unevenness adds up as the root of n, the habit as n.
        random = plan.unevenness * steel / np.sqrt(np.maximum(n, 1))
        lost = lost + steel
        one_end = one_end + random * luck[1, week - 1]
        both_ends = both_ends + steel * habit + random * luck[2, week - 1]
        most, least = _most(one_end, both_ends), -_most(one_end, -both_ends)
        left[:, week] = plan.height_mm - lost - most
        drift[:, week] = (most - least) / 2
        tilt[:, week] = one_end
    return Season(plan, left, drift, tilt, sharpenings)


def _gamma_sum(n: Any, spread: float, luck: Array) -> Array:
    """Sum of n gamma numbers of mean 1 and standard deviation `spread`, from one normal number each
    (Wilson-Hilferty).
    """
    if spread == 0:
        return n.astype(float)
    shape = np.maximum(n, 1) / spread**2
    cube = np.maximum(1 - 1 / (9 * shape) + luck / (3 * np.sqrt(shape)), 0.0) ** 3
    return n * cube


def _most(one_end: Array, both_ends: Array) -> Array:
    """The greatest of A s + B s^2 over s in -1..1, at least 0 (its value at mid-length)."""
    ends = np.maximum(both_ends + one_end, both_ends - one_end)
    inside = (both_ends < 0) & (np.abs(one_end) < -2 * both_ends)
    top = np.where(inside, one_end**2 / (-4 * np.where(inside, both_ends, -1.0)), 0.0)
    return np.maximum(np.maximum(ends, top), 0.0)


def compare_plans(
    plans: list[SeasonPlan] | tuple[SeasonPlan, ...], seasons: int = 1000, seed: int = 20260901
) -> pd.DataFrame:
    """Put plans side by side, under the same luck.

    Returns
    -------
    pandas.DataFrame
        A row a plan, by its name: sharpenings (median), steel used in mm (median, and the 10th and 90th
        percentile), share of the usable steel used, share of seasons that pass the tolerance, median date of
        that, weeks beyond it (mean), share of seasons that end below the maker's minimum.

    Raises
    ------
    ValueError
        If there is no plan, or two have one name.
    """
    import pandas as pd

    names = [plan.name for plan in plans]
    if not plans or len(set(names)) < len(names):
        raise InputError(
            f"the plans are named {names}; there must be at least one, each with a name of its own"
        )
    rows: list[Mapping[str, Any]] = []
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
                "share_of_usable_steel": middle / (plan.height_mm - plan.least_height_mm),
                "seasons_beyond_tolerance": season.passing_share,
                "usual_date_beyond": passing.isoformat() if passing else "",
                "weeks_beyond": float(season.weeks_beyond.mean()),
                "seasons_below_minimum": season.below_minimum_share,
            }
        )
    return pd.DataFrame(rows).set_index("plan")
