"""Which work is ordered for the steel on a card."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Mapping, Sequence

import numpy as np

from bladelab._checks import checked_day, number
from bladelab._errors import InputError
from bladelab.book.card import Card, Edge, SteelSet
from bladelab.book.shape_now import shape_now
from bladelab.book.steel_happenings import LEFT_AND_RIGHT, Ordered, sides_checked
from bladelab.book.work_order import STEP_MM, USUAL_CHORD_MM, EdgeWork, WorkOrder
from bladelab.shape.blade import Blade
from bladelab.workshop.cut import steel_to_remove
from bladelab.workshop.gauge import GaugeReadings, gauge_on


def work_order(
    card: Card,
    steel: str,
    on: datetime.date,
    sides: Sequence[str] = LEFT_AND_RIGHT,
    chord_mm: float = USUAL_CHORD_MM,
    tolerance_mm: float = 0.03,
) -> WorkOrder:
    """Make the order to grind a set of steel.

    Each edge goes from its shape now (`shape_now`: the trace itself where it was measured by height) to what
    was ordered for it and is not done yet; if nothing is, to the card's trial or what was ordered last,
    whichever is newer. The cut keeps the target's level point.

    Parameters
    ----------
    card : Card
    steel : str
        The code of the set.
    on : date
    sides : sequence of str
        ``"left"``, ``"right"`` or both.
    chord_mm : float
        Between the feet of the shop's gauge, mm, 10 to 200.
    tolerance_mm : float
        Where the target is the card's trial, for which none was ordered: mm, above 0, at most 5.

    Raises
    ------
    InputError
        If the card has no such set, there is nothing to grind an edge to, the target is shorter than the
        edge, or the steel would end below the maker's minimum.

    Examples
    --------
    >>> import datetime
    >>> from bladelab import Blade, Hollow, Rocker
    >>> from bladelab.book.entry import Entry
    >>> from bladelab.book.fold import card_of
    >>> from bladelab.book.happenings import Ordered, Stated
    >>> day = datetime.date(2026, 11, 3)
    >>> ten, nine = (Blade(Rocker.single(r, 280.0), Hollow(12.7, 3.0)) for r in (3048.0, 2743.2))
    >>> card = card_of("K07", [Entry("K07", day, Stated("S1", ten)), Entry("K07", day, Ordered("S1", nine))])
    >>> order = work_order(card, "S1", day)
    >>> print(f"{order.edges[0].cut.largest_mm:.2f} mm; first measure: {', '.join(order.measure_first)}")
    0.36 mm; first measure: height, minimum
    """
    checked_day("on", on)
    chord = number("chord_mm", chord_mm, "mm", 10.0, 200.0)
    number("tolerance_mm", tolerance_mm, "mm", 0.0, 5.0, low_open=True)
    known = card.steel_called(steel)
    sides_checked(tuple(sides))
    order = WorkOrder(
        card.skater,
        card.team,
        steel,
        on,
        tuple(_work(card, known, side, chord, tolerance_mm) for side in LEFT_AND_RIGHT if side in sides),
        known.height_mm,
        known.least_mm,
        known.height_on,
        known.taken_mm,
        known.unknown_cuts,
        chord,
        card.trial_why,
    )
    _above_minimum(order)
    return order


def orders_of(card: Card, on: datetime.date, steel: Sequence[str] | None = None) -> tuple[WorkOrder, ...]:
    """Return the orders for sets of steel of one skater, each for the sides that it is on.

    Parameters
    ----------
    card : Card
    on : date
    steel : sequence of str, optional
        The codes of the sets; left out, those that are fitted. Where something is ordered for a set and not
        done, the order is for those sides only.

    Raises
    ------
    InputError
        As `work_order`, or if no set is fitted.
    """
    codes = [one.code for one in card.sets_on] if steel is None else list(steel)
    if not codes:
        raise InputError(f"nobody said which steel is on the skates of {card.skater}")
    orders = []
    for code in codes:
        sides = card.sides_of(code) or LEFT_AND_RIGHT
        known = card.steel.get(code) or SteelSet(code)
        waiting = tuple(side for side in LEFT_AND_RIGHT if known.side(side).order_waits)
        orders.append(work_order(card, code, on, waiting or sides))
    return tuple(orders)


def orders_due(
    cards: Iterable[Card], on: datetime.date, steel: Mapping[str, Sequence[str]] | None = None
) -> tuple[tuple[WorkOrder, ...], tuple[tuple[str, str], ...]]:
    """Return the orders of many skaters, in their order, and who can have none and why.

    Parameters
    ----------
    cards : iterable of Card
    on : date
    steel : mapping of str to sequence of str, optional
        By the skater's code, the sets that are due; left out, those that are fitted.

    Returns
    -------
    orders : tuple of WorkOrder
    refused : tuple of (str, str)
        The skater's code, and the reason in a clause.
    """
    orders: list[WorkOrder] = []
    refused = []
    for card in cards:
        try:
            orders += orders_of(card, on, None if steel is None else steel.get(card.skater))
        except InputError as problem:
            refused.append((card.skater, str(problem)))
    return tuple(orders), tuple(refused)


def _work(card: Card, steel: SteelSet, side: str, chord_mm: float, tolerance_mm: float) -> EdgeWork:
    edge = steel.side(side)
    order = _order_for(card, edge)
    target = order.target if order else card.trial
    if target is None:
        raise InputError(
            f"nothing is ordered for the {side} edge of {card.skater}'s set {steel.code}, and there is no "
            "trial on the card"
        )
    now = shape_now(edge, steel.length_mm)
    return EdgeWork(
        side,
        now,
        edge.hollow_mm,
        target,
        edge.ordered_on if order else None,
        order.tolerance_mm if order else tolerance_mm,
        None if now is None else steel_to_remove(now.edge, target.rocker),
        _expected(target, chord_mm),
    )


def _order_for(card: Card, edge: Edge) -> Ordered | None:
    """What was ordered, unless it is done and the card's trial is newer."""
    if edge.order is None or edge.order_waits or card.trial is None:
        return edge.order
    newer = card.trial_on is not None and edge.ordered_on is not None and card.trial_on > edge.ordered_on
    return None if newer else edge.order


def _expected(target: Blade, chord_mm: float) -> GaugeReadings | None:
    reach = target.rocker.length_mm / 2 - chord_mm / 2
    if reach < 0:
        return None
    outer = STEP_MM * np.floor(reach / STEP_MM + 1e-9)
    return gauge_on(target.rocker, np.arange(-outer, outer + 1, STEP_MM), chord_mm)


def _above_minimum(order: WorkOrder) -> None:
    """Refuse what would end below the maker's minimum: known to, even if more came off that nobody knows."""
    if order.height_mm is None or order.least_mm is None:
        return
    high = order.height_mm - order.taken_mm
    for edge in order.edges:
        left = high - (edge.cut.largest_mm if edge.cut else 0.0)
        if left < order.least_mm:
            raise InputError(
                f"the {edge.side} runner of {order.skater}'s set {order.steel} would be {left:.2f} mm high "
                f"where most comes off; the maker's minimum is {order.least_mm:.2f} mm: it must not be ground"
            )
