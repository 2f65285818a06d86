"""Who is due? Everyone on the team, their steel and the time since they were sharpened."""

from __future__ import annotations

import datetime
import textwrap
from collections.abc import Sequence
from dataclasses import dataclass
from types import SimpleNamespace

import numpy as np
from matplotlib.patches import Rectangle

from bladelab.book.card import Card
from bladelab.book.invented import invented_cards, invented_entries
from bladelab.book.team import DUE, Standing, standing
from bladelab.show.canvas.limits import Rising
from bladelab.show.canvas.narrow import NARROW_PX, make_readable
from bladelab.show.canvas.result import Result
from bladelab.show.canvas.style import INK, PRESENT, QUIET, TRIAL, Look
from bladelab.show.canvas.view import View
from bladelab.show.controls.control import Choice, Slider, choice_of
from bladelab.show.panel.declare import panel
from bladelab.show.panel.skater import SKATER
from bladelab.show.wording.say import say_day

ROWS = 18
#: What is due, in the words of the page.
DUE_WORDS = {
    "steel": "steel nearly used up",
    "order": "ordered, not ground yet",
    "check": "ground, not measured yet",
    "reprofile": "re-profile, as planned",
    "sharpening": "sharpening",
    "visit": "due back",
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
_BY = (("the card, else these numbers", True), ("these numbers for all", False))
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
    rows = [standing(card, on, state.hours, state.spare_mm, state.by_card) for card in cards.values()]
    rows.sort(key=_ORDERS[state.order])
    due = [row for row in rows if row.due]
    parts = []
    for key in DUE:
        if whose := [row.skater for row in rows if key in row.due]:
            more = f" and {len(whose) - 6} more" if len(whose) > 6 else ""
            parts.append(f"{DUE_WORDS[key]}: {', '.join(whose[:6])}{more}")
    team = "the invented team, " if invented else ""
    finding = f"{len(due)} of {len(rows)} {'is' if len(due) == 1 else 'are'} due ({team}{say_day(on)})"
    sentence = f"{'. '.join(part[:1].upper() + part[1:] for part in parts)}." if parts else "Nobody is due."
    unknown = [row.skater for row in rows if row.above_least_mm is None]
    if unknown:
        sentence += f"\nSteel not known, measure height and minimum: {', '.join(unknown[:6])}"
        sentence += f" and {len(unknown) - 6} more." if len(unknown) > 6 else "."
    sentence += (
        "\nHours are an estimate: the days since the last sharpening times the hours a week on the card."
    )
    sentence += _own_limits(rows)
    last = (len(rows) - 1) // ROWS
    page = min(int(state.page) - 1, last)
    if last:
        sentence += f" Page {page + 1} of {last + 1}."
    return Team(
        finding=finding, sentence=sentence, rows=tuple(rows), page=page, hours=state.hours,
        spare_mm=state.spare_mm, on=on, invented=invented,
    )  # fmt: skip


def _own_limits(rows: Sequence[Standing]) -> str:
    """Whose sharpening goes by what the card says, and whose by the slider."""
    by = [row.allowed.by for row in rows]
    words = {
        "plan": "by the season's plan on the card",
        "habit": "by the skater's own usual hours",
        "asked": "by the slider, which begins at a number of our own",
    }
    parts = [f"for {by.count(key)} {said}" for key, said in words.items() if key in by]
    return f" When to sharpen: {', '.join(parts)}." if parts else ""


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
        self.both = hours, steel
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

    def stack_up(self) -> None:
        """A row stays a row: both bars beside each other."""
        self.width_px, self.height_px = NARROW_PX, 520
        for axes, left, wide in zip(self.both, (44, 155), (90, 60), strict=True):
            axes.set_position((left / NARROW_PX, 0.115, wide / NARROW_PX, 0.755))
            axes.set_xlabel("\n".join(textwrap.wrap(axes.get_xlabel(), 12)))
        make_readable(self.figure, self.headline, self.height_px)

    def update(self, team: Team) -> None:
        """Show one page of the team."""
        rows = team.rows[team.page * ROWS :][:ROWS]
        values = {
            "hours": [row.hours for row in rows],
            "steel": [row.above_least_mm for row in rows],
        }
        limits = {
            "hours": [row.allowed.hours for row in rows],
            "steel": [np.nan if row.spare_mm is None else row.spare_mm for row in rows],
        }
        for key, numbers in values.items():
            known = [value for value in numbers if value is not None]
            self.reach[key].reach(float(np.nanmax([*known, *limits[key], 0.0])))
            # A line across each row; none where the season's plan says when.
            ends = [(limit, y) for i, limit in enumerate(limits[key]) for y in (i - 0.5, i + 0.5, np.nan)]
            self.limit[key].set_data([x for x, _ in ends], [y for _, y in ends])
            for i, bar in enumerate(self.bars[key]):
                value = numbers[i] if i < len(rows) else None
                bar.set_visible(value is not None)
                if value is not None:
                    late = ("sharpening" if key == "hours" else "steel") in rows[i].due
                    bar.set(width=max(value, 0.0), facecolor=TRIAL if late else PRESENT)
        for i in range(ROWS):
            row = rows[i] if i < len(rows) else None
            self.codes[i].set_text(row.skater if row else "")
            words = [DUE_WORDS[key] for key in row.due] if row else []
            most, letters = (1, 19) if self.narrow else (2, 99)
            said = ", ".join(words[:most]) + (" …" if len(words) > most else "")
            self.dues[i].set_text(textwrap.shorten(said, letters, placeholder=" …"))
            self.dues[i].set_color(INK if words else QUIET)


team_chart = panel(
    "team",
    TeamView,
    team_answer,
    choice_of("order", "order", "view", _ORDERS, "most urgent first"),
    Slider("page", "page", "view", low=1, high=28, default=1),
    Choice("by_card", "what is due goes by", "skater", _BY, default=True),
    Slider("hours", "sharpen after hours on ice", "skater", low=2, high=30, default=6),
    Slider("spare_mm", "new steel below", "skater", low=0, high=3, default=1, quantity="fine length"),
    tabs=False,
)
