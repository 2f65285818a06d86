"""The rocker panel: one lengthwise curve under sliders."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
from matplotlib.collections import LineCollection
from matplotlib.ticker import MaxNLocator

from bladelab.shape.rocker import Rocker
from bladelab.show.canvas.limits import exaggeration, step_above, times
from bladelab.show.canvas.parts import REACH_MM, along
from bladelab.show.canvas.style import INK, heel_and_toe, label, radius_colours, radius_norm
from bladelab.show.canvas.view import View
from bladelab.show.controls.blade import (
    rocker_controls,
    rocker_of,
)
from bladelab.show.panel.engine import Answer, Panel
from bladelab.show.wording.units_shown import UNITS


class RockerView(View):
    """One rocker, coloured by its radius; below it the radius along the blade."""

    height_px = 430

    def draw(self) -> None:
        self.side = self.figure.add_axes((0.08, 0.5, 0.8, 0.4))
        self.side.set(xlim=(-REACH_MM, REACH_MM), ylim=(-0.4, 5.0))
        self.side.tick_params(labelbottom=False)
        self.low = self.figure.add_axes((0.08, 0.115, 0.8, 0.3))
        self.low.set(xlim=(-REACH_MM, REACH_MM), xlabel="along the blade, mm from its middle")
        self.low.yaxis.set_major_locator(MaxNLocator(4, steps=[1, 2, 5, 10]))
        self.low.set_ylabel(f"radius, {UNITS.unit('radius')}")
        self.curve = self._coloured(self.side, 6)
        self.radius = self._coloured(self.low, 4)
        self.level = self.moving(
            self.side.plot([0], [0], marker="^", markersize=10, color=INK, clip_on=False)[0]
        )
        self.ends = [self.moving(label(self.side, 0, 0, "", ha=ha, va="bottom")) for ha in ("left", "right")]
        self.names = [self.moving(label(self.low, 0, 0, "", ha="center", va="bottom")) for _ in range(4)]
        for axes in (self.side, self.low):
            heel_and_toe(axes)
        colours = self.figure.add_axes((0.9, 0.115, 0.014, 0.785))
        norm, steps = radius_norm(), np.array([5.0, 10.0, 20.0, 40.0])
        if UNITS.unit("radius") == "m":
            steps = np.array([1.5, 3.0, 6.0, 12.0])
        shades = np.geomspace(norm.vmin or 1.0, norm.vmax or 2.0, 64)
        colours.pcolormesh(
            [0, 1], UNITS.shown("radius", shades), shades[:-1, None], norm=norm, cmap=radius_colours()
        )
        colours.set(yscale="log", xticks=[])
        colours.set_yticks(steps, labels=[f"{s:g} {UNITS.unit('radius')}" for s in steps])
        colours.minorticks_off()
        colours.yaxis.tick_right()
        colours.grid(False)
        colours.set_title("round below, flat above", fontsize=9, fontweight="normal", loc="right", x=5.5)

    def _coloured(self, axes: Any, width: float) -> LineCollection:
        line = LineCollection(
            [], linewidths=width, cmap=radius_colours(), norm=radius_norm(), capstyle="projecting"
        )
        axes.add_collection(line)
        return self.moving(line)

    def update(self, *, rocker: Rocker, finding: str) -> None:
        """Show one rocker."""
        x = along(rocker, 71)
        y, radius = rocker.height_mm(x), rocker.radius_mm((x[1:] + x[:-1]) / 2)
        top = step_above(1.12 * float(y.max()), (2.5, 5.0, 10.0, 20.0, 40.0, 80.0))
        if self.side.get_ylim()[1] != top or not self.side.get_ylabel():
            self.side.set_ylim(-0.08 * top, top)
            self.side.set_ylabel(f"height, mm\n({times(exaggeration(self.side))})")
        shown = UNITS.shown("radius", rocker.radius_mm(x))
        feet = UNITS.unit("radius") == "ft"
        self.low.set_ylim(
            0, step_above(1.2 * float(shown.max()), (15.0, 30.0, 50.0) if feet else (5.0, 9.0, 15.0))
        )
        # One piece for each stretch of one radius: pieces of equal colour would show their seams.
        breaks = 1 + np.flatnonzero(np.abs(np.diff(radius) / radius[1:]) > 1e-9)
        starts, ends = np.r_[0, breaks], np.r_[breaks, len(radius)]
        for line, values in ((self.curve, y), (self.radius, shown)):
            points = np.column_stack([x, values])
            line.set_segments([points[i : j + 1] for i, j in zip(starts, ends, strict=True)])
            line.set_array(radius[starts])
        self.level.set_data([rocker.pivot_mm], [-0.035 * top])
        for text, end in zip(self.ends, (0, -1), strict=True):
            text.set_text(f"{y[end]:.2f} mm up")
            text.set_position((x[end], y[end] + 0.05 * top))
        edges = [-rocker.length_mm / 2, *rocker.junctions_mm, rocker.length_mm / 2]
        for i, text in enumerate(self.names):
            text.set_visible(i < len(rocker.zones))
            if i < len(rocker.zones):
                zone = rocker.zones[i]
                text.set_text(UNITS.say("radius", zone.radius_mm))
                at = UNITS.shown("radius", zone.radius_mm) + 0.06 * self.low.get_ylim()[1]
                text.set_position(((edges[i] + edges[i + 1]) / 2, at))
        self.title(finding)


def rocker_answer(state: SimpleNamespace) -> Answer:
    """What the rocker's shape means under a skater."""
    rocker = rocker_of(state)
    half, pivot = rocker.length_mm / 2, rocker.pivot_mm
    heel, toe = (float(rocker.height_mm(x)) for x in (-half, half))
    here = float(rocker.radius_mm(pivot))
    rock = np.degrees(10.0 / here)
    gap = float(rocker.height_mm(min(pivot + 50.0, half)))
    kinds = {1: "one radius"}
    finding = f"A {state.shape} rocker of {kinds.get(len(rocker.zones), f'{len(rocker.zones)} zones')}: "
    finding += f"{UNITS.say('radius', here)} where it stands level"
    return Answer(
        f"Stood level, the edge is {heel:.2f} mm off the ice at the heel and {toe:.2f} mm at the toe; 50 mm "
        f"ahead of the level point the gap is {gap:.2f} mm.\nAt the level point the radius is "
        f"{UNITS.say('radius', here)}: shift the weight 10 mm forward and the boot tips about {rock:.2f}° "
        "forward. A larger radius tips less: steadier. A smaller one tips more: quicker.",
        {"rocker": rocker, "finding": finding},
    )


def rocker_panel() -> Panel:
    """One rocker under sliders."""
    return Panel("rocker", RockerView(), rocker_controls(), rocker_answer, tabs=False)
