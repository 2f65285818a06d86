"""Whose card is open: one skater's or none, for all panels of a notebook; the book remembers it."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

from bladelab._codes import spelled_as
from bladelab._errors import InputError
from bladelab._listeners import Listeners
from bladelab.book.happenings import Circumstances, Happening, Joined
from bladelab.book.steel_happenings import LEFT_AND_RIGHT
from bladelab.show.wording.units_shown import UNITS

if TYPE_CHECKING:
    from bladelab.book.card import Card
    from bladelab.book.entry import Entry
    from bladelab.book.store import Book


class OpenCard:
    """The card that is open in this notebook. There is one: `SKATER`.

    With no skater chosen nothing is written. What the book refuses is an InputError, which `write`, `choose`
    and `begin` raise; `trouble` keeps its sentence where nobody asked.

    Attributes
    ----------
    edition : int
        Goes up whenever the panels are to show the card: another skater, another side, or a card that was
        loaded afresh. A card that was only written to leaves it as it is, and every dial that a hand moved.
    changes : int
        Goes up with everything that is told to listeners.
    changed : bool
        Whether the news is that another notebook wrote to this card.
    news : str
        What another notebook did since, and `load` would bring; empty if nothing.
    trouble : str
        What the book said last, if it could not be read or written; empty if it could.
    """

    def __init__(self) -> None:
        self._listeners = Listeners()
        self.close()
        UNITS.listen(self._units_changed)

    def close(self) -> None:
        """Forget the book and the card; the next question opens the book that BLADELAB_BOOK names by then."""
        self._opened: Book | None = None
        self._card: Card | None = None
        self._codes: tuple[str, ...] = ()
        self._seen, self._side, self._busy = (0, ""), "left", False
        self.edition, self.changes, self.changed, self.news, self.trouble = 0, 0, False, "", ""

    # What holds -----------------------------------------------------------------------------------------

    @property
    def book(self) -> Book:
        """The book, opened and read when it is first asked for."""
        if self._opened is None:
            # It loads a database, which a page without panels can do without.
            from bladelab.book.store import open_book

            with self._trouble_told():
                self._opened = open_book()
                self._take(self._opened.chosen)
            self._opened = self._opened or open_book("")
        return self._opened

    @property
    def card(self) -> Card | None:
        """The card of the skater chosen; None for no skater."""
        _ = self.book
        return self._card

    def now(self) -> Card | None:
        """The card with what other notebooks wrote since, for writing and printing; no dial moves.

        Raises
        ------
        InputError
            If the book can't be read.
        """
        return None if (card := self.card) is None else self.book.card(card.skater)

    @property
    def code(self) -> str:
        """The code of the skater chosen; empty for no skater."""
        return "" if self.card is None else self.card.skater

    @property
    def codes(self) -> tuple[str, ...]:
        """All skaters in the book, as it was last read."""
        _ = self.book
        return self._codes

    @property
    def may_change(self) -> bool:
        """Whether another notebook may write to the book: not where there is none."""
        return not self.book.place.nowhere

    @property
    def side(self) -> str:
        """The side whose edge is the present one: where only one is known, that one."""
        known = () if self.card is None else self.card.known_sides
        return known[0] if len(known) == 1 else self._side

    @side.setter
    def side(self, side: str) -> None:
        if side not in LEFT_AND_RIGHT:
            raise InputError(f"the side is {side!r:.60}; it must be left or right")
        self._side = side
        self.edition += 1
        self._tell()

    @property
    def sides(self) -> tuple[str, ...]:
        """The sides that the present edge speaks for: both where they are alike, or both unknown."""
        if self.card is None:
            return ()
        return LEFT_AND_RIGHT if self.card.alike else (self.side,)

    # What is done ---------------------------------------------------------------------------------------

    def choose(self, code: str) -> None:
        """Open the card of a skater in the book, or none with ``""``; tomorrow it is open again.

        Raises
        ------
        InputError
            If there is no such skater, or the book can't be read or written.
        """
        if code and code not in self.book.skaters():
            raise InputError(
                f"no skater {code!r:.60} is in the book; there are {', '.join(self.codes) or 'none'}"
            )
        self.book.choose(code)
        self._take(code)
        self._tell()

    def begin(self, code: str, team: str = "") -> None:
        """Put a new skater into the book, with the units chosen now, and open the card.

        Raises
        ------
        InputError
            If it is no code, or taken, or the book can't be written.
        """
        from bladelab.book.entry import Entry

        entry = Entry(code.strip(), datetime.date.today(), Joined(team))
        there = self.book.skaters()
        if (known := spelled_as(entry.skater, there)) in there:
            raise InputError(f"{known} is in the book already: choose the code, or give this skater another")
        self.book.add(entry, Entry(entry.skater, entry.on, Circumstances(units=UNITS.system)))
        self.choose(entry.skater)

    def write(
        self, *happenings: Happening, on: datetime.date | None = None, by: str = "", note: str = ""
    ) -> tuple[Entry, ...]:
        """Write what happened to the skater chosen, all of it or nothing; no dial that a hand moved is moved.

        Parameters
        ----------
        *happenings
            Of the classes of `bladelab.book.happenings`.
        on : date, optional
            Today by default.
        by, note : str, optional

        Returns
        -------
        tuple of Entry
            As written; empty with no skater chosen.

        Raises
        ------
        InputError
            If the book can't be written.
        """
        from bladelab.book.entry import Entry

        if (card := self.card) is None:
            return ()
        if card.skater not in self.book.skaters():
            raise InputError(f"{card.skater} is no longer in the book")
        day = on or datetime.date.today()
        written = self.book.add(*(Entry(card.skater, day, what, note, by) for what in happenings))
        self._card, self._seen, self.trouble = self.book.card(card.skater), self._state_of_book(), ""
        self._tell()
        return written

    def add(self, *entries: Entry) -> tuple[Entry, ...]:
        """Write entries of any skaters, all of them or nothing, with a card open or without; no dial moves.

        Raises
        ------
        InputError
            If the book can't be written.
        """
        written = self.book.add(*entries)
        self._codes = self.book.skaters()
        if self._card is not None:
            self._card = self.book.card(self._card.skater)
        self._seen, self.trouble = self._state_of_book(), ""
        self._tell()
        return written

    def look(self) -> None:
        """See whether another notebook wrote to this card or opened another one since; nothing moves."""
        with self._trouble_told():
            state = self._state_of_book()
            if state != self._seen:
                self._seen, self._codes = state, self.book.skaters()
                chosen, code = state[1], self.code
                self.changed = False
                if chosen != code:
                    self.news = (
                        f"{chosen}'s card was opened in another notebook" if chosen else "the card was closed"
                    )
                elif self._card and self.book.card(code).last != self._card.last:
                    self.news, self.changed = "the card has changed", True
                else:
                    self.news = ""
        self._tell()

    def load(self) -> None:
        """Show the card as the book has it now, of the skater chosen last.

        Raises
        ------
        InputError
            If the book can't be read.
        """
        self._take(self.book.chosen)
        self._tell()

    def listen(self, method: Callable[[], None]) -> None:
        """Call a bound method after each change, for as long as its object lives."""
        self._listeners.add(method)

    def tell_trouble(self, problem: InputError) -> None:
        """Say in the bar of every panel what the book said."""
        self.trouble = str(problem)
        self._tell()

    # Inside ---------------------------------------------------------------------------------------------

    def _take(self, code: str) -> None:
        """Take over a card from the book, with its units."""
        book = self.book
        codes = book.skaters()
        card = book.card(code) if code in codes else None
        self._card, self._codes, self._seen = card, codes, (book.last, code)
        self.edition, self.news, self.trouble = self.edition + 1, "", book.trouble
        self.changed = False
        if card is not None and card.units:
            self._busy = True
            try:
                UNITS.system = card.units
            finally:
                self._busy = False

    def _state_of_book(self) -> tuple[int, str]:
        return self.book.last, self.book.chosen

    def _units_changed(self) -> None:
        """Units belong to the card: a change with a skater chosen is written."""
        card = self._card
        if self._busy or card is None or card.units == UNITS.system:
            return
        with self._trouble_told():
            self.write(Circumstances(units=UNITS.system))

    @contextmanager
    def _trouble_told(self) -> Iterator[None]:
        """Keep the sentence of a book that can't be read or written: nobody asked, and the panels go on."""
        try:
            yield
        except InputError as problem:
            self.tell_trouble(problem)

    def _tell(self) -> None:
        self.changes += 1
        self._listeners.tell()


#: The one card that is open in this notebook.
SKATER = OpenCard()
