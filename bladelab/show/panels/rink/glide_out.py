"""How does it glide? Friction and drag from the times of a coasting skater, and how many runs that takes."""

from __future__ import annotations

import math
from collections.abc import Mapping
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np

from bladelab._cells import number_of
from bladelab._data import data_file
from bladelab._errors import InputError
from bladelab.book.card import Card
from bladelab.book.rink_happenings import GlideMeasured
from bladelab.rink.reading import GlideTimes, glide_times_of_text, read_glide_times
from bladelab.show.canvas.limits import step_above
from bladelab.show.canvas.style import INK, LINES, PRESENT, QUIET, TRIAL
from bladelab.show.canvas.view import View
from bladelab.show.controls import blade as controls
from bladelab.show.controls.control import Choice, Slider, for_both
from bladelab.show.panel.card_buttons import CardButton
from bladelab.show.panel.declare import panel
from bladelab.show.panel.engine import Panel
from bladelab.show.panel.panel_box import PanelBox
from bladelab.show.panels.rink.glide_out_answer import POSTURES, GlideFound, glide_out_answer
from bladelab.show.panels.rink.keep import glide_button
from bladelab.show.panels.rink.written import WrittenDown, lines_field, offer_more, text_field
from bladelab.show.wording.units_shown import UNITS
from bladelab.show.wording.words import counted

_FRICTIONS = (0.005, 0.01, 0.02, 0.04, 0.1)
_SPEEDS_M_S = (2.0, 3.0, 4.0, 6.0, 9.0, 12.0)
_DISTANCES_M = (10.0, 20.0, 30.0, 40.0, 60.0, 100.0, 200.0, 500.0)
_COLOURS = (PRESENT, TRIAL)
_ROWS = 4
_CLOCKS = (("a stopwatch", 0.1), ("a video of 30 frames/s", 0.02), ("a video of 60 frames/s", 0.01))


class GlideOutView(View[GlideFound]):
    """Speed along the glide, and the friction with what agrees with it."""

    height_px = 380

    def draw(self) -> None:
        self.glide = self.figure.add_axes((0.07, 0.14, 0.48, 0.71))
        self.glide.set(
            xlabel=f"distance glided, {UNITS.unit('distance')}", ylabel=f"speed, {UNITS.unit('speed')}"
        )
        markers = ("o", "s")
        self.dots = [
            self.new_line(self.glide, color=colour, marker=marker, markersize=4, linestyle="none")
            for colour, marker in zip(_COLOURS, markers, strict=True)
        ]
        self.curves = [
            self.new_line(self.glide, **{**LINES[name], "linewidth": 1.2}) for name in ("present", "trial")
        ]
        self.levels = self.figure.add_axes((0.7, 0.14, 0.28, 0.71))
        self.levels.set(ylim=(_ROWS - 0.5, -0.5), yticks=[], xlabel="friction, share of the weight")
        self.levels.grid(False, axis="y")
        self.levels.locator_params(axis="x", nbins=4)
        self.doubts = [self.new_line(self.levels, color=QUIET, linewidth=5, alpha=0.6) for _ in range(_ROWS)]
        self.marks = [
            self.new_line(self.levels, color=INK, marker="D", markersize=8, linestyle="none")
            for _ in range(_ROWS)
        ]
        self.names = [
            self.new_text(self.levels, "", -0.04, row, ha="right", va="center", clip_on=False, bbox=None)
            for row in range(_ROWS)
        ]
        for name in self.names:
            name.set_transform(self.levels.get_yaxis_transform())

    def stack_up(self) -> None:
        """Each name over its mark."""
        super().stack_up()
        for row, name in enumerate(self.names):
            name.set(position=(0.01, row - 0.34), ha="left")

    def update(self, result: GlideFound) -> None:
        far, fast = [1.0], [0.5]
        for at in range(2):
            (x, v), (along, speed) = (result.places[at], result.speeds[at]), result.lines[at]
            self.dots[at].set_data(UNITS.shown("distance", x), UNITS.shown("speed", v))
            self.curves[at].set_data(UNITS.shown("distance", along), UNITS.shown("speed", speed))
            for numbers, most in ((x, far), (along, far), (v, fast), (speed, fast)):
                most += [float(np.nanmax(numbers))] if len(numbers) else []
        self.glide.set_xlim(0, UNITS.shown("distance", step_above(max(far), _DISTANCES_M)))
        self.glide.set_ylim(0, UNITS.shown("speed", step_above(1.05 * max(fast), _SPEEDS_M_S)))
        top = step_above(max(min(level.high, 0.1) for level in result.levels), _FRICTIONS)
        self.levels.set_xlim(0, top)
        for row in range(_ROWS):
            parts = (self.doubts[row], self.marks[row], self.names[row])
            level = result.levels[row] if row < len(result.levels) else None
            for part in parts:
                part.set_visible(level is not None)
            if level is not None:
                self.doubts[row].set_data([max(level.low, 0.0), min(level.high, top)], [row] * 2)
                self.marks[row].set_data([level.mu], [row])
                self.marks[row].set_color(_COLOURS[level.blade])
                self.marks[row].set_markerfacecolor("white" if level.computed else _COLOURS[level.blade])
                self.names[row].set_text(level.name)


def _planning(state: SimpleNamespace) -> bool:
    return state.runs is None


def _measured(state: SimpleNamespace) -> bool:
    return state.runs is not None


_INVENTED = read_glide_times(data_file("demo/glide_outs.csv"))


def _keep(made: Panel, card: Card) -> list[CardButton]:
    """Keep the runs with the blades on the sliders: the present one first."""
    state = made.state()
    if state.runs is None or state.runs is _INVENTED:
        return []

    def what() -> GlideMeasured:
        blades = list(controls.both_blades(state).values())[: len(state.runs.blades)]
        return GlideMeasured.of(state.runs, state.mass_kg, *blades)

    return glide_button(card, what)


_glide_out = panel(
    "glide_out",
    GlideOutView,
    glide_out_answer,
    Choice(
        "runs",
        "runs",
        "view",
        (("twelve runs (invented)", _INVENTED), ("none yet: plan them", None)),
        _INVENTED,
    ),
    Slider("start_m_s", "speed at mark 1", "view", 1.0, 6.0, 2.8, "speed", when=_planning),
    Slider("marks", "number of marks", "view", 4, 15, 9, when=_planning),
    Slider("apart_m", "from mark to mark", "view", 2.0, 10.0, 4.0, "distance", when=_planning),
    Choice("timing_s", "timed with", "view", _CLOCKS, 0.1, when=_planning),
    Slider("difference_percent", "difference to show", "view", 2, 100, 10, "percent", when=_planning),
    Choice("posture_m2", "posture", "skater", POSTURES, POSTURES[1][1], when=_planning),
    controls.mass_control(),
    Choice("feet", "gliding on", "skater", (("one skate", 1), ("both skates", 2)), 2, when=_measured),
    for_both(
        controls.radius_control(),
        *controls.hollow_controls(),
        trial={"hollow_mm": 22.225},
    ),
    controls.ice_controls(),
    tabs=True,
    titles={"view": "runs"},
    open_on="view",
    more=_keep,
)


class _RunsForm(WrittenDown):
    """Says the unit of the marks."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        UNITS.listen(self._units_changed)
        self._units_changed()

    def _units_changed(self) -> None:
        self.fields["marks"].description = f"marks, {UNITS.unit('distance')}"


def glide_out_panel() -> PanelBox:
    """Glide-outs: a plan, or the fit of runs that were skated; with fields for your own."""
    made = _glide_out()

    def taken(words: str, runs: GlideTimes) -> str:
        offer_more(made, "runs", words, runs)
        count, marks = len(runs.time_s), len(runs.distance_m)
        missed = sum(math.isnan(time) for run in runs.time_s for time in run)
        said = f"Taken over: {counted(count, 'run')} past {marks} marks, on {' and '.join(runs.blades)}"
        return f"{said}; {missed} missed." if missed else f"{said}."

    def frames(fields: Mapping[str, str]) -> float:
        text = fields["frames"].strip()
        if not text:
            return 1.0
        try:
            rate = number_of(text.replace(",", "."), ".", 2000.0)
        except InputError as problem:
            raise InputError(f"frames a second {problem}") from None
        if not 1 <= rate <= 2000:
            raise InputError(f"frames a second is {rate:g}; it must be 1 to 2000, or empty for seconds")
        return rate

    def read(fields: Mapping[str, str]) -> GlideTimes:
        of_metre = float(UNITS.shown("distance", 1.0))
        return glide_times_of_text(fields["marks"], fields["times"], of_metre, frames(fields))

    def from_file(path: Path) -> GlideTimes:
        rate = frames({name: field.value for name, field in form.fields.items()})
        return read_glide_times(path, rate if rate != 1.0 else None)

    form = _RunsForm(
        made,
        "Your own runs",
        {
            "marks": text_field("marks", "such as 0 4 8 12 16"),
            "times": lines_field(
                "times, a run a line",
                "> A 0.0 1.4 2.9 4.5 6.2\n< A 0.0 1.5 3.0 - 6.6\n> B 0.0 1.4 2.8 4.4 6.0",
            ),
            "frames": text_field("frames a second", "of a video; empty for times"),
        },
        read,
        taken,
        from_file,
    )
    return PanelBox(made, below=[form])
