"""A card: what holds for one skater now. A pure fold over the entries; nothing in it is made up."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from types import MappingProxyType
from typing import Any

from bladelab._values import by_value
from bladelab.book.entry import Entry
from bladelab.book.happenings import (
    Circumstances,
    Complained,
    Decided,
    Fitted,
    Ground,
    Joined,
    Measured,
    Ordered,
    Retired,
    Sharpened,
    Stated,
    SteelMeasured,
    Struck,
    Tried,
)
from bladelab.shape.blade import Blade
from bladelab.shape.rocker import Rocker
from bladelab.workshop.gauge import GaugeReadings
from bladelab.workshop.trace import Trace


@dataclass(frozen=True)
class Edge:
    """What is known of one side of a set of steel; None or empty for what nobody said.

    Attributes
    ----------
    rocker : Rocker or None
        As stated or ground, whichever came last.
    rocker_on : date or None
    ground : bool
        Whether it was ground to that rocker, not just stated.
    hollow_mm : float or None
        Radius of the hollow, mm.
    measured : Trace, GaugeReadings or None
        The last measurement of the edge as it is now.
    measured_on : date or None
    before : Trace, GaugeReadings or None
        The last measurement before the last grinding.
    sharpened_on, ground_on : date or None
    order : Ordered or None
        The last order for this side.
    ordered_on : date or None
    order_done : bool
        Whether it was ground after that order.
    """

    rocker: Rocker | None = None
    rocker_on: datetime.date | None = None
    ground: bool = False
    hollow_mm: float | None = None
    measured: Trace | GaugeReadings | None = None
    measured_on: datetime.date | None = None
    before: Trace | GaugeReadings | None = None
    sharpened_on: datetime.date | None = None
    ground_on: datetime.date | None = None
    order: Ordered | None = None
    ordered_on: datetime.date | None = None
    order_done: bool = False


@dataclass(frozen=True)
class SteelSet:
    """A left and a right runner under one code.

    Attributes
    ----------
    code : str
    left, right : Edge
    height_mm, least_mm, width_mm, length_mm : float or None
        When last measured: height of the steel, the maker's minimum, width and length of the runner, mm.
    height_on : date or None
        When the height was measured.
    taken_mm : float
        Steel known to have come off since then, mm.
    unknown_cuts : int
        How often steel came off since then and nobody measured how much.
    sharpenings : int
    fitted_on : date or None
        When it was first fitted.
    retired_on : date or None
    """

    code: str
    left: Edge = Edge()
    right: Edge = Edge()
    height_mm: float | None = None
    height_on: datetime.date | None = None
    least_mm: float | None = None
    width_mm: float | None = None
    length_mm: float | None = None
    taken_mm: float = 0.0
    unknown_cuts: int = 0
    sharpenings: int = 0
    fitted_on: datetime.date | None = None
    retired_on: datetime.date | None = None

    def side(self, side: str) -> Edge:
        """Return the edge of one side."""
        return self.left if side == "left" else self.right

    @property
    def left_above_least_mm(self) -> float | None:
        """Steel left above the maker's minimum, mm, as far as is known; None if it is not."""
        if self.height_mm is None or self.least_mm is None:
            return None
        return self.height_mm - self.taken_mm - self.least_mm


@by_value
@dataclass(frozen=True, eq=False)
class Card:
    """What holds for one skater now.

    Attributes
    ----------
    skater : str
        The code.
    team : str
    joined_on : date or None
    units : str or None
        ``"feet and inches"`` or ``"metric"``.
    mass_kg, temperature_C, speed_m_s, hours_per_week : float or None
        Skater with equipment, ice, usual glide, time on the ice.
    steel : mapping of str to SteelSet
        All sets by code, retired ones too.
    fitted : mapping of str to str
        The set that is on each side: ``{"left": "S1", "right": "S1"}``.
    trial : Blade or None
        What is to be tried next.
    trial_why : str
    trial_on : date or None
    trials : tuple of Entry
        Whose `what` is a `Tried`, by date.
    complaint : Complained or None
        The last one.
    complaint_on : date or None
    worked_on : bool
        Whether steel that is on was fitted, ground or sharpened since the last complaint.
    last : int
        Number of the last entry that it knows.
    """

    skater: str
    team: str = ""
    joined_on: datetime.date | None = None
    units: str | None = None
    mass_kg: float | None = None
    temperature_C: float | None = None
    speed_m_s: float | None = None
    hours_per_week: float | None = None
    steel: Mapping[str, SteelSet] = field(default_factory=lambda: MappingProxyType({}))
    fitted: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))
    trial: Blade | None = None
    trial_why: str = ""
    trial_on: datetime.date | None = None
    trials: tuple[Entry, ...] = ()
    complaint: Complained | None = None
    complaint_on: datetime.date | None = None
    worked_on: bool = False
    last: int = 0

    def on(self, side: str) -> SteelSet | None:
        """Return the set that is fitted on a side; None where nobody said."""
        return self.steel.get(self.fitted.get(side, ""))

    def edge(self, side: str) -> Edge | None:
        """Return what is known of the edge that is fitted on a side."""
        steel = self.on(side)
        return None if steel is None else steel.side(side)


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
            news: dict[str, Any] = {n: v for n, v in vars(said).items() if v is not None and n != "steel"}
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
            known: dict[str, Any] = {
                "rocker": blade.rocker,
                "rocker_on": on,
                "ground": False,
                "hollow_mm": blade.hollow.radius_mm,
            }
            size: dict[str, Any] = {"width_mm": blade.hollow.width_mm, "length_mm": blade.rocker.length_mm}
            return _with_steel(_with_edges(card, code, sides, **known), code, **size)
        case Measured(steel=code, side=side, edge=readings):
            return _with_edges(card, code, (side,), measured=readings, measured_on=on)
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
            now: dict[str, Any] = {"sharpened_on": on} | ({} if hollow is None else {"hollow_mm": hollow})
            card = _with_edges(card, code, sides, **now)
            steel = card.steel[code]
            steel = replace(_less(steel, taken), sharpenings=steel.sharpenings + 1)
            return _put(card, steel)
        case Decided(trial=trial, why=why):
            return replace(card, trial=trial, trial_why=why, trial_on=on)
        case Tried():
            return replace(card, trials=(*card.trials, entry))
        case Complained() as complaint:
            return replace(card, complaint=complaint, complaint_on=on, worked_on=False)
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
