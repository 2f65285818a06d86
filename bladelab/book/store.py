"""The book on disk: entries are added and read, cards are folded from them, nothing is changed."""

from __future__ import annotations

import os
from collections.abc import Callable, Collection
from contextlib import suppress
from dataclasses import replace
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from bladelab._checks import kind
from bladelab._codes import checked_code
from bladelab._errors import InputError
from bladelab.book.card import Card
from bladelab.book.entry import Entry
from bladelab.book.place import VARIABLE, Place, place_of
from bladelab.book.rows import entry_of

if TYPE_CHECKING:
    from sqlalchemy import Connection

    from bladelab.book.database import Database
    from bladelab.book.kept_cards import KeptCard

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
        self._folded: dict[str, KeptCard] = {}
        self._chosen_here: str | None = None  # in a book that can only be read

    @property
    def trouble(self) -> str:
        """Why nothing can be added to the book, in a sentence, as far as is known; empty if all is well."""
        path = self.place.path
        if path is None or not path.exists():
            return ""
        if not (os.access(path, os.W_OK) and os.access(path.parent, os.W_OK)):
            return f"{self.place} can only be read: you have no permission to write there"
        return f"{self.place}: {self._database.damage}" if self._database.damage else ""

    def skaters(self) -> tuple[str, ...]:
        """Return the codes of all skaters, sorted."""

        def codes(connection: Connection) -> tuple[str, ...]:
            from bladelab.book.tables import SKATERS

            return tuple(connection.scalars(SKATERS.select().order_by(SKATERS.c.code)))

        return self._read(codes, ())

    def entries(self, skater: str | None = None, words: Collection[str] = ()) -> tuple[Entry, ...]:
        """Return the entries of one skater, or of all, in the order of writing; with `words`, of these kinds
        only (see `Entry.word`)."""

        def found(connection: Connection) -> tuple[Entry, ...]:
            from bladelab.book.tables import ENTRIES

            query = ENTRIES.select().order_by(ENTRIES.c.number)
            if skater is not None:
                query = query.where(ENTRIES.c.skater == skater)
            if words:
                query = query.where(ENTRIES.c.kind.in_(words))
            return tuple(map(entry_of, connection.execute(query)))

        return self._read(found, ())

    def card(self, skater: str) -> Card:
        """Return what holds for one skater now."""
        return self._cards(skater).get(skater) or Card(skater)

    def cards(self) -> dict[str, Card]:
        """Return what holds for each skater now, by code."""
        return self._cards(None)

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
            If there is no book, it can't be written, a skater who joins has a code that is in use, or a
            strike names no entry of that skater; nothing was added.
        """
        for entry in entries:
            kind("an entry", entry, Entry)

        def add(connection: Connection) -> tuple[Entry, ...]:
            from bladelab.book.writing import write_entries

            return write_entries(connection, entries)

        return self._write(add) if entries else ()

    def merge(self, *entries: Entry) -> tuple[Entry, ...]:
        """Add those entries that the book does not hold yet, such as those of an export, all of them or none.

        Parameters
        ----------
        *entries : Entry
            In the order of writing, with the numbers that they had: strikes name these.

        Returns
        -------
        tuple of Entry
            Those that were added, with their numbers here.

        Raises
        ------
        InputError
            As `add` does.
        """

        def merge(connection: Connection) -> tuple[Entry, ...]:
            from bladelab.book.writing import merge_entries

            return merge_entries(connection, entries)

        return self._write(merge) if entries else ()

    @property
    def last(self) -> int:
        """A number that rises with every change; 0 for an empty book."""

        def last(connection: Connection) -> int:
            from bladelab.book.tables import STATE

            return int(connection.execute(STATE.select()).one().last)

        return self._read(last, 0)

    @property
    def chosen(self) -> str:
        """The skater that was chosen last, here or in another program on this computer; empty for none."""

        def chosen(connection: Connection) -> str:
            from bladelab.book.tables import CHOICES

            # What a server's book of version 1 remembered holds for every counter until it chooses.
            query = CHOICES.select().where(CHOICES.c.counter.in_((self._database.counter, "")))
            row = connection.execute(query.order_by(CHOICES.c.counter.desc())).first()
            return "" if row is None else str(row.skater)

        return self._read(chosen, "") if self._chosen_here is None else self._chosen_here

    def choose(self, skater: str) -> None:
        """Remember whose card is open; empty for nobody's.

        In a book that can only be read (see `trouble`) it is remembered until this program ends.

        Raises
        ------
        InputError
            If it is not a code, or the book can't be written.
        """
        if skater:
            checked_code("skater", skater)
        if skater == self.chosen:
            return

        def choose(connection: Connection) -> None:
            from bladelab.book.tables import CHOICES

            connection.execute(CHOICES.delete().where(CHOICES.c.counter == self._database.counter))
            connection.execute(CHOICES.insert().values(counter=self._database.counter, skater=skater))

        try:
            self._write(choose)
        except InputError:
            if not self.trouble:
                raise
            self._chosen_here = skater

    def forget(self, skater: str) -> None:
        """Delete all that is known of a skater from the file: the one true deletion.

        Papers, exports and copies of the book that were made earlier remain.

        Raises
        ------
        InputError
            If the book can't be written.
        """

        def forget(connection: Connection) -> None:
            from bladelab.book.tables import CHOICES, SKATERS
            from bladelab.book.writing import next_numbers

            next_numbers(connection, 1)
            connection.execute(SKATERS.delete().where(SKATERS.c.code == skater))  # and with it the rest
            connection.execute(CHOICES.delete().where(CHOICES.c.skater == skater))

        self._folded.pop(skater, None)
        if skater in self.skaters():
            self._write(forget)
            self._database.tidy()

    def _cards(self, skater: str | None) -> dict[str, Card]:
        def cards(connection: Connection) -> dict[str, KeptCard]:
            from bladelab.book.kept_cards import cards_in

            return cards_in(connection, self._folded, skater)

        nothing: dict[str, KeptCard] = {}
        found = self._read(cards, nothing)
        if skater is None:
            self._folded.clear()
        self._folded.update(found)
        self._keep(found)
        return {code: one.card for code, one in found.items()}

    def _keep(self, cards: dict[str, KeptCard]) -> None:
        if self.trouble or not cards:
            return
        from bladelab.book.kept_cards import WORTH_KEEPING, keep_cards

        worth = [one for one in cards.values() if one.folded >= WORTH_KEEPING]
        if worth:
            with suppress(InputError):  # it only saves time
                self._write(lambda connection: keep_cards(connection, worth))
            self._folded.update({one.card.skater: replace(one, folded=0) for one in worth})

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
