"""A line of words under a saved picture: whose it is, and of when."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator
from contextlib import contextmanager
from typing import IO

import numpy as np
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.transforms import Bbox
from numpy.typing import NDArray

from bladelab.show.canvas.layer import DPI
from bladelab.show.canvas.style import QUIET, style_context

_SIZE_PT, _LINE_PT, _MARGIN_PT = 9.0, 12.0, 8.0
#: A letter of the type face is about this wide on average, as a share of its size.
_LETTER = 0.56


def write_figure(figure: Figure, file: IO[bytes], form: str, sharpness: float, footer: str) -> None:
    """Write a figure to an open binary file, without a date.

    Parameters
    ----------
    figure : Figure
    file : binary file
    form : {"png", "svg", "pdf"}
    sharpness : float
        Dots of a PNG to each page pixel.
    footer : str
        Words below the picture.
    """
    undated = {"svg": {"Date": None}, "pdf": {"CreationDate": None}}.get(form)
    with style_context(svg_fonttype="path"), footed(figure, footer) as part:
        figure.savefig(file, format=form, dpi=sharpness * DPI, metadata=undated, bbox_inches=part)


@contextmanager
def footed(figure: Figure, words: str) -> Iterator[Bbox | None]:
    """Put words under a figure for the length of a block.

    Yields
    ------
    Bbox or None
        What to save, in inches: the figure with the words below it; None, all of it, without words.
    """
    if not words:
        yield None
        return
    width, height = figure.get_size_inches()
    lines, tall = _laid(words, width)
    place = (_MARGIN_PT / 72 / width, -0.5 * tall / height)
    text = figure.text(*place, lines, va="center", fontsize=_SIZE_PT, color=QUIET, linespacing=1.15)
    try:
        yield Bbox.from_extents(0.0, -tall, width, height)
    finally:
        text.remove()


def footer_pixels(words: str, width_px: int) -> NDArray[np.uint8]:
    """The words alone as a strip of a picture, (height, width, 4): to put under one of that width."""
    width = width_px / DPI
    lines, tall = _laid(words, width)
    figure = Figure(figsize=(width, tall), dpi=DPI)
    canvas = FigureCanvasAgg(figure)
    with style_context():
        figure.text(_MARGIN_PT / 72 / width, 0.5, lines, va="center", fontsize=_SIZE_PT, color=QUIET)
        canvas.draw()
    return np.array(canvas.buffer_rgba())


def _laid(words: str, width_in: float) -> tuple[str, float]:
    """The words broken into lines, and how tall they are, inches."""
    letters = int((72 * width_in - 2 * _MARGIN_PT) / (_LETTER * _SIZE_PT))
    lines = textwrap.wrap(words, max(letters, 20))
    return "\n".join(lines), (len(lines) * _LINE_PT + 6.0) / 72
