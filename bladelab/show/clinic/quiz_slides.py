"""The quiz as slides: a question about two blades, and on the next slide the answer and why."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from matplotlib.figure import Figure, SubFigure

from bladelab.show.canvas.style import Look
from bladelab.show.clinic import pictures as pen
from bladelab.show.clinic.deck import Deck
from bladelab.show.clinic.lesson import CHOSEN, YOUNG, Fact, Lesson, Said
from bladelab.show.clinic.pictures import SMALL_LETTERS
from bladelab.show.clinic.questions import draw_pair
from bladelab.show.clinic.quiz import (
    QUESTIONS,
    Question,
    asked,
    measure,
    pair,
    reason,
    said_plainly,
    told,
    winner,
)
from bladelab.show.clinic.slide import Slide, units
from bladelab.show.clinic.stage import stage
from bladelab.show.clinic.words import Words
from bladelab.show.wording.words import capital

#: How many questions a quiz has: each question twice, every time about another pair.
COUNT = 2 * len(QUESTIONS)


@dataclass(frozen=True)
class QuizSlide(Slide):
    """A slide of the quiz.

    Attributes
    ----------
    number : int
        Of the pair, from 1.
    question : Question
    length_mm, mass_kg : float
        The room's own runner and skater.
    answered : bool
        Whether it has the answer.
    """

    number: int = 1
    question: Question = QUESTIONS[0]
    length_mm: float = 280.0
    mass_kg: float = 60.0
    answered: bool = False

    @property
    def kind(self) -> str:
        """It asks, or tells the answer."""
        return "tells" if self.answered else "asks"

    @property
    def lesson(self) -> Lesson:
        """The two blades, and what is computed of them."""
        return _lesson(self)

    @property
    def wording(self) -> Words:
        """The question, or the answer."""
        a, b = pair(self.number, self.length_mm)
        right = winner(self.question, a, b, self.mass_kg)
        if not self.answered:
            ask = asked(self.question, units(self.system), self.audience == YOUNG)
            notes = f"Ask: {ask} Hands up for blade A, blade B, or both the same.", f"The answer: {right}."
            return Words(self.question.text, ask, notes)
        why = reason(self.question, a, b, self.mass_kg)
        same = right == "both the same"
        title = f"Both {self.question.same}" if same else f"{capital(right)} {self.question.wins}"
        return Words(title, why, (f"Say: {why}",))


@lru_cache(maxsize=64)
def _lesson(slide: QuizSlide) -> Lesson:
    blades = dict(zip("AB", pair(slide.number, slide.length_mm), strict=True))
    shape = {n: (b.rocker.zones[0].radius_mm, b.hollow.radius_mm) for n, b in blades.items()}
    facts = [
        Fact("mass", "mass", slide.mass_kg, "the skater, fully dressed", CHOSEN),
        Fact("length", "length", slide.length_mm, "length of both runners", CHOSEN),
        *(
            Fact(f"radius_{n.lower()}", "radius", shape[n][0], f"rocker radius of blade {n}", CHOSEN)
            for n in "AB"
        ),
        *(
            Fact(f"hollow_{n.lower()}", "hollow", shape[n][1], f"radius of hollow of blade {n}", CHOSEN)
            for n in "AB"
        ),
    ]

    def draw_question(figure: Figure | SubFigure, said: Said) -> None:
        draw_pair(figure, blades, said)

    if not slide.answered:
        return Lesson(tuple(facts), draw_question)
    values = {name: measure(slide.question.key, blade, slide.mass_kg) for name, blade in blades.items()}
    likes = {name: said_plainly(slide.question, value) for name, value in values.items()}
    for name, value in values.items():
        meaning = f"blade {name}, {slide.question.bars}"
        amount = 2 * value if slide.question.key == "turn" else value
        facts.append(
            Fact(f"value_{name.lower()}", slide.question.quantity, amount, meaning, like=likes[name])
        )
    words_beside = told(
        slide.question, blades["A"], blades["B"], slide.mass_kg, units(slide.system), slide.audience == YOUNG
    )
    right = winner(slide.question, blades["A"], blades["B"], slide.mass_kg)

    def draw_answer(figure: Figure | SubFigure, said: Said) -> None:
        top = max(values.values())
        axes = stage(figure, 0.0, 0.0, 1.0, 1.0, xlim=(0, 1), ylim=(-0.35, 3.0))
        pen.write(axes, 0, 2.75, slide.question.bars, ha="left", fontsize=SMALL_LETTERS)
        for name, y in (("A", 1.55), ("B", 0.2)):
            end = 0.5 * values[name] / top
            pen.draw_bar(axes, y, end, name, height=0.5)
            what = f": curve {said[f'radius_{name.lower()}']}, groove {said[f'hollow_{name.lower()}']}"
            pen.blade_name(axes, 0, y + 0.45, name, what, ha="left")
            wins = slide.question.wins if right == f"blade {name}" else ""
            weight = "bold" if wins else "normal"
            words = "\n".join(filter(None, (pen.folded(words_beside[name], 30), wins)))
            # Three lines are higher than the bar, and the blade's name is above it.
            place: Look = {"va": "top"} if words.count("\n") > 1 else {}
            at = y + 0.25 if place else y
            look: Look = {"ha": "left", "fontweight": weight, "fontsize": SMALL_LETTERS}
            pen.write(axes, end + 0.015, at, words, **look, **place)

    return Lesson(tuple(facts), draw_answer)


def quiz_deck(deck: Deck, count: int = COUNT) -> Deck:
    """The quiz for the same room as a clinic's deck: its audience, runner, skater and units.

    Parameters
    ----------
    deck : Deck
    count : int
        How many questions.

    Returns
    -------
    Deck
        Twice as many slides, each question before its answer.
    """
    slides = tuple(
        QuizSlide(
            f"quiz-{number:02d}{'' if answered else '-asked'}",
            deck.audience,
            deck.system,
            (),
            number,
            QUESTIONS[(number - 1) % len(QUESTIONS)],
            deck.examples.length_mm,
            deck.examples.mass_kg,
            answered,
        )
        for number in range(1, count + 1)
        for answered in (False, True)
    )
    return Deck(
        f"{deck.name}: quiz", deck.audience, deck.system, deck.examples, slides, deck.contact, deck.footer
    )
