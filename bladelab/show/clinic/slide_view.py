"""A slide as the picture of a panel."""

from __future__ import annotations

import io
from dataclasses import dataclass
from typing import IO

import numpy as np
from matplotlib.figure import Figure
from matplotlib.text import Text
from numpy.typing import NDArray

from bladelab.show.canvas.fallback import svg_or_image
from bladelab.show.canvas.footer import write_figure
from bladelab.show.canvas.narrow import NARROW_PX
from bladelab.show.canvas.result import Result
from bladelab.show.canvas.style import style_context
from bladelab.show.clinic.drawing import Page
from bladelab.show.clinic.slide import Slide


@dataclass(frozen=True, kw_only=True)
class Shown(Result):
    """A slide and its number, from 1."""

    slide: Slide
    number: int


class SlideView:
    """The slide that the panel shows; the same page that the PDF has, or on a phone one of its shape.

    Attributes
    ----------
    width_px, height_px : int
        On the page, where there is that much space.
    headline : matplotlib.text.Text
        The slide's title.
    """

    narrow = False

    def __init__(self) -> None:
        self._new_page()
        self._alt = ""
        self.headline = Text()

    @property
    def figure(self) -> Figure:
        """The page."""
        return self._page.figure

    def lay_out(self, narrow: bool) -> None:
        """Lay the slide out for a phone, or as the room sees it."""
        if narrow != self.narrow:
            self.narrow = narrow
            self._new_page()

    def _new_page(self) -> None:
        self._page = Page(phone=self.narrow)
        wide, high = self._page.size_in
        self.width_px = NARROW_PX if self.narrow else 960
        self.height_px = round(self.width_px * high / wide)

    def update(self, shown: Shown) -> None:
        """Show a slide with its number."""
        self._page.draw(shown.slide, shown.number)
        self._alt = shown.slide.alt
        self.headline.set_text(shown.finding)

    show = update

    def rebuild(self) -> None:
        """Nothing is kept in units."""

    def still_key(self) -> tuple[object, ...]:
        """A slide has no still part."""
        return ()

    def still_html(self) -> str:
        """Nothing."""
        return ""

    def frame_html(self, text_equivalent: str = "") -> str:
        """The slide as an inline ``<svg>``; a screen reader says what is on it."""
        return svg_or_image(lambda: self._page.html(self._alt), self.png, self._alt)

    def size(self) -> dict[str, int]:
        """Width and height on the page, px."""
        return {"width": self.width_px, "height": self.height_px}

    def png(self, sharpness: float = 1.5) -> bytes:
        """The slide as PNG, `sharpness` dots to each page pixel."""
        buffer = io.BytesIO()
        dots = sharpness * self.width_px / self.figure.get_figwidth()
        with style_context():
            self.figure.savefig(buffer, format="png", dpi=dots, metadata={"Software": None})
        return buffer.getvalue()

    def pixels(self) -> NDArray[np.uint8]:
        """The slide, a dot to each page pixel, (height, width, 4)."""
        from PIL import Image

        return np.array(Image.open(io.BytesIO(self.png(1.0)), formats=("PNG",)).convert("RGBA"))

    def write(self, file: IO[bytes], form: str, footer: str = "") -> None:
        """Write the slide to an open binary file, form "png", "svg" or "pdf", with words below it."""
        write_figure(self.figure, file, form, 2.0, footer)
