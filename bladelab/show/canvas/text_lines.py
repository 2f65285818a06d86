"""Lines of text: how wide they are, where they break, and how high a type is."""

from __future__ import annotations

import re
from functools import cache, lru_cache
from typing import TYPE_CHECKING, TypeAlias

from PIL.ImageFont import FreeTypeFont

from bladelab._errors import InputError

if TYPE_CHECKING:
    from matplotlib.font_manager import FontProperties

#: Ascent, descent and line gap of a type, points; None where its font does not state them.
TypeHeight: TypeAlias = tuple[float, float, float] | tuple[None, None, None]

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


@lru_cache(maxsize=256)
def type_height(font: FontProperties) -> TypeHeight:
    """How high a type rises, how low it hangs and what it wants between lines, by its font's OS/2 table."""
    from matplotlib.font_manager import findfont, get_font

    file = get_font(findfont(font))
    os2, head = file.get_sfnt_table("OS/2"), file.get_sfnt_table("head")
    if os2 is None or head is None:
        return None, None, None
    scale = font.get_size_in_points() / head["unitsPerEm"]
    return os2["sTypoAscender"] * scale, -os2["sTypoDescender"] * scale, os2["sTypoLineGap"] * scale
