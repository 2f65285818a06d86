"""Random states of every panel and random arguments of the public functions.

As tests, a few of each; as a script, as many as you like, and it prints what it did:

    python -m tests.forgiving.shaking --count 100000
"""

from __future__ import annotations

import argparse
import importlib
import inspect
import math
import pkgutil
import random
import time
from collections import Counter
from collections.abc import Callable
from typing import Any, get_type_hints

import numpy as np

import bladelab
import bladelab.show
from bladelab import (
    Blade,
    Hollow,
    Ice,
    Rocker,
    Stance,
    Zone,
    glide_out,
    match_hollow,
    solve_contact,
    solve_friction,
)
from bladelab.show.engine import Panel
from bladelab.show.preference import SYSTEMS
from tests.show.engine_checks import assert_speaks, draw_value, set_state, units


def panel_makers() -> dict[str, Callable[[], Panel]]:
    """Every function of bladelab.show that makes a panel, by its name."""
    found = {}
    for module in pkgutil.walk_packages(bladelab.show.__path__, "bladelab.show."):
        for name, thing in vars(importlib.import_module(module.name)).items():
            if not name.endswith("_panel") or not inspect.isfunction(thing) or name.startswith("_"):
                continue
            if thing.__module__ == module.name and issubclass(get_type_hints(thing)["return"], Panel):
                found[name] = thing
    return found


def shake_panel(make_panel: Callable[[], Panel], count: int, seed: int) -> Counter[str]:
    """Set a panel to `count` random states; each must give a sentence and no picture with a NaN.

    Half of the states move one dial, as a reader does, half move them all.
    """
    chance, tally = random.Random(seed), Counter()
    with units(SYSTEMS[seed % len(SYSTEMS)]):
        panel = make_panel()
        for turn in range(count):
            names = list(panel.dials) if turn % 2 else [chance.choice(list(panel.dials))]
            set_state(panel, {name: draw_value(panel.dials[name], chance) for name in names})
            assert_speaks(panel)
            tally["a sentence instead of a picture" if panel.fault else "a picture"] += 1
    return tally


_ODD = (
    0.0,
    -1.0,
    1e-300,
    1e-12,
    1e300,
    math.nan,
    math.inf,
    -math.inf,
    None,
    "",
    "ten",
    [],
    [1.0, math.nan],
    {},
)


def _odd_or(chance: random.Random, low: float, high: float) -> Any:
    """A number as it should be; a few times in a hundred something odd or out of the range."""
    way = chance.randrange(40)
    if way == 0:
        return chance.choice(_ODD)
    if way == 1:
        return chance.choice((low - (high - low), high + (high - low)))
    return chance.uniform(low, high)


def shake_arguments(count: int, seed: int) -> Counter[str]:
    """Call the model with random arguments: finite numbers or a ValueError with words, nothing else."""
    chance, tally = random.Random(seed), Counter()
    for _ in range(count):
        try:
            zones = [
                Zone(_odd_or(chance, 900, 12000), _odd_or(chance, 30, 120))
                for _ in range(chance.randint(1, 4))
            ]
            rocker = Rocker(
                tuple(zones), chance.choice((0, _odd_or(chance, 0, 30))), _odd_or(chance, -40, 40)
            )
            blade = Blade(rocker, Hollow(_odd_or(chance, 3, 40), _odd_or(chance, 2, 4.5)))
            stance = Stance(_odd_or(chance, 100, 2500), _odd_or(chance, -110, 110), _odd_or(chance, 0, 70))
            ice = Ice(_odd_or(chance, -20, 0))
            call = chance.randrange(4)
            if call == 0:
                result: Any = solve_friction(blade, stance, ice, _odd_or(chance, 0.3, 12)).total
            elif call == 1:
                result = glide_out(blade, stance, ice, _odd_or(chance, 2, 12))
            elif call == 2:
                other = Rocker.single(_odd_or(chance, 1500, 9000), rocker.length_mm)
                result = match_hollow(
                    blade, other, stance, ice, chance.choice(("bite", "hold", "yaw_hold"))
                ).radius_mm
            else:
                contact = solve_contact(blade, stance, ice, chance.random() < 0.5)
                result = contact.depth_mm
                if np.ndim(result) == 0:
                    assert abs(contact.force_error) < 1e-9, contact
                    assert abs(contact.moment_error) < 1e-9, contact
        except ValueError as problem:
            assert len(str(problem)) > 15, problem
            tally["refused in words"] += 1
        else:
            assert np.all(np.isfinite(result)), (blade, stance, ice, result)
            tally["answered"] += 1
    return tally


def main() -> None:
    """Shake everything and print what came of it."""
    parser = argparse.ArgumentParser(description=main.__doc__)
    parser.add_argument("--count", type=int, default=2000, help="states and calls, all together")
    parser.add_argument("--seed", type=int, default=1)
    given = parser.parse_args()
    makers = panel_makers()
    each = max(1, given.count // (len(makers) + 1))
    jobs = {name: lambda seed, make=make: shake_panel(make, each, seed) for name, make in makers.items()}
    jobs["arguments"] = lambda seed: shake_arguments(each, seed)
    for number, (name, job) in enumerate(jobs.items()):
        start = time.perf_counter()
        tally = job(given.seed + number)
        per_state = (time.perf_counter() - start) / each * 1000
        print(f"{name:24s} {dict(tally)}  {per_state:.1f} ms each", flush=True)


if __name__ == "__main__":
    main()
