"""The measuring panel: what a measured edge is, and how far from the shape that was asked for."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache
from types import SimpleNamespace
from typing import Any

import numpy as np

from bladelab.shape.rocker import Rocker
from bladelab.show.blade_controls import rocker_controls, rocker_of
from bladelab.show.controls import Choice, Control, Slider
from bladelab.show.engine import Answer, Panel
from bladelab.show.figures import REACH_MM, exaggeration, step_above, times
from bladelab.show.measured_files import measured, notes_on, offered
from bladelab.show.preference import UNITS
from bladelab.show.style import LINES, QUIET, heel_and_toe, label
from bladelab.show.view import View
from bladelab.show.words import plus_minus
from bladelab.workshop.compare import Deviation, deviation
from bladelab.workshop.gauge import GaugeReadings
from bladelab.workshop.radius import RadiusFit
from bladelab.workshop.trace import Trace, local_curve
from bladelab.workshop.zones import ZoneFit

_COUNTS = (("as the readings say", 0), *((str(n), n) for n in range(1, 6)))
_POINTS = 400


@dataclass(frozen=True, eq=False)
class Measurement:
    """Everything found in one measured edge: arrays of the local radius share one shape, mm."""

    trace: Trace
    place_mm: Any
    radius_mm: Any
    error_mm: Any
    single: RadiusFit
    zones: ZoneFit
    over_mm: float


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

    def update(self, *, found: Measurement, apart: Deviation, target: Rocker, finding: str) -> None:  # type: ignore[override]
        """Show one measured edge against a target."""
        trace = found.trace
        some = np.unique(np.linspace(0, len(trace.x_mm) - 1, _POINTS).astype(int))
        self.points.set_data(trace.x_mm[some], trace.y_mm[some])
        top = step_above(1.15 * float(trace.y_mm.max()), (2.5, 5.0, 10.0, 20.0, 40.0))
        if self.edge.get_ylim()[1] != top or not self.edge.get_ylabel():
            self.edge.set_ylim(-0.12 * top, top)
            self.edge.set_ylabel(f"height, mm\n({times(exaggeration(self.edge))})")
        x = np.linspace(trace.x_mm[0], trace.x_mm[-1], 121)
        fitted = found.zones.height_mm(x)
        line = np.polynomial.polynomial.polyfit(trace.x_mm, trace.y_mm - found.zones.height_mm(trace.x_mm), 1)
        self.fitted.set_data(x, fitted + np.polynomial.polynomial.polyval(x, line))
        self.pivot.set_data([found.zones.pivot_mm], [-0.05 * top])
        self.pivot_tag.set_position((found.zones.pivot_mm, 0.06 * top))

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


def find(path: str, count: int, window_mm: float) -> Measurement:
    """Fit everything to one file."""
    return _find(measured(path), count, window_mm)


@lru_cache(maxsize=64)
def _find(read: Trace | GaugeReadings, count: int, window_mm: float) -> Measurement:
    level, single, zones = _whole(read, count)
    if isinstance(read, GaugeReadings):
        sure = replace(read, error_mm=read.error_mm or max(zones.noise_mm, 1e-6))
        radii, errors = read.radius_mm, sure.standard_error_mm
        return Measurement(level, read.position_mm, radii, errors, single, zones, read.chord_mm)
    window = min(window_mm, level.length_mm)
    places = np.linspace(level.x_mm[0] + window / 2, level.x_mm[-1] - window / 2, 121)
    local = local_curve(level, places, window)
    return Measurement(level, local.x_mm, local.radius_mm, local.standard_error_mm, single, zones, window)


@lru_cache(maxsize=64)
def _whole(read: Trace | GaugeReadings, count: int) -> tuple[Trace, RadiusFit, ZoneFit]:
    """What does not depend on the window: the edge with both ends level, one radius for all, the zones."""
    from bladelab.workshop.radius import fit_radius
    from bladelab.workshop.zones import fit_zones

    if isinstance(read, GaugeReadings):
        return read.trace.level(), read.fit_radius(), read.fit_zones(count=count or None)
    level = read.level()
    edge = (level.x_mm, level.y_mm, read.error_mm)
    return level, fit_radius(*edge), fit_zones(*edge, count=count or None)


_deviation = lru_cache(maxsize=64)(deviation)


_NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight")


def _with_error(radius_mm: float, error_mm: float) -> str:
    unit, factor = UNITS.unit("radius"), UNITS.shown("radius", 1.0)
    return f"{plus_minus(radius_mm * factor, error_mm * factor, 2)} {unit}"


def measure_answer(state: SimpleNamespace) -> Answer:
    """What was measured, in words."""
    found = find(state.file, state.count, state.window_mm)
    target = rocker_of(SimpleNamespace(**vars(state), pivot_mm=0.0))
    apart = _deviation(measured(state.file), target, state.tolerance_mm)
    zones = found.zones
    parts = [
        f"{_with_error(zone.radius_mm, error)} over {zone.length_mm:.0f} mm"
        for zone, error in zip(zones.zones, zones.standard_errors_mm, strict=True)
    ]
    how = "as the readings say" if not state.count else "as you set"
    sentence = (
        f"{_NUMBERS[len(parts)].capitalize()} zone{'s' if len(parts) > 1 else ''} ({how}), heel to toe: "
        f"{', '.join(parts)}"
    )
    if len(parts) > 1:
        meets = [
            plus_minus(x, e, 1) for x, e in zip(zones.junctions_mm, zones.junction_errors_mm, strict=True)
        ]
        sentence += f"; they meet at {', '.join(meets)} mm".replace("-", "−")
        sentence += f". One radius for all would be {UNITS.say('radius', found.single.radius_mm)}"
    side = "ahead of" if zones.pivot_mm > 0 else "behind"
    sentence += (
        f". With both ends level the lowest point is {abs(zones.pivot_mm):.1f} ± "
        f"{max(zones.pivot_error_mm, 0.05):.1f} mm {side} the middle. "
        f"(± is one standard error; one reading scatters by {zones.noise_mm:.4f} mm.)"
    )
    bends = np.percentile(1 / found.radius_mm, [2, 98])
    low, high = (
        UNITS.say("radius", 1 / bends[1]),
        UNITS.say("radius", 1 / bends[0]) if bends[0] > 1e-6 else "flat",
    )
    sentence += f" Looked at over {found.over_mm:.0f} mm at a time, the radius runs from {low} to {high}."
    less = "too little" if apart.largest_mm < 0 else "too much"
    verdicts = {
        "within": f"within the tolerance of {apart.tolerance_mm:.3f} mm everywhere",
        "outside": f"beyond the tolerance of {apart.tolerance_mm:.3f} mm",
        "too close to call": (
            f"too close to the tolerance of {apart.tolerance_mm:.3f} mm for these readings to tell"
        ),
    }
    sentence += (
        f"\nAgainst the shape asked for, the largest difference is {abs(apart.largest_mm):.3f} mm of {less} "
        "steel, "
        f"{abs(apart.largest_at_mm):.0f} mm {'ahead of' if apart.largest_at_mm > 0 else 'behind'} the "
        f"middle: {verdicts[apart.verdict]}."
    )
    says = {
        "within": "The blade has the shape asked for, within the tolerance",
        "outside": "The blade has left the shape asked for",
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
        if control.key != "pivot_mm"
    ]
    return Panel(
        "measured_edge",
        MeasureView(),
        [
            Choice("file", "measured edge", "rocker", options=files, default=files[0][1]),
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
