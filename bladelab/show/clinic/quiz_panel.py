"""Which of two blades is better at what? A question, a show of hands, then the answer and why."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from types import MappingProxyType, SimpleNamespace

import numpy as np
from matplotlib.text import Text

from bladelab.shape.blade import Blade
from bladelab.show.canvas.limits import exaggeration, times
from bladelab.show.canvas.narrow import widen
from bladelab.show.canvas.result import Result
from bladelab.show.canvas.style import ICE, ICE_LINE, STEEL, Look
from bladelab.show.canvas.view import View
from bladelab.show.clinic.pictures import COLOUR, DASH, TEXT_COLOUR, folded
from bladelab.show.clinic.quiz import (
    GUESSES,
    ICE_C,
    LENGTH_MM,
    MASS_KG,
    NOBODY,
    PAIRS,
    QUESTIONS,
    Question,
    asked,
    measure,
    pair,
    reason,
    say,
    told,
    winner,
)
from bladelab.show.controls.control import Choice, Slider, choice_of
from bladelab.show.panel.declare import PanelKind, panel
from bladelab.show.panel.engine import Panel
from bladelab.show.wording.units_shown import UNITS
from bladelab.show.wording.words import capital


@dataclass(frozen=True, kw_only=True)
class Asked(Result):
    """A question about blades A and B; the numbers are `shown` once the room has answered."""

    question: Question
    blades: dict[str, Blade]
    mass_kg: float
    right: str
    told: dict[str, str]
    shown: bool
    plain: bool


#: As large as the letters of a slide are (see page.py), where the panel fills a screen of 1366 x 768 px.
_LETTERS = 30.5
_MORE_PX = 44


class QuizView(View[Asked]):
    """The two blades from the side with their numbers, and after a guess the bars of the answer."""

    height_px = 415

    def draw(self) -> None:
        self.headline.set_fontsize(_LETTERS)
        self.blades, self.heights = {}, []
        for name, left in (("A", 0.02), ("B", 0.52)):
            axes = self.figure.add_axes((left, 0.36, 0.46, 0.46))
            axes.set(xlim=(-178, 178), ylim=(-1.5, 10))
            axes.axis("off")
            axes.fill_between([-178, 178], -1.5, 0, facecolor=ICE, edgecolor="none")
            axes.plot([-178, 178], [0, 0], color=ICE_LINE, linewidth=1.5)
            steel = self.new_polygon(axes, facecolor=STEEL, edgecolor="none")
            edge = self.new_line(axes, color=COLOUR[name], linewidth=4)
            bold: Look = {"fontweight": "bold", "color": TEXT_COLOUR[name], "bbox": None}
            small: Look = {"ha": "center", "va": "center", "fontsize": 12, "bbox": None}
            self.heights.append((axes, self.new_text(axes, y=-0.8, **small)))
            self.blades[name] = (
                steel,
                edge,
                self.new_text(axes, y=5.5, ha="center", fontsize=_LETTERS, **bold),
            )
        self.bars = self.figure.add_axes((0.03, 0.02, 0.62, 0.28))
        self.bars.set(xlim=(0, 1.02), ylim=(-0.6, 1.6))
        self.bars.axis("off")
        self.rows = {}
        for name, y in (("A", 1), ("B", 0)):
            rim = {"edgecolor": COLOUR[name], "linewidth": 3, "linestyle": DASH[name]}
            bar = self.new_polygon(self.bars, facecolor="none", **rim)
            plain: Look = {"va": "center", "fontsize": _LETTERS, "bbox": None, "clip_on": False}
            tag = self.new_text(self.bars, name, 0.015, y, ha="left", **plain)
            number = self.new_text(self.bars, y=y, **plain)
            self.rows[name] = (y, bar, tag, number)

    def stack_up(self) -> None:
        super().stack_up()
        # A comparison takes up to three lines beside its bar.
        self.height_px = widen(self.figure, self.height_px, 0, _MORE_PX)
        box, more = self.bars.get_position(original=True), _MORE_PX / self.height_px
        self.bars.set_position((box.x0, box.y0 - more, box.width, box.height + more))
        for text in self.figure.findobj(Text):
            if isinstance(text, Text) and text is not self.headline:
                text.set_fontsize(12)

    def update(self, result: Asked) -> None:
        question, blades = result.question, result.blades
        values = {name: measure(question.key, blade, result.mass_kg) for name, blade in blades.items()}
        top = max(values.values())
        for axes, height in self.heights:  # stacked, the axes have another shape
            height.set_text(f"height {times(exaggeration(axes))}")
        for name, blade in blades.items():
            half = blade.rocker.length_mm / 2
            x = np.linspace(-half, half, 81)
            height = blade.rocker.height_mm(x)
            steel, edge, text = self.blades[name]
            steel.set_xy(np.column_stack([np.r_[x, x[::-1]], np.r_[height, np.full_like(x, 9.6)]]))
            edge.set_data(x, height)
            radius = UNITS.say("radius", blade.rocker.zones[0].radius_mm)
            curve, groove = ("curve", "groove") if result.plain else ("rocker", "hollow")
            hollow = UNITS.say("hollow", blade.hollow.radius_mm)
            text.set_text(f"{name}: {curve} {radius},\n{groove} {hollow}")
            y, bar, tag, number = self.rows[name]
            end = 0.4 * values[name] / top
            bar.set_xy(np.array([(0, y - 0.32), (end, y - 0.32), (end, y + 0.32), (0, y + 0.32)]))
            said = [result.told[name], question.wins if result.right == f"blade {name}" else ""]
            if self.narrow:
                said[0] = folded(said[0], 24)
            words = ("\n" if self.narrow else "  ").join(filter(None, said))
            number.set(text=words, position=(end + 0.02, y))
            for artist in (bar, tag, number):
                artist.set_visible(result.shown)


def answer(state: SimpleNamespace, pairs: int = PAIRS, plain: bool = False) -> Asked:
    """Answer one state of a quiz about so many pairs; `plain` as young players are told it."""
    question: Question = state.question
    a, b = pair(round(state.pair), state.length_mm)
    blades, right, shown = {"A": a, "B": b}, winner(question, a, b, state.mass_kg), state.guess != NOBODY
    finding = question.text
    if shown:
        finding += f"  {capital(right)}"
        numbers = " and ".join(
            f"blade {name} {question.said.format(say(question, measure(question.key, blade, state.mass_kg)))}"
            for name, blade in blades.items()
        )
        verdict = "Right" if state.guess == right else "Not this time"
        sentence = f"{verdict}: {right}. {reason(question, a, b, state.mass_kg)}"
        if not plain:
            sentence += f"\n{capital(numbers)}."
    else:
        under = (
            f", both under {UNITS.say('mass', state.mass_kg)}, on ice of {UNITS.say('temperature', ICE_C)}"
        )
        sentence = (
            f"Pair {round(state.pair)} of {pairs}{'' if plain else under}. {asked(question, plain=plain)} "
            "Take a guess, in a room by a show of hands, and choose it."
        )
    return Asked(
        finding=finding,
        sentence=sentence,
        question=question,
        blades=blades,
        mass_kg=state.mass_kg,
        right=right,
        told=told(question, a, b, state.mass_kg, UNITS, plain),
        shown=shown,
        plain=plain,
    )


class QuizPanel(Panel):
    """The quiz: what the room says counts for the question and the pair it was asked, and for no other."""

    _asked: tuple[object, object] | None = None

    goes_home = False
    taken_back = MappingProxyType({"guess": ("question", "pair")})

    def settle(self) -> None:
        """Take the answer back where another question is asked."""
        asked = self.dials["question"].value, self.dials["pair"].value
        if asked != (self._asked or (QUESTIONS[0], 1)):
            self.dials["guess"].value = NOBODY
        self._asked = asked


def _next_pair(panel: Panel, pairs: int) -> None:
    panel.dials["pair"].value = round(panel.dials["pair"].value) % pairs + 1


def quiz_of(pairs: int) -> PanelKind[Asked]:
    """The quiz about the first so many pairs."""
    return panel(
        "quiz",
        QuizView,
        partial(answer, pairs=pairs),
        Slider("length_mm", "runner", "rocker", 200, 340, LENGTH_MM, "length"),
        Slider("mass_kg", "skater", "skater", 20, 150, MASS_KG, "mass"),
        Choice("question", "question", "view", tuple((q.text, q) for q in QUESTIONS), QUESTIONS[0]),
        Slider("pair", "pair", "view", 1, pairs, 1),
        choice_of("guess", "the guess", "view", GUESSES, NOBODY),
        buttons=[("next pair", partial(_next_pair, pairs=pairs))],
        kind=QuizPanel,
    )


quiz_panel = quiz_of(PAIRS)
