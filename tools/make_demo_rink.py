"""Make the invented readings from a rink in data/demo: craters, one photograph, glide-outs, a session.

    python tools/make_demo_rink.py

Nobody measured any of it. The seed is fixed, so the files come out the same each time.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
from PIL import Image

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
#: The photograph: px to the mm, where the crater is (column and row), how wide it is, and by how much the
#: ruler is turned.
SCALE, CENTRE_PX, CRATER_MM, TURN_DEG = 10.0, (330.0, 150.0), 9.9, 1.0
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


def photograph(rng: np.random.Generator) -> None:
    """A crater from above, light from the left, and a ruler on the ice with a mark each 5 mm.

    720 x 400 px. Each pixel is sampled 4 by 4, then come blur and grain.
    """
    width, height, fine = 720, 400, 4
    row, column = (np.mgrid[0 : height * fine, 0 : width * fine] + 0.5) / fine - 0.5
    x, y = (column - CENTRE_PX[0]) / SCALE, (row - CENTRE_PX[1]) / SCALE
    value = 205.0 + 8.0 * (column / width - 0.5)
    hole = np.hypot(x, y) < CRATER_MM / 2
    # A spherical bowl: what faces the light is brighter, but all of it is darker than the flat ice.
    value[hole] = 140.0 + 45.0 * x[hole] / CRATER_MM
    turn = np.radians(TURN_DEG)
    along = (column - width / 2) / SCALE * np.cos(turn) + (row - 320) / SCALE * np.sin(turn)
    down = (row - 320) / SCALE * np.cos(turn) - (column - width / 2) / SCALE * np.sin(turn)
    ruler = (np.abs(along) < 33.0) & (np.abs(down) < 5.0)
    value[ruler] = 236.0
    long = np.abs(along - 10 * np.round(along / 10)) < 0.2
    short = np.abs(along - 5 * np.round(along / 5)) < 0.2
    value[(np.abs(along) < 31) & ((long & (np.abs(down + 2) < 3)) | (short & (np.abs(down + 3.5) < 1.5)))] = (
        25.0
    )
    grey = value.reshape(height, fine, width, fine).mean(axis=(1, 3)) + 2.0 * rng.standard_normal(
        (height, width)
    )
    picture = Image.fromarray(np.clip(np.round(grey), 0, 255).astype(np.uint8))
    picture.save(DEMO / "crater_photo.png", optimize=True)


def write(name: str, how: str, head: str, rows: list[str]) -> None:
    """Write one file, notes first."""
    lines = [f"# {how}; made by tools/make_demo_rink.py", head, *rows]
    (DEMO / name).write_text("\n".join(lines) + "\n", encoding="utf-8", newline="\n")


def main() -> None:
    """Make all files, each with a generator of its own."""
    for number, make in enumerate((craters, glide_outs, session, photograph)):
        make(np.random.default_rng([SEED, number]))


if __name__ == "__main__":
    main()
