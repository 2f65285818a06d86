"""All slides of a clinic at a glance, as thumbnails."""

from __future__ import annotations

import base64
import html
import io
from collections.abc import Generator, Sequence

import ipywidgets as widgets

from bladelab.show.clinic.deck import Deck
from bladelab.show.clinic.drawing import draw_page, page_png

_SMALL_PX = 320
_LOOKS = """<style>
.bladelab-sheet .widget-html-content {display: grid; grid-template-columns: repeat(4, 1fr); gap: 6px;
  line-height: 0; max-width: 960px}
.bladelab-sheet img {width: 100%; border: 1px solid #999}
.bladelab-sheet img[aria-current] {outline: 3px solid #0072B2}
</style>"""


class Overview(widgets.HTML):
    """A thumbnail of each slide, with a frame around the current one."""

    def __init__(self) -> None:
        super().__init__()
        self.add_class("bladelab-sheet")
        self._deck: Deck | None = None
        self._at, self._small = 0, list[bytes]()

    def shows(self, deck: Deck) -> bool:
        """Whether it shows all of this deck."""
        return self._deck == deck and len(self._small) == len(deck.slides) and bool(self.value)

    def drawing(self, deck: Deck, at: int) -> Generator[None, None, None]:
        """Draw the slides of `deck`, with number `at` marked, and pause after each."""
        self._deck, self._at = deck, at
        self._small = []
        yield from self._missing(deck)
        self._fill(deck)

    def mark(self, at: int) -> None:
        """Move the frame to another slide."""
        self._at = at
        if self._deck is not None and len(self._small) == len(self._deck.slides):
            self._fill(self._deck)

    def png(self, deck: Deck) -> bytes:
        """All slides as one picture."""
        if deck is not self._deck:
            self._deck, self._small = deck, []
        for _ in self._missing(deck):
            pass
        return contact_sheet(self._small)

    def _missing(self, deck: Deck) -> Generator[None, None, None]:
        small = self._small
        while (number := len(small)) < len(deck.slides):
            figure = draw_page(deck.slides[number], number + 1)
            yield
            if number == len(small):  # `png` did not draw it meanwhile
                small.append(page_png(figure, _SMALL_PX))
                yield

    def _fill(self, deck: Deck) -> None:
        small = [_image(png, slide.title) for png, slide in zip(self._small, deck.slides, strict=True)]
        small[self._at] = small[self._at].replace("<img", '<img aria-current="true"')
        self.value = _LOOKS + "".join(small)


def _image(png: bytes, alt: str) -> str:
    data = base64.b64encode(png).decode("ascii")
    return f'<img alt="{html.escape(alt, quote=True)}" src="data:image/png;base64,{data}">'


def contact_sheet(pngs: Sequence[bytes], columns: int = 3) -> bytes:
    """Return pictures of the same size side by side, as one PNG."""
    from PIL import Image

    pages = [Image.open(io.BytesIO(png)) for png in pngs]
    (wide, high), gap = pages[0].size, 6
    rows = -(-len(pages) // columns)
    sheet = Image.new("RGB", (columns * (wide + gap) + gap, rows * (high + gap) + gap), "#999999")
    for i, page in enumerate(pages):
        sheet.paste(page, (gap + i % columns * (wide + gap), gap + i // columns * (high + gap)))
    buffer = io.BytesIO()
    sheet.save(buffer, format="PNG")
    return buffer.getvalue()
