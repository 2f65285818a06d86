"""Entries as rows of the book's table, and back."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from typing import Any, TypeAlias

from bladelab._errors import InputError
from bladelab.book.entry import Entry, as_text, of_text

#: An entry as a database gives it back: the columns of `row_of`, in their order.
Row: TypeAlias = Sequence[Any]


class DamagedRow(Exception):
    """A row that holds no entry: it was changed by something else than this program."""


def row_of(entry: Entry) -> dict[str, object]:
    """Return an entry as a row, by column."""
    return {
        "number": entry.number,
        "skater": entry.skater,
        "happened": entry.on.isoformat(),
        "kind": entry.word,
        "what": as_text(entry.what),
        "note": entry.note,
        "done_by": entry.by,
    }


def entry_of(row: Row) -> Entry:
    """Return the entry in a row.

    Raises
    ------
    DamagedRow
        If it holds none.
    """
    try:
        number, skater, happened, word, what, note, by = row
        return Entry(skater, datetime.date.fromisoformat(happened), of_text(word, what), note, by, number)
    except (InputError, TypeError, ValueError) as problem:
        raise DamagedRow(str(problem)) from None
