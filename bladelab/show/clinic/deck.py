"""A deck: the slides of one clinic for an audience, and the words a trainer wrote over ours."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cache, cached_property, lru_cache

from matplotlib.figure import Figure, SubFigure

from bladelab._errors import InputError
from bladelab.show.clinic import topics_ice, topics_practice, topics_shape
from bladelab.show.clinic.lesson import AUDIENCES, Examples, Lesson
from bladelab.show.clinic.page import SENTENCE, TITLE, WORDS, fit
from bladelab.show.clinic.wording import WORDINGS
from bladelab.show.wording.glossary import explained
from bladelab.show.wording.units_shown import Units
from bladelab.show.wording.words import CAUTIONS
from bladelab.units import SYSTEMS

#: key -> (its name in the list of topics, the function that works it out), in the order of the slides.
TOPICS: dict[str, tuple[str, Callable[[Examples], Lesson]]] = {
    "rocker": ("what a rocker is", topics_shape.what_a_rocker_is),
    "zones": ("stepped and blended", topics_shape.stepped_and_blended),
    "hollow": ("what the hollow does", topics_shape.what_the_hollow_does),
    "steel": ("more steel on the ice: which hollow?", topics_ice.more_steel),
    "stand": ("where you stand on the blade", topics_ice.where_you_stand),
    "turn": ("tight turns or steady feet", topics_ice.turn_or_steady),
    "change": ("one change at a time", topics_practice.one_change),
    "season": ("looking after it through a season", topics_practice.a_season_of_care),
    "know": ("how we know", topics_practice.how_we_know),
}
#: Every deck opens and closes with these.
_OPENING, _CLOSING = "blades", "safety"
_WORK: dict[str, Callable[[Examples], Lesson]] = {
    _OPENING: topics_shape.two_blades,
    **{key: work for key, (_, work) in TOPICS.items()},
    _CLOSING: topics_practice.safety,
}

#: Characters that XML, and so a PPTX file, can't hold.
_UNPRINTABLE = re.compile("[^\t\n\x20-\x7e\xa0-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")

EDITABLE = ("title", "sentence", "notes")


@dataclass(frozen=True)
class Slide:
    """One slide; its texts are worked out when first needed.

    Attributes
    ----------
    key : str
        Of the topic.
    audience : str
    examples : Examples
    system : str
        Of units.
    own_words : tuple of (str, str)
        Names of `EDITABLE` texts, in alphabetical order, and what the trainer wrote there.
    """

    key: str
    audience: str
    examples: Examples
    system: str
    own_words: tuple[tuple[str, str], ...] = ()

    @property
    def edited(self) -> tuple[str, ...]:
        """Which of `EDITABLE` hold the trainer's own words."""
        return tuple(name for name, _ in self.own_words)

    @property
    def lesson(self) -> Lesson:
        """The topic, worked out for the examples."""
        return _work_out(self.key, self.examples)

    @cached_property
    def said(self) -> Mapping[str, str]:
        """The lesson's numbers as text."""
        return self.lesson.said(_units(self.system))

    @cached_property
    def _ours(self) -> dict[str, str]:
        title, sentence = (text.format(**self.said) for text in WORDINGS[self.key].of(self.audience))
        return {"title": title, "sentence": sentence, "notes": _notes(self.key, self.lesson, self.said)}

    @cached_property
    def _texts(self) -> dict[str, str]:
        return self._ours | dict(self.own_words)

    @property
    def title(self) -> str:
        """The finding: what the room reads first."""
        return self._texts["title"]

    @property
    def sentence(self) -> str:
        """What the room reads under the picture."""
        return self._texts["sentence"]

    @property
    def notes(self) -> str:
        """Speaker notes: a question for the room, what to say, numbers with sources, the cautions."""
        return self._texts["notes"]

    @property
    def in_picture(self) -> str:
        """The texts in the picture, to find the trade words in them."""
        return _texts_of_picture(self.key)

    @cached_property
    def words(self) -> str:
        """Trade words that title, sentence and picture use without explaining them; "" if there are none."""
        return "; ".join(explained(f"{self.title}\n{self.sentence}\n{self.in_picture}")).capitalize()

    @property
    def alt(self) -> str:
        """The picture in words, for people who can't see it: always ours, not the trainer's."""
        return f"{self._ours['title']}. {self._ours['sentence']}"

    def draw(self, figure: Figure | SubFigure) -> None:
        """Draw the picture into a figure or subfigure of `page.PICTURE`'s size."""
        self.lesson.draw(figure, self.said)

    def check(self, number: int) -> None:
        """Reject this slide, number `number` of a deck, if a text doesn't fit its box.

        Raises
        ------
        ValueError
            The message names the slide and says how much to shorten.
        """
        for text, box in ((self.title, TITLE), (self.sentence, SENTENCE), (self.words, WORDS)):
            if not text.strip() and box is not WORDS:
                raise InputError(f"slide {number} has no {box.name}: please write one")
            try:
                fit(text, box)
            except InputError as problem:
                raise InputError(f"slide {number} ({self.title[:40]}): {problem}") from None


@dataclass(frozen=True)
class Deck:
    """The slides of one clinic.

    Attributes
    ----------
    name : str
        The clinic's title, for the files and the handout.
    audience : str
    system : str
        Of units.
    examples : Examples
    slides : tuple of Slide
    footer : str
        What every file says at its foot: whose card is open, and when; may be empty.
    """

    name: str
    audience: str
    system: str
    examples: Examples
    slides: tuple[Slide, ...]
    footer: str = ""

    def check(self) -> None:
        """Reject a deck with a text that doesn't fit its box.

        Raises
        ------
        ValueError
            The message names the slide and says how much to shorten.
        """
        for number, slide in enumerate(self.slides, 1):
            slide.check(number)

    def edited(self, key: str, **texts: str) -> Deck:
        """Return the deck with a trainer's own `title`, `sentence` or `notes` on the slide of this topic.

        Raises
        ------
        ValueError
            If there is no such slide or no such text.
        """
        if key not in {slide.key for slide in self.slides}:
            raise InputError(
                f"no slide is on {key!r}; there are {', '.join(slide.key for slide in self.slides)}"
            )
        if unknown := set(texts) - set(EDITABLE):
            raise InputError(f"{sorted(unknown)} can't be edited; {', '.join(EDITABLE)} can")
        return replace(self, slides=tuple(_edit(s, texts) if s.key == key else s for s in self.slides))


def _edit(slide: Slide, texts: Mapping[str, str]) -> Slide:
    clean = {name: printable(text) for name, text in texts.items()}
    return replace(slide, own_words=tuple(sorted((dict(slide.own_words) | clean).items())))


def printable(text: str) -> str:
    """Return a text without the control characters that slide files can't hold; line breaks stay."""
    return _UNPRINTABLE.sub("", text)


def build_deck(
    audience: str = "adults",
    topics: Iterable[str] = tuple(TOPICS),
    examples: Examples | None = None,
    system: str = SYSTEMS[0],
    name: str = "The shape of your blade",
) -> Deck:
    """Work out a deck.

    Parameters
    ----------
    audience : {"young players", "adults", "coaches"}
        Each gets its own wording.
    topics : iterable of str
        Keys of `TOPICS`, at least one; slides come in the order of `TOPICS`, after an opening slide and
        before one on safety.
    examples : Examples, optional
        The blades, the skater and the ice.
    system : {"feet and inches", "metric"}
    name : str
        The clinic's title.

    Returns
    -------
    Deck

    Raises
    ------
    ValueError
        If the audience, a topic or the system of units does not exist, or there is no topic at all.
    """
    if audience not in AUDIENCES:
        raise InputError(f"the audience is {audience!r}; it must be one of {', '.join(AUDIENCES)}")
    chosen = set(topics)
    if unknown := chosen - set(TOPICS):
        raise InputError(f"the topics {sorted(unknown)} do not exist; there are {', '.join(TOPICS)}")
    if not chosen:
        raise InputError("no topic is chosen; tick at least one")
    examples = examples or Examples()
    _units(system)  # refuses one that does not exist
    keys = [_OPENING, *(key for key in TOPICS if key in chosen), _CLOSING]
    slides = tuple(Slide(key, audience, examples, system) for key in keys)
    return Deck(printable(name).strip() or "clinic", audience, system, examples, slides)


@lru_cache(maxsize=256)
def _work_out(key: str, examples: Examples) -> Lesson:
    """Work out a topic, cached."""
    return _WORK[key](examples)


@cache
def _units(system: str) -> Units:
    units = Units()
    units.system = system
    return units


@cache
def _texts_of_picture(key: str) -> str:
    """The texts in a topic's picture: the same for all blades, except for the numbers."""
    from matplotlib.figure import Figure

    lesson, figure = _work_out(key, Examples()), Figure()
    lesson.draw(figure, lesson.said(Units()))
    texts = [*figure.texts, *(text for axes in figure.axes for text in axes.texts)]
    return "\n".join(text.get_text() for text in texts)


def _notes(key: str, lesson: Lesson, said: Mapping[str, str]) -> str:
    wording = WORDINGS[key]
    parts = [f"Ask: {wording.ask}", f"Say: {wording.talk.format(**said)}"]
    if lesson.facts:
        parts.append("Numbers and where they come from:")
        parts += [f"- {fact.meaning}: {said[fact.name]} ({fact.source})" for fact in lesson.facts]
    if lesson.cautions:
        parts.append("Safety: " + " ".join(CAUTIONS[name] for name in lesson.cautions))
    return "\n".join(parts)
