"""Differences in words, for sentences and titles."""

from __future__ import annotations

import re
from collections.abc import Mapping

#: The space between a number and its unit.
_BEFORE_UNIT = re.compile(r"(?<=\d) (?=(?:%|°|(?:mm|µm|m|ft|in|N|kg|lb|mph|s)\b))")
#: How a message about a file begins: ``"k07-left.csv: line 3 ..."``.
_NAMES_A_FILE = re.compile(r"\S+\.[A-Za-z]\w{0,7}[: ]")
#: An article before eight, eleven, eighteen, eighty or eight hundred; not the blade A.
_A_BEFORE_A_VOWEL = re.compile(r"\b(a) (?=8|1[18](?!\d))")


def percent(trial: float, present: float) -> str:
    """The difference in whole per cent, signed: ``"+7 %"``; ``"the same"`` below half a per cent."""
    change = 100 * (trial / present - 1)
    return "the same" if abs(change) < 0.5 else f"{signed(change)} %"


def more_or_less(trial: float, present: float, more: str, less: str, same: str) -> str:
    """``"7 % longer"``: the difference in words."""
    change = 100 * (trial / present - 1)
    return same if abs(change) < 0.5 else f"{abs(change):.0f} % {more if change > 0 else less}"


def along_the_blade(x_mm: float) -> str:
    """``"56 mm ahead of the middle"``: a place along the runner in words."""
    if abs(x_mm) < 0.5:
        return "at the middle"
    return f"{abs(x_mm):.0f} mm {'ahead of' if x_mm > 0 else 'behind'} the middle"


#: Said of a contact whose `reaches_end` is true.
RUNS_OFF = "The contact runs off the end of the runner, and the model has no steel there."


def tipped(pitch_deg: float) -> str:
    """``"tips 0.3° forward"``: how the boot sits on a blade that has rolled, in words."""
    if abs(pitch_deg) < 0.05:
        return "is level"
    return f"tips {abs(pitch_deg):.1f}° {'forward' if pitch_deg > 0 else 'back'}"


def posture(lean_deg: float) -> str:
    """How the blade is held to the ice: ``"upright"``, ``"leaned 30°"``."""
    return f"leaned {lean_deg:.0f}°" if lean_deg else "upright"


def minus(words: str) -> str:
    """The words with a minus sign before each negative number, where Python writes a hyphen."""
    return words.replace("-", "−")


def decimal(value: float, decimals: int) -> str:
    """A number with so many decimals: ``"−0.08"``; nothing is never negative."""
    text = f"{value:.{decimals}f}"
    return minus(text) if float(text) else text.lstrip("-")


def signed(value: float, decimals: int = 0) -> str:
    """A number with its sign: ``"+2"``, ``"−2"``, ``"0"``."""
    text = f"{value:+.{decimals}f}"
    return minus(text) if float(text) else "0"


def counted(count: int, thing: str) -> str:
    """So many of a thing: ``"1 crater"``, ``"3 craters"``."""
    return f"{count} {thing}{'s' * (count != 1)}"


def plus_minus(value: float, error: float, decimals: int, most: int = 4) -> str:
    """A number with its error: ``"9.00 ± 0.12"``; with more decimals where the error would be said as nothing
    (``"9.000 ± 0.004"``), and without it where even `most` are too few.
    """
    while decimals < most and not float(f"{error:.{decimals}f}"):
        decimals += 1
    around = f"{error:.{decimals}f}"
    if not float(around):
        return minus(f"{value:.{decimals}f}")
    return minus(f"{value:.{decimals}f} ± {around}")


def error_causes(parts: Mapping[str, float], unit: str) -> str:
    """What an error is made of, the largest part first: ``"The error comes from, in mm: the lens 0.12, the
    ruler's marks 0.03"``.
    """
    largest_first = sorted(parts.items(), key=lambda part: -part[1])
    causes = ", ".join(f"{name} {size:.2g}" for name, size in largest_first)
    return f"The error comes from, in {unit}: {causes}"


def capital(words: str) -> str:
    """The words with a capital at the start, as a sentence begins; a file's name stays as it is."""
    if _NAMES_A_FILE.match(words):
        return words
    return f"{words[:1].upper()}{words[1:]}"


def articles(words: str) -> str:
    """The words with *an* before a number that is spoken with a vowel: ``"an 11/16 in hollow"``."""
    return _A_BEFORE_A_VOWEL.sub(r"\1n ", words)


def unbroken(words: str) -> str:
    """The words with no line break allowed between a number and its unit."""
    return _BEFORE_UNIT.sub("\u00a0", words)


def ended(words: str) -> str:
    """The words with a full stop, unless they end a sentence already: ``"Which turns tighter?"``."""
    return words if words.endswith((".", "?", "!")) or not words else f"{words}."


def own_fault(problem: Exception) -> str:
    """The message when bladelab fails and no setting explains it."""
    said = f": {problem}" if str(problem) else ""
    return f"This is a bug in bladelab, not something you set ({type(problem).__name__}{said})"


#: The usual cautions, each in one sentence; local rules and licensed practice come first.
CAUTIONS = {
    "grind": "Grinding throws sparks and blades cut: leave it to people trained for it, with gloves, "
    "eye protection and guards.",
    "minimum": "Never grind below the maker's minimum height.",
    "first": "First skate on a changed blade slowly and away from traffic.",
    "rules": "Ice, rink and league rules come first.",
    "health": "Pain or a fall is for a clinician.",
}
