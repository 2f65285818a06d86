"""Make the invented measurements in data/demo: the same bytes on every run.

    python tools/make_demo_traces.py

The scenario is our own: a skater has a pair of blades, runner 280 mm, that were asked for in three zones
(9 ft heel, 11 ft middle, 8 ft toe) and have been sharpened by hand since. Nothing here was measured.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
from PIL import Image

from bladelab.shape.rocker import Rocker, Zone
from bladelab.units import feet

HOME = Path(__file__).resolve().parents[1] / "data" / "demo"
SEED = 20260901

ASKED = Rocker((Zone(feet(9), 80.0), Zone(feet(11), 120.0), Zone(feet(8), 80.0)), pivot_mm=0.0)


def worn(
    x: np.ndarray, rounding_mm: float, toe_mm: float, bump_mm: float = 0.0, bump_at: float = 0.0
) -> np.ndarray:
    """Steel lost against the shape asked for: more at the ends, one end more than the other, one bad spot."""
    s = x / 140.0
    return rounding_mm * s**2 + toe_mm * s + bump_mm * np.exp(-(((x - bump_at) / 22.0) ** 2))


def write_csv(name: str, notes: list[str], columns: dict[str, np.ndarray], digits: dict[str, int]) -> None:
    """Write columns as CSV with notes above."""
    lines = [f"# {note}" for note in notes] + [",".join(columns)]
    lines += [
        ",".join(f"{value:.{digits[name]}f}" for name, value in zip(columns, row, strict=True))
        for row in zip(*columns.values(), strict=True)
    ]
    (HOME / name).write_text("\n".join(lines) + "\n", encoding="utf-8", newline="\n")


def traces() -> None:
    """A left and a right edge, read every 2 mm with a dial gauge good to 0.004 mm, not set quite level."""
    x = np.arange(-138.0, 138.1, 2.0)
    pairs = {
        "left": worn(x, 0.012, 0.004),
        "right": worn(x, 0.020, -0.030, bump_mm=0.045, bump_at=58.0),
    }
    for i, (side, lost) in enumerate(pairs.items()):
        rng = np.random.default_rng(SEED + i)
        y = ASKED.height_mm(x) + lost + 0.004 * rng.standard_normal(len(x))
        y = y + 1.25 + 0.0061 * (1 - 2 * i) * x
        write_csv(
            f"{side}_edge.csv",
            [
                f"Invented: the {side} blade's inside edge, dial gauge on a rail, standard error 0.004 mm",
                "position: mm from mid-length, heel negative; height: mm above the rail, offset, tilt free",
            ],
            {"position_mm": x, "height_mm": y},
            {"position_mm": 1, "height_mm": 3},
        )


def versines() -> None:
    """The left edge again, with a gauge of two feet 60 mm apart, every 10 mm."""
    rng = np.random.default_rng(SEED + 10)
    place = np.arange(-110.0, 110.1, 10.0)
    chord = 60.0

    def height(x: np.ndarray) -> np.ndarray:
        return ASKED.height_mm(x) + worn(x, 0.012, 0.004)

    lean = np.arctan2(height(place + chord / 2) - height(place - chord / 2), chord)
    reach = chord / 2 * np.cos(lean)
    drop = ((height(place - reach) + height(place + reach)) / 2 - height(place)) * np.cos(lean)
    write_csv(
        "left_gauge.csv",
        [
            "Invented: the left blade's inside edge, gauge with feet 60 mm apart, standard error 0.001 mm",
            "position: of the plunger, mm from mid-length, heel negative; versine: reading, mm",
        ],
        {
            "position_mm": place,
            "versine_mm": drop + 0.001 * rng.standard_normal(len(place)),
            "chord_mm": np.full(len(place), chord),
        },
        {"position_mm": 1, "versine_mm": 4, "chord_mm": 1},
    )


def photograph() -> None:
    """A photograph of a single 10 ft blade, side-on before a plain wall, with a ruler stood beside it.

    1800 x 700 px at 6 px/mm, turned by 0.4 deg, a lens that bows straight lines by 0.6 px over the blade,
    blur and grain. The edge is anti-aliased by sampling each pixel 4 by 4.
    """
    rng = np.random.default_rng(SEED + 20)
    width, height, scale, turn, fine = 1800, 700, 6.0, np.radians(0.4), 4
    rocker = Rocker.single(feet(10), 280.0)
    table = np.linspace(-140.0, 140.0, 2001)
    edge_heights = rocker.height_mm(table)
    picture = np.zeros((height, width))
    columns = (np.arange(width * fine) + 0.5) / fine - 0.5
    for row in range(height):
        grey = np.zeros(width)
        for part in range(fine):
            r = row + (part + 0.5) / fine - 0.5
            # The lens first: the middle of a straight line comes out 0.6 px lower than its ends.
            straight = r - 0.6 * (1 - ((columns - width / 2) / 840.0) ** 2)
            along, up = columns - width / 2, 400.0 - straight
            x = (along * np.cos(turn) - up * np.sin(turn)) / scale
            y = (along * np.sin(turn) + up * np.cos(turn)) / scale
            value = np.full(x.shape, 212.0) + 6.0 * (columns / width - 0.5)
            inside = np.abs(x) <= 140.0
            edge = np.interp(x, table, edge_heights)
            steel = inside & (y > edge) & (y < 26.0)
            value[steel] = 96.0 + 1.2 * y[steel]
            boot = (np.abs(x) < 120.0) & (y >= 26.0)
            value[boot] = 40.0
            ruler = (np.abs(x) <= 145.0) & (y < -14.0) & (y > -34.0)
            value[ruler] = 236.0
            place = x + 145.0
            mark = ruler & (np.abs(place - 10 * np.round(place / 10)) < 0.22) & (y > -21.0) & (y < -14.0)
            long_mark = ruler & (np.abs(place - 50 * np.round(place / 50)) < 0.22) & (y > -27.0) & (y < -14.0)
            value[mark | long_mark] = 20.0
            grey += value.reshape(width, fine).mean(axis=1)
        picture[row] = grey / fine
    picture += 3.0 * rng.standard_normal(picture.shape)
    Image.fromarray(np.clip(np.round(picture), 0, 255).astype(np.uint8)).save(
        HOME / "blade_photo.png", optimize=True
    )


if __name__ == "__main__":
    HOME.mkdir(parents=True, exist_ok=True)
    traces()
    versines()
    photograph()
