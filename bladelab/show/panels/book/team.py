"""Who is due? Everyone on the team, their steel and the time since they were sharpened."""

from __future__ import annotations

import datetime
import tempfile
from collections.abc import Mapping
from dataclasses import dataclass
from types import SimpleNamespace
from typing import Any

import ipywidgets as widgets
from matplotlib.patches import Rectangle

from bladelab._errors import InputError
from bladelab.book.card import Card
from bladelab.book.invented import invented_cards, invented_entries
from bladelab.book.roster import read_roster
from bladelab.book.team import DUE, Standing, sharpened_today, standing, team_csv
from bladelab.shape.hollow import USUAL_HOLLOWS_MM
from bladelab.show.canvas.limits import Rising
from bladelab.show.canvas.result import Result
from bladelab.show.canvas.style import INK, PRESENT, QUIET, TRIAL, Look
from bladelab.show.canvas.view import View
from bladelab.show.controls.control import Choice, Slider
from bladelab.show.panel.declare import panel
from bladelab.show.panel.forms import Message, beside
from bladelab.show.panel.panel_box import PanelBox
from bladelab.show.panel.skater import SKATER
from bladelab.show.panel.table import TableRow, TickTable
from bladelab.show.panels.book.keeping import BookKeeping
from bladelab.show.wording.say import say_day
from bladelab.show.wording.units_shown import UNITS

ROWS = 18
#: What is due, in the words of the page.
DUE_WORDS = {
    "steel": "steel nearly used up",
    "order": "ordered, not ground yet",
    "check": "ground, not measured yet",
    "sharpening": "sharpening",
    "sides": "left and right differ",
    "trial": "trial not rated yet",
    "complaint": "complaint open",
}
_URGENT = "most urgent first"
_ORDERS = {
    _URGENT: lambda row: (min((DUE.index(key) for key in row.due), default=99), row.skater),
    "longest since sharpening": lambda row: (-(row.hours if row.hours is not None else -1.0), row.skater),
    "least steel first": lambda row: (1e9 if row.above_least_mm is None else row.above_least_mm, row.skater),
    "by code": lambda row: row.skater,
}
_HOURS = (6.0, 12.0, 25.0, 50.0, 100.0, 250.0, 1000.0)
_STEEL_MM = (2.0, 6.0, 12.0, 25.0, 100.0)


@dataclass(frozen=True, kw_only=True)
class Team(Result):
    """Everyone in the order chosen, the page that is shown, and what counts as due."""

    rows: tuple[Standing, ...]
    page: int
    hours: float
    spare_mm: float
    on: datetime.date
    invented: bool


def team_now() -> tuple[dict[str, Card], datetime.date, bool]:
    """The cards to show, the day, and whether they are those of the invented team."""
    cards = SKATER.book.cards() if SKATER.codes else {}
    if cards:
        return cards, datetime.date.today(), False
    return dict(invented_cards()), max(entry.on for entry in invented_entries()), True


def team_answer(state: SimpleNamespace) -> Team:
    """Who is due, in words."""
    cards, on, invented = team_now()
    rows = [standing(card, on, state.hours, state.spare_mm) for card in cards.values()]
    rows.sort(key=_ORDERS[state.order])
    due = [row for row in rows if row.due]
    parts = []
    for key in DUE:
        if whose := [row.skater for row in rows if key in row.due]:
            more = f" and {len(whose) - 6} more" if len(whose) > 6 else ""
            parts.append(f"{DUE_WORDS[key]}: {', '.join(whose[:6])}{more}")
    team = "the invented team, " if invented else ""
    finding = f"{len(due)} of {len(rows)} are due ({team}{say_day(on)})"
    sentence = f"{'. '.join(part[:1].upper() + part[1:] for part in parts)}." if parts else "Nobody is due."
    unknown = [row.skater for row in rows if row.above_least_mm is None]
    if unknown:
        sentence += f"\nSteel not known, measure height and minimum: {', '.join(unknown[:6])}"
        sentence += f" and {len(unknown) - 6} more." if len(unknown) > 6 else "."
    sentence += (
        "\nHours are an estimate: the days since the last sharpening times the hours a week on the card."
    )
    last = (len(rows) - 1) // ROWS
    page = min(int(state.page) - 1, last)
    if last:
        sentence += f" Page {page + 1} of {last + 1}."
    return Team(
        finding=finding, sentence=sentence, rows=tuple(rows), page=page, hours=state.hours,
        spare_mm=state.spare_mm, on=on, invented=invented,
    )  # fmt: skip


class TeamView(View[Team]):
    """A row for each skater: hours since sharpening, steel above the minimum, and what is due."""

    height_px = 520

    def draw(self) -> None:
        hours = self.figure.add_axes((0.075, 0.105, 0.30, 0.77))
        steel = self.figure.add_axes((0.405, 0.105, 0.22, 0.77))
        for axes, words in ((hours, "hours since sharpening"), (steel, "steel above minimum, mm")):
            axes.set(ylim=(ROWS - 0.4, -0.6), yticks=[], xlabel=words)
        across: Look = {"va": "center", "bbox": None, "clip_on": False}
        self.codes = [
            self.new_text(hours, "", -0.03, i, ha="right", transform=hours.get_yaxis_transform(), **across)
            for i in range(ROWS)
        ]
        self.dues = [
            self.new_text(steel, "", 1.05, i, transform=steel.get_yaxis_transform(), **across)
            for i in range(ROWS)
        ]
        self.bars: dict[str, list[Rectangle]] = {}
        for key, axes in (("hours", hours), ("steel", steel)):
            self.bars[key] = [Rectangle((0, i - 0.34), 0, 0.68, edgecolor="none") for i in range(ROWS)]
            for patch in self.bars[key]:
                self.moving(axes.add_patch(patch))
        self.limit = {
            key: self.new_line(axes, color=INK, linewidth=1.2, linestyle=(0, (5, 2)))
            for key, axes in (("hours", hours), ("steel", steel))
        }
        self.reach = {
            "hours": Rising(hours, _HOURS, across=True),
            "steel": Rising(steel, _STEEL_MM, across=True),
        }

    def update(self, team: Team) -> None:
        """Show one page of the team."""
        rows = team.rows[team.page * ROWS :][:ROWS]
        values = {
            "hours": [row.hours for row in rows],
            "steel": [row.above_least_mm for row in rows],
        }
        limits = {"hours": team.hours, "steel": team.spare_mm}
        for key, numbers in values.items():
            known = [value for value in numbers if value is not None]
            self.reach[key].reach(max([*known, limits[key]]))
            self.limit[key].set_data([limits[key]] * 2, [-0.6, ROWS - 0.4])
            for i, bar in enumerate(self.bars[key]):
                value = numbers[i] if i < len(rows) else None
                bar.set_visible(value is not None)
                if value is not None:
                    late = value >= limits[key] if key == "hours" else value < limits[key]
                    bar.set(width=max(value, 0.0), facecolor=TRIAL if late else PRESENT)
        for i in range(ROWS):
            row = rows[i] if i < len(rows) else None
            self.codes[i].set_text(row.skater if row else "")
            words = [DUE_WORDS[key] for key in row.due] if row else []
            self.dues[i].set_text(", ".join(words[:2]) + (" …" if len(words) > 2 else ""))
            self.dues[i].set_color(INK if words else QUIET)


_chart = panel(
    "team",
    TeamView,
    team_answer,
    Choice(
        "order", "order", "view", options=tuple((word, word) for word in _ORDERS), default="most urgent first"
    ),
    Slider("page", "page", "view", low=1, high=28, default=1),
    Slider("hours", "sharpen after hours on ice", "skater", low=2, high=30, default=6),
    Slider("spare_mm", "new steel below", "skater", low=0, high=3, default=1, quantity="fine length"),
    tabs=False,
)

_COLUMNS = (
    "skater",
    "team",
    "sharpened",
    "hours since",
    "re-profiled",
    "tried",
    "steel left, mm",
    "until",
    "due",
)
_OWN_HOLLOW = "each its own"


def _table_row(row: Standing) -> TableRow:
    def day(on: datetime.date | None) -> tuple[str, str | None]:
        return (on.isoformat(), on.isoformat()) if on else ("", None)

    def number(value: float | None, decimals: int) -> tuple[str, float | None]:
        return ("" if value is None else f"{value:.{decimals}f}", value)

    urgency = min((DUE.index(key) for key in row.due), default=None)
    due = ", ".join(DUE_WORDS[key] for key in row.due)
    days = [day(on) for on in (row.sharpened_on, row.ground_on, row.tried_on, row.ends_on)]
    hours, left = number(row.hours, 0), number(row.above_least_mm, 1)
    who = ((row.skater, row.skater), (row.team, row.team or None))
    return TableRow(row.skater, (*who, days[0], hours, days[1], days[2], left, days[3], (due, urgency)))


def _count(skaters: int) -> str:
    return f"{skaters} skater{'s' * (skaters != 1)}"


class TeamPanel(PanelBox):
    """The team as a picture and as a table, and what is done for many at once."""

    def __init__(self) -> None:
        self.table = TickTable("everyone; click a heading to sort", _COLUMNS)
        small = widgets.Layout(width="auto")
        self.hollow = widgets.Dropdown(description="hollow", options=self._hollows(), layout=small)
        self.by = widgets.Text(description="by", placeholder="initials or a code", layout=small)
        self.message = Message()
        chart = _chart()
        rows = []
        for actions in (
            (("tick all who are due for sharpening", self.tick_due), ("sharpened today", self.sharpened)),
            (("save as a table (CSV)", self.save),),
        ):
            buttons = []
            for text, act in actions:
                button = widgets.Button(description=text, layout=small)
                button.on_click(lambda _, act=act: act())
                buttons.append(button)
            rows.append(buttons)
        self.upload = widgets.FileUpload(accept=".csv", description="roster from a CSV file", layout=small)
        self.upload.observe(self._arrived, names="value")
        rows[1].append(self.upload)
        many = beside(self.hollow, self.by, *rows[0])
        files = beside(*rows[1])
        keeping = widgets.Accordion([BookKeeping()], titles=("the whole book: export, bring in, forget",))
        super().__init__(chart, below=[many, self.message, self.table, files, keeping])
        chart.then = self._follow
        SKATER.listen(self._card_changed)
        UNITS.listen(self._units_changed)
        self._follow()

    @staticmethod
    def _hollows() -> list[tuple[str, float | None]]:
        return [(_OWN_HOLLOW, None), *((UNITS.say("hollow", mm), mm) for mm in USUAL_HOLLOWS_MM)]

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
        picked = self.table.picked
        if self._team.invented:
            self._say("this is the invented team: put your own skaters into the book first", True)
            return
        if not picked:
            self._say("nobody is ticked", True)
            return
        try:
            cards = SKATER.book.cards()
            ticked = [cards[code] for code in picked]
            today, by = datetime.date.today(), self.by.value.strip()
            written = SKATER.add(*sharpened_today(ticked, today, self.hollow.value, by))
        except InputError as problem:
            self._say(f"not written: {problem}", True)
            return
        bare = [code for code in picked if code not in {entry.skater for entry in written}]
        sets = f"{len(written)} set{'s' * (len(written) != 1)}"
        said = f"written: {sets} of {_count(len(picked) - len(bare))} sharpened today"
        self._say(f"{said}; no steel in the book: {', '.join(bare)}" if bare else said)
        self.table.pick([])

    def save(self) -> None:
        """Save the team as a table."""
        table = team_csv(self._team.rows)
        self.panel.save_other("team", "csv", lambda file: file.write(table))

    def roster(self, name: str, contents: bytes) -> None:
        """Put a roster into the book."""
        try:
            with tempfile.TemporaryDirectory() as folder:
                path = f"{folder}/roster.csv"
                with open(path, "wb") as file:
                    file.write(contents)
                found = read_roster(path, SKATER.book.cards(), datetime.date.today())
            written = SKATER.add(*found.entries)
        except InputError as problem:
            self._say(f"nothing was taken from {name}: {problem}", True)
            return
        codes = {entry.skater for entry in written}
        said = f"taken from {name}: {_count(len(codes))} with news, {_count(found.known)} with none"
        refused = "; ".join(found.refused[:5])
        more = f"; and {len(found.refused) - 5} more" if len(found.refused) > 5 else ""
        self._say(f"{said}. Left out: {refused}{more}" if refused else said, bool(refused))

    def _arrived(self, change: Mapping[str, Any]) -> None:
        for file in change["new"]:
            self.roster(str(file["name"]), bytes(file["content"]))
        if change["new"]:
            self.upload.value = ()

    def _say(self, sentence: str, fault: bool = False) -> None:
        self.message.say(f"{sentence[:1].upper()}{sentence[1:]}.", fault)

    def _card_changed(self) -> None:
        self.panel.refresh()

    def _units_changed(self) -> None:
        chosen = self.hollow.index
        self.hollow.options = self._hollows()
        self.hollow.index = chosen

    def _follow(self) -> None:
        if isinstance(self.panel.result, Team):
            self.table.show([_table_row(row) for row in self._team.rows])


def team_panel() -> TeamPanel:
    """Everyone on the team, and who is due."""
    return TeamPanel()
