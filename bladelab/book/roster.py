"""A roster from a spreadsheet: who is on the team, and what is known of them."""

from __future__ import annotations

import datetime
import os
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from bladelab._cells import decimal_sign, number_of, unguarded
from bladelab._codes import spelled_as
from bladelab._errors import InputError
from bladelab._files import Kind, about, quoted
from bladelab._tables import Record, read_table
from bladelab.book.card import Card
from bladelab.book.entry import Entry
from bladelab.book.happenings import Circumstances, Happening, Joined
from bladelab.book.steel_happenings import Fitted, SteelMeasured

_ROSTER = Kind("a roster", 1_000_000, 5_000)
#: The columns of numbers: the largest that each can hold.
_NUMBERS = {"mass_kg": 200.0, "hours_per_week": 100.0, "height_mm": 100.0, "least_mm": 100.0}
ROSTER_COLUMNS = ("skater", "team", "steel", *_NUMBERS)


@dataclass(frozen=True)
class Roster:
    """What was read from a roster.

    Attributes
    ----------
    entries : tuple of Entry
        What it says that the book doesn't know yet.
    refused : tuple of str
        A sentence for each row that was left out, with its line and column.
    known : int
        Rows that say nothing new.
    """

    entries: tuple[Entry, ...]
    refused: tuple[str, ...]
    known: int


def read_roster(
    path: str | os.PathLike[str], cards: Mapping[str, Card], on: datetime.date, units: str | None = None
) -> Roster:
    """Read a CSV file with a row for each skater; nothing is written.

    The columns, in any order: ``skater`` (a code) and, each of them optional, ``team``, ``mass_kg``,
    ``hours_per_week``, ``steel`` (the code of the set that is on), ``height_mm`` and ``least_mm`` of that
    set. Empty cells say nothing. Semicolons, tabs and decimal commas are read too.

    Parameters
    ----------
    path : path
    cards : mapping of str to Card
        What the book knows; what it knows already is not entered again.
    on : datetime.date
        The day of the entries.
    units : str, optional
        Units in which the cards of new skaters are to be said, one of `bladelab.units.SYSTEMS`.

    Raises
    ------
    InputError
        If the file as a whole is no roster. A single row that is wrong is refused, and the others are read.
    """
    table = read_table(path, _ROSTER, lambda name: name.lower() in ROSTER_COLUMNS)
    names = [name.lower() for name in table.header.names]
    with about(path):
        if "skater" not in names:
            raise InputError(f"it has no column skater; its columns are {quoted(', '.join(names), 200)}")
    places = {name: names.index(name) for name in ROSTER_COLUMNS if name in names}
    decimal = "." if table.header.delimiter == "," else _decimal(table.rows, places)
    entries: list[Entry] = []
    refused: list[str] = []
    seen: set[str] = set()
    known = 0
    for row in table.rows:
        cells = {n: row.cells[i].strip() if i < len(row.cells) else "" for n, i in places.items()}
        try:
            skater = spelled_as(unguarded(cells["skater"]), (*seen, *cards))
            if skater in seen:
                raise InputError(f"skater {quoted(skater)} is in an earlier line too")
            news = _news(cells, cards.get(skater), decimal, units)
            fresh = [Entry(skater, on, what) for what in news]
        except InputError as problem:
            refused.append(f"line {row.line}: {problem}")
            continue
        seen.add(skater)
        entries += fresh
        known += not fresh
    return Roster(tuple(entries), tuple(refused), known)


def _decimal(rows: Iterable[Record], places: Mapping[str, int]) -> str:
    return decimal_sign(
        (row.cells[places[name]], largest)
        for row in rows
        for name, largest in _NUMBERS.items()
        if name in places and places[name] < len(row.cells)
    )


def _news(cells: Mapping[str, str], card: Card | None, decimal: str, units: str | None) -> list[Happening]:
    """What a row says that the card doesn't know."""
    numbers: dict[str, float] = {}
    for name, largest in _NUMBERS.items():
        if text := cells.get(name, ""):
            try:
                numbers[name] = number_of(text, decimal, largest)
            except InputError as problem:
                raise InputError(f"{name} {problem}") from None
    team, code = unguarded(cells.get("team", "")), unguarded(cells.get("steel", ""))
    code = spelled_as(code, card.steel if card else ())
    found: list[Happening] = []
    if card is None or (team and team != card.team):
        found.append(Joined(team))
    of_skater = {name: numbers[name] for name in ("mass_kg", "hours_per_week") if name in numbers}
    changed: dict[str, Any] = {n: v for n, v in of_skater.items() if card is None or getattr(card, n) != v}
    if card is None and units:
        changed["units"] = units
    if changed:
        found.append(Circumstances(**changed))
    of_steel = {name: numbers[name] for name in ("height_mm", "least_mm") if name in numbers}
    if not code:
        if of_steel:
            raise InputError(f"{', '.join(of_steel)} need the code of a set in the column steel")
        return found
    steel = None if card is None else card.steel.get(code)
    measured = {n: v for n, v in of_steel.items() if steel is None or getattr(steel, n) != v}
    if measured or steel is None:
        found.append(SteelMeasured(code, **measured))
    if card is None or set(card.fitted.values()) != {code}:
        found.append(Fitted(code))
    return found
