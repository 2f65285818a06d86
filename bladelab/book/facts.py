"""What a card knows that bears on a complaint."""

from __future__ import annotations

import datetime
from dataclasses import replace

from bladelab.advice.next_check import Facts
from bladelab.book.card import Card, SteelSet
from bladelab.book.steel_happenings import LEFT_AND_RIGHT


def facts_of(card: Card, side: str, today: datetime.date) -> Facts:
    """Return what a card knows of the steel on one side, for `next_check`.

    Parameters
    ----------
    card : Card
    side : str
        ``"left"``, ``"right"``, or ``""`` for both: then the side that was sharpened longer ago counts, and
        the one that was profiled or fitted last.
    today : date

    Returns
    -------
    Facts
        Hours on the ice are those of so many weeks at the card's hours per week; None where the card has
        none. New steel is a set that was fitted after another one: nobody knows how old the first one is.
        Where it was never sharpened since, that counts once it is overdue; whether it came sharp, nobody
        said.
    """
    sides = (side,) if side else LEFT_AND_RIGHT
    steel = [(each, on) for each in sides if (on := card.on(each)) is not None]
    new = [on.fitted_on for _, on in steel if on.fitted_on is not None and _replaced_another(card, on)]
    sharp = [on.side(each).sharpened_on for each, on in steel]
    since = [
        day or (on.fitted_on if _replaced_another(card, on) else None)
        for day, (_, on) in zip(sharp, steel, strict=True)
    ]
    sharpened = min((day for day in since if day), default=None)
    ground = max((day for each, on in steel if (day := on.side(each).ground_on)), default=None)
    days = _days(sharpened, today)
    hollows = [edge and edge.hollow_mm for edge in (card.edge("left"), card.edge("right"))]
    facts = Facts(
        days_since_sharpened=days,
        hours_since_sharpened=(
            None if days is None or card.hours_per_week is None else days / 7 * card.hours_per_week
        ),
        days_since_ground=_days(ground, today),
        days_since_new_steel=_days(max(new, default=None), today),
        hollows_mm=(hollows[0], hollows[1]) if hollows[0] and hollows[1] else None,
    )
    if all(sharp) or facts.overdue:
        return facts
    return replace(facts, days_since_sharpened=None, hours_since_sharpened=None)


def _replaced_another(card: Card, steel: SteelSet) -> bool:
    earlier = [one.fitted_on for one in card.steel.values() if one.fitted_on is not None]
    return steel.fitted_on is not None and steel.fitted_on > min(earlier)


def _days(day: datetime.date | None, today: datetime.date) -> float | None:
    """Days since then; a day in the future, where a clock was wrong, is today."""
    return None if day is None else float(max(0, (today - day).days))
