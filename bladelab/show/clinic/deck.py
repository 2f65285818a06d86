"""A deck: the slides of one clinic for an audience, each topic's question before its answer."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import cache, lru_cache

from bladelab._checks import one_of
from bladelab._errors import InputError
from bladelab.show.clinic import (
    ends,
    questions,
    questions_care,
    topics_edges,
    topics_feet,
    topics_ice,
    topics_practice,
    topics_shape,
)
from bladelab.show.clinic.lesson import AUDIENCES, YOUNG, Examples, Lesson
from bladelab.show.clinic.slide import EDITABLE, Slide, printable, texts_in, units
from bladelab.show.clinic.sources import STUDIES
from bladelab.show.clinic.wording import WORDINGS
from bladelab.show.clinic.words import Words
from bladelab.units import SYSTEMS

_Works = Callable[[Examples], Lesson]


@dataclass(frozen=True)
class Topic:
    """A topic: two slides, a question and its answer.

    Attributes
    ----------
    name : str
        In the list of topics.
    asks, tells : callable
        ``asks(examples) -> Lesson`` works out the slide with the question, `tells` the one with the answer.
    for_young : bool
        Whether young players are taught it.
    """

    name: str
    asks: _Works
    tells: _Works
    for_young: bool = True


#: In the order of the slides.
TOPICS: dict[str, Topic] = {
    "rocker": Topic("what a rocker is", questions.how_much_touches, topics_shape.what_a_rocker_is),
    "zones": Topic("stepped and blended", questions.two_curves, topics_shape.stepped_and_blended, False),
    "hollow": Topic("what the hollow does", questions.two_grooves, topics_shape.what_the_hollow_does),
    "edges": Topic("sharp and dull edges", topics_edges.which_goes_first, topics_edges.sharp_and_dull),
    "steel": Topic("more steel on the ice: which hollow?", questions.flatter, topics_ice.more_steel, False),
    "stand": Topic("where you stand on the blade", questions.two_boots, topics_feet.where_you_stand),
    "turn": Topic("tight turns or steady feet", questions.two_turns, topics_feet.turn_or_steady),
    "change": Topic("one change at a time", questions_care.which_one, topics_practice.one_change),
    "season": Topic(
        "looking after it through a season",
        questions_care.does_it_stay,
        topics_practice.a_season_of_care,
        False,
    ),
    "know": Topic("how we know", questions_care.how_slippery, topics_practice.how_we_know),
}
#: The slide with a topic's question has the topic's key with this after it.
ASKED = "-asked"
_WORK: dict[str, _Works] = {
    "title": ends.opening,
    "blades": topics_shape.two_blades,
    **{f"{key}{ASKED}": topic.asks for key, topic in TOPICS.items()},
    **{key: topic.tells for key, topic in TOPICS.items()},
    "safety": topics_practice.safety,
    "home": ends.to_take_home,
}


@dataclass(frozen=True)
class TopicSlide(Slide):
    """A slide on a topic, worked out for the example blades.

    Attributes
    ----------
    examples : Examples
    clinic, contact : str
        The clinic's name; who gives it and where to reach them, or "".
    """

    examples: Examples = field(default_factory=Examples)
    clinic: str = ""
    contact: str = ""

    @property
    def kind(self) -> str:
        """The first slide opens; one before an answer asks."""
        return "opens" if self.key == "title" else "asks" if self.key.endswith(ASKED) else "tells"

    @property
    def lesson(self) -> Lesson:
        """The topic, worked out for the examples."""
        return _work_out(self.key, self.examples)

    @property
    def wording(self) -> Words:
        """What this audience is told."""
        wording = WORDINGS[self.key.removesuffix(ASKED)]
        return wording.asked() if self.kind == "asks" else wording.told(self.audience)

    @property
    def more_said(self) -> Mapping[str, str]:
        """The clinic, and the studies."""
        return {"clinic": self.clinic, "audience": self.audience, "contact": self.contact, **STUDIES}

    @property
    def in_picture(self) -> str:
        """The same for all blades, except for the numbers."""
        return _in_picture(self.key, self.audience)


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
    contact : str
        Who gives the clinic and where to reach them, or "".
    footer : str
        What every file says at its foot: whose card is open, and when; may be empty.
    """

    name: str
    audience: str
    system: str
    examples: Examples
    slides: tuple[Slide, ...]
    contact: str = ""
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

    def slide(self, key: str) -> Slide:
        """The slide with this key.

        Raises
        ------
        ValueError
            If there is no such slide.
        """
        for slide in self.slides:
            if slide.key == key:
                return slide
        raise InputError(f"no slide is on {key!r}; there are {', '.join(one.key for one in self.slides)}")

    @property
    def findings(self) -> tuple[Slide, ...]:
        """The slides that answer a question, without those around them."""
        return tuple(slide for slide in self.slides if slide.key in TOPICS)

    def edited(self, key: str, **texts: str) -> Deck:
        """Return the deck with a trainer's own `title`, `sentence` or `notes` on the slide with this key.

        Raises
        ------
        ValueError
            If there is no such slide or no such text.
        """
        ours = self.slide(key)
        if unknown := set(texts) - set(EDITABLE):
            raise InputError(f"{sorted(unknown)} can't be edited; {', '.join(EDITABLE)} can")
        return replace(self, slides=tuple(s.rewritten(**texts) if s is ours else s for s in self.slides))


def topics_for(audience: str) -> tuple[str, ...]:
    """The keys of the topics that an audience may be taught: young players get fewer.

    Raises
    ------
    ValueError
        If there is no such audience.
    """
    one_of("the audience", audience, AUDIENCES)
    return tuple(key for key, topic in TOPICS.items() if topic.for_young or audience != YOUNG)


def build_deck(
    audience: str = "adults",
    topics: Iterable[str] = tuple(TOPICS),
    examples: Examples | None = None,
    system: str = SYSTEMS[0],
    name: str = "The shape of your blade",
    contact: str = "",
) -> Deck:
    """Work out a deck.

    Parameters
    ----------
    audience : {"young players", "adults", "coaches"}
        Each gets its own wording, and young players fewer topics.
    topics : iterable of str
        Keys of `TOPICS`; those that the audience is taught come in the order of `TOPICS`, a question before
        each, between a title and the two blades, and safety and what to take home.
    examples : Examples, optional
        The blades, the skater and the ice.
    system : {"feet and inches", "metric"}
    name : str
        The clinic's title.
    contact : str
        Who gives it, and where to reach them; may stay empty.

    Returns
    -------
    Deck

    Raises
    ------
    ValueError
        If the audience, a topic or the system of units does not exist, or there is no topic at all.
    """
    taught = topics_for(audience)
    chosen = set(topics)
    if unknown := chosen - set(TOPICS):
        raise InputError(f"the topics {sorted(unknown)} do not exist; there are {', '.join(TOPICS)}")
    chosen &= set(taught)
    if not chosen:
        raise InputError("no topic is chosen; tick at least one")
    examples = examples or Examples()
    units(system)  # refuses one that does not exist
    name, contact = printable(name).strip() or "clinic", printable(contact).strip()
    pairs = [(f"{key}{ASKED}", key) for key in taught if key in chosen]
    keys = ["title", "blades", *(key for pair in pairs for key in pair), "safety", "home"]
    slides = tuple(_slide(key, audience, system, examples, name, contact) for key in keys)
    return Deck(name, audience, system, examples, slides, contact)


@lru_cache(maxsize=256)
def _slide(key: str, audience: str, system: str, examples: Examples, name: str, contact: str) -> TopicSlide:
    """A slide in our words, cached: it keeps its texts while the pages are turned."""
    return TopicSlide(key, audience, system, (), examples, name, contact)


@lru_cache(maxsize=256)
def _work_out(key: str, examples: Examples) -> Lesson:
    """Work out a topic, cached."""
    return _WORK[key](examples)


@cache
def _in_picture(key: str, audience: str) -> str:
    lesson = _work_out(key, Examples())
    return texts_in(lesson, lesson.said(units(SYSTEMS[0]), audience))
