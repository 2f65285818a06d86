"""How fast contacts are solved and bladelab is imported; nothing here is asserted.

    python -m tests.benchmarks.contact_speed

Stances per second in one array call, beside a straightforward solution of the same stances in the same run:
brentq for the depth inside brentq for the pitch, over 100 cross-sections that shapely cuts
(tests/reference/contact.py). Then the time of `import bladelab` beside `import numpy` alone. Processor time
of one core throughout, the best of a few runs, so that other work on the machine disturbs little.
"""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path
from time import process_time

import numpy as np

from bladelab import Blade, Hollow, Ice, Rocker, Stance, Zone, solve_contact
from tests.benchmarks.timing import Timing, command_line
from tests.reference.contact import Sections, balance
from tests.reference.standing import Case

ROOT = Path(__file__).resolve().parents[2]
STANCES, BASELINE_STANCES = 20_000, 4
QUICK_STANCES, QUICK_BASELINE_STANCES = 200, 1
SINGLE = ((3048.0, 280.0),)
FOUR_ZONES = ((2600.0, 60.0), (3400.0, 110.0), (2900.0, 70.0), (1900.0, 50.0))
BLADES = {"single radius": (SINGLE, 0.0), "four zones, blended": (FOUR_ZONES, 20.0)}
SITUATIONS = {
    "at rest, upright": (0.0, False),
    "at rest, leaned": (30.0, False),
    "gliding, upright": (0.0, True),
    "gliding, leaned": (30.0, True),
}


def contacts(timing: Timing) -> None:
    """Print stances per second for each blade and situation, beside the baseline."""
    stances, baseline_stances, blades = STANCES, BASELINE_STANCES, list(BLADES.items())
    if timing.quick:
        stances, baseline_stances, blades = QUICK_STANCES, QUICK_BASELINE_STANCES, blades[:1]
    rng = np.random.default_rng(1)
    load, place = rng.uniform(400.0, 1100.0, stances), rng.uniform(-60.0, 60.0, stances)
    ice = Ice(-5.0)
    print(f"{stances} stances in one call; baseline brentq + shapely, {baseline_stances} of the same")
    print(f"{'blade':22}{'stance':20}{'bladelab, 1/s':>15}{'baseline, 1/s':>15}{'ratio':>9}{'depth off':>11}")
    for blade_name, (zones, blend) in blades:
        blade = Blade(Rocker(tuple(Zone(*zone) for zone in zones), blend), Hollow(12.7, 2.9))
        for name, (lean, gliding) in SITUATIONS.items():
            stance = Stance(load, place, lean)
            found = solve_contact(blade, stance, ice, gliding)
            rate = stances / timing.best(lambda s=stance, g=gliding, b=blade: solve_contact(b, s, ice, g))
            cases = [
                Case(
                    zones,
                    12.7,
                    2.9,
                    float(load[i]),
                    float(place[i]),
                    lean,
                    float(ice.hardness_MPa),
                    gliding,
                    blend,
                )
                for i in range(baseline_stances)
            ]
            start = process_time()
            depths = [balance(case, Sections).depth for case in cases]
            baseline = baseline_stances / (process_time() - start)
            off = np.abs(found.depth_mm[:baseline_stances] / depths - 1).max()
            print(f"{blade_name:22}{name:20}{rate:15,.0f}{baseline:15.1f}{rate / baseline:9,.0f}{off:11.1e}")


def imports(starts: int) -> None:
    """Print how long imports take."""

    def fresh(code: str) -> float:
        timed = f"import time; start = time.process_time(); {code}; print(time.process_time() - start)"

        def run() -> float:
            done = subprocess.run(
                [sys.executable, "-c", timed], capture_output=True, text=True, check=True, cwd=ROOT
            )
            return float(done.stdout)

        return min(run() for _ in range(starts))  # the first start reads from disk

    numpy_alone = fresh("import numpy")
    print(f"\nimport numpy alone: {numpy_alone:.4f} s")
    for words, code in (
        ("import bladelab", "import bladelab"),
        (
            "and all that a contact needs",
            "from bladelab import Blade, Hollow, Ice, Rocker, Stance, solve_contact",
        ),
    ):
        taken = fresh(code)
        print(f"{words}: {taken:.4f} s, {taken / numpy_alone:.2f} times numpy alone")


if __name__ == "__main__":
    quick = command_line(__doc__).parse_args().quick
    contacts(Timing(quick, process_time))
    imports(1 if quick else 12)
