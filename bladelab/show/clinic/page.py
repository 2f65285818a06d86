"""The layout of a slide: where things go, how large type must be, and whether a text fits its box.

Type size: text is easy to read when its capitals span 16 minutes of arc or more (ISO 9241-303, from memory).
People at the back sit six picture heights away (a common rule for rooms; no source). On a page 7.5 in high
that comes to 21.1 points, so nothing that the audience has to read is smaller than 22.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

from bladelab._checks import number
from bladelab._errors import InputError
from bladelab.show.canvas.text_lines import LINE_HEIGHT, wrap
from bladelab.show.clinic.lesson import NO_BREAK

PAGE_IN = (13.333, 7.5)
SMALLEST_PT = 22.0
#: Height of a capital as a share of the type size, in Arial (from its OS/2 table, from memory) and, nearly,
#: in all such faces.
CAPITAL_SHARE = 0.716

#: Slides are set in Arial, which comes with Windows, macOS and PowerPoint. Texts are measured in the wider
#: face that comes with matplotlib, so that they fit everywhere with space to spare.
SLIDE_FACE = "Arial"


@dataclass(frozen=True)
class Box:
    """A place on the page, inches from its left and top, and the range of type sizes used in it, points."""

    name: str
    left: float
    top: float
    width: float
    height: float
    largest_pt: float = 0.0
    smallest_pt: float = SMALLEST_PT
    bold: bool = False


TITLE = Box("title", 0.6, 0.35, 12.1, 0.75, 32.0, 27.0, bold=True)
PICTURE = Box("picture", 0.6, 1.2, 12.1, 3.95)
SENTENCE = Box("sentence", 0.6, 5.3, 12.1, 1.2, 25.0, 23.0)
WORDS = Box("line of words", 0.6, 6.55, 11.3, 0.8, 22.0, 22.0)
#: For the speaker, not for the audience.
NUMBER = Box("number", 12.1, 6.95, 0.9, 0.35, 16.0, 16.0)
FOOTER = Box("footer", 0.6, 7.27, 12.1, 0.2, 10.0, 7.0)


def legible_pt(picture_heights: float = 6.0, minutes_of_arc: float = 16.0) -> float:
    """Return the type size in points whose capitals span an angle at a distance of so many picture heights.

    Raises
    ------
    ValueError
        If a number is not positive, or the angle is 90 degrees or more.
    """
    away = number("picture_heights", picture_heights, "heights", 0.0, low_open=True)
    angle = number(
        "minutes_of_arc", minutes_of_arc, "minutes of arc", 0.0, 5400.0, low_open=True, high_open=True
    )
    return math.tan(math.radians(angle / 60)) * away * PAGE_IN[1] * 72 / CAPITAL_SHARE


def fit_or_cut(text: str, box: Box) -> tuple[float, tuple[str, ...]]:
    """`fit`, for a text that nobody can shorten: one that is too long loses its last lines, and dots say
    so."""
    try:
        return fit(text, box)
    except InputError:
        size = box.smallest_pt
        most = max(1, int(box.height * 72 / (size * LINE_HEIGHT) + 1e-9))
        *before, last = _wrap_hard(text, box.width, size, box.bold)[:most]
        return size, (*before, f"{last[:-5]} …")


def _wrap_hard(text: str, width_in: float, size_pt: float, bold: bool) -> list[str]:
    """Like `wrap`, but a word wider than the box is cut."""
    words = [
        word[i : i + 24] for word in text.replace(NO_BREAK, " ").split() for i in range(0, len(word), 24)
    ]
    return wrap(" ".join(words), width_in, size_pt, bold)


@lru_cache(maxsize=256)
def fit(text: str, box: Box) -> tuple[float, tuple[str, ...]]:
    """Find the largest size at which a text fits its box.

    Returns
    -------
    size : float
        Points, in whole points from the box's largest down to its smallest.
    lines : tuple of str

    Raises
    ------
    ValueError
        If it does not fit even at the smallest size; the message says by how much to shorten it.
    """
    size = box.largest_pt
    while True:
        lines = wrap(text, box.width, size, box.bold)
        most = int(box.height * 72 / (size * LINE_HEIGHT) + 1e-9)
        if len(lines) <= most:
            return size, tuple(lines)
        if size <= box.smallest_pt:
            much = sum(map(len, lines[most:]))
            raise InputError(
                f"the {box.name} is about {much} letters too long for the slide: please shorten it"
            )
        size = max(size - 1, box.smallest_pt)
