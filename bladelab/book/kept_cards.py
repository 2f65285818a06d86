"""Cards that the book keeps beside its entries, to save folding them again.

Folding 200 entries takes some 15 ms, and a team page would wait for as many seconds as there are hundreds
of skaters. So a card is kept as text with the number of the last entry it knows. It is only a copy: it is
used if the skater has no entry that it doesn't know, folded on if there are a few later ones, and folded
from all entries in every other case: where an entry was struck, where one is of an earlier day, or where
this program folds cards differently from the one that kept it (which the source code of both tells).

The text is JSON with the class of each object in it. Reading it makes the objects without the checks that
their values passed when they were made; only the classes of which a card consists are made.
"""

from __future__ import annotations

import base64
import datetime
import hashlib
import inspect
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields, is_dataclass
from functools import lru_cache
from types import MappingProxyType
from typing import Any

import numpy as np
from sqlalchemy import Connection, select

from bladelab.book import entry as writing
from bladelab.book import fold as folding
from bladelab.book.card import Card, Edge, SteelSet
from bladelab.book.entry import KINDS, Entry
from bladelab.book.fold import card_after, card_of
from bladelab.book.happenings import Struck
from bladelab.book.rows import entry_of
from bladelab.book.tables import CARDS, ENTRIES, SKATERS
from bladelab.shape.blade import Blade
from bladelab.shape.hollow import Hollow
from bladelab.shape.rocker import Rocker, Zone
from bladelab.workshop.gauge import GaugeReadings
from bladelab.workshop.trace import Trace

_CLASSES = {
    cls.__name__: cls
    for cls in (
        *(Card, Edge, SteelSet, Entry, Blade, Hollow, Rocker, Zone, Trace, GaugeReadings),
        *KINDS.values(),
    )
}
#: A card is kept once so many entries had to be folded for it: for fewer, writing takes longer than folding.
WORTH_KEEPING = 20


@dataclass(frozen=True)
class KeptCard:
    """A card and what it was folded from.

    Attributes
    ----------
    card : Card
    last : int
        Number of the skater's last entry that it knows.
    day : datetime.date
        The latest day of those entries.
    folded : int
        How many entries were folded to make it, after what was kept.
    """

    card: Card
    last: int
    day: datetime.date
    folded: int = 0


def cards_in(
    connection: Connection, known: Mapping[str, KeptCard], skater: str | None = None
) -> dict[str, KeptCard]:
    """Return the card of one skater, or of all, by code; those that are already known are not read again."""
    query = select(SKATERS.c.code, SKATERS.c.last)
    if skater is not None:
        query = query.where(SKATERS.c.code == skater)
    newest = {code: last for code, last in connection.execute(query.order_by(SKATERS.c.code))}
    found = {code: known[code] for code in newest if code in known}
    if missing := [code for code, last in newest.items() if code not in found or found[code].last > last]:
        kept = select(CARDS.c.skater, CARDS.c.last, CARDS.c.day, CARDS.c.card)
        kept = kept.where(CARDS.c.folded_by == this_code())
        if skater is not None:
            kept = kept.where(CARDS.c.skater == skater)
        wanted = set(missing)
        for code, last, day, text in connection.execute(kept):
            if code in wanted and last <= newest[code]:
                found[code] = KeptCard(card_of_text(text), last, datetime.date.fromisoformat(day))
    return {
        code: found[code] if code in found and found[code].last == last else _folded(connection, code, found)
        for code, last in newest.items()
    }


def keep_cards(connection: Connection, cards: Sequence[KeptCard]) -> None:
    """Keep cards in the book for next time, unless newer ones are there."""
    for one in cards:
        there = connection.execute(
            select(CARDS.c.last, CARDS.c.folded_by).where(CARDS.c.skater == one.card.skater)
        ).one_or_none()
        known = connection.execute(select(SKATERS.c.last).where(SKATERS.c.code == one.card.skater)).scalar()
        if known is None or (there is not None and there.folded_by == this_code() and there.last >= one.last):
            continue  # forgotten in the meantime, or kept by another program
        connection.execute(CARDS.delete().where(CARDS.c.skater == one.card.skater))
        connection.execute(
            CARDS.insert().values(
                skater=one.card.skater,
                folded_by=this_code(),
                last=one.last,
                day=one.day.isoformat(),
                card=text_of_card(one.card),
            )
        )


def _folded(connection: Connection, skater: str, found: Mapping[str, KeptCard]) -> KeptCard:
    query = ENTRIES.select().where(ENTRIES.c.skater == skater).order_by(ENTRIES.c.number)
    if (known := found.get(skater)) is not None:
        new = [entry_of(row) for row in connection.execute(query.where(ENTRIES.c.number > known.last))]
        days = [entry.on for entry in new]
        if new and min(days) >= known.day and not any(isinstance(entry.what, Struck) for entry in new):
            in_order = sorted(new, key=lambda entry: (entry.on, entry.number))
            return KeptCard(
                card_after(known.card, in_order), new[-1].number, max(days), known.folded + len(new)
            )
    every = [entry_of(row) for row in connection.execute(query)]
    return KeptCard(card_of(skater, every), every[-1].number, max(entry.on for entry in every), len(every))


def text_of_card(card: Card) -> str:
    """Write a card as text."""
    return json.dumps(_tagged(card, {}), ensure_ascii=False, separators=(",", ":"))


def card_of_text(text: str) -> Card:
    """Read what `text_of_card` wrote."""
    blades: list[Blade] = []
    card: Card = json.loads(text, object_hook=lambda document: _untagged(document, blades))
    return card


def _tagged(value: object, blades: dict[Blade, int]) -> object:
    """Put the class in each object; a blade that came before, as most do, is a number."""
    if value is None or isinstance(value, bool | int | float | str):
        return value
    if is_dataclass(value):
        if isinstance(value, Blade) and value in blades:
            return {"": "blade", "of": blades[value]}
        told = {field.name: _tagged(getattr(value, field.name), blades) for field in fields(value)}
        if isinstance(value, Blade):
            blades[value] = len(blades)
        return {"": type(value).__name__, **told}
    if isinstance(value, datetime.date):
        return {"": "date", "of": value.isoformat()}
    if isinstance(value, tuple):
        return {"": "tuple", "of": [_tagged(one, blades) for one in value]}
    if isinstance(value, Mapping):
        return {"": "mapping", "of": {key: _tagged(one, blades) for key, one in value.items()}}
    if isinstance(value, np.ndarray):
        numbers = np.ascontiguousarray(value, dtype="<f8")
        return {"": "array", "of": base64.b64encode(numbers.tobytes()).decode(), "shape": numbers.shape}
    raise AssertionError(f"no card holds {type(value).__name__}")


def _untagged(document: dict[str, Any], blades: list[Blade]) -> Any:
    name = document.pop("", None)
    if (cls := _CLASSES.get(name)) is not None:
        made: Any = object.__new__(cls)
        made.__dict__.update(document)
        if cls is Blade:
            blades.append(made)
        return made
    match name:
        case "blade":
            return blades[document["of"]]
        case "tuple":
            return tuple(document["of"])
        case "date":
            return datetime.date.fromisoformat(document["of"])
        case "mapping":
            return MappingProxyType(document["of"])
        case "array":
            return np.frombuffer(base64.b64decode(document["of"]), dtype="<f8").reshape(document["shape"])
    return document  # what a mapping holds


@lru_cache(maxsize=1)
def this_code() -> str:
    """A code for how this program folds and writes cards: it differs wherever the source code does."""
    modules = {inspect.getmodule(cls) for cls in _CLASSES.values()} | {folding, writing}
    sources = sorted(inspect.getsource(module) for module in modules if module is not None)
    return hashlib.sha256(
        "".join([*sources, inspect.getsource(_tagged), inspect.getsource(_untagged)]).encode()
    ).hexdigest()[:16]
