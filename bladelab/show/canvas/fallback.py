"""A picture as a plain image, where it can't be drawn as SVG.

`layer.Layer` builds on names that matplotlib keeps to itself. On a release where they are gone, or work
another way, a panel goes on with PNG frames: slower, and not as sharp, but right.
"""

from __future__ import annotations

import base64
import html
import logging
from collections.abc import Callable
from functools import cache

_LOG = logging.getLogger(__name__)


def svg_or_image(svg: Callable[[], str], png: Callable[[], bytes], words: str = "") -> str:
    """Return the picture as `svg` writes it or, where that raises, as an ``<img>`` of what `png` returns.

    Parameters
    ----------
    svg : callable
        Returns the picture as an inline ``<svg>``.
    png : callable
        Returns the same picture as a PNG. What it raises is raised: then the picture itself is at fault.
    words : str
        What a screen reader says in its place.
    """
    try:
        return svg()
    except Exception as problem:
        code = base64.b64encode(png()).decode("ascii")
        _say_once(f"{type(problem).__name__}: {problem}")
    return f'<img src="data:image/png;base64,{code}" alt="{html.escape(words, quote=True)}">'


@cache
def _say_once(problem: str) -> None:
    _LOG.warning("Pictures are drawn as PNG, which is slower: no SVG from this matplotlib. %s", problem)
