"""Slides as pictures: whole pages for the preview and the PDF, and each picture alone for print."""

from __future__ import annotations

import base64
import io
from collections.abc import Sequence
from typing import IO, Any

from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.backends.backend_pdf import PdfPages
from matplotlib.figure import Figure
from matplotlib.text import Text

from bladelab.show.canvas.footer import footed
from bladelab.show.canvas.fragment import picture_fragment
from bladelab.show.canvas.layer import DPI, Layer, Written
from bladelab.show.canvas.style import INK, PRESENT, QUIET, style_context
from bladelab.show.canvas.text_lines import LINE_HEIGHT
from bladelab.show.clinic import pictures as pen
from bladelab.show.clinic.deck import Deck
from bladelab.show.clinic.page import (
    FOOTER,
    NUMBER,
    PAGE_IN,
    PHONE_PAGE_IN,
    SMALLEST_PT,
    Box,
    fit_or_cut,
)
from bladelab.show.clinic.pictures import SOFT
from bladelab.show.clinic.slide import Slide
from bladelab.show.clinic.stage import Drawn, drop_unused, rewind, rewrite

PRINT_DPI = 300
#: The picture of a slide on a phone: on a screen of 390 px, where 374 are left inside the margins, its
#: smallest letters are 11 px high.
PHONE_IN = (SMALLEST_PT * 374 / (11.05 * 72), 7.8)
#: Lines and even areas pack as small by their run lengths alone, in two thirds of the time (Z_RLE of zlib).
QUICK_PNG = {"compress_type": 3}


class Page:
    """A whole slide on its page. One that is drawn again, of the same topic, keeps what takes long to make.

    Parameters
    ----------
    phone : bool
        Whether it is a page for a phone, whose slides have neither number nor foot.

    Attributes
    ----------
    size_in : tuple of float
        Width and height.
    figure : matplotlib.figure.Figure
    """

    def __init__(self, phone: bool = False) -> None:
        self._phone, self.size_in = phone, PHONE_PAGE_IN if phone else PAGE_IN
        self.figure = Figure(figsize=self.size_in, dpi=DPI)
        FigureCanvasAgg(self.figure)
        self._topic: tuple[object, ...] = ()
        self._texts, self._lines = Written(), Drawn()

    def draw(self, slide: Slide, number: int, footer: str = "") -> None:
        """Draw a slide with its number and what its foot says. A text too long for its box loses its last
        lines, and dots say so; `Slide.check` refuses it."""
        figure = self.figure
        layout, small_print = slide.phone_layout if self._phone else (slide.layout, FOOTER)
        with style_context():
            topic = type(slide), slide.key, layout.picture
            if topic != self._topic:
                figure.clear()
                self._lines = Drawn()
                self._part(layout.picture)
            self._topic, picture = topic, figure.subfigs[0]
            rewind(picture)
            slide.draw(picture)
            drop_unused(picture)
            small = pen.take_small_print(picture) if self._phone else footer
            self._lines.rewind()
            for text, box in zip((slide.title, slide.sentence, slide.words), layout.texts, strict=True):
                self._write(text, box, SOFT if box.name == "line of words" else INK)
            self._write(small, small_print, SOFT)
            if not self._phone:
                width, height = self.size_in
                right, bottom = NUMBER.left + NUMBER.width, NUMBER.top + NUMBER.height
                place = (right / width, 1 - bottom / height)
                self._line(*place, str(number), fontsize=NUMBER.largest_pt, color=SOFT, ha="right")
            self._lines.finish()

    def html(self, words: str) -> str:
        """What is drawn as an inline ``<svg>`` for the screen, `words` for who can't see it; in the letters
        of `type_face.type_face`."""
        width, height = self.size_in
        size = (round(width * DPI), round(height * DPI))
        return _svg(size, self._texts, self.figure.subfigs[0].axes, self.figure.texts, words)

    def _write(self, text: str, box: Box, colour: str) -> None:
        """Write a text, if there is one, into its box, line by line."""
        if not text:
            return
        size, lines = fit_or_cut(text, box)
        width, height = self.size_in
        weight = "bold" if box.bold else "normal"
        for i, line in enumerate(lines):
            baseline = box.top + (i * LINE_HEIGHT + 0.95) * size / 72
            self._line(
                box.left / width, 1 - baseline / height, line, fontsize=size, color=colour, fontweight=weight,
                va="baseline", parse_math=False,  # a dollar sign is a dollar sign, not mathematics
            )  # fmt: skip

    def _part(self, box: Box) -> None:
        """Make a subfigure at the place of a box."""
        width, height = self.size_in
        grid = self.figure.add_gridspec(
            3,
            3,
            width_ratios=[box.left, box.width, width - box.left - box.width],
            height_ratios=[box.top, box.height, height - box.top - box.height],
        )
        self.figure.add_subfigure(grid[1, 1])

    def _line(self, x: float, y: float, line: str, **look: Any) -> None:
        self._lines.put(
            look, lambda: self.figure.text(x, y, line, **look), lambda text: rewrite(text, x, y, line)
        )


def _svg(
    size: tuple[int, int], written: Written, stages: Sequence[Axes], texts: Sequence[Text], words: str
) -> str:
    """What is drawn on stages, and texts, as an ``<svg>``."""
    layer = Layer(size, str(id(stages)), written, dots=2)
    with style_context():
        for axes in stages:
            axes.apply_aspect()
            for artist in pen.drawn_in(axes):
                layer.add(artist)
        for text in texts:
            layer.add(text)
    return picture_fragment(size, layer.finished(), words)


def phone_html(slide: Slide) -> tuple[str, str]:
    """The picture of a slide alone as an ``<svg>`` for a phone, in the letters of `type_face.type_face`, and
    its small print as text."""
    figure = picture(slide, PHONE_IN)
    small = pen.take_small_print(figure)
    figure.set_dpi(DPI)
    size = (round(figure.get_figwidth() * DPI), round(figure.get_figheight() * DPI))
    return _svg(size, Written(), figure.axes, figure.texts, slide.alt), small


def draw_page(slide: Slide, number: int, footer: str = "") -> Figure:
    """Draw a whole slide on a page of its own."""
    page = Page()
    page.draw(slide, number, footer)
    return page.figure


def page_png(figure: Figure, width_px: int) -> bytes:
    """Return a page that is drawn already as PNG."""
    buffer = io.BytesIO()
    with style_context():
        figure.savefig(buffer, format="png", dpi=width_px / PAGE_IN[0], metadata={"Software": None})
    return buffer.getvalue()


class SlideParts:
    """A slide with its parts named, shown by a notebook as a picture."""

    def __init__(self, slide: Slide) -> None:
        self._slide = slide

    def _repr_mimebundle_(self, **kwargs: object) -> dict[str, object]:
        figure, buffer = draw_page(self._slide, 1), io.BytesIO()
        height, layout = PAGE_IN[1], self._slide.layout
        for box, words in (
            (layout.title, "the finding"),
            (layout.picture, "one picture"),
            (layout.sentence, "one sentence"),
            *(((layout.words, "words explained"),) if self._slide.words else ()),
        ):
            middle = 1 - (box.top + box.height / 2) / height
            frame = {"boxstyle": "round", "facecolor": "white", "edgecolor": PRESENT, "linewidth": 2}
            figure.text(1.02, middle, words, fontsize=20, color=PRESENT, ha="left", va="center", bbox=frame)
        figure.patch.set(edgecolor=QUIET, linewidth=2)
        with style_context():
            # The names are beside the slide, so the file is wider than the slide.
            figure.savefig(
                buffer, format="png", dpi=54, bbox_inches="tight", pad_inches=0.1, metadata={"Software": None}
            )
        return {
            "text/plain": f"A slide: {self._slide.alt}",
            "image/png": base64.b64encode(buffer.getvalue()).decode("ascii"),
        }


def picture(slide: Slide, size_in: tuple[float, float] | None = None) -> Figure:
    """Return the picture of a slide alone, of this width and height if not as it is on the slide."""
    with style_context():
        place = slide.layout.picture
        figure = Figure(figsize=size_in or (place.width, place.height))
        FigureCanvasAgg(figure)
        slide.draw(figure)
    return figure


def write_picture(slide: Slide, file: IO[bytes], form: str, dpi: int = PRINT_DPI, footer: str = "") -> None:
    """Write the picture of a slide alone, form "png" (300 dots to the inch: print size) or "svg", with words
    below it."""
    metadata: dict[str, object] = (
        {"Software": None} if form == "png" else {"Date": None, "Title": slide.title}
    )
    with style_context(svg_fonttype="path", svg_hashsalt=slide.key):
        figure = picture(slide)
        with footed(figure, footer) as part:
            packed: dict[str, Any] = {"pil_kwargs": QUICK_PNG} if form == "png" else {}
            figure.savefig(file, format=form, dpi=dpi, metadata=metadata, bbox_inches=part, **packed)


def write_pdf(deck: Deck, file: IO[bytes]) -> None:
    """Write the deck as PDF, a page a slide. Letters stay letters, so that it can be searched and read
    aloud."""
    about = {
        "Title": deck.name,
        "Subject": f"Clinic for {deck.audience}",
        "CreationDate": None,
        "Creator": None,
    }
    with style_context(pdf_fonttype=42), PdfPages(file, metadata=about) as pages:
        for number, slide in enumerate(deck.slides, 1):
            pages.savefig(draw_page(slide, number, deck.footer))
