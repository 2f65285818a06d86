"""A team at a glance: for each skater what is known of the steel today, and what is due."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType

from bladelab._cells import csv_table
from bladelab._checks import checked_day, number
from bladelab._errors import InputError
from bladelab.book.card import Card, SteelSet
from bladelab.book.entry import Entry
from bladelab.book.steel_happenings import LEFT_AND_RIGHT, Ordered, Sharpened
from bladelab.book.upkeep import HoursAllowed, hours_allowed, reprofile_on, steel_is_due, steel_plan_on
from bladelab.workshop.compare import left_against_right
from bladelab.workshop.gauge import GaugeReadings
from bladelab.workshop.trace import Trace

#: What may be due, most urgent first.
DUE = ("steel", "order", "check", "reprofile", "sharpening", "visit", "sides", "trial", "complaint")
#: A pace of wear is told from no fewer days than these.
_LEAST_DAYS = 28


@dataclass(frozen=True)
class Standing:
    """One skater today; None for what nobody said or measured.

    Attributes
    ----------
    skater, team : str
    sharpened_on, ground_on, tried_on : date or None
        The last time: of both sides the earlier, as the one that is due first.
    hours : float or None
        On the ice since that sharpening, h: an estimate from the hours a week on the card.
    above_least_mm : float or None
        Steel above the maker's minimum, mm: of the fitted sets the least.
    ends_on : date or None
        When that is used up at the pace since the steel was measured.
    sides_differ : bool or None
        Whether left and right, as last measured, differ by more than an order usually allows.
    due : tuple of str
        Keys of `DUE`, most urgent first.
    allowed : HoursAllowed
        The hours after which a sharpening is due.
    spare_mm : float or None
        Steel above the minimum below which new steel is due, mm; None where the season's plan says when.
    reprofile_on, next_on : date or None
        The re-profile that is planned next or overdue; when the skater is to come back.
    """

    skater: str
    team: str
    sharpened_on: datetime.date | None
    ground_on: datetime.date | None
    tried_on: datetime.date | None
    hours: float | None
    above_least_mm: float | None
    ends_on: datetime.date | None
    sides_differ: bool | None
    due: tuple[str, ...]
    allowed: HoursAllowed
    spare_mm: float | None
    reprofile_on: datetime.date | None
    next_on: datetime.date | None


def standing(
    card: Card,
    on: datetime.date,
    hours_per_sharpening: float = 6.0,
    spare_mm: float = 1.0,
    by_card: bool = True,
) -> Standing:
    """Say how a skater's steel is on a day, and what is due.

    Parameters
    ----------
    card : Card
    on : datetime.date
    hours_per_sharpening : float
        Hours on the ice after which a sharpening is due, h, 0.5 to 1000, where neither a plan of the season
        nor the skater's own habit says (`hours_allowed`).
    spare_mm : float
        Steel above the minimum below which new steel is due, mm, 0 to 20, where no plan of the season says
        until when the steel lasts (`steel_is_due`).
    by_card : bool
        Whether plan and habit come before these two numbers.

    Returns
    -------
    Standing

    Examples
    --------
    >>> import datetime
    >>> from bladelab.book.invented import invented_cards
    >>> standing(invented_cards()["N12"], datetime.date(2026, 3, 29)).due[0]
    'steel'
    """
    checked_day("on", on)
    number("hours_per_sharpening", hours_per_sharpening, "h", 0.5, 1000.0)
    number("spare_mm", spare_mm, "mm", 0.0, 20.0)
    edges = card.edges_on
    sharpened = min((e.sharpened_on for e in edges if e.sharpened_on), default=None)
    ground = min((e.ground_on for e in edges if e.ground_on), default=None)
    tried = card.trials[-1].on if card.trials else None
    hours = None
    if sharpened is not None and card.hours_per_week is not None:
        hours = max((on - sharpened).days, 0) / 7 * card.hours_per_week
    known = [left for steel in card.sets_on if (left := steel.left_above_least_mm) is not None]
    differ, allowed = _differ(card), HoursAllowed(hours_per_sharpening, "asked")
    if by_card:
        allowed = hours_allowed(card, on, hours_per_sharpening)
    season = steel_plan_on(card, on) if by_card else None
    left, planned = min(known, default=None), reprofile_on(card, on)
    ordered = any(edge.order_waits for edge in edges)
    due = {
        "steel": left is not None and (left < spare_mm if season is None else steel_is_due(season, on, left)),
        "order": ordered,
        "reprofile": planned is not None and planned <= on and not ordered,
        "visit": card.next_on is not None and card.next_on <= on,
        "check": any(edge.order and edge.order_done and edge.measured is None for edge in edges),
        "sharpening": hours is not None and hours >= allowed.hours,
        "sides": differ is True,
        "trial": bool(card.trial and card.trial_on and (tried is None or tried < card.trial_on)),
        "complaint": bool(card.complaint_on and (sharpened is None or sharpened < card.complaint_on)),
    }
    return Standing(
        card.skater,
        card.team,
        sharpened,
        ground,
        tried,
        hours,
        left,
        min((end for steel in card.sets_on if (end := _ends_on(steel, on))), default=None),
        differ,
        tuple(key for key in DUE if due[key]),
        allowed,
        spare_mm if season is None else None,
        planned,
        card.next_on,
    )


def _ends_on(steel: SteelSet, on: datetime.date) -> datetime.date | None:
    """When the steel reaches the minimum at the pace so far; None where the pace is not known."""
    left = steel.left_above_least_mm
    if left is None or steel.height_on is None or steel.unknown_cuts or not steel.taken_mm:
        return None
    days = (on - steel.height_on).days
    if days < _LEAST_DAYS:
        return None
    rest = max(left, 0.0) * days / steel.taken_mm
    return on + datetime.timedelta(days=min(round(rest), 3650))


def _differ(card: Card) -> bool | None:
    """Whether left and right, as last measured, differ by more than an order usually allows; None unless both
    are of one set."""
    edges = [card.edge(side) for side in LEFT_AND_RIGHT]
    left, right = (edge and edge.measured for edge in edges)
    return None if left is None or right is None else _edges_differ(left, right)


@lru_cache(maxsize=1024)
def _edges_differ(left: Trace | GaugeReadings, right: Trace | GaugeReadings) -> bool | None:
    """Found out once: a team of 500 is gone through with every move of a slider. None for edges that share
    too little to be compared."""
    try:
        apart = left_against_right(left, right)
        return bool(apart.stretches_mm) and abs(apart.largest_mm) > Ordered.tolerance_mm
    except InputError:
        return None


def sharpened_today(
    cards: Iterable[Card], on: datetime.date, hollow_mm: float | None = None, by: str = ""
) -> tuple[Entry, ...]:
    """Return the entries for many sets sharpened on one day: those that are on, each once.

    Parameters
    ----------
    cards : iterable of Card
    on : datetime.date
    hollow_mm : float, optional
        The hollow that was ground, mm; left out, each keeps its own.
    by : str
        Who did it.

    Returns
    -------
    tuple of Entry
        To be written in one go. A skater with no steel in the book has none.
    """
    found = []
    for card in cards:
        for steel in card.sets_on:
            what = Sharpened(steel.code, hollow_mm, card.sides_of(steel.code))
            found.append(Entry(card.skater, on, what, by=by))
    return tuple(found)


TEAM_COLUMNS = (
    "skater", "team", "date", "sharpened", "hours_since", "reprofiled", "tried", "steel_above_minimum_mm",
    "steel_ends", "left_and_right", "due", "sharpen_after_hours", "reprofile_planned", "come_back",
    "left_blade", "right_blade", "trial_blade",
)  # fmt: skip


def team_csv(
    rows: Sequence[Standing], on: datetime.date, blades: Mapping[str, Sequence[str]] = MappingProxyType({})
) -> bytes:
    """Return the team as a table for a spreadsheet; what is unknown is left empty.

    Parameters
    ----------
    rows : sequence of Standing
    on : datetime.date
        The day of the table.
    blades : mapping of str to sequence of str
        By the skater's code, in words: the blade on the left, on the right, and the trial.
    """

    def cells(row: Standing) -> list[str]:
        day = [one.isoformat() if one else "" for one in (row.sharpened_on, row.ground_on, row.tried_on)]
        sides = {None: "", True: "differ", False: "alike within 0.03 mm"}[row.sides_differ]
        hours = "" if row.hours is None else f"{row.hours:.0f}"
        left = "" if row.above_least_mm is None else f"{row.above_least_mm:.2f}"
        ends = row.ends_on.isoformat() if row.ends_on else ""
        said = [row.skater, row.team, on.isoformat(), day[0], hours, day[1], day[2], left, ends, sides]
        planned = [day.isoformat() if day else "" for day in (row.reprofile_on, row.next_on)]
        said += ["; ".join(row.due), f"{row.allowed.hours:.1f}", *planned]
        return [*said, *blades.get(row.skater, ("", "", ""))]

    return csv_table(TEAM_COLUMNS, map(cells, rows))
