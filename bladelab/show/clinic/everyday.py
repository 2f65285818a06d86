"""Everyday things to compare a number with, for who can't picture 0.09 mm: each with its size and its source.

The comparison is computed from the number, so it changes with the blades.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Like:
    """A comparison.

    Attributes
    ----------
    words : str
        As young players are told it: ``"about the thickness of a sheet of paper"``.
    source : str
        The size of the thing, and where it comes from.
    """

    words: str
    source: str


HAIR_MM = (0.05, 0.1)
PAPER_MM, PAPER = 0.1, "a sheet of office paper is about 0.1 mm thick, from memory"
HAIR = "a hair is 0.05 to 0.1 mm thick, from memory"
#: Above this, a sheet of paper is nearer than the middle of `HAIR_MM`.
_HAIR_TO_PAPER_MM = 0.085
CARD_MM, CARD = 0.76, "a bank card is 0.76 mm thick: ISO/IEC 7810, from memory"
PUCK_MM = (25.4, 76.2)
PUCK = "a puck is 25.4 mm thick, 76.2 mm wide: usual rule books, from memory"
PUCK_KG, PUCK_WEIGHS = 0.163, "a puck weighs 156 to 170 g: usual rule books, from memory"
FACE_OFF_M, FACE_OFF = 9.0, "the face-off circle: IIHF rule 1.2"
#: Two lengths within this share of each other count as the same (our own choice).
_SAME = 0.07


def thickness(mm: float) -> Like:
    """Compare a depth with a hair or with sheets of paper.

    Examples
    --------
    >>> thickness(0.02).words, thickness(0.07).words
    ('less than the thickness of a hair', 'about the thickness of a hair')
    >>> thickness(0.088).words, thickness(0.31).words
    ('about the thickness of a sheet of paper', 'about the thickness of 3 sheets of paper')
    """
    if mm < HAIR_MM[0]:
        return Like("less than the thickness of a hair", HAIR)
    if mm < _HAIR_TO_PAPER_MM:
        return Like("about the thickness of a hair", HAIR)
    sheets = round(mm / PAPER_MM)
    many = "a sheet" if sheets == 1 else f"{sheets} sheets"
    return Like(f"about the thickness of {many} of paper", PAPER)


def cards(mm: float) -> Like:
    """Compare a height with a stack of bank cards.

    Examples
    --------
    >>> cards(3.7).words, cards(0.8).words, cards(0.2).words
    ('5 bank cards', 'a bank card', 'less than a bank card')
    """
    count = round(mm / CARD_MM)
    words = {0: "less than a bank card", 1: "a bank card"}.get(count, f"{count} bank cards")
    return Like(words, CARD)


def puck_length(mm: float) -> Like:
    """Compare a stretch of steel with a puck.

    Examples
    --------
    >>> puck_length(32.0).words, puck_length(24.0).words
    ('longer than a puck is thick', 'about as long as a puck is thick')
    """
    thick, wide = PUCK_MM
    for size, what in ((thick, "thick"), (wide, "wide")):
        if mm < size * (1 - _SAME):
            # Between thick and wide, name the nearer one.
            if what == "wide" and mm < (thick * wide) ** 0.5:
                return Like("longer than a puck is thick", PUCK)
            return Like(f"shorter than a puck is {what}", PUCK)
        if mm <= size * (1 + _SAME):
            return Like(f"about as long as a puck is {what}", PUCK)
    return Like("longer than a puck is wide", PUCK)


def circle(across_m: float) -> Like:
    """Compare a circle with the face-off circle.

    Examples
    --------
    >>> circle(6.1).words, circle(8.6).words
    ('smaller than the face-off circle', 'about as big as the face-off circle')
    """
    share = across_m / FACE_OFF_M
    if share < 1 - _SAME:
        return Like("smaller than the face-off circle", FACE_OFF)
    if share > 1 + _SAME:
        return Like("bigger than the face-off circle", FACE_OFF)
    return Like("about as big as the face-off circle", FACE_OFF)


def pucks_weigh(kg: float) -> Like:
    """Compare a pull with the weight of pucks.

    Examples
    --------
    >>> pucks_weigh(0.43).words, pucks_weigh(0.25).words, pucks_weigh(0.15).words, pucks_weigh(0.03).words
    ('2 1/2 pucks', '1 1/2 pucks', 'a puck', 'less than half a puck')
    """
    whole, half = divmod(round(2 * kg / PUCK_KG), 2)
    words = {(0, 0): "less than half a puck", (0, 1): "half a puck", (1, 0): "a puck"}
    return Like(words.get((whole, half), f"{whole}{' 1/2' * half} pucks"), PUCK_WEIGHS)
