"""The picture of one skater's trials: the log at a glance, and each rating against what was computed."""

from __future__ import annotations

import textwrap
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from bladelab.advice.agreement import Agreement
from bladelab.advice.trial import RATINGS, Trial
from bladelab.show.canvas.narrow import NARROW_PX, make_readable, widen
from bladelab.show.canvas.result import Result
from bladelab.show.canvas.style import INK, QUIET, TRIAL, Look
from bladelab.show.canvas.tiles import Tiles
from bladelab.show.canvas.view import View
from bladelab.show.wording.units_shown import UNITS
from bladelab.show.wording.words import signed

MOST_TRIALS = 12
# Low, in between, well: they differ in lightness too.
_LOW, _BETWEEN, _WELL = "#E8853D", "#EFEFEF", "#9CC5E8"
_SCALES = {"friction": 1e3}
_AXIS = {
    "friction": "friction, 1/1000",
    "hold": "hold angle, °",
    "rock": "rock, ° per 10 mm",
    "pitch": "pitch, °",
}


@dataclass(frozen=True, kw_only=True)
class Logged(Result):
    """One skater's trials, and how their ratings agree with the model."""

    trials: Sequence[Trial]
    agreements: Sequence[Agreement]


class TrialsView(View[Logged]):
    """Above, a column for each trial with its ratings and what changed; below, ratings over the model."""

    height_px = 490

    def draw(self) -> None:
        self.strip = strip = self.figure.add_axes((0.115, 0.56, 0.875, 0.29))
        colours, inset = (_LOW, _BETWEEN, _WELL), (0.03, 0.04)
        self.tiles = Tiles(self, strip, [""] * MOST_TRIALS, [*RATINGS], colours, inset, edgecolor="none")
        below = len(RATINGS) + 0.15
        small: Look = {"va": "top", "fontsize": 9, "color": QUIET}
        places = [column + 0.5 for column in range(MOST_TRIALS)]
        self.dates = [
            self.moving(strip.text(x, -0.15, "", ha="center", va="bottom", fontsize=9.5)) for x in places
        ]
        self.changed = [self.moving(strip.text(x, below, "", ha="center", **small)) for x in places]
        self.change_head = strip.text(-0.08, below, "changed", ha="right", **small)
        self.axes, self.dots, self.last = {}, {}, {}
        for i, (key, scale) in enumerate(RATINGS.items()):
            self.axes[key] = axes = self.figure.add_axes((0.05 + 0.192 * i, 0.115, 0.15, 0.22))
            axes.set(ylim=(scale.low - 0.4, scale.high + 0.4), yticks=range(scale.low, scale.high + 1))
            axes.set_title(f"{key} rated", fontsize=11)
            look = {"color": INK, "alpha": 0.35, "markeredgewidth": 0, "linestyle": "none"}
            self.dots[key] = self.new_line(axes, marker="o", markersize=7, **look)
            self.last[key] = self.new_line(axes, marker="D", markersize=8, color=TRIAL)
            axes.locator_params(axis="x", nbins=3)
            quantity = _AXIS.get(scale.quantity) or f"turn radius, {UNITS.unit('distance')}"
            axes.set_xlabel(quantity, fontsize=10)
        note = "orange: the last trial. Friction, angles and radius are computed, not measured"
        self.note = self.figure.text(0.99, 0.015, note, ha="right", fontsize=9, color=QUIET)

    def stack_up(self) -> None:
        """Dates upright; what changed is in the list of trials."""
        super().stack_up()
        self.height_px = widen(self.figure, self.height_px, 30, 44)
        for date in self.dates:
            date.set_rotation(90)
        for changed in (*self.changed, self.change_head):
            changed.set_visible(False)
        words = self.note.get_text().replace(". ", ".\n")
        self.note.set(text=words, position=(8 / NARROW_PX, 20 / self.height_px), ha="left")
        make_readable(self.figure, self.headline, self.height_px)

    def update(self, logged: Logged) -> None:
        shown, tiles = logged.trials[-MOST_TRIALS:], defaultdict(list)
        for c, (date, changed) in enumerate(zip(self.dates, self.changed, strict=True)):
            trial = shown[c] if c < len(shown) else None
            date.set_text(trial.date.strftime("%d %b").lstrip("0") if trial else "")
            changed.set_text(textwrap.fill(trial.changed, 11) if trial else "")
            for r, key in enumerate(RATINGS):
                value = trial.ratings.get(key) if trial else None
                self.tiles.words[r][c].set_text(_written(key, value))
                if trial:
                    tiles[_colour(key, value)].append((c, r))
        self.tiles.show(tiles)
        for agreement in logged.agreements:
            key, quantity = agreement.rating.key, agreement.rating.quantity
            values = agreement.values * _SCALES.get(quantity, 1.0)
            if quantity == "carve":
                values = UNITS.shown("distance", values)
            self.dots[key].set_data(values, agreement.ratings)
            self.last[key].set_data(values[-1:], agreement.ratings[-1:])
            self.axes[key].set_xlim(_ends(values))


def _written(key: str, value: int | None) -> str:
    if value is None:
        return ""
    return signed(value) if key == "balance" else str(value)


def _ends(values: np.ndarray) -> tuple[float, float]:
    """Calm limits, which stay where they are while the values move a little."""
    if not len(values):
        return 0.0, 1.0
    low, high = float(values.min()), float(values.max())
    half = max(0.6 * (high - low), 0.06 * abs(low + high) / 2, 0.03)
    power = 10.0 ** np.floor(np.log10(half))
    half = float(power * next(n for n in (1, 2, 5, 10) if power * n >= half * (1 - 1e-9)))
    middle = round((low + high) / half) * half / 2
    return round(middle - 1.25 * half, 9), round(middle + 1.25 * half, 9)


def _colour(key: str, value: int | None) -> str:
    if value is None:
        return _BETWEEN
    if key == "balance":
        return _WELL if value == 0 else _LOW if abs(value) > 1 else _BETWEEN
    return _LOW if value <= 2 else _WELL if value >= 4 else _BETWEEN
