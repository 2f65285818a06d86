"""The handout: every finding with its picture, what the words mean, and a log to fill in, to take home."""

from __future__ import annotations

from dataclasses import replace
from typing import IO

from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.backends.backend_pdf import PdfPages
from matplotlib.figure import Figure

from bladelab._errors import InputError
from bladelab.show.canvas.style import INK, QUIET, style_context
from bladelab.show.canvas.text_lines import LINE_HEIGHT, wrap
from bladelab.show.clinic.deck import Deck
from bladelab.show.clinic.drawing import picture
from bladelab.show.clinic.page import SMALLEST_PT, Box, fit, tells
from bladelab.show.clinic.pictures import SOFT, take_small_print
from bladelab.show.clinic.slide import Slide
from bladelab.show.wording.glossary import TAUGHT, explained
from bladelab.show.wording.words import CAUTIONS

#: A4 for metric users, US Letter for those who measure in feet; inches.
PAPER_IN = {"metric": (8.268, 11.693), "feet and inches": (8.5, 11.0)}
_MARGIN, _GAP, _ROW_GAP = 0.4, 0.2, 0.1
_PICTURE_DPI = 150
#: Nothing that is to be read is smaller, points.
_LEAST_PT = 10.0
#: So wide that the smallest letters of a slide's picture come out at `_LEAST_PT`.
_PICTURE_WIDE_IN = tells().picture.width * _LEAST_PT / SMALLEST_PT
_PICTURE_IN = _PICTURE_WIDE_IN, 0.32 * _PICTURE_WIDE_IN
_LOG = (("date", 0.16), ("what changed", 0.66), ("felt, 1 to 5", 0.18))
_LOG_ROW_IN, _LEAST_ROWS = 0.3, 8


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

    def picture(self, figure: Figure, left: float, top: float) -> None:
        """Place the picture of a slide."""
        width, height = _PICTURE_IN
        canvas = FigureCanvasAgg(figure)
        canvas.figure.set_dpi(_PICTURE_DPI)
        with style_context():
            canvas.draw()
        place = (
            left / self.width,
            1 - (top + height) / self.height,
            width / self.width,
            height / self.height,
        )
        axes = self.figure.add_axes(place)
        axes.imshow(canvas.buffer_rgba(), aspect="auto", interpolation="none")
        axes.axis("off")

    def rule(self, left: float, top: float, width: float, down: float = 0.0) -> None:
        """Draw a line to write on, or one that goes down."""
        from matplotlib.lines import Line2D

        x = [left / self.width, (left + width) / self.width]
        y = [1 - top / self.height, 1 - (top + down) / self.height]
        self.figure.add_artist(Line2D(x, y, color=QUIET, linewidth=0.6))


def draw_handout(deck: Deck) -> list[Figure]:
    """Draw the handout, a figure for each page: the findings, then the words, safety and a log.

    Raises
    ------
    ValueError
        If one of the trainer's texts is too long for its place.
    """
    with style_context():
        pages = [page := _Page(deck.system)]
        inner = page.width - 2 * _MARGIN
        top = _heading(page, deck)
        left, width = _MARGIN + _PICTURE_IN[0] + _GAP, inner - _PICTURE_IN[0] - _GAP
        for slide in (deck.slide("blades"), *deck.findings):
            shown = picture(slide, _drawn_in(slide))
            texts = [("title", slide.title, True), ("sentence", slide.sentence, False)]
            if small := take_small_print(shown):
                texts.append(("small print", small, False))
            beside = [
                Box(name, left, 0.0, width, _high(text, width, bold), _LEAST_PT, _LEAST_PT, bold)
                for name, text, bold in texts
            ]
            height = max(_PICTURE_IN[1], sum(box.height for box in beside))
            if top + height > page.height - _MARGIN:
                pages.append(page := _Page(deck.system))
                top = _MARGIN
            page.picture(shown, _MARGIN, top)
            below = top
            for (name, text, _), box in zip(texts, beside, strict=True):
                page.text(text, replace(box, top=below), SOFT if name == "small print" else INK)
                below += box.height
            top += height + _ROW_GAP
        foot = _foot(deck)
        heights = [_high(text, inner) for text in foot]
        if top + sum(heights) + (_LEAST_ROWS + 2) * _LOG_ROW_IN > page.height - _MARGIN:
            pages.append(page := _Page(deck.system))
            top = _MARGIN
        bottom = page.height - 0.4 - sum(heights)
        _log(page, top + 0.1, bottom - 0.1)
        for text, height in zip(foot, heights, strict=True):
            page.text(text, Box("small print", _MARGIN, bottom, inner, height, _LEAST_PT, _LEAST_PT), SOFT)
            bottom += height
    return [page.figure for page in pages]


def _drawn_in(slide: Slide) -> tuple[float, float]:
    """The size in which a slide's picture is drawn for the handout, inches."""
    wide = slide.layout.picture.width
    return wide, wide * _PICTURE_IN[1] / _PICTURE_IN[0]


def _high(text: str, width: float, bold: bool = False) -> float:
    """How high a text of the least size is, inches."""
    try:
        return len(wrap(text, width, _LEAST_PT, bold)) * LINE_HEIGHT * _LEAST_PT / 72 + 0.05
    except InputError as problem:
        raise InputError(f"the handout: {problem}") from None


def _heading(page: _Page, deck: Deck) -> float:
    """Write what is over the first page, with a line for who gives the clinic; return where it ends."""
    inner = page.width - 2 * _MARGIN
    top = 0.4 + page.text(deck.name, Box("name of the clinic", _MARGIN, 0.4, inner, 0.4, 18, _LEAST_PT, True))
    top += page.text(_subtitle(deck), Box("subtitle", _MARGIN, top, inner, 0.4, _LEAST_PT, _LEAST_PT), SOFT)
    place = Box("name and contact", _MARGIN, top + 0.05, inner, 0.2, 11, _LEAST_PT)
    if deck.contact:
        page.text(f"From: {deck.contact}", place)
    else:
        page.text("Name and contact:", place)
        page.rule(_MARGIN + 1.5, top + 0.24, inner - 1.5)
    return top + 0.35


def _log(page: _Page, top: float, bottom: float) -> None:
    """Draw a log to fill in, a row for each change."""
    inner = page.width - 2 * _MARGIN
    heading = "Your log: change one thing, skate it, write it down (1 worse, 3 the same, 5 better)"
    top += page.text(heading, Box("log", _MARGIN, top, inner, 0.4, 11, _LEAST_PT, bold=True)) + 0.05
    rows = int((bottom - top) / _LOG_ROW_IN) - 1
    left = _MARGIN
    for name, share in _LOG:
        page.text(
            name,
            Box("column", left + 0.06, top + 0.06, inner * share - 0.1, 0.2, _LEAST_PT, _LEAST_PT, bold=True),
        )
        page.rule(left, top, 0.0, (rows + 1) * _LOG_ROW_IN)
        left += inner * share
    page.rule(left, top, 0.0, (rows + 1) * _LOG_ROW_IN)
    for row in range(rows + 2):
        page.rule(_MARGIN, top + row * _LOG_ROW_IN, inner)


def _subtitle(deck: Deck) -> str:
    said = deck.slide("blades").said
    return (
        f"For {deck.audience}. Example blades (invented): A {said['radius_a']} rocker, {said['hollow_a']} "
        f"hollow; B {said['radius_b']}, {said['hollow_b']}; skater {said['mass']}, ice {said['ice']}."
    )


def _foot(deck: Deck) -> list[str]:
    text = " ".join(f"{slide.title} {slide.sentence}" for slide in deck.slides)
    words = "; ".join(explained(text) or [f"{word}: {TAUGHT[word].meaning}" for word in ("rocker", "hollow")])
    return [
        f"Words: {words}.",
        "Safety: " + " ".join(CAUTIONS.values()),
        "Numbers: computed, not measured, unless it says so; trust the difference between two blades more "
        "than any single number.",
        *([f"{deck.footer}."] if deck.footer else []),
    ]


def write_handout(deck: Deck, file: IO[bytes]) -> None:
    """Write the handout as a PDF."""
    about = {"Title": f"{deck.name}: handout", "CreationDate": None, "Creator": None}
    with style_context(pdf_fonttype=42), PdfPages(file, metadata=about) as pages:
        for figure in draw_handout(deck):
            pages.savefig(figure)
