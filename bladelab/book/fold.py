"""How entries become a card: a pure fold over all that happened."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from types import MappingProxyType
from typing import Any

from bladelab.book.card import DAYS_KEPT, Card, SteelSet
from bladelab.book.entry import Entry
from bladelab.book.happenings import Circumstances, Complained, Decided, Joined, Struck, Tried
from bladelab.book.plan_happenings import NextDate, SeasonPlanned
from bladelab.book.rink_happenings import GlideMeasured, IceTested, Preferred, Timed
from bladelab.book.steel_happenings import (
    Fitted,
    Ground,
    HollowMeasured,
    HollowStated,
    Measured,
    Ordered,
    Retired,
    Sharpened,
    Stated,
    SteelMeasured,
)

#: What shows that the skater came.
_VISITS = (
    *(SteelMeasured, Measured, HollowMeasured, Fitted, Ground, Sharpened, Tried, Complained),
    *(GlideMeasured, Timed, Preferred),
)


def card_of(skater: str, entries: Iterable[Entry]) -> Card:
    """Fold one skater's entries into the card.

    Entries count by the day they happened, those of a day in the order of writing; struck ones don't count.

    Parameters
    ----------
    skater : str
    entries : iterable of Entry
        Of this skater or of all; in any order.

    Returns
    -------
    Card

    Examples
    --------
    >>> import datetime
    >>> from bladelab.book.happenings import Fitted, Sharpened
    >>> day = datetime.date(2026, 11, 3)
    >>> card = card_of("K07", [
    ...     Entry("K07", day, Fitted("S1"), number=1),
    ...     Entry("K07", day, Sharpened("S1", hollow_mm=12.7), number=2),
    ... ])
    >>> card.edge("left").hollow_mm
    12.7
    """
    own = [entry for entry in entries if entry.skater == skater]
    card = Card(skater, last=max((entry.number for entry in own), default=0))
    return card_after(card, counting(own))


def card_after(card: Card, entries: Iterable[Entry]) -> Card:
    """Fold more of a skater's entries into the card: none is a strike, none is before what the card knows."""
    for entry in entries:
        card = replace(_folded(card, entry), last=max(card.last, entry.number))
        if isinstance(entry.what, Fitted | Ground | Sharpened) and entry.steel in card.fitted.values():
            card = replace(card, worked_on=True)
        if card.next_on and entry.on >= card.next_on and isinstance(entry.what, _VISITS):
            card = replace(card, next_on=None)
    return card


def counting(entries: Iterable[Entry]) -> list[Entry]:
    """Return the entries that count, in the order in which they do: without strikes and what they struck."""
    known = list(entries)
    # A strike can itself be struck: the last word holds.
    struck: set[int] = set()
    for entry in sorted(known, key=lambda entry: -entry.number):
        if isinstance(entry.what, Struck) and entry.number not in struck and entry.what.entry < entry.number:
            struck.add(entry.what.entry)
    left = [e for e in known if e.number not in struck and not isinstance(e.what, Struck)]
    return sorted(left, key=lambda entry: (entry.on, entry.number))


def _folded(card: Card, entry: Entry) -> Card:
    on = entry.on
    match entry.what:
        case Joined(team=team):
            return replace(card, team=team, joined_on=card.joined_on or on)
        case Circumstances() as said:
            told: dict[str, Any] = {name: value for name, value in vars(said).items() if value is not None}
            return replace(card, **told)
        case SteelMeasured(steel=code) as said:
            news: dict[str, object] = {n: v for n, v in vars(said).items() if v is not None and n != "steel"}
            if "height_mm" in news:
                news |= {"height_on": on, "taken_mm": 0.0, "unknown_cuts": 0}
            return _with_steel(card, code, **news)
        case Fitted(steel=code, sides=sides):
            fitted = {**card.fitted, **dict.fromkeys(sides, code)}
            steel = card.steel.get(code) or SteelSet(code)
            card = _put(card, replace(steel, fitted_on=steel.fitted_on or on))
            return replace(card, fitted=MappingProxyType(fitted))
        case Retired(steel=code):
            fitted = {side: one for side, one in card.fitted.items() if one != code}
            return replace(_with_steel(card, code, retired_on=on), fitted=MappingProxyType(fitted))
        case Stated(steel=code, blade=blade, sides=sides):
            known: dict[str, object] = {
                "rocker": blade.rocker,
                "rocker_on": on,
                "ground": False,
                "hollow_mm": blade.hollow.radius_mm,
                "edge_radius_mm": blade.hollow.edge_radius_mm,
            }
            size: dict[str, object] = {"width_mm": blade.hollow.width_mm, "length_mm": blade.rocker.length_mm}
            return _with_steel(_with_edges(card, code, sides, **known), code, **size)
        case HollowStated(steel=code, hollow=hollow, sides=sides):
            groove = {"hollow_mm": hollow.radius_mm, "edge_radius_mm": hollow.edge_radius_mm}
            card = _with_edges(card, code, sides, **groove)
            return _with_steel(card, code, width_mm=hollow.width_mm)
        case Measured(steel=code, side=side, edge=readings):
            return _with_edges(card, code, (side,), measured=readings, measured_on=on)
        case HollowMeasured(steel=code, side=side, hollow_mm=hollow, width_mm=width):
            card = _with_edges(card, code, (side,), hollow_mm=hollow)
            return card if width is None else _with_steel(card, code, width_mm=width)
        case Ordered(steel=code, sides=sides) as order:
            return _with_edges(card, code, sides, order=order, ordered_on=on, order_done=False)
        case Ground(steel=code, rocker=rocker, sides=sides, taken_mm=taken):
            steel = card.steel.get(code) or SteelSet(code)
            for side in sides:
                edge = steel.side(side)
                ground = replace(
                    edge,
                    rocker=rocker,
                    rocker_on=on,
                    ground=True,
                    ground_on=on,
                    before=edge.measured if edge.measured is not None else edge.before,
                    measured=None,
                    measured_on=None,
                    order_done=edge.order is not None,
                )
                changed: dict[str, Any] = {side: ground}
                steel = replace(steel, **changed)
            return _put(card, _less(steel, taken))
        case Sharpened(steel=code, hollow_mm=hollow, sides=sides, taken_mm=taken):
            now: dict[str, object] = {"sharpened_on": on, "edge_radius_mm": 0.0}
            now |= {} if hollow is None else {"hollow_mm": hollow}
            card = _with_edges(card, code, sides, **now)
            steel = card.steel[code]
            days = tuple(sorted({*steel.sharpened_days, on}))[-DAYS_KEPT:]
            steel = replace(_less(steel, taken), sharpenings=steel.sharpenings + 1, sharpened_days=days)
            return _put(card, steel)
        case Decided(trial=trial, why=why):
            return replace(card, trial=trial, trial_why=why, trial_on=on)
        case Tried():
            return replace(card, trials=(*card.trials, entry))
        case Complained() as complaint:
            return replace(card, complaint=complaint, complaint_on=on, worked_on=False)
        case SeasonPlanned() as season:
            return replace(card, season=season)
        case NextDate(day=day):
            return replace(card, next_on=day)
        case IceTested():
            return replace(card, ice=entry)
        case GlideMeasured():
            return replace(card, glides=(*card.glides, entry))
        case Timed():
            return replace(card, timed=(*card.timed, entry))
        case Preferred():
            return replace(card, preferred=(*card.preferred, entry))
    raise AssertionError(f"no card knows {entry.what!r:.60}")


def _less(steel: SteelSet, taken_mm: float | None) -> SteelSet:
    """The set after steel came off it."""
    if taken_mm is None:
        return replace(steel, unknown_cuts=steel.unknown_cuts + 1)
    return replace(steel, taken_mm=steel.taken_mm + taken_mm)


def _put(card: Card, steel: SteelSet) -> Card:
    return replace(card, steel=MappingProxyType({**card.steel, steel.code: steel}))


def _with_steel(card: Card, code: str, **news: Any) -> Card:
    return _put(card, replace(card.steel.get(code) or SteelSet(code), **news))


def _with_edges(card: Card, code: str, sides: Iterable[str], **news: Any) -> Card:
    steel = card.steel.get(code) or SteelSet(code)
    return _with_steel(card, code, **{side: replace(steel.side(side), **news) for side in sides})
