"""What a panel shows for one state: the base of every panel's own result, and what draws it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import IO, Protocol, TypeVar

import numpy as np
from matplotlib.text import Text
from numpy.typing import NDArray

from bladelab._checks import keep
from bladelab.physics.contact import Contact
from bladelab.shape.blade import Blade
from bladelab.show.wording.words import articles
from bladelab.workshop.gauge import GaugeReadings
from bladelab.workshop.trace import Trace


@dataclass(frozen=True, kw_only=True)
class Result:
    """The answer to one state. Each panel adds what its view draws: ``class Bites(Result): contacts: ...``.

    Attributes
    ----------
    finding : str
        The headline: what the picture shows.
    sentence : str
        Plain words; a line break starts a new paragraph. Escaped for the page by the panel.
    warns : bool
        Whether the sentence asks for a correction although there is a picture.
    makes : Blade or None
        A blade that the panel came up with, which may become the trial of the skater whose card is open.
    ice : str
        Which ice the numbers are for, as the picture names it; empty where there is none.
    edges : mapping of str to Trace or GaugeReadings
        What was measured, which may go on the card: by side, or under ``""`` where the side is not known.
    edges_note : str
        How they were measured, where that is to be remembered.
    """

    finding: str
    sentence: str
    warns: bool = False
    makes: Blade | None = None
    ice: str = ""
    edges: Mapping[str, Trace | GaugeReadings] = field(default_factory=dict)
    edges_note: str = ""

    def __post_init__(self) -> None:
        # Sentences put numbers into their places; the article before one depends on how it is spoken.
        keep(self, finding=articles(self.finding), sentence=articles(self.sentence))


@dataclass(frozen=True, kw_only=True)
class OnIce(Result):
    """Blades on the ice: the contact of each, by name."""

    contacts: dict[str, Contact]


SomeResult = TypeVar("SomeResult", bound=Result)
ShownResult = TypeVar("ShownResult", bound=Result, contravariant=True)


class Picture(Protocol[ShownResult]):
    """What a panel asks of its picture."""

    width_px: int
    height_px: int
    headline: Text
    narrow: bool

    def lay_out(self, narrow: bool) -> None:
        """Lay the picture out for a page with little room, or for one with enough."""

    def show(self, result: ShownResult) -> None:
        """Show a result."""

    def rebuild(self) -> None:
        """Start afresh: the units have changed."""

    def still_key(self) -> tuple[object, ...]:
        """A value that changes whenever the still part has to be sent again."""

    def still_html(self) -> str:
        """What stays from frame to frame."""

    def frame_html(self, text_equivalent: str = "") -> str:
        """What moves."""

    def size(self) -> dict[str, int]:
        """Width and height on the page, px."""

    def png(self, sharpness: float = 1.5) -> bytes:
        """The whole picture as PNG."""

    def pixels(self) -> NDArray[np.uint8]:
        """The whole picture, a dot to each page pixel."""

    def write(self, file: IO[bytes], form: str, footer: str = "") -> None:
        """Write the whole picture to an open binary file, with words below it."""
