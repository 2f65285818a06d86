"""The texts of a slide, and of a topic for each audience."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Words:
    """The texts of one slide: title, sentence, and lines of the speaker notes."""

    title: str
    sentence: str
    notes: tuple[str, ...] = ()


@dataclass(frozen=True)
class Wording:
    """The texts of one topic.

    Attributes
    ----------
    talk : str
        What the speaker says to the answer.
    young, adults, coaches : (str, str)
        Title and sentence for an audience; empty for young players where they are not taught the topic.
    ask, choices : str
        The question on the screen before the answer, and what the room may raise its hands for.
    prompt : str
        Something to try or to talk about first.
    """

    talk: str
    young: tuple[str, str]
    adults: tuple[str, str]
    coaches: tuple[str, str]
    ask: str = ""
    choices: str = ""
    prompt: str = ""

    def told(self, audience: str) -> Words:
        """The slide with the answer, for an audience."""
        texts = {"young players": self.young, "adults": self.adults, "coaches": self.coaches}[audience]
        return Words(*texts, (f"Say: {self.talk}",) if self.talk else ())

    def asked(self) -> Words:
        """The slide with the question."""
        notes = (
            f"Try first: {self.prompt}",
            f"Ask: {self.ask} Wait until everyone has decided; the next slide has the answer.",
        )
        return Words(self.ask, self.choices, notes)


#: Title and sentence of a topic that young players are not taught.
NOT_TAUGHT = ("", "")
