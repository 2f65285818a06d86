"""Make the invented readings from a rink in data/demo: craters, glide-outs and a timed session.

    python tools/make_demo_rink.py

Nobody measured any of it. The seed is fixed, so the files come out the same each time.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np

from bladelab.physics.ice import GRAVITY_M_S2, STEEL_DENSITY_KG_M3
from bladelab.rink.coasting import passing_time
from bladelab.rink.order import draw_order

DEMO = Path(__file__).resolve().parents[1] / "data" / "demo"
SEED = 20261127
GRAVITY, AIR = GRAVITY_M_S2, 1.29

#: A ball of 25.4 mm from 1 m, on ice a little softer than the usual fit for -5 °C, and the same ball under 75
#: kg for 10 s; one diameter is off by 2.5 %.
RADIUS_MM, HEIGHT_M, HARDNESS_MPA = 12.7, 1.0, 15.5
PRESS_N, PRESS_MPA, DIAMETER_ERROR = 75 * GRAVITY, 3.6, 0.025
#: A skater of 75 kg, half crouched, on two hollows; the ice rises by half a millimetre to the metre.
MASS_KG, DRAG_M2, SLOPE, MARKS_M = 75.0, 0.4, 0.0005, np.arange(0.0, 33.0, 4.0)
FRICTION, TIMING_S = {"A": 0.0068, "B": 0.0061}, 0.03
#: Ten pairs over a drill of some 3 s; the blade B is 2 % quicker, and legs tire.
PAIRS, TIME_S, GAIN, SCATTER, DRIFT_S = 10, 2.95, 0.02, 0.014, 0.003


def craters(rng: np.random.Generator) -> None:
    """Diameters of ten craters of a dropped ball and five of a pressed one."""
    steel_kg = 4 / 3 * np.pi * (RADIUS_MM / 1000) ** 3 * STEEL_DENSITY_KG_M3
    volume = 1000 * steel_kg * GRAVITY * HEIGHT_M / HARDNESS_MPA
    fine = np.linspace(1.0, 2 * RADIUS_MM - 0.1, 20000)
    depth = RADIUS_MM - np.sqrt(RADIUS_MM**2 - fine**2 / 4)
    dropped = np.interp(volume, np.pi * depth**2 * (3 * RADIUS_MM - depth) / 3, fine)
    pressed = np.sqrt(4 * PRESS_N / (np.pi * PRESS_MPA))
    for name, diameter, count, how in (
        ("craters.csv", dropped, 10, "a steel ball of 25.4 mm dropped from 1 m"),
        ("press_craters.csv", pressed, 5, "the same ball under 75 kg for 10 s"),
    ):
        read = np.round(diameter * (1 + DIAMETER_ERROR * rng.standard_normal(count)), 1)
        write(name, f"invented: {how}", "crater_mm", [f"{one:g}" for one in read])


def glide_outs(rng: np.random.Generator) -> None:
    """Six runs on each of two hollows, in both directions."""
    rows, run = [], 0
    for blade in "ABBAABBAABBA":
        run += 1
        way = 1 if run % 2 else -1
        ice = GRAVITY * (FRICTION[blade] + way * SLOPE)
        start = 2.85 + 0.1 * rng.standard_normal()
        times = passing_time(MARKS_M, start, ice, AIR * DRAG_M2 / (2 * MASS_KG))
        times = times + 1.0 + TIMING_S * rng.standard_normal(len(times))
        rows += [
            f"{run},{blade},{way},{mark:g},{time:.2f}" for mark, time in zip(MARKS_M, times, strict=True)
        ]
    rows[8 * 9 + 4] = rows[8 * 9 + 4].rsplit(",", 1)[0] + ",-"  # one mark was missed
    write("glide_outs.csv", "invented: a skater of 75 kg", "run,blade,direction,distance_m,time_s", rows)


def session(rng: np.random.Generator) -> None:
    """Ten pairs of timed runs in a drawn order."""
    order = draw_order(PAIRS, "pairs", seed=7)
    rows = []
    for run, blade in enumerate(order.runs):
        time = TIME_S * (1 - GAIN * (blade == "B") + SCATTER * rng.standard_normal()) + DRIFT_S * run
        rows.append(f"{run + 1},{blade},{time:.2f}")
    write("timed_session.csv", "invented: a 15 m sprint", "run,blade,time_s", rows)


def write(name: str, how: str, head: str, rows: list[str]) -> None:
    """Write one file, notes first."""
    lines = [f"# {how}; made by tools/make_demo_rink.py", head, *rows]
    (DEMO / name).write_text("\n".join(lines) + "\n", encoding="utf-8", newline="\n")


def main() -> None:
    """Make all files, each with a generator of its own."""
    for number, make in enumerate((craters, glide_outs, session)):
        make(np.random.default_rng([SEED, number]))


if __name__ == "__main__":
    main()
