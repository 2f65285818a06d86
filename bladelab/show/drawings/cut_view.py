"""The picture of a cut: both edges in the steel, what comes off, and the height that is left."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from bladelab.show.canvas.edge_parts import axes_along, worst_mark
from bladelab.show.canvas.limits import Rising
from bladelab.show.canvas.parts import HEIGHTS_MM, REACH_MM
from bladelab.show.canvas.result import Result
from bladelab.show.canvas.style import LINES, QUIET, STEEL, TRIAL, Look
from bladelab.show.canvas.view import View
from bladelab.workshop.cut import Cut

_DEPTHS_MM = (0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 40.0)


@dataclass(frozen=True, kw_only=True)
class SteelOff(Result):
    """One cut, and the height of the steel before it and at the maker's minimum, mm; None for what nobody
    measured."""

    cut: Cut
    height_mm: float | None
    least_mm: float | None


class CutView(View[SteelOff]):
    """Both edges in the steel, the strip that comes off, and the height of steel that is left."""

    height_px = 430
    #: What the two edges are called.
    words = ("present", "trial (dashed)")

    def draw(self) -> None:
        edges, strip = axes_along(self, 0.72, (0.54, 0.36), (0.11, 0.34))
        strip.set_ylabel("steel to remove, mm")
        self.gone = self.new_area(edges, color=TRIAL, alpha=0.35)
        self.steel = self.new_area(edges, color=STEEL, alpha=0.6)
        self.lines = {name: self.new_line(edges, **style) for name, style in LINES.items()}
        for name, x, ha, words in zip(LINES, (0.46, 0.47), ("right", "left"), self.words, strict=True):
            look: Look = {"color": LINES[name]["color"], "va": "top", "ha": ha}
            self.new_text(edges, words, x, 0.95, transform=edges.transAxes, **look)
        self.height = Rising(edges, HEIGHTS_MM, spare=1.12, below=0.1, name="height, mm")
        self.depth = self.new_area(strip, color=TRIAL, alpha=0.35)
        self.depth_line = self.new_line(strip, color=TRIAL, linewidth=1.6)
        self.mean = self.new_level(strip, color=QUIET, linestyle=(0, (2, 2)), linewidth=1.2)
        self.mean_tag = self.new_text(strip, color=QUIET, ha="right", va="bottom")
        self.worst = worst_mark(self, strip)
        self.worst_tag = self.new_text(strip, ha="center", va="bottom")
        self.deep = Rising(strip, _DEPTHS_MM, spare=1.35)
        bar = self.figure.add_axes((0.885, 0.11, 0.1, 0.79))
        bar.set(xlim=(0, 1), xticks=[], ylabel="height of the steel, mm")
        bar.grid(False)
        self.bar, self.tall = bar, Rising(bar, (30.0, 40.0, 60.0, 110.0), spare=1.0)
        self.left = self.moving(bar.bar([0.5], [1], width=0.6, color=STEEL)[0])
        self.taken = self.moving(bar.bar([0.5], [1], width=0.6, color=TRIAL, alpha=0.5)[0])
        self.least = self.new_level(bar, color="black", linewidth=1.6)
        self.least_tag = self.new_text(bar, "minimum", ha="center", va="top", bbox=None)

    def update(self, ground: SteelOff) -> None:
        """Show one cut."""
        cut = ground.cut
        thin = np.unique(np.linspace(0, len(cut.x_mm) - 1, 161).astype(int))
        x, now, wanted = cut.x_mm[thin], cut.present_mm[thin], cut.target_mm[thin]
        lowest = float(now.min())
        now, wanted = now - lowest, wanted - lowest
        after = np.maximum(now, wanted)
        top = self.height.reach(float(after.max()))
        self.gone.set_data(x, now, after)
        self.steel.set_data(x, after, np.full_like(x, 2 * top))
        self.lines["present"].set_data(x, now)
        self.lines["trial"].set_data(x, wanted)
        deep = self.deep.reach(max(cut.largest_mm, 1e-3))
        self.depth.set_data(x, 0 * x, after - now)
        self.depth_line.set_data(x, after - now)
        self.mean.set_ydata([cut.mean_mm] * 2)
        self.mean_tag.set_text(f"average {cut.mean_mm:.3f} mm")
        self.mean_tag.set_position((REACH_MM - 2, cut.mean_mm))
        self.worst.set_data([cut.largest_at_mm], [cut.largest_mm])
        self.worst_tag.set_text(f"most: {cut.largest_mm:.3f} mm")
        place = float(np.clip(cut.largest_at_mm, -125, 105))
        self.worst_tag.set_position((place, cut.largest_mm + 0.05 * deep))
        self._bar(ground)

    def _bar(self, ground: SteelOff) -> None:
        known = ground.height_mm is not None and ground.least_mm is not None
        if known != self.bar.get_visible():
            self.bar.set_visible(known)
            self.still_changed()
        if ground.height_mm is None or ground.least_mm is None:
            return
        self.tall.reach(ground.height_mm)
        most = ground.cut.largest_mm
        left = max(ground.height_mm - most, 0)
        self.left.set_height(left)
        self.taken.set_y(left)
        self.taken.set_height(min(most, ground.height_mm))
        self.least.set_ydata([ground.least_mm] * 2)
        self.least_tag.set_position((0.5, ground.least_mm - 0.01 * self.tall.top))
