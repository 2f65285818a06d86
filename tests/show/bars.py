"""A small panel for the tests: two bars, with a control of each kind."""

from __future__ import annotations

from collections.abc import Callable
from types import SimpleNamespace

from bladelab._errors import InputError
from bladelab.show.canvas.style import LINES, label
from bladelab.show.canvas.view import View
from bladelab.show.controls.control import Choice, Frames, Slider, Tick, for_both
from bladelab.show.panel.engine import Answer, Panel
from bladelab.show.wording.units_shown import UNITS


class Bars(View):
    """Two moving lines and two moving texts over a still axes."""

    width_px, height_px = 400, 200

    def draw(self) -> None:
        self.axes = self.figure.add_axes((0.15, 0.2, 0.8, 0.6))
        self.axes.set(xlim=(0, 1), ylim=(0, 10), ylabel=f"radius, {UNITS.unit('radius')}")
        self.line = {n: self.moving(self.axes.plot([0, 1], [0, 0], **LINES[n])[0]) for n in LINES}
        self.tag = {n: self.moving(label(self.axes, 0.5, 0, n)) for n in LINES}

    def update(self, *, heights: dict[str, float]) -> None:  # type: ignore[override]
        for name, height in heights.items():
            self.line[name].set_ydata([height, height])
            self.tag[name].set_position((0.5, height))
        self.axes.set_ylim(0, 10 if max(heights.values()) < 10 else 50)
        self.title(f"{max(heights.values()):.1f} at most")


def answer(state: SimpleNamespace) -> Answer:
    heights = {n: UNITS.shown("radius", getattr(state, n).radius_mm) * state.factor for n in LINES}
    if heights["trial"] > 40:
        raise InputError(f"the trial is {heights['trial']:.0f}; it must be at most 40")
    return Answer(f"Up to {max(heights.values()):.2f} <high> in frame {state.frame}.", {"heights": heights})


def make(answer: Callable[[SimpleNamespace], Answer] = answer) -> Panel:
    radius = Slider("radius_mm", "radius", "rocker", low=600, high=12200, default=1524, quantity="radius")
    return Panel(
        "bars",
        Bars(),
        [
            Tick("grid", "grid", "view"),
            Frames("frame", "stride", "view", count=3, interval_ms=40),
            Choice("factor", "times", "skater", options=(("one", 1.0), ("two", 2.0)), default=1.0),
            *for_both(radius, trial={"radius_mm": 1828.8}),
        ],
        answer,
        buttons=[("start over", lambda panel: panel.copy_column("present", "trial"))],
    )
