"""What the SVG of a picture is put together from, without a renderer."""

from __future__ import annotations

import base64
import html
import io
from functools import lru_cache

import numpy as np
from matplotlib.text import Text
from PIL import Image


def fragment(size: tuple[int, int], drawn: str, attributes: str) -> str:
    """An ``<svg>`` of this size, px, with these attributes, of what one or several layers drew."""
    width, height = size
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" '
        f'viewBox="0 0 {width} {height}" style="stroke-linejoin:round;stroke-linecap:butt" {attributes}>'
        f"{drawn}</svg>"
    )


def picture_fragment(size: tuple[int, int], drawn: str, words: str) -> str:
    """An ``<svg>`` that a screen reader says in these words."""
    return fragment(size, drawn, f'role="img" aria-label="{html.escape(words, quote=True)}"')


def look_of(text: Text) -> tuple[object, ...]:
    """All of a text that its SVG depends on, but its place."""
    box = text.get_bbox_patch()
    # A box has a shape too, which its text keeps: it is identified by the box object.
    behind = box and (id(box), box.get_facecolor(), box.get_edgecolor(), box.get_linewidth(), box.get_alpha())
    font = hash(text.get_fontproperties())
    at = (
        text.get_horizontalalignment(),
        text.get_verticalalignment(),
        text.get_rotation(),
        text.get_rotation_mode(),
        text._linespacing,  # type: ignore[attr-defined]
        text.get_parse_math(),
    )
    return (text.get_text(), text.get_color(), text.get_alpha(), font, *at, behind)


@lru_cache(maxsize=8)
def image_in_letters(data: bytes, shape: tuple[int, ...]) -> str:
    """An image of so many rows, columns and channels as a PNG, in letters."""
    file = io.BytesIO()
    Image.fromarray(np.frombuffer(data, dtype=np.uint8).reshape(shape)).save(file, "png", compress_level=1)
    return base64.b64encode(file.getvalue()).decode("ascii")
