"""A table that is sorted on the page, with rows that can be ticked."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import anywidget
from traitlets import Dict, List, Unicode

_HERE = Path(__file__).parent

#: What a cell says, and what it is sorted by: a number or a text, None for what is not known.
Cell = tuple[str, float | str | None]


@dataclass(frozen=True)
class TableRow:
    """One row.

    Attributes
    ----------
    name : str
        By which it is ticked.
    cells : tuple of (str, number, str or None)
        What each says, and what it is sorted by.
    said : str
        What a screen reader calls it; the name, if it is empty.
    quiet : bool
        Whether it counts no more, and is grey.
    """

    name: str
    cells: tuple[Cell, ...]
    said: str = ""
    quiet: bool = False


class TickTable(anywidget.AnyWidget):
    """A table.

    Parameters
    ----------
    caption : str
    columns : sequence of str
    """

    _esm = (_HERE / "table.js").read_text(encoding="utf-8")
    _css = (_HERE / "table.css").read_text(encoding="utf-8")
    _columns = List(Unicode()).tag(sync=True)
    _rows = List(Dict()).tag(sync=True)
    _picked = List(Unicode()).tag(sync=True)
    _caption = Unicode().tag(sync=True)

    def __init__(self, caption: str, columns: Sequence[str]) -> None:
        super().__init__(_caption=caption, _columns=list(columns))

    def show(self, rows: Sequence[TableRow]) -> None:
        """Show these rows; ticks of rows that are gone are gone."""
        with self.hold_sync():
            self._rows = [
                {
                    "id": row.name,
                    "said": row.said or row.name,
                    "quiet": row.quiet,
                    "cells": [list(cell) for cell in row.cells],
                }
                for row in rows
            ]
            names = {row.name for row in rows}
            self._picked = [name for name in self._picked if name in names]

    @property
    def picked(self) -> tuple[str, ...]:
        """The names of the rows that are ticked."""
        return tuple(self._picked)

    def pick(self, names: Sequence[str]) -> None:
        """Tick these rows and no others."""
        self._picked = list(names)
