"""How what a page says, and shows, is compared with what is meant."""

from __future__ import annotations

import re

_NUMBER = r"(?<![\d.,])([-−]?\d+(?:\.\d+)?)"
#: How far two pictures may be apart in what nobody sees, px.
UNSEEN_PX = 0.021
_STEP = re.compile(r"([ML]) (-?[\d.]+) (-?[\d.]+) ?")
_NUMBERS = re.compile(r"-?\d+(?:\.\d+)?")


def told(text: str, value: float, unit: str, after: str = "") -> bool:
    """Whether a text tells this number in this unit, after a word.

    However many digits the text gives, they are right: within half of the last one. A number of which nothing
    is left but zeros tells nothing.
    """
    said = one_line(text)
    for found in re.finditer(_NUMBER + r"(?: ?± ?[\d.]+)? ?" + re.escape(unit) + r"(?![\w²/])", said):
        digits = found[1].replace("−", "-")
        last = 10.0 ** -len(digits.partition(".")[2])
        right = abs(float(digits) - value) <= 0.5 * last * (1 + 1e-6) and float(digits) != 0
        if right and after in said[max(0, found.start() - 90) : found.start()]:
            return True
    return False


def one_line(text: str) -> str:
    """A text as it is read: in one line, with a plain blank wherever there is space."""
    return " ".join(text.replace("\u00a0", " ").split())


def is_said(sentence: str, part: str) -> bool:
    """Whether the words are there, and numbers at their ends are whole ones: 9 ft is not in 3.9 ft."""
    before = r"(?<![\d.,])" if part[0].isdigit() else ""
    after = r"(?![\d]|\.\d)" if part[-1].isdigit() else ""
    return re.search(before + re.escape(one_line(part)) + after, sentence) is not None


def apart_at(part: str, other: str) -> str:
    """Two parts of a picture from where they differ."""
    same = next((i for i, (a, b) in enumerate(zip(part, other, strict=False)) if a != b), 0)
    return f"{part[max(same - 40, 0) : same + 150]}\nfor {other[max(same - 40, 0) : same + 150]}"


def alike(part: str, other: str) -> bool:
    """Whether two parts of a picture are the same, but for what a solver that began elsewhere leaves: a
    fiftieth of a pixel, and steps of a line that are no longer than that."""
    if part == other:
        return True
    part, other = _without_tiny_steps(part), _without_tiny_steps(other)
    if _NUMBERS.sub("#", part) != _NUMBERS.sub("#", other):
        return False
    pairs = zip(_NUMBERS.findall(part), _NUMBERS.findall(other), strict=True)
    return all(abs(float(one) - float(two)) <= UNSEEN_PX for one, two in pairs)


def _without_tiny_steps(part: str) -> str:
    last = complex("nan")

    def keep(step: re.Match[str]) -> str:
        nonlocal last
        here = complex(float(step[2]), float(step[3]))
        if step[1] == "L" and abs(here - last) <= UNSEEN_PX:
            return ""
        last = here
        return step[0]

    return _STEP.sub(keep, part) if part.startswith("<path") else part
