"""A button that brings files from the user's computer or phone."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

import anywidget
from traitlets import Dict


class FileButton(anywidget.AnyWidget):
    """A button with just its text; that of ipywidgets counts on it the files that it holds: none, once read.

    Parameters
    ----------
    text : str
        On the button.
    suffixes : str
        Of the files on offer: ``".json,.csv"``.
    brought : callable
        Gets the files chosen, a name and the contents each.
    several : bool
        Whether more than one can be chosen at once.
    hint : str
        What is shown while the mouse rests on the button.
    """

    _esm = Path(__file__).with_name("file_button.js").read_text(encoding="utf-8")
    _spec = Dict().tag(sync=True)

    def __init__(
        self,
        text: str,
        suffixes: str,
        brought: Callable[[Sequence[tuple[str, bytes]]], object],
        several: bool = False,
        hint: str = "",
    ) -> None:
        self._brought = brought
        super().__init__(_spec={"text": text, "hint": hint, "suffixes": suffixes, "several": several})
        self.on_msg(self._from_page)

    def _from_page(
        self, _: object, message: dict[str, list[str]], buffers: Sequence[bytes | memoryview]
    ) -> None:
        """The files that the reader chose."""
        self._brought([(n, bytes(one)) for n, one in zip(message["names"], buffers, strict=True)])
