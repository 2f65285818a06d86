"""A small panel for the tests: two bars, with a control of each kind."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from types import SimpleNamespace

from bladelab._errors import InputError
from bladelab.show.canvas.result import Result
from bladelab.show.canvas.style import LINES
from bladelab.show.canvas.view import View
from bladelab.show.controls.control import Choice, Frames, Slider, Tick, for_both
from bladelab.show.panel.engine import Panel
from bladelab.show.wording.units_shown import UNITS


@dataclass(frozen=True, kw_only=True)
class Heights(Result):
    """How high each line lies, by name."""

    heights: dict[str, float]


def heights(present: float, trial: float, sentence: str = "A sentence long enough.") -> Heights:
    """A result with these heights."""
    finding = f"{max(present, trial):.1f} at most"
    return Heights(finding=finding, sentence=sentence, heights={"present": present, "trial": trial})


class Bars(View[Heights]):
    """Two moving lines and two moving texts over a still axes."""

    width_px, height_px = 400, 200

    def draw(self) -> None:
        self.axes = self.figure.add_axes((0.15, 0.2, 0.8, 0.6))
        self.axes.set(xlim=(0, 1), ylim=(0, 10), ylabel=f"radius, {UNITS.unit('radius')}")
        self.line = {n: self.new_line(self.axes, **LINES[n]) for n in LINES}
        self.tag = {n: self.new_text(self.axes, n, 0.5) for n in LINES}

    def update(self, result: Heights) -> None:
        for name, height in result.heights.items():
            self.line[name].set_data([0, 1], [height, height])
            self.tag[name].set_position((0.5, height))
        self.axes.set_ylim(0, 10 if max(result.heights.values()) < 10 else 50)


def answer(state: SimpleNamespace) -> Heights:
    present, trial = (UNITS.shown("radius", getattr(state, n).radius_mm) * state.factor for n in LINES)
    if trial > 40:
        raise InputError(f"the trial is {trial:.0f}; it must be at most 40")
    return heights(present, trial, f"Up to {max(present, trial):.2f} <high> in frame {state.frame}.")


def make(answer: Callable[[SimpleNamespace], Heights] = answer) -> Panel:
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
