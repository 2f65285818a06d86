"""The panel of the two skates: where left and right differ, and whether the readings can tell."""

from __future__ import annotations

from functools import lru_cache
from types import SimpleNamespace
from typing import Any

import numpy as np

from bladelab._errors import InputError
from bladelab.show.canvas.limits import step_above
from bladelab.show.canvas.parts import REACH_MM
from bladelab.show.canvas.style import INK, QUIET, TRIAL, heel_and_toe, label
from bladelab.show.canvas.view import View
from bladelab.show.controls.control import Choice, Slider
from bladelab.show.panel.engine import Answer, Panel
from bladelab.show.panels.workshop.measured_files import measured, notes_on, offered
from bladelab.show.wording.units_shown import UNITS
from bladelab.show.wording.words import along_the_blade
from bladelab.workshop.compare import SideDifference, left_against_right
from bladelab.workshop.gauge import GaugeReadings
from bladelab.workshop.trace import LocalCurve, Trace, local_curve

_SIDES: dict[str, dict[str, Any]] = {
    "left": {"color": INK, "linewidth": 2.0},
    "right": {"color": TRIAL, "linewidth": 2.0, "linestyle": (0, (5, 2))},
}
_STRETCHES = 8
_LEVEL = (
    "The tilt of both is taken off, so this can't show whether one is level further forward than the other."
)


class SidesView(View):
    """Radius of both edges, and the difference of their heights, over one shared x axis."""

    height_px = 430

    def draw(self) -> None:
        self.radius = self.figure.add_axes((0.085, 0.54, 0.895, 0.37))
        self.apart = self.figure.add_axes((0.085, 0.11, 0.895, 0.35))
        for axes in (self.radius, self.apart):
            axes.set_xlim(-REACH_MM, REACH_MM)
            heel_and_toe(axes)
        unit = UNITS.unit("radius")
        self.radius.set(ylabel=f"radius, {unit}", ylim=(0, 20 if unit == "ft" else 6))
        self.radius.tick_params(labelbottom=False)
        self.apart.set(
            xlabel="along the blade, mm from its middle", ylabel="right has more steel\nthan left by, mm"
        )
        self.curves = {
            side: self.moving(self.radius.plot([], [], **style)[0]) for side, style in _SIDES.items()
        }
        for (side, style), x in zip(_SIDES.items(), (0.01, 0.07), strict=True):
            words = side if side == "left" else "right (dashed)"
            label(
                self.radius,
                x,
                0.97,
                words,
                color=style["color"],
                va="top",
                transform=self.radius.transAxes,
                bbox=None,
            )
        self.doubt = self.moving(self.apart.fill_between([0, 1], 0, 0, color=QUIET, alpha=0.25, linewidth=0))
        self.doubt_tag = self.moving(
            label(self.apart, -REACH_MM + 4, 0, "grey: the readings can't tell", color=QUIET, va="bottom")
        )
        self.line = self.moving(self.apart.plot([], [], color=INK, linewidth=1.6)[0])
        self.spans = [
            self.moving(self.apart.axvspan(0, 0, color=TRIAL, alpha=0.18, linewidth=0))
            for _ in range(_STRETCHES)
        ]
        self.worst = self.moving(
            self.apart.plot([], [], marker="o", markersize=8, markerfacecolor="none", color=INK)[0]
        )

    def update(self, *, locals_: dict[str, LocalCurve], apart: SideDifference, finding: str) -> None:
        """Show both edges and their difference."""
        high = self.radius.get_ylim()[1]
        for side, local in locals_.items():
            radius = np.where(local.radius_mm > 0, np.minimum(local.radius_mm, 1e6), 1e6)
            self.curves[side].set_data(local.x_mm, np.minimum(UNITS.shown("radius", radius), 1.2 * high))
        size = float(np.maximum(np.abs(apart.difference_mm), apart.threshold_mm).max())
        tall = step_above(1.2 * size, (0.02, 0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0))
        self.apart.set_ylim(-tall, tall)
        self.doubt.set_data(apart.x_mm, -apart.threshold_mm, apart.threshold_mm)
        self.doubt_tag.set_position((-REACH_MM + 4, float(apart.threshold_mm.max()) + 0.03 * tall))
        self.line.set_data(apart.x_mm, apart.difference_mm)
        self.worst.set_data([apart.largest_at_mm], [apart.largest_mm])
        for span, stretch in zip(self.spans, [*apart.stretches_mm, *[None] * _STRETCHES], strict=False):
            span.set_visible(stretch is not None)
            if stretch:
                span.set_x(stretch[0])
                span.set_width(stretch[1] - stretch[0])
        self.title(finding)


def _edge(path: str) -> Trace:
    read = measured(path)
    if isinstance(read, GaugeReadings):
        raise InputError("a gauge with two feet gives no heights to compare; choose edges measured by height")
    return read


@lru_cache(maxsize=16)
def _compare(left: str, right: str, window: float) -> tuple[dict[str, LocalCurve], SideDifference]:
    traces = {"left": _edge(left), "right": _edge(right)}
    locals_ = {}
    for side, trace in traces.items():
        level = trace.level()
        places = np.linspace(level.x_mm[0] + window / 2, level.x_mm[-1] - window / 2, 121)
        locals_[side] = local_curve(level, places, window)
    return locals_, left_against_right(traces["left"], traces["right"], window)


def sides_answer(state: SimpleNamespace) -> Answer:
    """Whether left and right differ, in words."""
    locals_, apart = _compare(state.left, state.right, state.window_mm)
    where = [
        (f"{a:.0f} to {b:.0f} mm" if b - a >= 1 else f"at {a:.0f} mm").replace("-", "−")
        for a, b in apart.stretches_mm
    ]
    poorer = "left" if apart.largest_mm > 0 else "right"
    place = along_the_blade(apart.largest_at_mm)
    size = f"{abs(apart.largest_mm):.3f} mm"
    doubt = f"{float(np.median(apart.threshold_mm)):.3f} mm"
    if not where:
        finding = "These readings show no difference between left and right"
        sentence = (
            f"The largest difference, {size} {place}, is smaller than what two equal edges could show by "
            f"the error of reading (about {doubt}). That doesn't prove them equal: a difference, if there is "
            f"one, is smaller than that. {_LEVEL}"
        )
    else:
        finding = f"Left and right differ most {place}: the {poorer} has lost {size}"
        sentence = (
            f"They differ by more than the readings can explain along {', '.join(where)} from the middle "
            f"(heel negative). The {poorer} edge has lost the most, {size} {place}; what is smaller than "
            f"about {doubt} the readings can't tell. {_LEVEL}\n"
            "Skates that differ steer the two feet differently. Have both ground to the same shape, by "
            "someone trained for it, before you try any change."
        )
    sentence += notes_on(*dict.fromkeys((state.left, state.right)))
    return Answer(sentence, {"locals_": locals_, "apart": apart, "finding": finding})


def sides_panel() -> Panel:
    """Left against right. CSV files in a folder ``measured`` beside the notebook are offered too."""
    files = tuple(pair for pair in offered(".csv") if "gauge" not in pair[0])
    return Panel(
        "left_and_right",
        SidesView(),
        [
            Choice("left", "left edge", "rocker", options=files, default=files[0][1]),
            Choice("right", "right edge", "rocker", options=files, default=files[1][1]),
            Slider("window_mm", "look over", "view", low=15, high=50, default=30, quantity="length"),
        ],
        sides_answer,
    )
