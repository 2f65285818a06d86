"""The picture of one skater's trials: the log at a glance, and each rating against what was computed."""

from __future__ import annotations

import textwrap
from collections import defaultdict
from collections.abc import Sequence

import numpy as np

from bladelab.advice.agreement import Agreement
from bladelab.advice.trial import RATINGS, Trial
from bladelab.show.canvas.style import INK, QUIET, TRIAL
from bladelab.show.canvas.tiles import Tiles
from bladelab.show.canvas.view import View
from bladelab.show.wording.units_shown import UNITS

MOST_TRIALS = 12
# Low, in between, well: told apart by lightness too.
_LOW, _BETWEEN, _WELL = "#E8853D", "#EFEFEF", "#9CC5E8"
_SCALES = {"friction": 1e3}
_AXIS = {
    "friction": "friction, 1/1000",
    "hold": "hold angle, °",
    "rock": "rock, ° per 10 mm",
    "pitch": "pitch, °",
}


class TrialsView(View):
    """Above, a column for each trial with its ratings and what changed; below, ratings over computed
    numbers."""

    height_px = 490

    def draw(self) -> None:
        self.strip = strip = self.figure.add_axes((0.115, 0.56, 0.875, 0.29))
        strip.set(xlim=(0, MOST_TRIALS), ylim=(len(RATINGS), 0), xticks=[])
        strip.set_yticks(np.arange(len(RATINGS)) + 0.5, labels=list(RATINGS))
        strip.grid(False)
        strip.tick_params(length=0)
        for spine in strip.spines.values():
            spine.set_visible(False)
        self.tiles = Tiles(self, strip, (_LOW, _BETWEEN, _WELL), (0.03, 0.04), edgecolor="none")
        self.columns = []
        for c in range(MOST_TRIALS):
            cells = []
            for r in range(len(RATINGS)):
                text = strip.text(c + 0.5, r + 0.5, "", ha="center", va="center")
                cells.append(self.moving(text))
            date = self.moving(strip.text(c + 0.5, -0.15, "", ha="center", va="bottom", fontsize=9.5))
            what = self.moving(
                strip.text(c + 0.5, len(RATINGS) + 0.15, "", ha="center", va="top", fontsize=9, color=QUIET)
            )
            self.columns.append((cells, date, what))
        strip.text(-0.08, len(RATINGS) + 0.15, "changed", ha="right", va="top", fontsize=9, color=QUIET)
        self.axes, self.dots, self.last = {}, {}, {}
        for i, (key, scale) in enumerate(RATINGS.items()):
            axes = self.figure.add_axes((0.05 + 0.192 * i, 0.115, 0.15, 0.22))
            axes.set(ylim=(scale.low - 0.4, scale.high + 0.4), yticks=range(scale.low, scale.high + 1))
            axes.set_title(f"{key} rated", fontsize=11)
            self.axes[key] = axes
            self.dots[key] = self.moving(
                axes.plot([], [], "o", markersize=7, color=INK, alpha=0.35, markeredgewidth=0)[0]
            )
            self.last[key] = self.moving(axes.plot([], [], "D", markersize=8, color=TRIAL)[0])
            axes.locator_params(axis="x", nbins=3)
            axes.set_xlabel(self._axis(scale.quantity), fontsize=10)
        self.figure.text(
            0.99, 0.015, "orange: the last trial; computed, not measured", ha="right", fontsize=9, color=QUIET
        )

    def _axis(self, key: str) -> str:
        return _AXIS.get(key) or f"turn radius, {UNITS.unit('distance')}"

    def update(self, *, trials: Sequence[Trial], agreements: Sequence[Agreement], finding: str) -> None:
        """Show one skater's trials, the last of them if there are many."""
        self.title(finding)
        shown, tiles = trials[-MOST_TRIALS:], defaultdict(list)
        for c, (cells, date, what) in enumerate(self.columns):
            trial = shown[c] if c < len(shown) else None
            for r, key in enumerate(RATINGS):
                value = trial.ratings.get(key) if trial else None
                if trial:
                    tiles[_colour(key, value)].append((c, r))
                cells[r].set_text(
                    ""
                    if value is None
                    else f"{value:+d}".replace("-", "−")
                    if key == "balance" and value
                    else str(value)
                )
            date.set_text(trial.date.strftime("%d %b").lstrip("0") if trial else "")
            what.set_text(textwrap.fill(trial.changed, 11) if trial else "")
        self.tiles.show(tiles)
        for agreement in agreements:
            key, quantity = agreement.rating.key, agreement.rating.quantity
            values = agreement.values * _SCALES.get(quantity, 1.0)
            if quantity == "carve":
                values = UNITS.shown("distance", values)
            self.dots[key].set_data(values, agreement.ratings)
            self.last[key].set_data(values[-1:], agreement.ratings[-1:])
            low, high = _ends(values)
            if self.axes[key].get_xlim() != (low, high):
                self.axes[key].set_xlim(low, high)


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
