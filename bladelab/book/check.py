"""The check after grinding: what was measured against what was ordered, on both sides, before and after."""

from __future__ import annotations

import datetime
from contextlib import suppress
from dataclasses import dataclass

from bladelab._errors import InputError
from bladelab._values import by_value
from bladelab.book.card import Card, Edge
from bladelab.book.steel_happenings import LEFT_AND_RIGHT, Ordered
from bladelab.workshop.compare import Deviation, SideDifference, deviation, left_against_right
from bladelab.workshop.gauge import GaugeReadings
from bladelab.workshop.trace import Trace


@by_value
@dataclass(frozen=True, eq=False)
class SideCheck:
    """One edge against its order.

    Attributes
    ----------
    side : str
    order : Ordered
    ordered_on : date or None
    ground : bool
        Whether it was ground after the order.
    before, after : Deviation or None
        From the measurement before and after the grinding; None where there is none.
    measured_on : date or None
        Of the measurement after.
    """

    side: str
    order: Ordered
    ordered_on: datetime.date | None
    ground: bool
    before: Deviation | None
    after: Deviation | None
    measured_on: datetime.date | None


@by_value
@dataclass(frozen=True, eq=False)
class GrindingCheck:
    """Both edges of a set of steel against their order, and against each other.

    Attributes
    ----------
    steel : str
    sides : tuple of SideCheck
        Those for which there is an order, left first.
    apart : SideDifference or None
        Left against right as they are now; None unless both were measured, over a stretch they share.
    """

    steel: str
    sides: tuple[SideCheck, ...]
    apart: SideDifference | None

    @property
    def verdict(self) -> str:
        """The worst of the sides: outside, too close to call, not measured or within."""
        said = [one.after.verdict if one.after else "not measured" for one in self.sides]
        return next(v for v in ("outside", "too close to call", "not measured", "within") if v in said)


def check_grinding(card: Card, steel: str, window_mm: float = 20.0) -> GrindingCheck:
    """Hold the last measurements of a set against its order, within the tolerance that the order names.

    Parameters
    ----------
    card : Card
    steel : str
        The code of the set.
    window_mm : float
        As in `deviation`.

    Raises
    ------
    InputError
        If the card has no such set, nothing was ordered for it, or a measurement can't be held against its
        order.
    """
    known = card.steel_called(steel)
    sides = []
    for side in LEFT_AND_RIGHT:
        edge = known.side(side)
        if edge.order is not None:
            sides.append(_side(side, edge, edge.order, window_mm))
    if not sides:
        raise InputError(f"no grinding was ordered for set {steel} of {card.skater}")
    left, right = known.left.measured, known.right.measured
    apart = None
    if left is not None and right is not None:
        with suppress(InputError):  # they share too little to be compared; each has its own verdict
            apart = left_against_right(left, right)
    return GrindingCheck(steel, tuple(sides), apart)


def _side(side: str, edge: Edge, order: Ordered, window_mm: float) -> SideCheck:
    def held(measured: Trace | GaugeReadings | None) -> Deviation | None:
        if measured is None:
            return None
        return deviation(measured, order.target.rocker, order.tolerance_mm, window_mm)

    # What was measured counts as after only once it was ground.
    before, after = (edge.before, edge.measured) if edge.order_done else (edge.measured, None)
    on = edge.measured_on if edge.order_done else None
    return SideCheck(side, order, edge.ordered_on, edge.order_done, held(before), held(after), on)
