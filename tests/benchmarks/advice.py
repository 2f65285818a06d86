"""How fast the advice is, as ratios to a baseline in the same run.

    python -m tests.benchmarks.advice

Baseline: the same numbers, one blade in one moment at a time.
"""

from __future__ import annotations

import os
import time
from collections.abc import Callable

import numpy as np

import bladelab.advice.scorecard as scorecard_room
from bladelab import (
    MOMENTS,
    Blade,
    Conditions,
    Family,
    Hollow,
    Ice,
    Rocker,
    Zone,
    evaluate,
    feet,
    frontier,
    inches,
    match_everywhere,
    match_hollow,
    score_family,
    scorecard,
    single_change_map,
)

PRESENT = Blade(Rocker.single(feet(10), 280), Hollow(inches("5/8"), 3.0))
THREE = Blade(Rocker((Zone(feet(9), 90), Zone(feet(12), 100), Zone(feet(8), 90)), 20, 5), Hollow(12.7, 2.9))
ALL = Conditions()


def forget() -> None:
    """Empty what the scorecard remembers of blades already computed."""
    for remembered in (scorecard_room._values, scorecard_room._draws):
        remembered.cache_clear()


def seconds(work: Callable[[], object], times: int = 5) -> float:
    """The best of a few runs."""
    best = np.inf
    for _ in range(times):
        start = time.perf_counter()
        work()
        best = min(best, time.perf_counter() - start)
    return best


def one_at_a_time(blade: Blade) -> None:
    """Every quantity in every moment, each moment by itself."""
    for moment in MOMENTS:
        evaluate(blade, Conditions(moments=(moment,)))


def main() -> None:
    alone = seconds(lambda: one_at_a_time(THREE))
    together = seconds(lambda: evaluate(THREE, ALL))
    print(f"one blade, all quantities in {len(MOMENTS)} moments {together * 1e3:8.1f} ms")
    print(f"  each moment by itself takes {alone / together:.1f} times that")

    family = Family(PRESENT)
    workers = min(2, os.cpu_count() or 1)
    start = time.perf_counter()
    scores = score_family(family, ALL, workers=workers)
    search = time.perf_counter() - start
    print(f"{len(family):,} blades in all moments, {workers} processes {search:8.2f} s (aim: under 20)")
    print(f"  {len(family) * alone / search:.0f} times faster than one blade and one moment at a time")
    unbeaten = seconds(lambda: frontier(scores, ["quicker", "more glide", "more hold"]), 2)
    print(f"  the unbeaten among them, for three wishes {unbeaten * 1e3:8.0f} ms")

    for what, conditions in (("one moment", Conditions(moments=MOMENTS[2:3])), ("all moments", ALL)):
        took = seconds(lambda conditions=conditions: single_change_map(THREE, conditions))
        print(f"single change map with its bands, {what:<12} {took * 1e3:8.0f} ms (aim: under 100)")
        print(f"  {15 * alone / took:.1f} times faster than one by one without the bands")

    def afresh() -> None:
        forget()
        scorecard(PRESENT, THREE, ALL)

    took = seconds(afresh)
    print(f"scorecard with its bands, all moments {took * 1e3:8.0f} ms")

    stance, ice = MOMENTS[2].stance(75), Ice()
    match = seconds(lambda: match_hollow(PRESENT, THREE.rocker, stance, ice, "hold", False))
    everywhere = seconds(lambda: match_everywhere(PRESENT, THREE.rocker, 75, ice))
    print(f"one match {match * 1e3:8.1f} ms")
    print(f"all matches in all moments {everywhere * 1e3:8.1f} ms")
    print(f"  {16 * match / everywhere:.1f} times faster than one by one")


if __name__ == "__main__":
    main()
