"""The book on disk: entries are added and read, cards are folded from them, nothing is changed."""

from __future__ import annotations

import datetime
from collections.abc import Callable
from dataclasses import replace
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

from bladelab._checks import kind
from bladelab._errors import InputError
from bladelab.advice.trial import checked_code
from bladelab.book.card import Card, card_of
from bladelab.book.entry import Entry, as_text, of_text
from bladelab.book.place import VARIABLE, Place, place_of

if TYPE_CHECKING:
    from sqlalchemy import Connection

    from bladelab.book.database import Database

_Found = TypeVar("_Found")


class Book:
    """All skaters of one user, or of a club with several counters.

    Several programs may have it open and write to it at once. What a method returned from is on the disk.

    Parameters
    ----------
    place : Place
        A file, a server, or nowhere: then it holds nothing and takes nothing.

    Examples
    --------
    >>> import datetime, tempfile
    >>> from pathlib import Path
    >>> from bladelab.book.happenings import Joined, Sharpened
    >>> day = datetime.date(2026, 11, 3)
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     book = open_book(Path(folder) / "book.sqlite")
    ...     added = book.add(Entry("K07", day, Joined("U14")), Entry("K07", day, Sharpened("S1", 12.7)))
    ...     print([entry.number for entry in added], book.last, book.card("K07").team)
    [1, 2] 2 U14
    """

    def __init__(self, place: Place) -> None:
        self.place = place

    def skaters(self) -> tuple[str, ...]:
        """Return the codes of all skaters, sorted."""

        def codes(connection: Connection) -> tuple[str, ...]:
            from bladelab.book.tables import SKATERS

            return tuple(connection.scalars(SKATERS.select().order_by(SKATERS.c.code)))

        return self._read(codes, ())

    def entries(self, skater: str | None = None) -> tuple[Entry, ...]:
        """Return the entries of one skater, or of all, in the order of writing."""

        def found(connection: Connection) -> tuple[Entry, ...]:
            from bladelab.book.tables import ENTRIES

            query = ENTRIES.select().order_by(ENTRIES.c.number)
            if skater is not None:
                query = query.where(ENTRIES.c.skater == skater)
            return tuple(map(_entry_of, connection.execute(query)))

        return self._read(found, ())

    def card(self, skater: str) -> Card:
        """Return what holds for one skater now."""
        return card_of(skater, self.entries(skater))

    def cards(self) -> dict[str, Card]:
        """Return what holds for each skater now, by code."""
        found: dict[str, list[Entry]] = {skater: [] for skater in self.skaters()}
        for entry in self.entries():
            found.setdefault(entry.skater, []).append(entry)
        return {skater: card_of(skater, entries) for skater, entries in found.items()}

    def add(self, *entries: Entry) -> tuple[Entry, ...]:
        """Add entries, all of them or none.

        Parameters
        ----------
        *entries : Entry
            Their numbers are given by the book.

        Returns
        -------
        tuple of Entry
            With their numbers.

        Raises
        ------
        InputError
            If there is no book, or it can't be written; nothing was added.
        """
        for entry in entries:
            kind("an entry", entry, Entry)
        texts = [as_text(entry.what) for entry in entries]

        def add(connection: Connection) -> tuple[Entry, ...]:
            from bladelab.book.tables import ENTRIES, SKATERS

            last = _next(connection, len(entries))
            numbered = tuple(
                replace(entry, number=last - len(entries) + i) for i, entry in enumerate(entries, 1)
            )
            known = set(connection.scalars(SKATERS.select()))
            newest = {entry.skater: entry.number for entry in numbered}
            for skater, number in newest.items():
                if skater in known:
                    connection.execute(SKATERS.update().where(SKATERS.c.code == skater).values(last=number))
                else:
                    connection.execute(SKATERS.insert().values(code=skater, last=number))
            connection.execute(
                ENTRIES.insert(), [_row_of(*both) for both in zip(numbered, texts, strict=True)]
            )
            return numbered

        return self._write(add) if entries else ()

    @property
    def last(self) -> int:
        """A number that rises with every change; 0 for an empty book."""

        def last(connection: Connection) -> int:
            from bladelab.book.tables import STATE

            return int(connection.execute(STATE.select()).one().last)

        return self._read(last, 0)

    @property
    def chosen(self) -> str:
        """The skater that was chosen last, here or in another program; empty for none."""

        def chosen(connection: Connection) -> str:
            from bladelab.book.tables import STATE

            return str(connection.execute(STATE.select()).one().chosen)

        return self._read(chosen, "")

    def choose(self, skater: str) -> None:
        """Remember whose card is open; empty for nobody's.

        Raises
        ------
        InputError
            If it is not a code.
        """
        if skater:
            checked_code("skater", skater)
        if skater == self.chosen:
            return

        def choose(connection: Connection) -> None:
            from bladelab.book.tables import STATE

            connection.execute(STATE.update().values(chosen=skater))

        self._write(choose)

    def forget(self, skater: str) -> None:
        """Delete all that is known of a skater: the one true deletion.

        Papers, exports and copies of the book made earlier remain.
        """

        def forget(connection: Connection) -> None:
            from bladelab.book.tables import SKATERS, STATE

            _next(connection, 1)
            connection.execute(SKATERS.delete().where(SKATERS.c.code == skater))
            connection.execute(STATE.update().where(STATE.c.chosen == skater).values(chosen=""))

        if skater in self.skaters():
            self._write(forget)

    @cached_property
    def _database(self) -> Database:
        # Loading it takes as long as opening a small notebook's first picture: not before there is a book.
        from bladelab.book.database import Database

        return Database(self.place)

    def _read(self, work: Callable[[Connection], _Found], nothing: _Found) -> _Found:
        if self.place.nowhere or (self.place.path is not None and not self.place.path.exists()):
            return nothing
        return self._database.read(work, nothing)

    def _write(self, work: Callable[[Connection], _Found]) -> _Found:
        if self.place.nowhere:
            raise InputError(f"there is no book to write in: {VARIABLE} is empty")
        return self._database.write(work)


def open_book(place: str | Path | None = None) -> Book:
    """Open the book; nothing is made on the disk before something is written.

    Parameters
    ----------
    place : str or Path, optional
        A file, the address of a PostgreSQL database, or ``""`` for a book that holds nothing. Left out, it is
        what the environment variable ``BLADELAB_BOOK`` says, else the default file.

    Raises
    ------
    InputError
        If no book can be there.

    Examples
    --------
    >>> open_book("").skaters()
    ()
    """
    return Book(place_of(place))


def _next(connection: Connection, count: int) -> int:
    """Take the next numbers; returns the last of them. Other writers wait here until we are done."""
    from bladelab.book.tables import STATE

    connection.execute(STATE.update().values(last=STATE.c.last + count))
    return int(connection.execute(STATE.select()).one().last)


def _row_of(entry: Entry, text: str) -> dict[str, object]:
    return {
        "number": entry.number,
        "skater": entry.skater,
        "happened": entry.on.isoformat(),
        "kind": entry.word,
        "what": text,
        "note": entry.note,
        "done_by": entry.by,
    }


def _entry_of(row: Any) -> Entry:
    number, skater, happened, word, what, note, by = row
    return Entry(skater, datetime.date.fromisoformat(happened), of_text(word, what), note, by, number)
