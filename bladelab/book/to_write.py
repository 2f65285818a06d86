"""What to write so that a blade, or a measured edge, is on the steel that is fitted."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING

from bladelab.book.card import Card
from bladelab.book.happenings import Happening
from bladelab.book.steel_happenings import (
    LEFT_AND_RIGHT,
    Fitted,
    HollowMeasured,
    HollowStated,
    Measured,
    Ordered,
    Stated,
    SteelMeasured,
)
from bladelab.shape.blade import Blade
from bladelab.shape.hollow import Hollow
from bladelab.workshop.gauge import GaugeReadings
from bladelab.workshop.trace import Trace

if TYPE_CHECKING:
    from bladelab.workshop.groove import HollowReading


def stated_as_present(card: Card, blade: Blade, sides: Iterable[str]) -> list[Happening]:
    """Make a blade the present one on these sides; where no set is fitted, a new one is.

    Examples
    --------
    >>> from bladelab import Hollow, Rocker
    >>> blade = Blade(Rocker.single(3048.0, 280.0), Hollow(12.7, 2.9))
    >>> [type(what).__name__ for what in stated_as_present(Card("K07"), blade, ("left", "right"))]
    ['Fitted', 'Stated']
    """
    sets, found = _sets(card, sides)
    return found + [Stated(code, blade, its) for code, its in _sides_of(sets)]


def hollow_as_present(card: Card, hollow: Hollow, side: str) -> list[Happening]:
    """Say what hollow the edge on a side has, and the other one if both were known to be alike or neither
    was known; the rocker stays as it was measured."""
    known = {one: edge.hollow_mm if (edge := card.edge(one)) else None for one in LEFT_AND_RIGHT}
    sets, found = _sets(card, (one for one in LEFT_AND_RIGHT if known[one] == known[side]))
    return found + [HollowStated(code, hollow, its) for code, its in _sides_of(sets)]


def steel_measured(card: Card, side: str, **heights_mm: float) -> list[Happening]:
    """Keep the height or the minimum, by the names of `SteelMeasured`, of the set on a side."""
    sets, found = _sets(card, (side,) if card.fitted else LEFT_AND_RIGHT)
    return [*found, SteelMeasured(sets[side], **heights_mm)]


def measured_edges(card: Card, edges: Mapping[str, Trace | GaugeReadings]) -> list[Happening]:
    """Put measured edges, by side, on the sets that are fitted; where there is none, a new one is."""
    sets, found = _sets(card, edges)
    return found + [Measured(sets[side], side, readings) for side, readings in edges.items()]


def hollow_measured(card: Card, side: str, reading: HollowReading) -> list[Happening]:
    """Put a measured hollow on the set that is fitted on a side; where there is none, a new one is."""
    sets, found = _sets(card, (side,))
    high = reading.high_mm if math.isfinite(reading.high_mm) else None
    hollow = HollowMeasured(sets[side], side, reading.radius_mm, reading.low_mm, high, reading.width_mm)
    return [*found, hollow]


def grinding_ordered(card: Card, target: Blade, sides: Iterable[str], tolerance_mm: float) -> list[Happening]:
    """Order a grinding of the edges on these sides; where no set is fitted, a new one is."""
    sets, found = _sets(card, sides)
    return found + [Ordered(code, target, its, tolerance_mm) for code, its in _sides_of(sets)]


def _sets(card: Card, sides: Iterable[str]) -> tuple[dict[str, str], list[Happening]]:
    """The code of the set on each of these sides, and what to write first if none is fitted there."""
    fresh = next(code for number in range(1, len(card.steel) + 2) if (code := f"S{number}") not in card.steel)
    sets = {side: card.fitted.get(side) or fresh for side in sides}
    bare = tuple(side for side in sets if side not in card.fitted)
    return sets, [Fitted(fresh, bare)] if bare else []


def _sides_of(sets: Mapping[str, str]) -> list[tuple[str, tuple[str, ...]]]:
    """Each set, by its code, with those of the sides that it is on."""
    codes = dict.fromkeys(sets.values())
    return [(code, tuple(side for side in sets if sets[side] == code)) for code in codes]
