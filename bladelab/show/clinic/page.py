"""The layout of a slide: where things go, how large type must be, and whether a text fits its box.

Type size: text is easy to read when its capitals span 16 minutes of arc or more (ISO 9241-303, from memory).
People at the back sit six picture heights away (a common rule for rooms; no source). On a page 7.5 in high
that comes to 21.1 points, so nothing that the audience has to read is smaller than 22.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cache, lru_cache

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


#: For the speaker, not for the audience.
NUMBER = Box("number", 12.85, 6.9, 0.4, 0.35, 14.0, 14.0)
#: Whose card is open, and when.
FOOTER = Box("footer", 0.6, 7.27, 12.1, 0.2, 10.0, 7.0)
#: How much a drawing exaggerates: for who looks closely, not for the back of the room.
SMALL_PRINT_PT = 14.0


@dataclass(frozen=True)
class Layout:
    """Where the parts of one kind of slide are."""

    title: Box
    picture: Box
    sentence: Box
    words: Box

    @property
    def texts(self) -> tuple[Box, Box, Box]:
        """The places of texts."""
        return self.title, self.sentence, self.words


def _rows(title: Box, size: tuple[float, float], title_lines: int, lines: int, with_words: bool) -> Layout:
    """A title and a sentence of one or two lines, two lines of words if there are any, and a picture as high
    as there is space for."""
    bottom = FOOTER.top - 0.02
    title = replace(title, height=title_lines * title.height)
    words = Box("line of words", title.left, bottom - 0.76, title.width, 0.76, 22.0, SMALLEST_PT)
    end = words.top - 0.08 if with_words else bottom
    high = lines * LINE_HEIGHT * size[0] / 72 + 0.01
    said = Box("sentence", title.left, end - high, title.width, high, *size)
    top = title.top + title.height + 0.1
    picture = Box("picture", title.left, top, title.width, said.top - 0.1 - top)
    return Layout(title, picture, said, words)


_FINDING = Box("title", 0.6, 0.3, 12.1, 0.7, 34.0, 27.0, bold=True)
_QUESTION = Box("title", 0.6, 0.3, 12.1, 0.675, 38.0, 30.0, bold=True)


@cache
def tells(with_words: bool = False) -> Layout:
    """A slide that tells something: its numbers change with the blades, and its picture stays in place."""
    return _rows(_FINDING, (24.0, SMALLEST_PT), 1, 2, with_words)


@cache
def asks(title_lines: int = 2, lines: int = 2, with_words: bool = False) -> Layout:
    """A slide that asks the room: the question large, the choices where the finding's sentence will be."""
    return _rows(
        _QUESTION, (26.0, SMALLEST_PT) if with_words else (30.0, 24.0), title_lines, lines, with_words
    )


@cache
def opens(title_lines: int = 3) -> Layout:
    """The first slide: the clinic's name right above who it is for, beside a picture."""
    size, bottom = 54.0, 4.25
    high = title_lines * LINE_HEIGHT * size / 72 + 0.01
    return Layout(
        Box("title", 0.6, bottom - high, 6.2, high, size, 32.0, bold=True),
        Box("picture", 7.0, 0.35, 5.8, 6.8),
        Box("sentence", 0.6, 4.5, 6.2, 1.5, 28.0, SMALLEST_PT),
        Box("line of words", 0.6, 6.2, 6.2, 0.8, 22.0, SMALLEST_PT),
    )


def layout_for(kind: str, title: str, sentence: str, with_words: bool) -> Layout:
    """The layout of a slide that "opens", "asks" or "tells". Where the question or the choices take only one
    line, the picture is higher."""
    if kind == "opens":
        return opens(_lines(title, opens().title, 3))
    if kind == "tells":
        return tells(with_words)
    most = asks(with_words=with_words)
    return asks(_lines(title, most.title), _lines(sentence, most.sentence), with_words)


@lru_cache(maxsize=128)
def _lines(text: str, box: Box, most: int = 2) -> int:
    """How many lines a text takes at its largest size, up to `most`."""
    try:
        return min(len(wrap(text, box.width, box.largest_pt, box.bold)), most)
    except InputError:  # a single word is too wide
        return most


#: On a phone a slide is as wide as the screen: 363 px of 390 leave its smallest letters 11 px high.
PHONE_PAGE_IN = (10.0, 11.2)
_SAID = Box("small print", 0.3, PHONE_PAGE_IN[1] - 0.5, PHONE_PAGE_IN[0] - 0.6, 0.4, SMALLEST_PT, SMALLEST_PT)
_WORDS = replace(_SAID, name="line of words")


def on_phone(kind: str, title: str, sentence: str, words: str) -> tuple[Layout, Box]:
    """The layout of a slide on a phone, where the picture is as high as its texts allow; and the place of its
    small print, which would be too small inside the picture."""

    def high(text: str, box: Box, most: int) -> Box:
        lines = _lines(text, box, most) if text else 0
        return replace(box, height=lines * LINE_HEIGHT * box.largest_pt / 72 + 0.01)

    named = high(title, replace(_QUESTION if kind == "asks" else _FINDING, left=0.3, width=_SAID.width), 4)
    explained = high(words, _WORDS, 4)
    said = high(sentence, replace(_WORDS, name="sentence", largest_pt=26.0), 6)
    explained = replace(explained, top=_SAID.top - explained.height)
    said = replace(said, top=explained.top - said.height - 0.05)
    top = named.top + named.height + 0.1
    return Layout(
        named, Box("picture", 0.12, top, PHONE_PAGE_IN[0] - 0.24, said.top - 0.1 - top), said, explained
    ), _SAID


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
        least = size <= box.smallest_pt
        try:
            lines = wrap(text, box.width, size, box.bold)
        except InputError:  # a single word is too wide
            if least:
                raise
            lines = []
        most = int(box.height * 72 / (size * LINE_HEIGHT) + 1e-9)
        if lines and len(lines) <= most:
            return size, tuple(lines)
        if least:
            much = sum(map(len, lines[most:]))
            raise InputError(
                f"the {box.name} is about {much} letters too long for the slide: please shorten it"
            )
        size = max(size - 1, box.smallest_pt)
