"""Lines of text on a page of paper or a slide: how wide they are, and where they break."""

from __future__ import annotations

import re
from functools import cache

from PIL.ImageFont import FreeTypeFont

from bladelab._errors import InputError

#: From one line of text to the next, in type sizes.
LINE_HEIGHT = 1.2
#: The face that comes with matplotlib: papers are set in it, and texts for slides measured.
MEASURED_FACE = "DejaVu Sans"


@cache
def _font(size_pt: float, bold: bool) -> FreeTypeFont:
    from matplotlib.font_manager import FontProperties, findfont
    from PIL import ImageFont

    path = findfont(FontProperties(family=MEASURED_FACE, weight="bold" if bold else "normal"))
    # Measured at ten times the size: letters are placed on whole pixels.
    return ImageFont.truetype(path, round(size_pt * 10))


def text_width_in(text: str, size_pt: float, bold: bool = False) -> float:
    """Width of a line of text in inches, in the measured face."""
    return float(_font(size_pt, bold).getlength(text)) / 10 / 72


def wrap(text: str, width_in: float, size_pt: float, bold: bool = False) -> list[str]:
    """Break a text into lines no wider than `width_in`, keeping its line breaks and non-breaking spaces.

    Raises
    ------
    ValueError
        If a single word is wider than the box.
    """
    lines: list[str] = []
    for paragraph in text.split("\n"):
        line = ""
        for word in re.split("[ \t]+", paragraph.strip(" \t")):
            if text_width_in(word, size_pt, bold) > width_in:
                raise InputError(f"the word {word[:30]!r} is too long for its line")
            longer = f"{line} {word}".strip()
            if text_width_in(longer, size_pt, bold) > width_in:
                lines.append(line)
                longer = word
            line = longer
        lines.append(line)
    return lines
