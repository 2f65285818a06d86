"""The handout: the whole clinic on one printed page, to take home."""

from __future__ import annotations

import io
import re
from typing import IO

from matplotlib.backends.backend_pdf import PdfPages
from matplotlib.figure import Figure
from matplotlib.image import imread

from bladelab._errors import InputError
from bladelab.show.canvas.style import INK, QUIET, style_context
from bladelab.show.canvas.text_lines import LINE_HEIGHT, wrap
from bladelab.show.clinic.deck import Deck
from bladelab.show.clinic.drawing import write_picture
from bladelab.show.clinic.lesson import COMPUTED
from bladelab.show.clinic.page import Box, fit
from bladelab.show.clinic.pictures import SOFT
from bladelab.show.clinic.slide import Slide
from bladelab.show.wording.glossary import TAUGHT, explained
from bladelab.show.wording.words import CAUTIONS

#: A4 for metric users, US Letter for those who measure in feet; inches.
PAPER_IN = {"metric": (8.268, 11.693), "feet and inches": (8.5, 11.0)}
_MARGIN, _GAP = 0.5, 0.22
_PICTURE_DPI = 150
_HIGHEST_ROW = 2.05
_ORDINARY = 7.5  # points, for the small print at the bottom of the page


class _Page:
    """A printed page, filled from the top; inches from left and top."""

    def __init__(self, system: str) -> None:
        self.width, self.height = PAPER_IN[system]
        self.figure = Figure(figsize=(self.width, self.height))

    def text(self, text: str, box: Box, colour: str = INK) -> float:
        """Write a text into a box, as large as will fit; return the height it took."""
        try:
            size, lines = fit(text, box)
        except InputError as problem:
            raise InputError(f"the handout: {problem}") from None
        for i, line in enumerate(lines):
            baseline = box.top + (i * LINE_HEIGHT + 0.95) * size / 72
            self.figure.text(
                box.left / self.width, 1 - baseline / self.height, line, fontsize=size, color=colour,
                fontweight="bold" if box.bold else "normal", va="baseline", parse_math=False,
            )  # fmt: skip
        return len(lines) * LINE_HEIGHT * size / 72

    def picture(self, slide: Slide, left: float, top: float, width: float) -> float:
        """Place the picture of a slide; return the height it took."""
        height = width * slide.layout.picture.height / slide.layout.picture.width
        image = io.BytesIO()
        write_picture(slide, image, "png", _PICTURE_DPI)
        image.seek(0)
        place = (
            left / self.width,
            1 - (top + height) / self.height,
            width / self.width,
            height / self.height,
        )
        axes = self.figure.add_axes(place)
        axes.imshow(imread(image), aspect="auto", interpolation="none")
        axes.axis("off")
        return height

    def rule(self, left: float, top: float, width: float) -> None:
        """Draw a line to write on."""
        from matplotlib.lines import Line2D

        x = [left / self.width, (left + width) / self.width]
        y = [1 - top / self.height] * 2
        self.figure.add_artist(Line2D(x, y, color=QUIET, linewidth=0.6))


def draw_handout(deck: Deck) -> Figure:
    """Draw the handout: a cell for each topic, the words, the cautions and the sources.

    Raises
    ------
    ValueError
        If one of the trainer's texts is too long for its cell.
    """
    with style_context():
        page = _Page(deck.system)
        inner = page.width - 2 * _MARGIN
        page.text(deck.name, Box("name of the clinic", _MARGIN, 0.4, inner, 0.32, 16, 9, bold=True))
        page.text(_subtitle(deck), Box("subtitle", _MARGIN, 0.72, inner, 0.2, 9, 6), SOFT)
        foot = _foot(deck)
        heights = [len(wrap(text, inner, _ORDINARY)) * LINE_HEIGHT * _ORDINARY / 72 + 0.04 for text in foot]
        bottom = page.height - 0.35 - sum(heights)
        _cells(page, deck, 1.0, bottom - 0.08)
        for text, height in zip(foot, heights, strict=True):
            page.text(text, Box("small print", _MARGIN, bottom, inner, height, _ORDINARY, _ORDINARY), SOFT)
            bottom += height
    return page.figure


def _cells(page: _Page, deck: Deck, top: float, bottom: float) -> None:
    topics = deck.findings
    width = (page.width - 2 * _MARGIN - _GAP) / 2
    rows = -(-len(topics) // 2)
    row = min((bottom - top) / rows, _HIGHEST_ROW)
    picture = min(width, (row - 0.8) * 2.2)
    for i, slide in enumerate(topics):
        left, y = _MARGIN + (i % 2) * (width + _GAP), top + (i // 2) * row
        y += page.text(slide.title, Box("title", left, y, width, 0.17, 9.5, 6, bold=True)) + 0.02
        y += page.picture(slide, left + (width - picture) / 2, y, picture) + 0.03
        height = top + (i // 2 + 1) * row - y - 0.04
        page.text(slide.sentence, Box("sentence", left, y, width, height, 8.5, 6.5))
    # Space left over becomes the log that every change needs.
    if len(topics) % 2:
        _notes(page, _MARGIN + width + _GAP, top + (rows - 1) * row, width, top + rows * row)
    elif bottom - (top + rows * row) > 0.9:
        _notes(page, _MARGIN, top + rows * row, 2 * width + _GAP, bottom)


def _notes(page: _Page, left: float, top: float, width: float, bottom: float) -> None:
    """Rule lines to write on."""
    page.text("What I changed, and how it felt", Box("notes", left, top, width, 0.17, 9.5, 6, bold=True))
    line = top + 0.5
    while line < bottom - 0.1:
        page.rule(left, line, width)
        line += 0.3


def _subtitle(deck: Deck) -> str:
    said = deck.slide("blades").said
    return (
        f"For {deck.audience}. Example blades (invented): A {said['radius_a']} rocker, {said['hollow_a']} "
        f"hollow; B {said['radius_b']}, {said['hollow_b']}; skater {said['mass']}, ice {said['ice']}."
    )


def _foot(deck: Deck) -> list[str]:
    text = " ".join(f"{slide.title} {slide.sentence}" for slide in deck.slides)
    words = "; ".join(explained(text) or [f"{word}: {TAUGHT[word].meaning}" for word in ("rocker", "hollow")])
    cited = {
        fact.source for slide in deck.slides for fact in slide.lesson.facts if re.search(r"\d", fact.source)
    }
    measured = f" Measured by: {'; '.join(sorted(cited))}." if cited else ""
    return [
        f"Words: {words}.",
        "Safety: " + " ".join(CAUTIONS.values()),
        f"Numbers: {COMPUTED}; trust differences between blades more than single numbers.{measured}",
        *([f"{deck.footer}."] if deck.footer else []),
    ]


def write_handout(deck: Deck, file: IO[bytes]) -> None:
    """Write the handout as a one-page PDF."""
    about = {"Title": f"{deck.name}: handout", "CreationDate": None, "Creator": None}
    with style_context(pdf_fonttype=42), PdfPages(file, metadata=about) as pages:
        pages.savefig(draw_handout(deck))
