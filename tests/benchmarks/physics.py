"""How fast the physics is, as ratios to a baseline in the same run.

    python -m tests.benchmarks.physics

Baselines: one stance at a time; and for friction the independent solution with scipy's stiff method.
"""

from __future__ import annotations

import time
from collections.abc import Callable

import numpy as np

from bladelab import Blade, Hollow, Ice, Rocker, Stance, band, read_stride, solve_contact, solve_friction
from tests.reference.glide import Glide, solve
from tests.reference.standing import Case

BLADE = Blade(Rocker.single(3048, 280), Hollow(12.7, 3.0))
COUNT, FEW = 10_000, 40


def seconds(work: Callable[[], object], times: int = 3) -> float:
    """The best of a few runs."""
    best = np.inf
    for _ in range(times):
        start = time.perf_counter()
        work()
        best = min(best, time.perf_counter() - start)
    return best


def main() -> None:
    rng = np.random.default_rng(1)
    load, place, lean = rng.uniform(300, 1500, COUNT), rng.uniform(-60, 60, COUNT), rng.uniform(0, 50, COUNT)
    many = Stance(load, place, lean)
    single = [Stance(load[i], place[i], lean[i]) for i in range(FEW)]
    ice = Ice(-5.0)

    def line(what: str, together: float, each: float, baseline: str) -> None:
        print(f"{what:<46}{together:8.3f} s{each * COUNT / together:10.0f} times faster than {baseline}")

    print(f"{COUNT} stances of one blade in one call")
    contact = seconds(lambda: solve_contact(BLADE, many, ice, gliding=True))
    friction = seconds(lambda: solve_friction(BLADE, many, ice, 6.0))
    alone = seconds(lambda: [solve_contact(BLADE, s, ice, gliding=True) for s in single]) / FEW
    line("contact", contact, alone, "one call for each")
    alone = seconds(lambda: [solve_friction(BLADE, s, ice, 6.0) for s in single]) / FEW
    line("friction", friction, alone, "one call for each")
    case = Case(((3048.0, 280.0),), 12.7, 3.0, 736.0, 0.0, 0.0, 17.7, True)
    stiff = seconds(lambda: solve(Glide(case, 6.0, -5.0)), 1)
    line("friction", friction, stiff, "scipy's stiff method")
    print(f"friction costs {friction / contact:.1f} times the contact alone")
    stride = read_stride().at_times(60)
    whole = seconds(lambda: solve_contact(BLADE, stride.stance(75), ice))
    print(f"a stride of 60 moments: {whole / alone:.1f} times one stance with friction")
    one = seconds(lambda: solve_contact(BLADE, single[0], ice))
    banded = seconds(
        lambda: band(lambda s, i: solve_contact(BLADE, s, i).depth_mm, single[0], ice)  # 200 draws
    )
    print(f"a band of 200 draws: {banded / one:.1f} times one contact")


if __name__ == "__main__":
    main()
