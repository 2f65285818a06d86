"""Where are we with this skater? One card: what is on it, what happened, and what is next."""

from __future__ import annotations

import datetime
from dataclasses import dataclass
from types import SimpleNamespace

from bladelab._errors import InputError
from bladelab.book.card import Card
from bladelab.book.entry import Entry
from bladelab.book.happenings import Complained, Decided, Tried
from bladelab.book.history import history, steel_left
from bladelab.book.invented import invented_cards, invented_entries
from bladelab.book.plan_happenings import SeasonPlanned
from bladelab.book.rink_happenings import GlideMeasured, IceTested, Preferred, Timed
from bladelab.book.steel_happenings import (
    Fitted,
    Ground,
    HollowMeasured,
    Measured,
    Ordered,
    Sharpened,
)
from bladelab.book.team import Standing, standing
from bladelab.show.canvas.limits import Rising
from bladelab.show.canvas.result import Result
from bladelab.show.canvas.style import INK, PRESENT, QUIET, TRIAL
from bladelab.show.canvas.view import View
from bladelab.show.controls.control import Choice
from bladelab.show.panel.declare import panel
from bladelab.show.panel.skater import SKATER
from bladelab.show.wording.say import say_day
from bladelab.show.wording.say_card import as_sentences, say_card
from bladelab.show.wording.say_rink import newest_on_ice
from bladelab.show.wording.words import counted

#: What is next, by what is due, in the order of `bladelab.book.team.DUE`.
NEXT = {
    "steel": "plan new steel, this is nearly used up",
    "order": "have it ground as ordered, and check it then (notebook 18)",
    "check": "measure it after the grinding and hold it against the order (notebooks 11 and 18)",
    "reprofile": "re-profile, as the season's plan says (notebook 13)",
    "sharpening": "sharpen",
    "visit": "see the skater, the date to come back has come",
    "sides": "left and right differ: look at both (notebook 12)",
    "trial": "skate the trial and rate it (notebook 10)",
    "complaint": "look into the complaint (notebook 17)",
}
#: The rows of the picture: a word, and the kinds of entries in it.
KINDS_SHOWN: tuple[tuple[str, tuple[type, ...]], ...] = (
    ("put on", (Fitted,)),
    ("sharpened", (Sharpened,)),
    ("profiled", (Ground,)),
    ("measured", (Measured, HollowMeasured)),
    ("ordered, planned", (Ordered, Decided, SeasonPlanned)),
    ("tried", (Tried,)),
    ("complaint", (Complained,)),
    ("tested on the ice", (IceTested, GlideMeasured, Timed, Preferred)),
)
_BEGIN = (
    "To begin, write below which steel is on, its height and the maker's minimum, and what the skater "
    "weighs; then measure both edges (notebooks 11 and 12)."
)
#: The codes of the invented team, whose book is read only when one of them is shown.
INVENTED = tuple(f"N{number:02d}" for number in range(1, 19))
#: A pace is told as a month only as far ahead as this.
TOLD_DAYS = 730
_DASHES: tuple[object, ...] = ("-", (0, (5, 2)), (0, (1, 1.5)), (0, (6, 2, 1, 2)))
_COLOURS = (PRESENT, TRIAL, INK, QUIET)
_STEEL_MM = (1.0, 2.0, 4.0, 6.0, 8.0, 12.0, 25.0, 50.0, 100.0)


@dataclass(frozen=True, kw_only=True)
class OneSkater(Result):
    """A card with its entries on a day."""

    card: Card
    entries: tuple[Entry, ...]
    on: datetime.date
    row: Standing


def skater_answer(state: SimpleNamespace) -> OneSkater:
    """The card in words, and what is next."""
    card, entries, on, invented = _whose(state.whose)
    row = standing(card, on)
    due = [NEXT[key] for key in row.due]
    whose = f"{card.skater} (invented)" if invented else card.skater
    things = f"{counted(len(due), 'thing')} to do"
    lines = [
        say_card(card) if invented else "",
        as_sentences(_steel_words(card)),
        as_sentences(_since(row, on)),
        newest_on_ice(card),
    ]
    if due:
        said, following = things, f"Next: {'; '.join(due)}."
    elif card.steel:
        said, following = "nothing is due", "Nothing is due."
    else:
        said, following = "no steel on the card yet", _BEGIN
    return OneSkater(
        finding=f"{whose}, {say_day(on)}: {said}",
        sentence="\n".join(line for line in (*lines, following) if line),
        card=card,
        entries=entries,
        on=on,
        row=row,
    )


def _whose(code: str) -> tuple[Card, tuple[Entry, ...], datetime.date, bool]:
    """The card that is open, or one of the invented team on the last day of its season."""
    if code:
        season = invented_entries()
        own = tuple(entry for entry in season if entry.skater == code)
        return invented_cards()[code], own, max(entry.on for entry in season), True
    if (card := SKATER.card) is None:
        raise InputError("no card is open: choose a skater")
    return card, SKATER.book.entries(card.skater), datetime.date.today(), False


def _steel_words(card: Card) -> list[str]:
    """What is known of each set that is not retired, and what somebody should measure."""
    said = []
    for code, steel in card.steel.items():
        if steel.retired_on:
            continue
        sides = card.sides_of(code)
        where = {0: "not on", 1: f"on the {sides[0] if sides else ''}", 2: "on both sides"}[len(sides)]
        missing = [
            name
            for name, value in (("height", steel.height_mm), ("maker's minimum", steel.least_mm))
            if value is None
        ]
        if missing:
            rest = f"steel left not known, nobody said the {' and the '.join(missing)}"
        elif steel.unknown_cuts:
            rest = "steel left not known, some came off unmeasured since: measure the height"
        else:
            rest = f"{steel.left_above_least_mm:.1f} mm of steel above the maker's minimum"
        said.append(f"set {code}, {where}: {rest}")
    return said


def _since(row: Standing, on: datetime.date) -> list[str]:
    said = []
    if row.hours is not None:
        said.append(f"about {row.hours:.0f} h on the ice since the last sharpening, an estimate")
    if row.ends_on is not None:
        near = (row.ends_on - on).days < TOLD_DAYS
        until = f"until about {row.ends_on:%B %Y}" if near else "for more than two years"
        said.append(f"at this pace the steel lasts {until}")
    if row.allowed.by != "asked" and row.hours is not None:
        whose = "by the season's plan" if row.allowed.by == "plan" else "as usual for this skater"
        said.append(f"a sharpening is due after {row.allowed.hours:.0f} h, {whose}")
    if row.reprofile_on is not None:
        said.append(f"re-profile planned for {say_day(row.reprofile_on)}")
    if row.next_on is not None:
        said.append(f"to come back on {say_day(row.next_on)}")
    return said


class HistoryView(View[OneSkater]):
    """Steel above the minimum over the days, and below it what happened when."""

    height_px = 430

    def draw(self) -> None:
        steel, rows = (
            self.figure.add_axes((0.15, 0.52, 0.83, 0.36)),
            self.figure.add_axes((0.15, 0.09, 0.83, 0.37)),
        )
        self.axes = steel, rows
        steel.set_ylabel("steel above\nthe minimum, mm")
        steel.axhline(0, color=INK, linewidth=1.6)
        rows.set(ylim=(len(KINDS_SHOWN) - 0.5, -0.5))
        rows.set_yticks(range(len(KINDS_SHOWN)), [name for name, _ in KINDS_SHOWN])
        steel.tick_params(labelbottom=False)
        looks = zip(_COLOURS, _DASHES, strict=True)
        self.lines = [
            self.new_line(steel, color=c, linestyle=d, linewidth=2.0, drawstyle="steps-post")
            for c, d in looks
        ]
        self.tags = [self.new_text(steel, "", color=colour, va="bottom", ha="right") for colour in _COLOURS]
        self.dots = [
            self.new_line(rows, color=PRESENT, marker="o", markersize=6, linestyle="") for _ in KINDS_SHOWN
        ]
        self.unknown = self.new_text(steel, "", 0.5, 0.5, transform=steel.transAxes, ha="center", color=QUIET)
        self.tall = Rising(steel, _STEEL_MM, below=0.06)
        self.days = (0, 0)

    def update(self, result: OneSkater) -> None:
        """Show one card."""
        lines = history(result.entries)
        days = [line.entry.on.toordinal() for line in lines] or [result.on.toordinal()]
        self._reach(min(days), max(*days, result.on.toordinal()))
        left = steel_left(result.entries)
        known = {code: found for code, found in left.items() if any(mm is not None for _, mm in found)}
        recent = sorted(known, key=lambda code: known[code][-1][0])[-len(self.lines) :]
        tops = [mm for code in recent for _, mm in known[code] if mm is not None]
        self.tall.reach(max(tops, default=1.0))
        self.unknown.set_text("" if recent else "no height and minimum on the card")
        for i, (line, tag) in enumerate(zip(self.lines, self.tags, strict=True)):
            found = known[recent[i]] if i < len(recent) else ()
            if found and result.card.steel[recent[i]].retired_on is None:
                found = (*found, (result.on, found[-1][1]))
            known_mm = [(on.toordinal(), float("nan") if mm is None else mm) for on, mm in found]
            line.set_data([on for on, _ in known_mm], [mm for _, mm in known_mm])
            tag.set_text(f"set {recent[i]}" if found else "")
            tag.set_position(next((one for one in reversed(known_mm) if one[1] == one[1]), (0.0, 0.0)))
        for place, (dots, (_, kinds)) in enumerate(zip(self.dots, KINDS_SHOWN, strict=True)):
            own = [
                line.entry.on.toordinal()
                for line in lines
                if line.struck_by is None and isinstance(line.entry.what, kinds)
            ]
            dots.set_data(own, [place] * len(own))

    def _reach(self, first: int, last: int) -> None:
        """From the first day to the last, with a tick at the beginning of a month."""
        if (first, last) == self.days:
            return
        self.days = first, last
        spare = max(3.0, 0.03 * (last - first))
        months = _months(datetime.date.fromordinal(first), datetime.date.fromordinal(last))
        every = max(1, -(-len(months) // (4 if self.narrow else 9)))
        shown = months[::every]
        for axes in self.axes:
            axes.set_xlim(first - spare, last + spare)
            axes.set_xticks([day.toordinal() for day in shown], [f"{day:%b %Y}" for day in shown])
        self.still_changed()


def _months(first: datetime.date, last: datetime.date) -> list[datetime.date]:
    """The first days of the months, from that of the first day on; at least one."""
    count = 12 * (last.year - first.year) + last.month - first.month
    found = []
    for i in range(count + 1):
        years, month = divmod(first.month - 1 + i, 12)
        found.append(datetime.date(first.year + years, month + 1, 1))
    return [day for day in found if day >= first] or [first]


def card_offered(card: Card | None) -> tuple[tuple[str, str], ...]:
    """The card that is open, for the menu of skaters."""
    return () if card is None else ((card.skater, ""),)


timeline = panel(
    "skater",
    HistoryView,
    skater_answer,
    Choice(
        "whose",
        "card",
        "skater",
        options=tuple((f"{code} (invented)", code) for code in INVENTED),
        default=INVENTED[0],
    ),
    offers={"whose": card_offered},
    reloads=lambda state: not state.whose,
)
