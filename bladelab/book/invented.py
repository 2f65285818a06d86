"""The invented team that comes with bladelab, for pages that have no skater's card to show."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from functools import lru_cache
from types import MappingProxyType

from bladelab._data import data_file
from bladelab.book.card import Card
from bladelab.book.entry import Entry
from bladelab.book.fold import card_of
from bladelab.book.rows import entry_of, row_of

_KIND = "bladelab book"
_COLUMNS = ("number", "skater", "happened", "kind", "what", "note", "done_by")


def as_document(entries: Iterable[Entry]) -> str:
    """Write entries as the file of the invented team, one to a line."""
    rows = ",\n".join(json.dumps(list(row_of(entry).values()), ensure_ascii=False) for entry in entries)
    head = f'"file": "{_KIND}", "invented": true, "columns": {json.dumps(_COLUMNS)}'
    return f'{{{head}, "entries": [\n{rows}\n]}}\n'


@lru_cache(maxsize=1)
def invented_entries() -> tuple[Entry, ...]:
    """Return all entries of the invented team, in the order of writing.

    Examples
    --------
    >>> len({entry.skater for entry in invented_entries()})
    18
    """
    document = json.loads(data_file("demo/book.json").read_text(encoding="utf-8"))
    return tuple(entry_of(row) for row in document["entries"])


@lru_cache(maxsize=1)
def invented_cards() -> Mapping[str, Card]:
    """Return the cards of the invented team, by code.

    Examples
    --------
    >>> invented_cards()["N03"].steel.keys()
    dict_keys(['S1', 'S2'])
    """
    entries = invented_entries()
    codes = sorted({entry.skater for entry in entries})
    return MappingProxyType({code: card_of(code, entries) for code in codes})
