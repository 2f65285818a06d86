"""The team's page: the picture of who is due, everyone in one table, and what is done for many at once."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Generator
from pathlib import Path

import ipywidgets as widgets

from bladelab._errors import InputError
from bladelab.book.card import Card
from bladelab.book.entry import Entry
from bladelab.book.happenings import Struck
from bladelab.book.roster import read_roster
from bladelab.book.team import DUE, Standing, sharpened_today, team_csv
from bladelab.show.panel.file_work import FileWork, numbered_in_steps
from bladelab.show.panel.files import save_numbered
from bladelab.show.panel.forms import Message, beside, button, upload, usual_hollows
from bladelab.show.panel.long_work import Step
from bladelab.show.panel.panel_box import PanelBox
from bladelab.show.panel.skater import SKATER
from bladelab.show.panel.table import Cell, TableRow, TickTable
from bladelab.show.panels.book.keeping import WHOLE_BOOK, BookKeeping
from bladelab.show.panels.book.skater import TOLD_DAYS
from bladelab.show.panels.book.team import DUE_WORDS, Team, team_chart, team_now
from bladelab.show.papers.order import steps_of_orders
from bladelab.show.wording.say_card import say_blades
from bladelab.show.wording.units_shown import UNITS
from bladelab.show.wording.words import capital, counted

_COLUMNS = (
    "skater", "team", "due", "sharpened", "hours since", "re-profiled", "tried", "steel left, mm",
    "lasts until", "left, right", "next planned",
)  # fmt: skip
#: What a saved notebook keeps of the page while it shows the reader's own team.
BOOK_IS_OPEN = "Your own team is on this page: run the cell to see it."
_OWN_HOLLOW = "each its own"
_SIDES: dict[bool | None, Cell] = {
    None: ("", None),
    True: ("differ", 0.0),
    False: ("alike", 1.0),
}


def _table_row(row: Standing, on: datetime.date) -> TableRow:
    def day(on: datetime.date | None) -> Cell:
        return (on.isoformat(), on.isoformat()) if on else ("", None)

    def number(value: float | None, decimals: int) -> Cell:
        return ("" if value is None else f"{value:.{decimals}f}", value)

    ends = day(row.ends_on)
    if row.ends_on and (row.ends_on - on).days > TOLD_DAYS:
        ends = ("more than 2 years", ends[1])
    urgency = min((DUE.index(key) for key in row.due), default=None)
    due = (", ".join(DUE_WORDS[key] for key in row.due), urgency)
    cells = (
        (row.skater, row.skater), (row.team, row.team or None), due, day(row.sharpened_on),
        number(row.hours, 0), day(row.ground_on), day(row.tried_on), number(row.above_least_mm, 1),
        ends, _SIDES[row.sides_differ],
        day(min((one for one in (row.reprofile_on, row.next_on) if one), default=None)),
    )  # fmt: skip
    return TableRow(row.skater, cells)


class TeamPanel(PanelBox):
    """The team as a picture and as a table, and what is done for many at once.

    Attributes
    ----------
    table : TickTable
    message : Message
        How the last thing written to the book went.
    saving : FileWork
        How far the last file is, and where it was written.
    """

    def __init__(self) -> None:
        self.table = TickTable("everyone; click a heading to sort", _COLUMNS)
        small = widgets.Layout(width="auto")
        self.hollow = widgets.Dropdown(
            description="hollow", options=usual_hollows(_OWN_HOLLOW), index=0, layout=small
        )
        self.by = widgets.Text(description="by", placeholder="initials or a code", layout=small)
        self.message = Message()
        chart = team_chart()
        many = beside(
            self.hollow,
            self.by,
            button("tick all who are due for sharpening", self.tick_due),
            button("sharpened today: those ticked", self.sharpened, once=True),
            button("undo", self.undo, once=True),
        )
        savers = [
            button("work orders for those ticked (PDF)", self.save_orders),
            button("save as a table (CSV)", self.save),
        ]
        self.saving = FileWork(savers)
        files = beside(*savers, upload("bring in a roster (CSV)", ".csv", self.roster))
        self._written: list[tuple[Entry, ...]] = []  # by each press of the button
        self._wrote = ""
        keeping = widgets.Accordion([BookKeeping()], titles=(WHOLE_BOOK,))
        super().__init__(chart, below=[many, self.message, self.table, files, self.saving, keeping])
        chart.then = self._follow
        SKATER.listen(self._card_changed)
        UNITS.listen(self._units_changed)
        self._follow()

    @property
    def _team(self) -> Team:
        result = self.panel.result
        assert isinstance(result, Team)
        return result

    def tick_due(self) -> None:
        """Tick everyone who is due for a sharpening."""
        self.table.pick([row.skater for row in self._team.rows if "sharpening" in row.due])

    def sharpened(self) -> None:
        """Write that the sets of those ticked were sharpened today, all of them or none."""

        def write() -> str:
            if self._written and not self.table.picked:  # such as the second of two quick presses
                return f"nobody else is ticked. {self._wrote}"
            ticked = self._ticked()
            if self._team.invented:
                raise InputError("this is the invented team: put your own skaters into the book first")
            today, by = datetime.date.today(), self.by.value.strip()
            written = SKATER.add(*sharpened_today(ticked, today, self.hollow.value, by))
            self._written.append(written)
            codes = {entry.skater for entry in written}
            bare = [card.skater for card in ticked if card.skater not in codes]
            self.table.pick([])
            said = (
                f"written: {counted(len(written), 'set')} of {counted(len(codes), 'skater')} sharpened today"
            )
            said = f"{said}; no steel in the book: {', '.join(bare)}" if bare else said
            self._wrote = capital(said)
            return said

        self._do("not written", write)

    def undo(self) -> None:
        """Strike out what the last press on this page wrote; pressed again, what the one before did."""

        def undo() -> str:
            if not self._written:
                raise InputError("nothing was written on this page since it was opened")
            today = datetime.date.today()
            last = self._written[-1]
            SKATER.add(*(Entry(one.skater, today, Struck(one.number, "undone")) for one in last))
            self._written.pop()
            return f"{counted(len(last), 'sharpening')} struck out again"

        self._do("nothing to undo", undo)

    def save_orders(self) -> None:
        """Save the work orders of those ticked as one PDF, a skater a step."""
        self.saving.save_steps(self._orders())

    def _orders(self) -> Generator[Step, None, tuple[Path, str]]:
        ticked, on = self._ticked(), self._team.on
        saved, (orders, refused) = yield from numbered_in_steps(
            "work-orders", "pdf", lambda file: steps_of_orders(file, ticked, on)
        )
        without = [f"{skater}: {why}" for skater, why in refused]
        said = f" with {counted(len(orders), 'order')}"
        return saved, f"{said}. None for {'; '.join(without)}" if without else said

    def _ticked(self) -> list[Card]:
        if not self.table.picked:
            raise InputError("nobody is ticked")
        cards, _, _ = team_now()
        return [cards[code] for code in self.table.picked if code in cards]

    def save(self) -> None:
        """Save the team as a table."""
        cards, _, _ = team_now()
        blades = {code: say_blades(card) for code, card in cards.items()}
        table = team_csv(self._team.rows, self._team.on, blades)
        self.saving.save(lambda: (save_numbered("team", "csv", lambda file: file.write(table)), ""))

    def roster(self, name: str, path: Path) -> None:
        """Put a roster into the book."""

        def take() -> str:
            found = read_roster(path, SKATER.book.cards(), datetime.date.today(), UNITS.system)
            codes = {entry.skater for entry in SKATER.add(*found.entries)}
            said = f"taken from {name}: {counted(len(codes), 'skater')} with news, "
            said += f"{counted(found.known, 'skater')} with none"
            more = f"; and {len(found.refused) - 5} more" if len(found.refused) > 5 else ""
            return f"{said}. Left out: {'; '.join(found.refused[:5])}{more}" if found.refused else said

        self._do(f"nothing was taken from {name}", take)

    def _do(self, otherwise: str, work: Callable[[], str]) -> None:
        """Do something and say how it went."""
        try:
            said, fault = work(), False
        except InputError as problem:
            said, fault = f"{otherwise}: {problem}", True
        self.message.say(f"{capital(said)}.", fault)

    def _card_changed(self) -> None:
        self.panel.refresh()

    def _units_changed(self) -> None:
        chosen = self.hollow.index
        self.hollow.options = usual_hollows(_OWN_HOLLOW)
        self.hollow.index = chosen

    def _repr_mimebundle_(self, **kwargs: object) -> tuple[dict[str, object], dict[str, object]]:
        """The live page; a saved notebook keeps nothing of the reader's own team."""
        bundle, metadata = super()._repr_mimebundle_(**kwargs)
        if self._team.invented:
            return bundle, metadata
        bundle.pop("image/png", None)
        return {**bundle, "text/plain": BOOK_IS_OPEN}, {}

    def _follow(self) -> None:
        if isinstance(self.panel.result, Team):
            self.table.show([_table_row(row, self._team.on) for row in self._team.rows])


def team_panel() -> TeamPanel:
    """Everyone on the team, and who is due."""
    return TeamPanel()
