"""Compare two blades: the scorecard of one moment, as bars that a player reads in ten seconds."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

from matplotlib.patches import Rectangle

from bladelab._errors import InputError
from bladelab.advice.quantities import Conditions
from bladelab.advice.scorecard import Line, Scorecard, scorecard
from bladelab.physics.ice import Ice
from bladelab.physics.moments import MOMENTS
from bladelab.shape.blade import what_differs
from bladelab.show.canvas.limits import step_above
from bladelab.show.canvas.style import INK, LINES, QUIET, TRIAL, label
from bladelab.show.canvas.view import View
from bladelab.show.controls.blade import (
    blade_of,
    hollow_controls,
    ice_control,
    rocker_controls,
    skater_controls,
)
from bladelab.show.controls.control import Slider, for_both
from bladelab.show.panel.blade_shelf import BladeShelf
from bladelab.show.panel.engine import Answer, Panel
from bladelab.show.panel.files import FOLDER
from bladelab.show.panel.panel_box import PanelBox
from bladelab.show.panels.blade.main import verdict
from bladelab.show.wording.say import say_quantity

_ROWS = 8
_DAY = "#DDDDDD"
_PERCENT_ENDS = (12.0, 30.0, 60.0, 120.0, 300.0, 1000.0)
_DEGREE_ENDS = (0.3, 0.75, 1.5, 3.0, 10.0, 60.0)


class CompareView(View):
    """A bar for each quantity from present (0) to trial, over the grey band of what a day changes."""

    height_px = 440

    def draw(self) -> None:
        self.axes = self.figure.add_axes((0.135, 0.11, 0.40, 0.715))
        self.axes.set(xlim=(-30, 30), ylim=(_ROWS - 0.5, -0.5), yticks=[])
        self.axes.set_xlabel("trial against present, per cent (the pitch: see its number)")
        self.axes.spines["left"].set_visible(False)
        self.axes.axvline(0, color=INK, linewidth=1)
        across = self.axes.get_yaxis_transform()
        heads = (
            (1.02, "present", LINES["present"]["color"]),
            (1.36, "trial", TRIAL),
            (1.70, "the trial", INK),
        )
        for x, words, colour in heads:
            self.axes.text(x, -0.72, words, transform=across, color=colour, fontweight="bold", va="bottom")
        self.rows: list[dict[str, Any]] = []
        for i in range(_ROWS):
            row: dict[str, Any] = {}
            for key, height, style in (
                ("day", 0.84, {"facecolor": _DAY, "edgecolor": "none"}),
                ("bar", 0.46, {"facecolor": TRIAL, "edgecolor": TRIAL, "linewidth": 1.0}),
            ):
                patch = Rectangle((0, i - height / 2), 0, height, **style)
                self.axes.add_patch(patch)
                row[key] = self.moving(patch)
            for key, x in (("name", -0.33), ("present", 1.02), ("trial", 1.36), ("says", 1.70)):
                text = label(self.axes, x, i, "", transform=across, va="center", bbox=None, clip_on=False)
                row[key] = self.moving(text)
            row["name"].set_fontweight("bold")
            self.rows.append(row)
        self.note = self.moving(
            self.figure.text(0.548, 0.045, "", color=QUIET, fontsize=9.5, ha="left", va="center")
        )
        self.note.set_text(
            "grey: what one day differs from the next; pale bars stay within it. ±: 90 % of days"
        )

    def update(self, *, lines: tuple[Line, ...], finding: str) -> None:
        """Show the lines of one moment."""
        self.title(finding)
        sizes = [max(abs(x.change), min(x.day_to_day, 60.0)) for x in lines if x.quantity.percent]
        end = step_above(1.05 * max(sizes, default=1.0), _PERCENT_ENDS)
        degrees = [max(abs(x.change), x.day_to_day) for x in lines if not x.quantity.percent]
        degree_end = step_above(1.05 * max(degrees, default=0.1), _DEGREE_ENDS)
        if self.axes.get_xlim()[1] != end:
            self.axes.set_xlim(-end, end)
        for i, row in enumerate(self.rows):
            line = lines[i] if i < len(lines) else None
            for artist in row.values():
                artist.set_visible(line is not None)
            if line is None:
                continue
            scale = 1.0 if line.quantity.percent else end / degree_end
            change, day = (max(-end, min(end, v * scale)) for v in (line.change, line.day_to_day))
            row["day"].set_x(-day)
            row["day"].set_width(2 * day)
            row["bar"].set_x(min(change, 0.0))
            row["bar"].set_width(abs(change))
            row["bar"].set_alpha(1.0 if line.verdict == "shows" else 0.35)
            key = line.quantity.key
            row["name"].set_text(line.quantity.said)
            row["present"].set_text(say_quantity(key, line.present, line.difference.present.half_width))
            row["trial"].set_text(say_quantity(key, line.trial, line.difference.trial.half_width))
            row["says"].set_text(says(line))
            colour = INK if line.verdict == "shows" else QUIET
            for name in ("trial", "says"):
                row[name].set_color(colour)


_SHORT = {
    "friction": ("glides shorter", "glides further"),
    "length": ("touches longer", "touches shorter"),
    "bite": ("bites deeper", "bites shallower"),
    "hold": ("holds more", "holds less"),
    "yaw_hold": ("spins less easily", "spins easily"),
    "carve": ("turns wider", "turns tighter"),
    "rock": ("rocks more", "rocks less"),
    "pitch": ("tips forward", "tips back"),
}


def says(line: Line) -> str:
    """A line in a few words, with its size: ``"turns wider 33 %"``."""
    percent = line.quantity.percent
    size = f"{abs(line.change):.0f} %" if percent else f"{abs(line.change):.2f}°"
    if float(size.split(" ")[0].rstrip("°")) == 0:
        return "the same"
    return f"{_SHORT[line.quantity.key][line.change < 0]} {size}"


def card_of(state: SimpleNamespace, everywhere: bool = False) -> Scorecard:
    """The scorecard that the dials describe, in the chosen moment or in all."""
    blades = []
    for name in ("present", "trial"):
        try:
            blades.append(blade_of(getattr(state, name)))
        except InputError as problem:
            raise InputError(f"{name} blade: {problem}") from None
    moments = MOMENTS if everywhere else (state.moment,)
    conditions = Conditions(state.mass_kg, Ice(state.temperature_C), state.speed_m_s, moments)
    card = scorecard(blades[0], blades[1], conditions, n=60)
    if not card.lines:
        raise InputError(
            "one of the blades can't be skated in this moment: try a longer one, or another moment"
        )
    return card


def compare_answer(state: SimpleNamespace) -> Answer:
    """Both blades in the chosen moment."""
    card = card_of(state)
    things = what_differs(card.present, card.trial)
    shows = [line for line in card.lines if line.verdict == "shows"]
    shows.sort(key=lambda line: -abs(line.change) / max(line.day_to_day, 1e-9))
    name = state.moment.name[:1].upper() + state.moment.name[1:]
    if shows:
        finding = f"{name}: the trial {', '.join(says(line) for line in shows[:2])}"
    else:
        finding = f"{name}: no difference that shows from one day to the next"
    sentence = f"{card.sentences()[0]}\n{verdict(things)}"
    return Answer(sentence, {"lines": card.lines, "finding": finding})


def save_card(panel: Panel) -> None:
    """Save the scorecard of all moments as a table."""
    try:
        table = card_of(panel.state(), everywhere=True).as_csv()
    except InputError:
        return  # the panel says why
    panel.save_other("scorecard", "csv", lambda file: file.write(table))


class ComparePanel(PanelBox):
    """The scorecard, with a shelf of saved blades under it."""

    def __init__(self, panel: Panel, folder: str | Path = FOLDER) -> None:
        self.panel, self.shelf = panel, BladeShelf(panel, folder)
        super().__init__(panel, below=[self.shelf])


def compare_panel(folder: str | Path = FOLDER) -> ComparePanel:
    """Present against trial, in the terms of the ice; blades are saved to and taken from `folder`."""
    both = for_both(*rocker_controls(), *hollow_controls(), trial={"radius_mm": 3657.6})
    mass, moment = skater_controls()
    speed = Slider("speed_m_s", "speed", "skater", low=1, high=12, default=6, quantity="speed")
    panel = Panel(
        "scorecard",
        CompareView(),
        [*both, mass, replace(moment, default=MOMENTS[5]), speed, ice_control()],  # type: ignore[call-arg]
        compare_answer,
        buttons=[
            ("start the trial from the present blade", lambda panel: panel.copy_column("present", "trial")),
            ("save all moments as a table (CSV)", save_card),
        ],
    )
    return ComparePanel(panel, folder)
