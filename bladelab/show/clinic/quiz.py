"""The quiz for the room: two blades, one question, a show of hands; then the answer, computed, and why."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from types import SimpleNamespace

import numpy as np
from matplotlib.text import Text

from bladelab.physics.balance import rock_deg
from bladelab.physics.contact import solve_contact
from bladelab.physics.glide import solve_friction
from bladelab.physics.glide_out import glide_out
from bladelab.physics.ice import Ice
from bladelab.physics.measures import SHIFT_MM
from bladelab.shape.blade import Blade
from bladelab.shape.hollow import USUAL_HOLLOWS_MM, Hollow
from bladelab.shape.rocker import Rocker
from bladelab.show.canvas.limits import exaggeration, times
from bladelab.show.canvas.result import Result
from bladelab.show.canvas.style import ICE, ICE_LINE, STEEL, Look
from bladelab.show.canvas.view import View
from bladelab.show.clinic.lesson import moment
from bladelab.show.clinic.pictures import COLOUR, DASH, TEXT_COLOUR
from bladelab.show.controls.control import Choice, Slider
from bladelab.show.panel.declare import panel
from bladelab.show.panel.engine import Panel
from bladelab.show.wording.units_shown import UNITS
from bladelab.show.wording.words import capital
from bladelab.units import feet

PAIRS = 40
LENGTH_MM, WIDTH_MM, MASS_KG, ICE_C, SPEED_M_S = 280.0, 3.0, 60.0, -5.0, 5.0
#: Below this the two blades count as the same: nobody would feel it, or see it on the ice (our own choice).
SAME_PERCENT = 1.0
_GLIDE_STEPS = (0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0)
_NOBODY = "not yet"
GUESSES = (_NOBODY, "blade A", "blade B", "both the same")


@dataclass(frozen=True)
class Question:
    """What may be asked of two blades.

    Attributes
    ----------
    key, text : str
        `text` as the room reads it.
    quantity : str
        As `UNITS` names it.
    more : bool
        Whether the larger number wins.
    said : str
        The number in a sentence, with ``{}`` for it.
    """

    key: str
    text: str
    quantity: str
    more: bool
    said: str


QUESTIONS = (
    Question("turn", "Which turns tighter?", "distance", False, "draws a circle {}"),
    Question("glide", "Which glides further?", "distance", True, "glides about {}"),
    Question("steady", "Which is steadier front to back?", "tip", False, "tips {} when the weight shifts"),
    Question("bite", "Which bites deeper?", "depth", True, "sinks in {}"),
    Question("steel", "Which has more steel on the ice?", "fine length", True, "has {} on the ice"),
)


@lru_cache(maxsize=64)
def pair(number: int) -> tuple[Blade, Blade]:
    """Return blades A and B of a pair, 1 to `PAIRS`: radii 7 to 14 ft, usual hollows; the same each time.

    In one pair of three only the rocker differs, in one only the hollow, in one both.
    """
    rng = np.random.default_rng(number)
    radii = [feet(float(r)) for r in rng.choice(np.arange(7, 15), 2, replace=False)]
    usual = [h for h in USUAL_HOLLOWS_MM if 9.0 < h < 26.0]
    hollows = [float(h) for h in rng.choice(usual, 2, replace=False)]
    if number % 3 == 1:
        hollows[1] = hollows[0]
    elif number % 3 == 2:
        radii[1] = radii[0]
    a, b = (
        Blade(Rocker.single(r, LENGTH_MM), Hollow(h, WIDTH_MM)) for r, h in zip(radii, hollows, strict=True)
    )
    return a, b


@lru_cache(maxsize=512)
def measure(key: str, blade: Blade) -> float:
    """Return the number that decides a question for a blade: m, degrees or mm."""
    ice, glide, tight = Ice(ICE_C), moment("one-foot glide"), moment("tight turn")
    if key == "turn":
        return float(solve_contact(blade, tight.stance(MASS_KG), ice, tight.gliding).carve_radius_m)
    if key == "glide":
        return float(glide_out(blade, glide.stance(MASS_KG), ice, SPEED_M_S))
    if key == "steady":
        return float(rock_deg(blade, moment("standing on both skates").stance(MASS_KG), ice))
    contact = solve_contact(blade, glide.stance(MASS_KG), ice, glide.gliding)
    return float(contact.depth_mm if key == "bite" else contact.length_mm)


def winner(question: Question, a: Blade, b: Blade) -> str:
    """Return which of `GUESSES` is right, by the numbers of `measure`."""
    at_a, at_b = measure(question.key, a), measure(question.key, b)
    if abs(at_a / at_b - 1) * 100 < SAME_PERCENT:
        return "both the same"
    return "blade A" if (at_a > at_b) is question.more else "blade B"


def reason(question: Question, a: Blade, b: Blade) -> str:
    """Say why, from the numbers of these two blades."""
    right = winner(question, a, b)
    if right == "both the same":
        return f"{_why_same(question, a, b)} The two differ by less than {SAME_PERCENT:.0f} %."
    best, other = (a, b) if right == "blade A" else (b, a)
    if question.key == "turn":
        return "At the same lean the rounder curve turns tighter, whatever the hollow."
    if question.key == "steady":
        return f"A shift of {SHIFT_MM:.0f} mm rocks the flatter curve less; the hollow hardly matters."
    deeper_groove = best.hollow.radius_mm < other.hollow.radius_mm
    flatter = best.rocker.zones[0].radius_mm > other.rocker.zones[0].radius_mm
    if question.key == "glide":
        return _why_further(best, other)
    if question.key == "bite":
        rounder = not flatter and best.rocker != other.rocker
        causes = ["the deeper groove"] * deeper_groove + ["the rounder curve, with less steel"] * rounder
    else:
        sinks = ["the deeper groove, which sinks in further"] * deeper_groove
        causes = ["the flatter curve"] * flatter + sinks
    return f"It is {' and '.join(causes)}." if causes else ""


def _why_same(question: Question, a: Blade, b: Blade) -> str:
    if a.rocker == b.rocker and question.key in ("turn", "steady"):
        return "Both have the same curve from heel to toe, and that decides it, not the groove."
    return "What one gains from its curve it loses to its groove, or the change is small."


def _why_further(best: Blade, other: Blade) -> str:
    stance = moment("one-foot glide").stance(MASS_KG)
    here, there = (solve_friction(blade, stance, Ice(ICE_C), SPEED_M_S) for blade in (best, other))
    plough, film = there.plough - here.plough, there.film - here.film
    if plough >= film:
        why = "It ploughs a smaller groove into the ice, and that costs less speed."
    else:
        why = "Its steel rubs less on the film of water under it, and that costs less speed."
    return f"{why} Real ice and air stop both sooner; it is the difference that counts."


def say(question: Question, value: float) -> str:
    """The number that decides a question, in words: a circle by its width, a glide to about a hundredth."""
    if question.key == "steady":
        return f"{value:.2f}°"
    if question.key == "turn":
        return f"{UNITS.say(question.quantity, 2 * value)} across"
    if question.key == "glide":
        shown = UNITS.shown(question.quantity, value)
        step = max(size for size in _GLIDE_STEPS if size <= shown * SAME_PERCENT / 100)
        return f"{step * round(shown / step):g} {UNITS.unit(question.quantity)}"
    return UNITS.say(question.quantity, value)


@dataclass(frozen=True, kw_only=True)
class Asked(Result):
    """A question about blades A and B; the numbers are `shown` once the room has answered."""

    question: Question
    blades: dict[str, Blade]
    shown: bool


class QuizView(View[Asked]):
    """The two blades from the side with their numbers, and after a guess the bars of the answer."""

    height_px = 400

    def draw(self) -> None:
        self.headline.set_fontsize(22)
        self.blades = {}
        for name, left in (("A", 0.02), ("B", 0.52)):
            axes = self.figure.add_axes((left, 0.36, 0.46, 0.42))
            axes.set(xlim=(-150, 150), ylim=(-0.9, 8))
            axes.axis("off")
            axes.fill_between([-150, 150], -0.9, 0, facecolor=ICE, edgecolor="none")
            axes.plot([-150, 150], [0, 0], color=ICE_LINE, linewidth=1.5)
            steel = self.new_polygon(axes, facecolor=STEEL, edgecolor="none")
            edge = self.new_line(axes, color=COLOUR[name], linewidth=4)
            bold: Look = {"fontweight": "bold", "color": TEXT_COLOUR[name], "bbox": None}
            self.blades[name] = steel, edge, self.new_text(axes, y=5.6, ha="center", fontsize=19, **bold)
        label = f"height {times(exaggeration(axes))}"
        self.figure.text(0.5, 0.31, label, ha="center", fontsize=13)
        self.bars = self.figure.add_axes((0.14, 0.02, 0.62, 0.26))
        self.bars.set(xlim=(0, 1.02), ylim=(-0.6, 1.6))
        self.bars.axis("off")
        self.rows = {}
        for name, y in (("A", 1), ("B", 0)):
            rim = {"edgecolor": COLOUR[name], "linewidth": 3, "linestyle": DASH[name]}
            bar = self.new_polygon(self.bars, facecolor="none", **rim)
            plain: Look = {"va": "center", "fontsize": 17, "bbox": None, "clip_on": False}
            tag = self.new_text(self.bars, f"blade {name}", -0.01, y, ha="right", **plain)
            number = self.new_text(self.bars, y=y, **plain)
            self.rows[name] = (y, bar, tag, number)

    def stack_up(self) -> None:
        super().stack_up()
        for text in self.figure.findobj(Text):
            if isinstance(text, Text) and text is not self.headline:
                text.set_fontsize(12)

    def update(self, asked: Asked) -> None:
        question, blades = asked.question, asked.blades
        values = {name: measure(question.key, blade) for name, blade in blades.items()}
        top = max(values.values())
        for name, blade in blades.items():
            x = np.linspace(-LENGTH_MM / 2, LENGTH_MM / 2, 81)
            height = blade.rocker.height_mm(x)
            steel, edge, text = self.blades[name]
            steel.set_xy(np.column_stack([np.r_[x, x[::-1]], np.r_[height, np.full_like(x, 7.8)]]))
            edge.set_data(x, height)
            radius = UNITS.say("radius", blade.rocker.zones[0].radius_mm)
            text.set_text(f"{name}:  rocker {radius}, hollow {UNITS.say('hollow', blade.hollow.radius_mm)}")
            y, bar, tag, number = self.rows[name]
            end = 0.72 * values[name] / top
            bar.set_xy(np.array([(0, y - 0.32), (end, y - 0.32), (end, y + 0.32), (0, y + 0.32)]))
            number.set(text=say(question, values[name]), position=(end + 0.02, y))
            for artist in (bar, tag, number):
                artist.set_visible(asked.shown)


def answer(state: SimpleNamespace) -> Asked:
    """Answer one state of the quiz."""
    question: Question = state.question
    a, b = pair(round(state.pair))
    blades, right, shown = {"A": a, "B": b}, winner(question, a, b), state.guess != _NOBODY
    finding = question.text
    if shown:
        finding += f"  {capital(right)}"
        numbers = " and ".join(
            f"blade {name} {question.said.format(say(question, measure(question.key, blade)))}"
            for name, blade in blades.items()
        )
        verdict = "Right" if state.guess == right else "Not this time"
        told = f"{verdict}: {right}. {reason(question, a, b)}\n{capital(numbers)}."
    else:
        told = (
            f"Pair {round(state.pair)} of {PAIRS}, both under {UNITS.say('mass', MASS_KG)}, on ice of "
            f"{UNITS.say('temperature', ICE_C)}. {_asked(question)} Ask for a show of hands, then enter what "
            "the room says."
        )
    return Asked(finding=finding, sentence=told, question=question, blades=blades, shown=shown)


def _asked(question: Question) -> str:
    return {
        "turn": f"Leaned {moment('tight turn').lean_deg:.0f}° in a turn, which draws the smaller circle?",
        "glide": (
            f"On one foot from {UNITS.say('speed', SPEED_M_S)} to {UNITS.say('speed', 1.0)}, slowed by the "
            "ice alone, which gets further?"
        ),
        "steady": f"The weight shifts {SHIFT_MM:.0f} mm along the blade: which tips less?",
        "bite": "Gliding on one foot, which edge sinks in deeper?",
        "steel": "Gliding on one foot, which has more of its length on the ice?",
    }[question.key]


class QuizPanel(Panel):
    """The quiz: what the room says counts for the question and the pair it was asked, and for no other."""

    _asked: tuple[object, object] | None = None

    goes_home = False

    def settle(self) -> None:
        """Take the answer back where another question is asked."""
        asked = self.dials["question"].value, self.dials["pair"].value
        if asked != (self._asked or (QUESTIONS[0], 1)):
            self.dials["guess"].value = _NOBODY
        self._asked = asked


def _next_pair(panel: Panel) -> None:
    panel.dials["pair"].value = round(panel.dials["pair"].value) % PAIRS + 1


quiz_panel = panel(
    "quiz",
    QuizView,
    answer,
    Choice("question", "question", "view", tuple((q.text, q) for q in QUESTIONS), QUESTIONS[0]),
    Slider("pair", "pair", "view", 1, PAIRS, 1),
    Choice("guess", "the room says", "view", tuple((g, g) for g in GUESSES), _NOBODY),
    buttons=[("next pair", _next_pair)],
    kind=QuizPanel,
)
