"""All slides of a clinic at a glance: small pictures, drawn once the hand rests."""

from __future__ import annotations

import asyncio
import base64
import html
import io
from collections.abc import Sequence

import ipywidgets as widgets

from bladelab.show.clinic.deck import Deck
from bladelab.show.clinic.drawing import page_png
from bladelab.show.long_work import running_loop

_SMALL_PX = 320
_CALM_S = 0.3


class Overview(widgets.HTML):
    """A small picture of each slide, with a frame around the one that is shown.

    Attributes
    ----------
    drawing : asyncio.Task or None
        The last drawing that a kernel put off.
    """

    def __init__(self) -> None:
        super().__init__()
        self.add_class("bladelab-sheet")
        self._deck: Deck | None = None
        self._at, self._small = 0, list[bytes]()
        self.drawing: asyncio.Task[None] | None = None

    def show(self, deck: Deck, at: int) -> None:
        """Draw the slides of `deck`, with number `at` marked: once the hand rests, or at once where no kernel
        runs and at the very first."""
        self._deck, self._at = deck, at
        self._small.clear()
        if self.drawing:
            self.drawing.cancel()
            self.drawing = None
        if self.value and (loop := running_loop()):
            self.drawing = loop.create_task(self._draw_later())
        else:
            self._draw_now()

    def mark(self, at: int) -> None:
        """Put the frame around another slide."""
        self._at = at
        self._fill()

    def png(self) -> bytes:
        """All slides as one picture."""
        self._draw_missing()
        return contact_sheet(self._small)

    async def _draw_later(self) -> None:
        await asyncio.sleep(_CALM_S)
        while self._draw_next():
            await asyncio.sleep(0)
        self._fill()

    def _draw_now(self) -> None:
        self._draw_missing()
        self._fill()

    def _draw_missing(self) -> None:
        while self._draw_next():
            pass

    def _draw_next(self) -> bool:
        """Draw one more slide; say whether there was one."""
        number = len(self._small)
        if self._deck is None or number == len(self._deck.slides):
            return False
        self._small.append(page_png(self._deck.slides[number], number + 1, _SMALL_PX))
        return True

    def _fill(self) -> None:
        if self._deck is not None and len(self._small) == len(self._deck.slides):
            small = [
                picture(png, slide.title) for png, slide in zip(self._small, self._deck.slides, strict=True)
            ]
            small[self._at] = small[self._at].replace("<img", '<img class="bladelab-now"')
            self.value = "".join(small)


def picture(png: bytes, alt: str) -> str:
    """A PNG as an HTML ``<img>``, with words for who can't see it."""
    data = base64.b64encode(png).decode("ascii")
    return f'<img alt="{html.escape(alt, quote=True)}" src="data:image/png;base64,{data}">'


def contact_sheet(pngs: Sequence[bytes], columns: int = 3) -> bytes:
    """Return pictures of one size side by side, as one PNG."""
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
