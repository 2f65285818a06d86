"""Did you get the shape you ordered? What a measured edge is, and how far it is from the order."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache, partial
from types import SimpleNamespace

import numpy as np

from bladelab.shape.rocker import Rocker
from bladelab.show.canvas.edge_parts import APART_MM, RadiusScale, Stretches, axes_along, worst_mark
from bladelab.show.canvas.limits import Rising
from bladelab.show.canvas.parts import HEIGHTS_MM, REACH_MM
from bladelab.show.canvas.result import Result
from bladelab.show.canvas.style import LINES, QUIET, label
from bladelab.show.canvas.view import View
from bladelab.show.controls import blade as controls
from bladelab.show.controls.control import Choice, Slider, preset
from bladelab.show.panel.declare import panel
from bladelab.show.panel.engine import Panel
from bladelab.show.panels.workshop.measure_words import at_worst, level_words, lowest_words, shape_found
from bladelab.show.panels.workshop.measured_files import edges_on_card, for_the_card, notes_on, offered
from bladelab.show.panels.workshop.measurement import Measurement, edge_of, find
from bladelab.workshop.compare import Deviation, deviation
from bladelab.workshop.gauge import GaugeReadings

_COUNTS = (("automatic", 0), *((str(n), n) for n in range(1, 7)))
_POINTS, _SPOTS = 400, 3
# A gauge on a rail seldom reaches the last millimetres; a verdict names what it leaves out beyond this share.
_UNSEEN = 0.05
#: How well the rail is parallel to the holder, degrees: 0.05° at 10 ft is 2.7 mm of the level point.
_LEVELS = (
    ("angle not known", 0.0),
    *((f"parallel within {angle:g}°", angle) for angle in (0.02, 0.05, 0.1, 0.2)),
)


@dataclass(frozen=True, kw_only=True)
class AgainstOrder(Result):
    """What was found in one edge, the shape that was ordered, and the difference."""

    found: Measurement
    target: Rocker
    apart: Deviation


_deviation = lru_cache(maxsize=64)(deviation)


def measure_answer(state: SimpleNamespace) -> AgainstOrder:
    """What was measured, in words."""
    claimed = state.level_error_deg or None
    read = edge_of(state.file, claimed)
    found = find(state.file, state.count, state.window_mm, claimed)
    target = controls.rocker_of(state)
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
        lowest = lowest_words(found.zones.pivot_mm, found.zones.pivot_error_mm)
        sentence += f" With both ends level the lowest point is {lowest}."
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
    return AgainstOrder(
        found=found,
        target=target,
        apart=apart,
        finding=says[apart.verdict],
        sentence=sentence + notes_on(state.file),
        edges=for_the_card({"": read}, state.file),
    )


class MeasureView(View[AgainstOrder]):
    """The levelled edge, its radius, and its distance from the shape ordered, over one shared x axis."""

    height_px = 500

    def draw(self) -> None:
        edge, radius, apart = axes_along(self, 0.895, (0.69, 0.235), (0.37, 0.265), (0.095, 0.22))
        self.scale = RadiusScale(radius)
        apart.set_ylabel("extra steel (+) or\nmissing (−), mm")
        seen, ordered = LINES["present"], LINES["trial"]
        self.spots = Stretches(self, edge, _SPOTS)
        self.points = self.new_line(edge, color=seen["color"], marker=".", markersize=3, linestyle="none")
        self.fitted = self.new_line(edge, color="black", linewidth=1.0)
        self.pivot = self.new_line(edge, marker="^", markersize=9, color="black")
        self.pivot_tag = self.new_text(edge, ha="center", va="bottom")
        self.height = Rising(edge, HEIGHTS_MM, spare=1.15, below=0.12, name="height, mm")
        self.band = self.new_area(radius, color=seen["color"], alpha=0.2)
        self.local = self.new_line(radius, color=seen["color"], linewidth=1.2)
        self.steps = self.new_line(radius, color="black", linewidth=2.0)
        self.ordered = self.new_line(radius, **ordered)
        places = ((0.01, 0.97), (0.15, 0.97), (0.26, 0.97))
        if self.narrow:
            places = ((0.01, 0.97), (0.4, 0.97), (0.01, 0.85))
        for (x, y), words, colour in zip(
            places,
            ("place by place", "zones found", "ordered (dashed)"),
            (seen["color"], "black", ordered["color"]),
            strict=True,
        ):
            label(radius, x, y, words, color=colour, transform=radius.transAxes, va="top", bbox=None)
        dashes = {"color": ordered["color"], "linestyle": (0, (5, 2)), "linewidth": 1.4}
        self.limits = [self.new_level(apart, **dashes) for _ in range(2)]
        self.apart_band = self.new_area(apart, color=seen["color"], alpha=0.25)
        self.apart_line = self.new_line(apart, color=seen["color"], linewidth=1.6)
        self.worst = worst_mark(self, apart)
        apart.axhline(0, color=QUIET, linewidth=0.8)
        self.tolerance_tag = self.new_text(
            apart, "tolerance", color=ordered["color"], ha="right", va="bottom"
        )
        self.tall = Rising(apart, APART_MM, spare=1.25, below=1.0)

    def update(self, result: AgainstOrder) -> None:
        self._edge(result.found)
        self._radius(result.found, result.target)
        self._apart(result.apart)

    def _edge(self, found: Measurement) -> None:
        trace = found.trace
        some = np.unique(np.linspace(0, len(trace.x_mm) - 1, _POINTS).astype(int))
        self.points.set_data(trace.x_mm[some], trace.y_mm[some])
        top = self.height.reach(float(trace.y_mm.max()))
        x = np.linspace(trace.x_mm[0], trace.x_mm[-1], 121)
        line = np.polynomial.polynomial.polyfit(trace.x_mm, trace.y_mm - found.edge.height_mm(trace.x_mm), 1)
        self.fitted.set_data(x, found.edge.height_mm(x) + np.polynomial.polynomial.polyval(x, line))
        known = trace.level_error_deg is not None
        lowest = found.zones.lowest_mm if known else found.zones.pivot_mm
        for artist in (self.pivot, self.pivot_tag):
            artist.set_visible(bool(np.isfinite(lowest)))
        if np.isfinite(lowest):
            self.pivot.set_data([lowest], [-0.05 * top])
            self.pivot_tag.set_position((lowest, 0.06 * top))
        self.pivot_tag.set_text("level point" if known else "lowest point with ends level")
        self.spots.update((spot.from_mm, spot.to_mm) for spot in found.edge.spots)

    def _radius(self, found: Measurement, target: Rocker) -> None:
        shown = self.scale.shown
        bend, error = 1 / found.radius_mm, 1.96 * found.error_mm / found.radius_mm**2
        self.local.set_data(found.place_mm, shown(found.radius_mm))
        with np.errstate(divide="ignore"):
            self.band.set_data(found.place_mm, shown(1 / (bend + error)), shown(1 / (bend - error)))
        ends = np.concatenate([[found.trace.x_mm[0]], found.zones.junctions_mm, [found.trace.x_mm[-1]]])
        radii = np.array([zone.radius_mm for zone in found.zones.zones])
        self.steps.set_data(np.repeat(ends, 2)[1:-1], shown(np.repeat(radii, 2)))
        along = np.linspace(-target.length_mm / 2, target.length_mm / 2, 281)
        self.ordered.set_data(along, shown(target.radius_mm(along)))

    def _apart(self, apart: Deviation) -> None:
        self.tall.reach(
            max(apart.tolerance_mm, float(np.abs(apart.deviation_mm).max() + 2 * apart.error_mm.max()))
        )
        thin = np.unique(np.linspace(0, len(apart.x_mm) - 1, 200).astype(int))
        place, value, doubt = apart.x_mm[thin], apart.deviation_mm[thin], 1.96 * apart.error_mm[thin]
        self.apart_line.set_data(place, value)
        self.apart_band.set_data(place, value - doubt, value + doubt)
        self.worst.set_data([apart.largest_at_mm], [apart.largest_mm])
        for limit, sign in zip(self.limits, (-1, 1), strict=True):
            limit.set_ydata([sign * apart.tolerance_mm] * 2)
        self.tolerance_tag.set_position((REACH_MM - 2, apart.tolerance_mm))


def measure_panel() -> Panel:
    """A measured edge against the shape ordered.

    CSV files in a folder ``measured`` beside the notebook are offered too.
    """
    files = offered(".csv")
    ordered = preset(
        controls.rocker_controls(),
        shape="stepped",
        zone_radius_1_mm=2743.2,
        zone_radius_2_mm=3352.8,
        zone_radius_3_mm=2438.4,
        zone_length_1_mm=80.0,
        zone_length_2_mm=120.0,
    )
    return panel(
        "measured_edge",
        MeasureView,
        measure_answer,
        Choice("file", "measured edge", "rocker", files, files[0][1]),
        Choice("level_error_deg", "rail and holder", "rocker", _LEVELS, 0.0),
        Choice("count", "number of zones", "rocker", _COUNTS, 0),
        Slider("window_mm", "smooth over", "rocker", 20, 80, 40, "length"),
        Slider("tolerance_mm", "tolerance", "rocker", 0.005, 0.2, 0.03, "depth", step=0.005),
        [
            replace(control, label="shape ordered") if control.key == "shape" else control
            for control in ordered
        ],
        tabs=False,
        plain="ordered",
        offers={"file": edges_on_card},
        own={"file": partial(offered, ".csv")},
    )()
