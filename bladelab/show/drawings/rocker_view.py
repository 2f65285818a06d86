"""The picture of a rocker: its curve, coloured by its radius, and the radius along the blade."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from matplotlib.axes import Axes
from matplotlib.collections import LineCollection
from matplotlib.ticker import MaxNLocator

from bladelab.shape.rocker import Rocker
from bladelab.show.canvas.limits import Rising
from bladelab.show.canvas.parts import HEIGHTS_MM, REACH_MM, along
from bladelab.show.canvas.result import Result
from bladelab.show.canvas.style import INK, heel_and_toe, radius_colours, radius_norm
from bladelab.show.canvas.view import View
from bladelab.show.controls import blade as controls
from bladelab.show.wording.units_shown import UNITS


@dataclass(frozen=True, kw_only=True)
class OneRocker(Result):
    """The rocker itself."""

    rocker: Rocker


class RockerView(View[OneRocker]):
    """One rocker, coloured by its radius; below it the radius along the blade."""

    height_px = 430
    #: Bottom and height of the two axes, as shares of the picture's height.
    spans = ((0.5, 0.4), (0.115, 0.3))

    def draw(self) -> None:
        side, low = self.stack(0.08, 0.8, *self.spans)
        for axes in (side, low):
            axes.set_xlim(-REACH_MM, REACH_MM)
            heel_and_toe(axes)
        unit = UNITS.unit("radius")
        low.set(xlabel="along the blade, mm from its middle", ylabel=f"radius, {unit}")
        low.yaxis.set_major_locator(MaxNLocator(4, steps=[1, 2, 5, 10]))
        self.height = Rising(side, HEIGHTS_MM, spare=1.12, below=0.08, name="height, mm")
        self.most = Rising(low, (15.0, 30.0, 50.0) if unit == "ft" else (5.0, 9.0, 15.0), spare=1.2)
        self.curve, self.radius = self._coloured(side, 6), self._coloured(low, 4)
        self.level = self.new_line(side, marker="^", markersize=10, color=INK, clip_on=False)
        self.ends = [self.new_text(side, ha=ha, va="bottom") for ha in ("left", "right")]
        self.names = [self.new_text(low, ha="center", va="bottom") for _ in range(controls.MOST_ZONES)]
        self._colour_bar((5.0, 10.0, 20.0, 40.0) if unit == "ft" else (1.5, 3.0, 6.0, 12.0), unit)

    def _coloured(self, axes: Axes, width: float) -> LineCollection:
        line = LineCollection(
            [], linewidths=width, cmap=radius_colours(), norm=radius_norm(), capstyle="projecting"
        )
        axes.add_collection(line)
        return self.moving(line)

    def _colour_bar(self, ticks: tuple[float, ...], unit: str) -> None:
        axes, norm = (
            self.figure.add_axes((0.9, self.spans[1][0], 0.014, 0.9 - self.spans[1][0])),
            radius_norm(),
        )
        shades = np.geomspace(norm.vmin or 1.0, norm.vmax or 2.0, 64)
        shown = UNITS.shown("radius", shades)
        axes.pcolormesh([0, 1], shown, shades[:-1, None], norm=norm, cmap=radius_colours())
        axes.set(yscale="log", xticks=[])
        axes.set_yticks(ticks, labels=[f"{tick:g} {unit}" for tick in ticks])
        axes.minorticks_off()
        axes.yaxis.tick_right()
        axes.grid(False)
        axes.set_title("round below, flat above", fontsize=9, fontweight="normal", loc="right", x=5.5)

    def update(self, shown: OneRocker) -> None:
        """Show one rocker."""
        rocker = shown.rocker
        x = along(rocker, 71)
        y, radius = rocker.height_mm(x), rocker.radius_mm((x[1:] + x[:-1]) / 2)
        radii = UNITS.shown("radius", rocker.radius_mm(x))
        top, most = self.height.reach(float(y.max())), self.most.reach(float(radii.max()))
        # One piece for each stretch of one radius: pieces of equal colour would show their seams.
        breaks = 1 + np.flatnonzero(np.abs(np.diff(radius) / radius[1:]) > 1e-9)
        starts, ends = np.r_[0, breaks], np.r_[breaks, len(radius)]
        for line, values in ((self.curve, y), (self.radius, radii)):
            points = np.column_stack([x, values])
            line.set_segments([points[i : j + 1] for i, j in zip(starts, ends, strict=True)])
            line.set_array(radius[starts])
        self.level.set_data([rocker.pivot_mm], [-0.035 * top])
        for text, end in zip(self.ends, (0, -1), strict=True):
            text.set_text(f"{y[end]:.2f} mm up")
            text.set_position((x[end], y[end] + 0.05 * top))
        half = rocker.length_mm / 2
        edges = [-half, *rocker.junctions_mm, half]
        for i, text in enumerate(self.names):
            text.set_visible(i < len(rocker.zones))
            if text.get_visible():
                zone = rocker.zones[i].radius_mm
                text.set_text(UNITS.say("radius", zone))
                text.set_position(((edges[i] + edges[i + 1]) / 2, UNITS.shown("radius", zone) + 0.06 * most))
