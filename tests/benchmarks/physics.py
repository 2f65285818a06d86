"""How fast the physics is, as ratios to a baseline in the same run.

    python -m tests.benchmarks.physics

Baselines: one stance at a time; and for friction the independent solution with scipy's stiff method.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from bladelab import Blade, Hollow, Ice, Rocker, Stance, band, read_stride, solve_contact, solve_friction
from tests.benchmarks.timing import Timing, command_line
from tests.reference.glide import Glide, solve
from tests.reference.standing import Case

BLADE = Blade(Rocker.single(3048, 280), Hollow(12.7, 3.0))
COUNT, FEW = 10_000, 40
QUICK_COUNT, QUICK_FEW = 200, 2


def main(quick: bool = False) -> None:
    """Print seconds and ratios."""
    count, few = (QUICK_COUNT, QUICK_FEW) if quick else (COUNT, FEW)
    timing = Timing(quick)

    def seconds(work: Callable[[], object], times: int = 3) -> float:
        return timing.best(work, times)

    rng = np.random.default_rng(1)
    load, place, lean = rng.uniform(300, 1500, count), rng.uniform(-60, 60, count), rng.uniform(0, 50, count)
    many = Stance(load, place, lean)
    single = [Stance(load[i], place[i], lean[i]) for i in range(few)]
    ice = Ice(-5.0)

    def line(what: str, together: float, each: float, baseline: str) -> None:
        print(f"{what:<46}{together:8.3f} s{each * count / together:10.0f} times faster than {baseline}")

    print(f"{count} stances of one blade in one call")
    contact = seconds(lambda: solve_contact(BLADE, many, ice, gliding=True))
    friction = seconds(lambda: solve_friction(BLADE, many, ice, 6.0))
    alone = seconds(lambda: [solve_contact(BLADE, s, ice, gliding=True) for s in single]) / few
    line("contact", contact, alone, "one call for each")
    alone = seconds(lambda: [solve_friction(BLADE, s, ice, 6.0) for s in single]) / few
    line("friction", friction, alone, "one call for each")
    case = Case(((3048.0, 280.0),), 12.7, 3.0, 736.0, 0.0, 0.0, 17.7, True)
    stiff = seconds(lambda: solve(Glide(case, 6.0, -5.0)), 1)
    line("friction", friction, stiff, "scipy's stiff method")
    fast = Stance(load, place, lean, rng.uniform(1, 10, count))
    pressed = seconds(lambda: solve_contact(BLADE, fast, Ice.pressed(-5.0), gliding=True))
    print(f"contact on pressed ice: {pressed / contact:.2f} times that on plain ice")
    pressed = seconds(lambda: solve_friction(BLADE, many, Ice.pressed(-5.0), 6.0))
    print(f"friction on pressed ice: {pressed / friction:.2f} times that on plain ice, {pressed:.3f} s")
    dull = Blade(BLADE.rocker, Hollow(12.7, 3.0, 0.02))
    rounded = seconds(lambda: solve_contact(dull, many, ice, gliding=True))
    print(f"contact with dull edges: {rounded / contact:.2f} times that with sharp ones")
    rounded = seconds(lambda: solve_friction(dull, many, ice, 6.0))
    print(f"friction with dull edges: {rounded / friction:.2f} times that with sharp ones")
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
    main(command_line(__doc__).parse_args().quick)
