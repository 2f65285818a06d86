"""The picture of a frontier: every blade searched, those worth a look, and the one picked."""

from __future__ import annotations

import textwrap
from dataclasses import dataclass

import numpy as np

from bladelab._types import Array
from bladelab.advice.starting import Frontier
from bladelab.advice.wishes import in_percent
from bladelab.shape.blade import Blade
from bladelab.show.canvas.limits import step_above
from bladelab.show.canvas.narrow import NARROW_PX, make_readable, widen
from bladelab.show.canvas.parts import RadiusPart
from bladelab.show.canvas.result import Result
from bladelab.show.canvas.style import INK, PRESENT, QUIET, TRIAL
from bladelab.show.canvas.view import View

_CELLS = 60
_SHOWN = 400  # dots at most: the ones with the fewest changes
_ENDS_PERCENT = (12.0, 25.0, 50.0, 100.0, 200.0, 600.0)
_ENDS_DEG = (0.1, 0.25, 0.5, 1.0, 3.0, 10.0)


@dataclass(frozen=True, kw_only=True)
class Starting(Result):
    """A frontier and the member picked on it; the wishes along the axes by number, -1 for how many changes;
    the present blade, and as the trial the one picked; and the way from one to the other."""

    found: Frontier
    pick: int
    across: tuple[int, int]
    blades: dict[str, Blade]
    lines: list[str]


class FrontierView(View[Starting]):
    """Every blade of the family as grey, those worth a look as dots, the one picked; beside it both radii."""

    height_px = 440

    def draw(self) -> None:
        self.axes = axes = self.figure.add_axes((0.085, 0.13, 0.46, 0.73), xlim=(-25, 25), ylim=(-25, 25))
        axes.axvline(0, color=QUIET, linewidth=0.9)
        axes.axhline(0, color=QUIET, linewidth=0.9)
        empty = np.zeros((_CELLS, _CELLS, 4))
        self.cloud = self.moving(axes.imshow(empty, origin="lower", aspect="auto", interpolation="nearest"))
        dots = {"linestyle": "none", "marker": "o", "markeredgewidth": 0}
        self.others = self.new_line(axes, markersize=4.5, color="#8FB8DE", **dots)
        self.granting = self.new_line(axes, markersize=6.5, color="#1B9E77", **dots)
        self.moving(axes.plot([0], [0], "s", markersize=9, color=PRESENT)[0])
        self.picked = self.new_line(axes, marker="D", markersize=11, color=TRIAL, markeredgecolor="white")
        self.tags = {
            "present": self.new_text(axes, "present", color=PRESENT, ha="right", va="top"),
            "picked": self.new_text(axes, "picked", color=TRIAL, va="bottom"),
        }
        outside = {"transform": axes.transAxes, "fontsize": 11, "clip_on": False, "bbox": None}
        self.names = (
            self.new_text(axes, "", 0.5, -0.13, ha="center", va="top", **outside),
            self.new_text(axes, "", -0.13, 0.5, ha="center", va="center", rotation=90, **outside),
        )
        self.radius = RadiusPart(self, self.figure.add_axes((0.635, 0.60, 0.355, 0.26)))
        self.radius.axes.set_xlabel("along the blade, mm")
        self.lines = [
            self.moving(self.figure.text(0.59, 0.435 - 0.058 * i, "", fontsize=10, color=INK, va="top"))
            for i in range(7)
        ]
        key = "grey: every blade searched; blue: worth a look, no other beats\n"
        key += "it on every wish; green: of these, better on every wish"
        self.key = self.figure.text(0.59, 0.03, key, fontsize=9, color=QUIET)

    def stack_up(self) -> None:
        """The lines that say which blade was picked, and the key, below."""
        super().stack_up()
        above, line = self.height_px, 18
        self.height_px = widen(self.figure, above, 0, line * (len(self.lines) + 5))
        for name, place in zip(self.names, ((0.5, -0.085), (-0.12, 0.5)), strict=True):
            name.set_position(place)
        for i, text in enumerate(self.lines):
            text.set_position((8 / NARROW_PX, 1 - (above + line * i) / self.height_px))
        words = textwrap.fill(self.key.get_text().replace("\n", " "), 54)
        self.key.set(text=words, position=(8 / NARROW_PX, 20 / self.height_px))
        make_readable(self.figure, self.headline, self.height_px)

    def update(self, starting: Starting) -> None:
        found, pick = starting.found, starting.pick
        (x, everywhere_x, span_x), (y, everywhere_y, span_y) = (
            self._along(found, axis, wish) for axis, wish in enumerate(starting.across)
        )
        self.axes.set(xlim=span_x, ylim=span_y)
        usable = np.isfinite(everywhere_x) & np.isfinite(everywhere_y)
        counts, _, _ = np.histogram2d(
            everywhere_y[usable], everywhere_x[usable], bins=_CELLS, range=[span_y, span_x]
        )
        pixels = np.full((_CELLS, _CELLS, 4), 0.86)
        pixels[..., 3] = counts > 0
        self.cloud.set_data(pixels)
        self.cloud.set_extent((*span_x, *span_y))
        few = np.arange(len(found.members)) < _SHOWN
        grants = found.grants_all & (len(found.wishes) > 1)
        self.others.set_data(x[few & ~grants], y[few & ~grants])
        self.granting.set_data(x[few & grants], y[few & grants])
        self.picked.set_data(x[[pick]], y[[pick]])
        side = 1 if x[pick] < 0.5 * span_x[1] else -1
        wide, tall = span_x[1] - span_x[0], span_y[1] - span_y[0]
        self.tags["picked"].set_position((x[pick] + side * 0.025 * wide, y[pick] + 0.02 * tall))
        self.tags["picked"].set_horizontalalignment("left" if side > 0 else "right")
        self.tags["picked"].set_visible(found.steps[pick] > 0)
        self.tags["present"].set_position((-0.02 * wide, -0.02 * tall))
        self.radius.update(starting.blades)
        for i, text in enumerate(self.lines):
            text.set_text(starting.lines[i] if i < len(starting.lines) else "")

    def _along(self, found: Frontier, axis: int, wish: int) -> tuple[Array, Array, tuple[float, float]]:
        """Name an axis; return the places along it of the frontier and of every blade, and where it ends."""
        if wish < 0:
            self.names[axis].set_text("changes from the present blade →")
            return found.steps.astype(float), found.scores.family.steps_away.astype(float), (-1.0, 12.0)
        gains, percent = found.gains[:, wish], in_percent(found.wishes[wish])
        self.names[axis].set_text(f"{found.wishes[wish].word}, {'%' if percent else '°'} →")
        top = step_above(1.1 * float(np.abs(gains).max()), _ENDS_PERCENT if percent else _ENDS_DEG)
        return gains, found.all_gains[:, wish], (-top, top)
