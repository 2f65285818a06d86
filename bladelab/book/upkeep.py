"""When the steel on a card is due, by the season's plan and by the skater's own habit."""

from __future__ import annotations

import datetime
from dataclasses import dataclass
from itertools import pairwise
from statistics import median

from bladelab.book.card import Card
from bladelab.book.plan_happenings import SeasonPlanned

#: A habit is told from no fewer gaps between sharpenings.
_LEAST_GAPS = 3
#: Ours, no source: so long before the steel is used up new steel is due, and so early a re-profile still
#: counts as the one that was planned, days.
NOTICE_DAYS = 28
EARLY_DAYS = 14


@dataclass(frozen=True)
class HoursAllowed:
    """Hours on the ice after which a sharpening is due, h, and whose number that is.

    Attributes
    ----------
    hours : float
    by : str
        ``"plan"``, ``"habit"`` or, where the card knows neither, ``"asked"``: the number that was asked with.
    """

    hours: float
    by: str


def season_on(card: Card, on: datetime.date) -> SeasonPlanned | None:
    """Return the season's plan that holds on a day; None where there is none."""
    season = card.season
    return season if season is not None and season.start <= on <= season.end else None


def usual_hours(card: Card) -> float | None:
    """Return a skater's own usual hours on the ice between two sharpenings.

    Definition
    ----------
    The median of the days between the last sharpenings of each set that is on, times the hours a week on the
    card; None with fewer than 3 gaps, or where nobody said the hours.

    Examples
    --------
    >>> import datetime
    >>> from bladelab.book.entry import Entry
    >>> from bladelab.book.fold import card_of
    >>> from bladelab.book.happenings import Circumstances, Fitted, Sharpened
    >>> first = datetime.date(2026, 9, 1)
    >>> what = [Circumstances(hours_per_week=7.0), Fitted("S1"), *[Sharpened("S1")] * 4]
    >>> days = [first, first, *(first + datetime.timedelta(days=9 * n) for n in range(4))]
    >>> pairs = zip(days, what, strict=True)
    >>> usual_hours(card_of("K07", [Entry("K07", day, one, number=n) for n, (day, one) in enumerate(pairs)]))
    9.0
    """
    if card.hours_per_week is None:
        return None
    gaps = [
        (later - earlier).days for steel in card.sets_on for earlier, later in pairwise(steel.sharpened_days)
    ]
    return median(gaps) / 7 * card.hours_per_week if len(gaps) >= _LEAST_GAPS else None


def hours_allowed(card: Card, on: datetime.date, asked_h: float) -> HoursAllowed:
    """Return the hours between sharpenings: as the season's plan has them, else the skater's usual ones, else
    those asked with."""
    if (season := season_on(card, on)) is not None:
        return HoursAllowed(season.hours_per_sharpening, "plan")
    own = usual_hours(card)
    return HoursAllowed(asked_h, "asked") if own is None else HoursAllowed(own, "habit")


def reprofile_on(card: Card, on: datetime.date) -> datetime.date | None:
    """Return the day of the planned re-profile that comes next or is overdue; None if none does.

    One counts as done once every edge that is on was ground on the day planned, up to `EARLY_DAYS` before it,
    or later.
    """
    season = season_on(card, on)
    if season is None or not card.edges_on:
        return None
    ground = min(edge.ground_on or datetime.date.min for edge in card.edges_on)
    early = datetime.timedelta(days=EARLY_DAYS)
    past = [day for day in season.reprofile_on if day <= on]
    if past and ground < past[-1] - early:
        return past[-1]
    return next((day for day in season.reprofile_on if day > on and ground < day - early), None)


def steel_plan_on(card: Card, on: datetime.date) -> SeasonPlanned | None:
    """Return the season's plan that holds on a day if it says until when the steel lasts."""
    season = season_on(card, on)
    return None if season is None or season.steel_until is None else season


def steel_is_due(season: SeasonPlanned, on: datetime.date, above_least_mm: float) -> bool:
    """Whether new steel is due by a plan: nothing is left, or it ends within `NOTICE_DAYS` and before the
    plan does."""
    if season.steel_until is None or season.steel_until >= season.end:
        return above_least_mm <= 0
    return above_least_mm <= 0 or on >= season.steel_until - datetime.timedelta(days=NOTICE_DAYS)
