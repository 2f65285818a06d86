"""How fast the advice is, as ratios to a baseline in the same run.

    python -m tests.benchmarks.advice

Baseline: the same numbers, one blade in one moment at a time.
"""

from __future__ import annotations

import os
from dataclasses import replace
from itertools import count

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
from tests.benchmarks.timing import Timing, command_line

PRESENT = Blade(Rocker.single(feet(10), 280), Hollow(inches("5/8"), 3.0))
THREE = Blade(Rocker((Zone(feet(9), 90), Zone(feet(12), 100), Zone(feet(8), 90)), 20, 5), Hollow(12.7, 2.9))
ALL = Conditions()


def one_at_a_time(blade: Blade) -> None:
    """Every quantity in every moment, each moment on its own."""
    for moment in MOMENTS:
        evaluate(blade, Conditions(moments=(moment,)))


def main(quick: bool = False) -> None:
    """Print seconds and ratios."""
    timing = Timing(quick)
    seconds = timing.best
    alone = seconds(lambda: one_at_a_time(THREE))
    together = seconds(lambda: evaluate(THREE, ALL))
    print(f"one blade, all quantities in {len(MOMENTS)} moments {together * 1e3:8.1f} ms")
    print(f"  each moment on its own takes {alone / together:.1f} times that")

    family = Family(PRESENT, 0, 1, 1) if quick else Family(PRESENT)
    workers = 1 if quick else min(2, os.cpu_count() or 1)
    start = timing.clock()
    scores = score_family(family, ALL, workers=workers)
    search = timing.clock() - start
    print(f"{len(family):,} blades in all moments, {workers} processes {search:8.2f} s (aim: under 20)")
    print(f"  {len(family) * alone / search:.0f} times faster than one blade and one moment at a time")
    unbeaten = seconds(lambda: frontier(scores, ["quicker", "more glide", "more hold"]), 2)
    print(f"  the unbeaten among them, for three wishes {unbeaten * 1e3:8.0f} ms")

    for what, conditions in (("one moment", Conditions(moments=MOMENTS[2:3])), ("all moments", ALL)):
        took = seconds(lambda conditions=conditions: single_change_map(THREE, conditions))
        print(f"single change map with its bands, {what:<12} {took * 1e3:8.0f} ms (aim: under 100)")
        print(f"  {15 * alone / took:.1f} times faster than one by one without the bands")

    hairs = count(1)

    def unmet(blade: Blade) -> Blade:
        """A blade that differs by a hair from all before: the scorecard remembers those it has met."""
        radius_mm = blade.hollow.radius_mm + 1e-6 * next(hairs)
        return replace(blade, hollow=replace(blade.hollow, radius_mm=radius_mm))

    took = seconds(lambda: scorecard(unmet(PRESENT), unmet(THREE), ALL))
    print(f"scorecard with its bands, all moments {took * 1e3:8.0f} ms")

    stance, ice = MOMENTS[2].stance(75), Ice()
    match = seconds(lambda: match_hollow(PRESENT, THREE.rocker, stance, ice, "hold", False))
    everywhere = seconds(lambda: match_everywhere(PRESENT, THREE.rocker, 75, ice))
    print(f"one match {match * 1e3:8.1f} ms")
    print(f"all matches in all moments {everywhere * 1e3:8.1f} ms")
    print(f"  {16 * match / everywhere:.1f} times faster than one by one")


if __name__ == "__main__":
    main(command_line(__doc__).parse_args().quick)
