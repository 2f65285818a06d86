"""How fast the workshop is, beside plain ways to the same answers, in one run.

python -m tests.benchmarks.workshop
"""

from __future__ import annotations

import numpy as np
from scipy.optimize import least_squares, linprog

from bladelab import Rocker, SeasonPlan, Zone, fit_zones, simulate_season, steel_to_remove
from bladelab.workshop.zone_search import edge
from tests.benchmarks.timing import Timing, command_line

FOUR = Rocker((Zone(2600, 60), Zone(3400, 110), Zone(2900, 70), Zone(1900, 50)), pivot_mm=5)


def zones_plainly(x: np.ndarray, y: np.ndarray, most: int) -> tuple[int, np.ndarray]:
    """The same fit by scipy.optimize.least_squares on all points, from 2 random sets of junctions for each
    count.
    """
    rng = np.random.default_rng(0)
    best = (np.inf, 0, np.empty(0))
    for k in range(1, most + 1):
        least = (np.inf, np.empty(0))
        for _ in range(2 if k > 1 else 1):
            junctions = np.sort(rng.uniform(x[0] + 20, x[-1] - 20, k - 1))
            start = np.concatenate([[y[0], -0.05], np.full(k, 1 / 2800), junctions])
            scale = np.concatenate([[1, 0.01], np.full(k, 1e-4), np.full(k - 1, 20.0)])
            done = least_squares(
                lambda v, k=k: y - edge(x, x[0], np.concatenate([v[: 2 + k], np.sort(v[2 + k :])]), k)[0],
                start,
                x_scale=scale,
            )
            if 2 * done.cost < least[0]:
                least = 2 * done.cost, done.x
        score = len(x) * np.log(least[0] / len(x)) + (2 * k + 1) * np.log(len(x))
        if score < best[0]:
            best = score, k, least[1]
    return best[1], best[2]


def season_plainly(plan: SeasonPlan, rng: np.random.Generator) -> float:
    """One season, sharpening by sharpening, in plain Python."""

    def lognormal(spread: float) -> float:
        variance = np.log1p(spread**2)
        return float(rng.lognormal(-variance / 2, np.sqrt(variance)))

    lost = one_end = both_ends = gathered = 0.0
    habit = plan.rounding + plan.rounding_habit * rng.standard_normal()
    for week in range(plan.weeks):
        if week in plan.reprofile_weeks:
            lost += max(0.0, both_ends + abs(one_end)) + plan.reprofile_extra_mm
            one_end = both_ends = 0.0
        gathered += lognormal(plan.hours_spread) * plan.ice_hours_per_week
        while gathered >= plan.hours_per_sharpening:
            gathered -= plan.hours_per_sharpening
            steel = plan.steel_per_sharpening_mm * lognormal(plan.steel_spread)
            lost += steel
            one_end += steel * plan.unevenness * rng.standard_normal()
            both_ends += steel * (habit + plan.unevenness * rng.standard_normal())
    return plan.height_mm - lost - max(0.0, both_ends + abs(one_end))


def main(quick: bool = False) -> None:
    """Print seconds and ratios."""
    timing = Timing(quick)
    best_of, clock = timing.best, timing.clock
    points, seasons = (100, 20) if quick else (5000, 1000)
    rng = np.random.default_rng(1)
    x = np.linspace(-145, 145, points)
    y = FOUR.height_mm(x) + 0.004 * rng.standard_normal(len(x))
    ours, fit = best_of(lambda: fit_zones(x, y)), fit_zones(x, y)
    start = clock()
    count, _ = zones_plainly(x, y, 2 if quick else 6)
    plain = clock() - start
    print(
        f"zones of {points:,} points: {ours:.3f} s ({len(fit.zones)} zones); least_squares from random "
        f"starts {plain:.1f} s ({count} zones): {plain / ours:.0f} times as long (aim: under 1 s)"
    )

    plan = SeasonPlan()
    ours = best_of(lambda: simulate_season(plan, seasons))
    start = clock()
    ends = [season_plainly(plan, rng) for _ in range(seasons)]
    plain = clock() - start
    median = float(np.median(simulate_season(plan, seasons).steel_left_mm[:, -1]))
    print(
        f"{seasons:,} seasons: {ours:.3f} s (median {median:.2f} mm left); in plain Python {plain:.2f} s "
        f"(median {np.median(ends):.2f} mm): {plain / ours:.0f} times as long (aim: under 2 s)"
    )

    single = Rocker.single(3048, 290)
    ours = best_of(lambda: steel_to_remove(single, FOUR, 1.0))
    grid = np.linspace(-145, 145, 2001)
    apart = single.height_mm(grid) - FOUR.height_mm(grid)
    rows, limit = -np.column_stack([np.ones_like(grid), grid]), np.tan(np.radians(1.0))
    plain = best_of(lambda: linprog([1, 0], A_ub=rows, b_ub=-apart, bounds=[(None, None), (-limit, limit)]))
    print(
        f"one cut: {1000 * ours:.1f} ms; scipy's linprog on the same grid {1000 * plain:.1f} ms: "
        f"{plain / ours:.1f} times as long"
    )


if __name__ == "__main__":
    main(command_line(__doc__).parse_args().quick)
