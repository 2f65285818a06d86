"""Compare two blades: the scorecard of one moment, as bars that a player reads in ten seconds."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from types import SimpleNamespace

from matplotlib.patches import Rectangle
from matplotlib.text import Text

from bladelab._errors import InputError
from bladelab.advice.quantities import Conditions
from bladelab.advice.scorecard import Scorecard, scorecard
from bladelab.advice.scorecard_line import Line
from bladelab.physics.moments import MOMENTS
from bladelab.shape.blade import what_differs
from bladelab.show.canvas.limits import step_above
from bladelab.show.canvas.narrow import NARROW_PX, make_readable
from bladelab.show.canvas.parts import BOTH
from bladelab.show.canvas.result import Result
from bladelab.show.canvas.style import INK, PRESENT, QUIET, TRIAL, Look, label
from bladelab.show.canvas.view import View
from bladelab.show.controls import blade as controls
from bladelab.show.panel.blade_shelf import BladeShelf
from bladelab.show.panel.declare import COPY_PRESENT, panel
from bladelab.show.panel.engine import Panel
from bladelab.show.panel.files import FOLDER
from bladelab.show.panel.panel_box import PanelBox
from bladelab.show.panels.blade.main import verdict
from bladelab.show.wording.say import say_friction, say_frictions, say_over_ices, say_quantity
from bladelab.show.wording.words import capital

_ROWS = 8
_DAY = "#DDDDDD"
_PERCENT_ENDS = (12.0, 30.0, 60.0, 120.0, 300.0, 1000.0)
_DEGREE_ENDS = (0.3, 0.75, 1.5, 3.0, 10.0, 60.0)


@dataclass(frozen=True, kw_only=True)
class Compared(Result):
    """The lines of one moment."""

    lines: tuple[Line, ...]


class CompareView(View[Compared]):
    """A bar for each quantity from present (0) to trial, over the grey band of day-to-day variation."""

    height_px = 440

    def draw(self) -> None:
        self.axes = axes = self.figure.add_axes((0.135, 0.11, 0.40, 0.715))
        axes.set(xlim=(-30, 30), ylim=(_ROWS - 0.5, -0.5), yticks=[])
        axes.set_xlabel("trial against present, percent (pitch: see its number)")
        axes.spines["left"].set_visible(False)
        axes.axvline(0, color=INK, linewidth=1)
        across: Look = {"transform": axes.get_yaxis_transform(), "bbox": None, "clip_on": False}
        places = {"name": -0.33, "present": 1.02, "trial": 1.36, "says": 1.70}
        heads = (("present", "present", PRESENT), ("trial", "trial", TRIAL), ("says", "the trial", INK))
        above: Look = {"fontweight": "bold", "va": "bottom", **across}
        self.heads = {n: label(axes, places[n], -0.72, words, color=c, **above) for n, words, c in heads}
        self.rows: list[dict[str, Text]] = []
        self.bars: list[dict[str, Rectangle]] = []
        for i in range(_ROWS):
            row = {name: self.new_text(axes, x=x, y=i, va="center", **across) for name, x in places.items()}
            row["name"].set_fontweight("bold")
            self.rows.append(row)
            self.bars.append({})
            for key, height, colour in (("day", 0.84, _DAY), ("bar", 0.46, TRIAL)):
                patch = Rectangle((0, i - height / 2), 0, height, facecolor=colour, edgecolor="none")
                axes.add_patch(patch)
                self.bars[i][key] = self.moving(patch)
        note = "grey: day-to-day variation, and which ice it is; pale bars stay within it. ±: 90 % of days"
        self.note = self.figure.text(0.548, 0.045, note, color=QUIET, fontsize=9.5, va="center")

    def stack_up(self) -> None:
        """Each row in three lines: what it is and what the trial does, both numbers, the bar."""
        self.width_px, self.height_px = NARROW_PX, 580
        self.axes.set_position((14 / NARROW_PX, 0.145, 1 - 28 / NARROW_PX, 0.715))
        places = {"name": (0.0, -0.3), "says": (1.0, -0.3), "present": (0.0, -0.02), "trial": (0.515, -0.02)}
        for name, (x, y) in places.items():
            ha = "right" if name == "says" else "left"
            for i, row in enumerate(self.rows):
                row[name].set(position=(x, i + y), ha=ha)
            if name in self.heads:
                self.heads[name].set(position=(x, -0.6), ha=ha)
        for i, bars in enumerate(self.bars):
            bars["day"].set(y=i + 0.15, height=0.26)
            bars["bar"].set(y=i + 0.2, height=0.16)
        self.note.set(text=self.note.get_text().replace("; ", "\n"), position=(8 / NARROW_PX, 0.05))
        make_readable(self.figure, self.headline, self.height_px)

    def update(self, compared: Compared) -> None:
        lines = compared.lines
        sizes = [max(abs(x.change), min(x.day_to_day, 60.0)) for x in lines if x.quantity.percent]
        end = step_above(1.05 * max(sizes, default=1.0), _PERCENT_ENDS)
        degrees = [max(abs(x.change), x.day_to_day) for x in lines if not x.quantity.percent]
        degree_end = step_above(1.05 * max(degrees, default=0.1), _DEGREE_ENDS)
        self.axes.set_xlim(-end, end)
        for i, (row, bars) in enumerate(zip(self.rows, self.bars, strict=True)):
            line = lines[i] if i < len(lines) else None
            for artist in (*row.values(), *bars.values()):
                artist.set_visible(line is not None)
            if line is None:
                continue
            scale = 1.0 if line.quantity.percent else end / degree_end
            change, day = (max(-end, min(end, v * scale)) for v in (line.change, line.day_to_day))
            bars["day"].set(x=-day, width=2 * day)
            shows = line.verdict == "shows"
            bars["bar"].set(x=min(change, 0.0), width=abs(change), alpha=1.0 if shows else 0.35)
            key, both = line.quantity.key, line.difference
            row["name"].set_text(line.quantity.said)
            row["present"].set_text(say_quantity(key, line.present, both.present.half_width))
            row["trial"].set_text(say_quantity(key, line.trial, both.trial.half_width))
            if line.over_ices is not None:
                for name, value, span in zip(
                    BOTH, (line.present, line.trial), line.over_ices.spans, strict=True
                ):
                    row[name].set_text(say_friction(value, span, "range" if self.narrow else "two lines"))
            row["says"].set_text(line.words.removeprefix("is "))
            for name in ("trial", "says"):
                row[name].set_color(INK if shows else QUIET)


def scorecard_of(state: SimpleNamespace, everywhere: bool = False) -> Scorecard:
    """The scorecard that the dials describe, in the chosen moment or in all."""
    blades, moments = controls.both_blades(state), MOMENTS if everywhere else (state.moment,)
    conditions = Conditions(state.mass_kg, controls.ice_of(state), state.speed_m_s, moments)
    card = scorecard(blades["present"], blades["trial"], conditions, n=60)
    if not card.lines:
        raise InputError(
            "one of the blades can't be skated in this moment: try a longer one, or another moment"
        )
    return card


def answer(state: SimpleNamespace) -> Compared:
    """Both blades in the chosen moment."""
    card = scorecard_of(state)
    shows = [line for line in card.lines if line.verdict == "shows"]
    shows.sort(key=lambda line: -abs(line.change) / max(line.day_to_day, 1e-9))
    name = capital(state.moment.name)
    if shows:
        finding = f"{name}: the trial {', '.join(line.words for line in shows[:2])}"
    else:
        finding = f"{name}: any difference is within day-to-day variation"
    sentence = f"{card.sentences()[0]}\n{verdict(what_differs(card.present, card.trial))}"
    for line in card.lines:
        if (over := line.over_ices) is not None:
            sentence += f"\n{say_frictions(line.present, line.trial, over)}"
            if card.present != card.trial:
                sentence += f" {say_over_ices(over, line.surely)}"
    return Compared(finding=finding, sentence=sentence, lines=card.lines)


def save_card(panel: Panel) -> None:
    """Save the scorecard of all moments as a table."""
    try:
        card = scorecard_of(panel.state(), everywhere=True)
    except InputError:
        return  # the panel says why
    panel.saving.save_table("scorecard", lambda about: card.as_csv(about=about))


_scorecard = panel(
    "scorecard",
    CompareView,
    answer,
    controls.blade_controls(radius_mm=3657.6),
    controls.skater_controls(MOMENTS[5]),
    controls.speed_control(),
    controls.ice_controls(),
    buttons=(COPY_PRESENT, ("save all moments as a table (CSV)", save_card)),
)


class ComparePanel(PanelBox):
    """The scorecard, with a shelf under it: blades are saved to and taken from `folder`."""

    def __init__(self, folder: str | Path = FOLDER) -> None:
        panel = _scorecard()
        self.shelf = BladeShelf(panel, folder)
        super().__init__(panel, below=[self.shelf])


def compare_panel(folder: str | Path = FOLDER) -> ComparePanel:
    """Present against trial, in the terms of the ice."""
    return ComparePanel(folder)
