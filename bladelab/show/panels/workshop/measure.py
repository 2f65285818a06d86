"""The measuring panel: what a measured edge is, and how far from the shape that was asked for."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache
from types import SimpleNamespace
from typing import Any

import numpy as np

from bladelab.shape.rocker import Rocker
from bladelab.show.canvas.limits import exaggeration, step_above, times
from bladelab.show.canvas.parts import REACH_MM
from bladelab.show.canvas.style import LINES, QUIET, heel_and_toe, label
from bladelab.show.canvas.view import View
from bladelab.show.controls.blade import rocker_controls, rocker_of
from bladelab.show.controls.control import Choice, Control, Slider
from bladelab.show.panel.engine import Answer, Panel
from bladelab.show.panels.workshop.measure_words import at_worst, level_words, shape_found
from bladelab.show.panels.workshop.measured_files import notes_on, offered
from bladelab.show.panels.workshop.measurement import Measurement, edge_of, find
from bladelab.show.wording.units_shown import UNITS
from bladelab.workshop.compare import Deviation, deviation
from bladelab.workshop.gauge import GaugeReadings

_COUNTS = (("as the readings say", 0), *((str(n), n) for n in range(1, 7)))
_POINTS, _SPOTS = 400, 3
# A gauge on a rail seldom reaches the last millimetres; a verdict names what it leaves out beyond this share.
_UNSEEN = 0.05
#: How well the rail is parallel to the holder, degrees: 0.05° at 10 ft is 2.7 mm of the level point.
_LEVELS = (
    ("angle not known", 0.0),
    *((f"parallel within {angle:g}°", angle) for angle in (0.02, 0.05, 0.1, 0.2)),
)


class MeasureView(View):
    """The levelled edge, its radius, and its distance from the shape asked for, over one shared x axis."""

    height_px = 500

    def draw(self) -> None:
        left, wide = 0.085, 0.895
        self.edge, self.radius, self.apart = (
            self.figure.add_axes((left, bottom, wide, height))
            for bottom, height in ((0.69, 0.235), (0.37, 0.265), (0.095, 0.22))
        )
        for axes in (self.edge, self.radius, self.apart):
            axes.set_xlim(-REACH_MM, REACH_MM)
            heel_and_toe(axes)
        for axes in (self.edge, self.radius):
            axes.tick_params(labelbottom=False)
        self.apart.set_xlabel("along the blade, mm from its middle")
        unit = UNITS.unit("radius")
        self.radius.set_ylabel(f"radius, {unit}")
        self.radius.set_ylim(0, 20 if unit == "ft" else 6)
        self.apart.set_ylabel("steel proud of the\nshape asked for, mm")
        seen, asked = LINES["present"], LINES["trial"]
        dots = {"color": seen["color"], "marker": ".", "markersize": 3, "linestyle": "none"}
        self.spots = [
            self.moving(self.edge.axvspan(0, 0, color=asked["color"], alpha=0.18, linewidth=0))
            for _ in range(_SPOTS)
        ]
        self.points = self.moving(self.edge.plot([], [], **dots)[0])
        self.fitted = self.moving(self.edge.plot([], [], color="black", linewidth=1.0)[0])
        self.pivot = self.moving(self.edge.plot([], [], marker="^", markersize=9, color="black")[0])
        self.pivot_tag = self.moving(label(self.edge, 0, 0, "lowest point", ha="center", va="bottom"))
        self.band = self.moving(
            self.radius.fill_between([0, 1], 0, 0, color=seen["color"], alpha=0.2, linewidth=0)
        )
        self.local = self.moving(self.radius.plot([], [], color=seen["color"], linewidth=1.2)[0])
        self.steps = self.moving(self.radius.plot([], [], color="black", linewidth=2.0)[0])
        self.asked = self.moving(self.radius.plot([], [], **asked)[0])
        corner = {"transform": self.radius.transAxes, "va": "top", "bbox": None}
        label(self.radius, 0.01, 0.97, "near each place", color=seen["color"], **corner)
        label(self.radius, 0.15, 0.97, "zones found", color="black", **corner)
        label(self.radius, 0.26, 0.97, "asked for (dashed)", color=asked["color"], **corner)
        self.limits = [
            self.moving(self.apart.axhline(0, color=asked["color"], linestyle=(0, (5, 2)), linewidth=1.4))
            for _ in range(2)
        ]
        self.apart_band = self.moving(
            self.apart.fill_between([0, 1], 0, 0, color=seen["color"], alpha=0.25, linewidth=0)
        )
        self.apart_line = self.moving(self.apart.plot([], [], color=seen["color"], linewidth=1.6)[0])
        self.worst = self.moving(
            self.apart.plot([], [], marker="o", markersize=8, markerfacecolor="none", color="black")[0]
        )
        self.apart.axhline(0, color=QUIET, linewidth=0.8)
        self.tolerance_tag = self.moving(
            label(self.apart, 0, 0, "tolerance", color=asked["color"], ha="right", va="bottom")
        )

    def update(self, *, found: Measurement, apart: Deviation, target: Rocker, finding: str) -> None:
        """Show one measured edge against a target."""
        trace = found.trace
        some = np.unique(np.linspace(0, len(trace.x_mm) - 1, _POINTS).astype(int))
        self.points.set_data(trace.x_mm[some], trace.y_mm[some])
        top = step_above(1.15 * float(trace.y_mm.max()), (2.5, 5.0, 10.0, 20.0, 40.0))
        if self.edge.get_ylim()[1] != top or not self.edge.get_ylabel():
            self.edge.set_ylim(-0.12 * top, top)
            self.edge.set_ylabel(f"height, mm\n({times(exaggeration(self.edge))})")
        x = np.linspace(trace.x_mm[0], trace.x_mm[-1], 121)
        fitted = found.edge.height_mm(x)
        line = np.polynomial.polynomial.polyfit(trace.x_mm, trace.y_mm - found.edge.height_mm(trace.x_mm), 1)
        self.fitted.set_data(x, fitted + np.polynomial.polynomial.polyval(x, line))
        known = trace.level_error_deg is not None
        lowest = found.zones.lowest_mm if known else found.zones.pivot_mm
        self.pivot.set_visible(bool(np.isfinite(lowest)))
        self.pivot_tag.set_visible(bool(np.isfinite(lowest)))
        if np.isfinite(lowest):
            self.pivot.set_data([lowest], [-0.05 * top])
            self.pivot_tag.set_position((lowest, 0.06 * top))
        self.pivot_tag.set_text("level point" if known else "lowest point, ends level")
        for span, spot in zip(self.spots, [*found.edge.spots, *[None] * _SPOTS], strict=False):
            span.set_visible(spot is not None)
            if spot:
                span.set_x(spot.from_mm)
                span.set_width(spot.length_mm)

        high = self.radius.get_ylim()[1]

        def shown(radius: Any) -> Any:
            radius = np.where(radius > 0, radius, 1e6)
            return np.clip(UNITS.shown("radius", np.minimum(radius, 1e6)), 0, 1.2 * high)

        bend, error = 1 / found.radius_mm, 1.96 * found.error_mm / found.radius_mm**2
        self.local.set_data(found.place_mm, shown(found.radius_mm))
        with np.errstate(divide="ignore"):
            self.band.set_data(found.place_mm, shown(1 / (bend + error)), shown(1 / (bend - error)))
        edges = np.concatenate([[trace.x_mm[0]], found.zones.junctions_mm, [trace.x_mm[-1]]])
        radii = np.array([zone.radius_mm for zone in found.zones.zones])
        self.steps.set_data(np.repeat(edges, 2)[1:-1], shown(np.repeat(radii, 2)))
        along = np.linspace(-target.length_mm / 2, target.length_mm / 2, 281)
        self.asked.set_data(along, shown(target.radius_mm(along)))

        size = max(apart.tolerance_mm, float(np.abs(apart.deviation_mm).max() + 2 * apart.error_mm.max()))
        tall = step_above(1.25 * size, (0.02, 0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0))
        self.apart.set_ylim(-tall, tall)
        thin = np.unique(np.linspace(0, len(apart.x_mm) - 1, 200).astype(int))
        place, value, doubt = apart.x_mm[thin], apart.deviation_mm[thin], 1.96 * apart.error_mm[thin]
        self.apart_line.set_data(place, value)
        self.apart_band.set_data(place, value - doubt, value + doubt)
        self.worst.set_data([apart.largest_at_mm], [apart.largest_mm])
        for limit, sign in zip(self.limits, (-1, 1), strict=True):
            limit.set_ydata([sign * apart.tolerance_mm] * 2)
        self.tolerance_tag.set_position((REACH_MM - 2, apart.tolerance_mm))
        self.title(finding)


_deviation = lru_cache(maxsize=64)(deviation)


def measure_answer(state: SimpleNamespace) -> Answer:
    """What was measured, in words."""
    claimed = state.level_error_deg or None
    read = edge_of(state.file, claimed)
    found = find(state.file, state.count, state.window_mm, claimed)
    target = rocker_of(state)
    apart = _deviation(read, target, state.tolerance_mm)
    tolerance = f"the tolerance of {apart.tolerance_mm:.3f} mm"
    measured_mm = found.trace.length_mm
    verdicts = {
        "within": f"within {tolerance} over the {measured_mm:.0f} mm measured",
        "outside": f"beyond {tolerance}",
        "too close to call": f"too close to {tolerance} for these readings to tell",
    }
    covers = "shape and level point" if apart.level_known else "shape"
    sentence = f"Against the {covers} you ordered, at its worst: {at_worst(apart)}. "
    sentence += f"That is {verdicts[apart.verdict]}."
    where = ""
    if (rest := target.length_mm - measured_mm) > _UNSEEN * target.length_mm:
        sentence += f" {rest:.0f} mm of the runner were not measured."
        where = ", where it was measured"
    from_gauge = isinstance(read, GaugeReadings)
    sentence += f" {level_words(found, target, from_gauge, claimed is not None)}"
    sentence += f"\n{shape_found(found, bool(state.count))}"
    if not apart.level_known:
        side = "ahead of" if found.zones.pivot_mm > 0 else "behind"
        sentence += (
            f" With both ends level the lowest point is {abs(found.zones.pivot_mm):.1f} ± "
            f"{max(found.zones.pivot_error_mm, 0.05):.1f} mm {side} the middle."
        )
    if apart.verdict == "outside":
        sentence += "\nHave it ground by someone trained for it; steel that is gone can't be put back."
    says = {
        "within": (
            f"Shape and level point are as ordered, within the tolerance{where}"
            if apart.level_known
            else f"The shape is as ordered, within the tolerance{where}; the level point was not measured"
        ),
        "outside": f"Not the shape you ordered: {at_worst(apart)}",
        "too close to call": "These readings can't tell whether the blade is within the tolerance",
    }
    return Answer(
        sentence + notes_on(state.file),
        {"found": found, "apart": apart, "target": target, "finding": says[apart.verdict]},
    )


def measure_panel() -> Panel:
    """A measured edge against the shape asked for.

    CSV files in a folder ``measured`` beside the notebook are offered too.
    """
    files = offered(".csv")
    defaults = {
        "shape": "stepped",
        "zones": 3,
        "zone_radius_1_mm": 2743.2,
        "zone_radius_2_mm": 3352.8,
        "zone_radius_3_mm": 2438.4,
    }
    lengths = {"zone_length_1_mm": 80.0, "zone_length_2_mm": 120.0}
    asked: list[Control] = [
        replace(control, default={**defaults, **lengths}.get(control.key, control.default))  # type: ignore[attr-defined, call-arg]
        for control in rocker_controls()
    ]
    return Panel(
        "measured_edge",
        MeasureView(),
        [
            Choice("file", "measured edge", "rocker", options=files, default=files[0][1]),
            Choice("level_error_deg", "rail and holder", "rocker", options=_LEVELS, default=0.0),
            Choice("count", "number of zones", "rocker", options=_COUNTS, default=0),
            Slider(
                "window_mm",
                "look over",
                "rocker",
                low=20,
                high=80,
                default=40,
                quantity="length",
            ),
            Slider(
                "tolerance_mm",
                "tolerance",
                "rocker",
                low=0.005,
                high=0.2,
                default=0.03,
                quantity="depth",
                step=0.005,
            ),
            *[
                replace(control, label="shape asked for" if control.key == "shape" else control.label)
                for control in asked
            ],
        ],
        measure_answer,
        tabs=False,
    )
