"""A slide: a title, a picture, a sentence, speaker notes, and the words a trainer wrote over ours."""

from __future__ import annotations

import re
from abc import ABC, abstractmethod
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache, cached_property
from typing import TypeVar

from matplotlib.figure import Figure, SubFigure

from bladelab._errors import InputError
from bladelab.show.canvas.style import style_context
from bladelab.show.clinic.lesson import Lesson
from bladelab.show.clinic.page import Box, Layout, fit, layout_for, on_phone
from bladelab.show.clinic.pictures import texts_of
from bladelab.show.clinic.stage import drop_unused, rewind
from bladelab.show.clinic.words import Words
from bladelab.show.wording.glossary import explained
from bladelab.show.wording.units_shown import Units
from bladelab.show.wording.words import CAUTIONS, articles

#: Characters that XML, and so a PPTX file, can't hold.
_UNPRINTABLE = re.compile("[^\t\n\x20-\x7e\xa0-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")

EDITABLE = ("title", "sentence", "notes")

SomeSlide = TypeVar("SomeSlide", bound="Slide")


@dataclass(frozen=True)
class Slide(ABC):
    """One slide; its texts are worked out when first needed.

    Attributes
    ----------
    key : str
        Its name: of no other slide in the deck.
    audience : str
    system : str
        Of units.
    own_words : tuple of (str, str)
        Names of `EDITABLE` texts, in alphabetical order, and what the trainer wrote there.
    """

    key: str
    audience: str
    system: str
    own_words: tuple[tuple[str, str], ...] = ()

    @property
    def kind(self) -> str:
        """Whether it "opens", "asks" or "tells"."""
        raise NotImplementedError

    @property
    @abstractmethod
    def lesson(self) -> Lesson:
        """What it shows."""

    @property
    @abstractmethod
    def wording(self) -> Words:
        """Its texts, with names in braces for what the lesson works out."""

    @property
    def more_said(self) -> Mapping[str, str]:
        """What its texts may name besides what the lesson has."""
        return {}

    @property
    def edited(self) -> tuple[str, ...]:
        """Which of `EDITABLE` hold the trainer's own words."""
        return tuple(name for name, _ in self.own_words)

    @cached_property
    def said(self) -> Mapping[str, str]:
        """The lesson's numbers as text, as this audience is told them."""
        return {**self.lesson.said(units(self.system), self.audience), **self.more_said}

    @cached_property
    def exact(self) -> Mapping[str, str]:
        """The same with every number, for the speaker."""
        return {**self.lesson.said(units(self.system)), **self.more_said}

    @cached_property
    def _ours(self) -> dict[str, str]:
        words = self.wording
        title, sentence = (
            articles(text.format(**self.said).strip()) for text in (words.title, words.sentence)
        )
        return {"title": title, "sentence": sentence, "notes": _notes(words, self.lesson, self.exact)}

    @cached_property
    def _texts(self) -> dict[str, str]:
        return self._ours | dict(self.own_words)

    @property
    def title(self) -> str:
        """The finding, or the question: what the room reads first."""
        return self._texts["title"]

    @property
    def sentence(self) -> str:
        """What the room reads under the picture."""
        return self._texts["sentence"]

    @property
    def notes(self) -> str:
        """Speaker notes: what to ask and say, numbers by source, the cautions."""
        return self._texts["notes"]

    @property
    def in_picture(self) -> str:
        """The texts in the picture, to find the trade words in them."""
        return texts_in(self.lesson, self.said)

    @cached_property
    def words(self) -> str:
        """Trade words that title, sentence and picture use without explaining them; "" if there are none."""
        return "; ".join(explained(f"{self.title}\n{self.sentence}\n{self.in_picture}")).capitalize()

    @property
    def layout(self) -> Layout:
        """Where its parts are: the picture is as high as its texts allow."""
        return layout_for(self.kind, self.title, self.sentence, bool(self.words))

    @property
    def phone_layout(self) -> tuple[Layout, Box]:
        """The same on a phone, and the place of the picture's small print."""
        return on_phone(self.kind, self.title, self.sentence, self.words)

    @property
    def texts(self) -> tuple[tuple[str, Box], ...]:
        """What is written around the picture, and where."""
        return tuple(zip((self.title, self.sentence, self.words), self.layout.texts, strict=True))

    @property
    def alt(self) -> str:
        """The picture in words, for people who can't see it: always ours, not the trainer's."""
        return f"{self._ours['title']}. {self._ours['sentence']}".replace("?.", "?").replace("\n", " ")

    def draw(self, figure: Figure | SubFigure) -> None:
        """Draw the picture into a figure or subfigure of the size that `layout` has for it."""
        self.lesson.draw(figure, self.said)

    def rewritten(self: SomeSlide, **texts: str) -> SomeSlide:
        """The slide with a trainer's own texts; see `EDITABLE`."""
        clean = {name: printable(text) for name, text in texts.items()}
        return replace(self, own_words=tuple(sorted((dict(self.own_words) | clean).items())))

    def check(self, number: int) -> None:
        """Reject this slide, number `number` of a deck, if a text doesn't fit its box.

        Raises
        ------
        ValueError
            The message names the slide and says how much to shorten.
        """
        for text, box in self.texts:
            if not text.strip() and box.name in EDITABLE:
                raise InputError(f"slide {number} has no {box.name}: please write one")
            try:
                fit(text, box)
            except InputError as problem:
                raise InputError(f"slide {number} ({self.title[:40]}): {problem}") from None


def printable(text: str) -> str:
    """Return a text without the control characters that slide files can't hold; line breaks stay."""
    return _UNPRINTABLE.sub("", text)


@cache
def units(system: str) -> Units:
    """Units of their own, whatever the notebook shows."""
    made = Units()
    made.system = system
    return made


def texts_in(lesson: Lesson, said: Mapping[str, str]) -> str:
    """The texts in a lesson's picture."""
    with style_context():  # one at a time: all are drawn in one place
        figure = _out_of_sight()
        rewind(figure)
        lesson.draw(figure, said)
        drop_unused(figure)
        return "\n".join(text.get_text() for text in texts_of(figure))


@cache
def _out_of_sight() -> Figure:
    """Where a picture is drawn just to read its texts: what is there already is used again."""
    return Figure()


def _notes(words: Words, lesson: Lesson, exact: Mapping[str, str]) -> str:
    parts = [articles(text.format(**exact)) for text in words.notes]
    by_source: dict[str, list[str]] = {}
    for fact in lesson.facts:
        like = f", {fact.like.words} ({fact.like.source})" if fact.like else ""
        by_source.setdefault(fact.source, []).append(f"- {fact.meaning}: {exact[fact.name]}{like}")
    for source, lines in by_source.items():
        parts += [f"Numbers, {source}:", *lines]
    if lesson.cautions:
        parts.append("Safety: " + " ".join(CAUTIONS[name] for name in lesson.cautions))
    return "\n".join(parts)
