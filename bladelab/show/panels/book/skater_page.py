"""One skater's page: the timeline with the card in words, every entry, and what can be done with the card."""

from __future__ import annotations

import datetime
from collections.abc import Callable
from pathlib import Path

import ipywidgets as widgets

from bladelab._errors import InputError
from bladelab.book.happenings import Struck
from bladelab.book.history import HistoryLine, history
from bladelab.book.ordering import orders_of
from bladelab.book.plan_happenings import NextDate
from bladelab.show.panel.file_work import FileWork
from bladelab.show.panel.files import save_numbered
from bladelab.show.panel.forms import Message, beside, button, coming_day
from bladelab.show.panel.panel_box import PanelBox
from bladelab.show.panel.skater import SKATER
from bladelab.show.panel.table import TableRow, TickTable
from bladelab.show.panels.book.card_form import CardForm
from bladelab.show.panels.book.keeping import WHOLE_BOOK, BookKeeping
from bladelab.show.panels.book.skater import OneSkater, timeline
from bladelab.show.papers.order import write_order
from bladelab.show.papers.skater_sheet import write_skater_sheet
from bladelab.show.wording.say_entry import say_line
from bladelab.show.wording.words import capital

_COLUMNS = ("day", "what happened", "by", "note")
_NO_CARD = "no card of your own is open: choose a skater in the line over the panel"


class SkaterPage(PanelBox):
    """The card that is open, or one of the invented team to look at.

    Attributes
    ----------
    table : TickTable
        Every entry, the newest first; struck ones grey.
    form : CardForm
    next_on : DatePicker
        When the skater is to come back, for the sheet.
    message : Message
        How the last strike went.
    saving : FileWork
        Where the last paper was saved.
    """

    def __init__(self) -> None:
        chart = timeline()
        self.table = TickTable("everything on the card, newest first", _COLUMNS)
        self.message, self.form = Message(), CardForm()
        self.why = widgets.Text(description="why", placeholder="such as: digits swapped")
        strike = beside(
            button("strike out what is ticked", self.strike),
            button("undo the strike", self.restore),
            self.why,
        )
        savers = [
            button("work order (PDF)", self.save_order),
            button("skater's sheet (PDF)", self.save_sheet),
        ]
        self.saving = FileWork(savers)
        self.next_on = widgets.DatePicker(
            description="come back on",
            style={"description_width": "100px"},
            layout=widgets.Layout(width="250px"),
        )
        papers = beside(savers[0], self.next_on, savers[1], self.saving)
        keeping = widgets.Accordion([BookKeeping()], titles=(WHOLE_BOOK,))
        below = [papers, self.form, self.table, strike, self.message, keeping]
        super().__init__(chart, below=below)
        chart.then = self._follow
        SKATER.listen(self._card_changed)
        self._show_agreed()
        self._follow()

    @property
    def _lines(self) -> tuple[HistoryLine, ...]:
        result = self.panel.result
        return history(result.entries) if isinstance(result, OneSkater) else ()

    # Entries --------------------------------------------------------------------------------------------

    def strike(self) -> None:
        """Strike out the entries that are ticked; they stay readable."""
        ticked = [line for line in self._ticked() if line.struck_by is None]
        strikes = [Struck(line.entry.number, self.why.value.strip()) for line in ticked]
        self._write(strikes, "struck out", "tick an entry that counts")

    def restore(self) -> None:
        """Let the ticked entries that were struck out count again."""
        strikes = [Struck(line.struck_by.number) for line in self._ticked() if line.struck_by is not None]
        self._write(strikes, "counted again", "tick an entry that was struck out")

    def _ticked(self) -> list[HistoryLine]:
        picked = set(self.table.picked)
        return [line for line in self._lines if str(line.entry.number) in picked]

    def _write(self, strikes: list[Struck], done: str, otherwise: str) -> None:
        def write() -> str:
            self._own()
            if not strikes:
                raise InputError(otherwise)
            SKATER.write(*strikes)
            self.table.pick([])
            self.why.value = ""
            return f"{len(strikes)} {'entry' if len(strikes) == 1 else 'entries'} {done}"

        self._do(write)

    # Files ----------------------------------------------------------------------------------------------

    def save_order(self) -> None:
        """Save the shop's work order for the steel that is on."""
        self.saving.save(lambda: self._paper("work-order", lambda file, _, orders: write_order(file, orders)))

    def save_sheet(self) -> None:
        """Save the sheet that the skater takes home; the next date on it is kept on the card."""

        def save() -> tuple[Path, str]:
            day = self.next_on.value
            if day is not None:
                coming_day("next date", day)
            saved, _ = self._paper(
                "skater-sheet", lambda file, card, orders: write_skater_sheet(file, card, orders, day)
            )
            if SKATER.card is None or day == SKATER.card.next_on:
                return saved, ""
            SKATER.write(NextDate(day))
            return (
                saved,
                "; the next date is on the card" if day else "; the next date was taken off the card",
            )

        self.saving.save(save)

    def _paper(self, stem: str, write: Callable[..., object]) -> tuple[Path, str]:
        result = self.panel.result
        if not isinstance(result, OneSkater):
            raise InputError("there is no card on the page")
        orders, name = orders_of(result.card, result.on), f"{stem}-{result.card.skater.lower()}"
        return save_numbered(name, "pdf", lambda file: write(file, result.card, orders)), ""

    # Inside ---------------------------------------------------------------------------------------------

    @staticmethod
    def _own() -> str:
        if SKATER.card is None:
            raise InputError(_NO_CARD)
        return SKATER.code

    def _do(self, work: Callable[[], str]) -> None:
        """Do something and say how it went."""
        try:
            said, fault = work(), False
        except InputError as problem:
            said, fault = str(problem), True
        self.message.say(f"{capital(said)}." if said else "", fault)

    def _card_changed(self) -> None:
        if self._agreed != (SKATER.code, SKATER.card and SKATER.card.next_on):
            self._show_agreed()
        self.panel.refresh()

    def _show_agreed(self) -> None:
        """Show the next date that is on the card; what was chosen and not printed yet stays otherwise."""
        card, today = SKATER.card, datetime.date.today()
        self._agreed = SKATER.code, card and card.next_on
        ahead = card is not None and card.next_on is not None and card.next_on > today
        self.next_on.value = card.next_on if card is not None and ahead else None

    def _follow(self) -> None:
        rows = []
        for line in self._lines:
            entry, day = line.entry, line.entry.on.isoformat()
            said = say_line(line)
            cells = ((day, f"{day} {entry.number:09d}"), (said, said), (entry.by, entry.by or None))
            note = (entry.note, entry.note or None)
            name = f"{day}, {entry.word}"
            rows.append(TableRow(str(entry.number), (*cells, note), name, line.struck_by is not None))
        self.table.show(rows)


def skater_panel() -> SkaterPage:
    """One skater: the card, its history, and what is next."""
    return SkaterPage()
