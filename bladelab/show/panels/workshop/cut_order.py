"""Ordering the grinding of a cut, and the papers for it: buttons and dials that are there while a card is
open."""

from __future__ import annotations

import datetime
from collections.abc import Callable
from functools import partial
from typing import IO

from bladelab._errors import InputError
from bladelab.book.card import Card
from bladelab.book.entry import Entry
from bladelab.book.fold import card_after
from bladelab.book.ordering import orders_of, work_order
from bladelab.book.plan_happenings import NextDate
from bladelab.book.steel_happenings import LEFT_AND_RIGHT, Ordered
from bladelab.book.to_write import grinding_ordered
from bladelab.book.work_order import WorkOrder
from bladelab.shape.blade import Blade, what_differs
from bladelab.show.controls.control import Choice, Control, Slider
from bladelab.show.drawings.cut_view import SteelOff
from bladelab.show.panel.card_buttons import CardButton
from bladelab.show.panel.engine import Panel
from bladelab.show.panel.skater import SKATER
from bladelab.show.papers.order import write_order
from bladelab.show.papers.sheet import SHEETS_MM
from bladelab.show.papers.skater_sheet import write_skater_sheet
from bladelab.show.wording.words import counted

#: When the skater is to come back, in weeks from today; None for the day on the card.
_COMES_BACK: tuple[tuple[str, int | None], ...] = (
    ("as on the card", None),
    *((f"in {counted(weeks, 'week')}", weeks) for weeks in (1, 2, 3, 4, 6, 8, 12)),
)
_PAPERS = (("usual for the units", ""), *((paper, paper) for paper in SHEETS_MM))


def _with_card(_: object) -> bool:
    return SKATER.card is not None


#: What an order says besides the shape, and on which paper it is printed.
ORDER_CONTROLS: tuple[Control, ...] = (
    Slider(
        "order_tolerance_mm",
        "tolerance of an order",
        "rocker",
        0.005,
        0.2,
        0.03,
        "depth",
        0.005,
        when=_with_card,
    ),
    Choice("paper", "paper of an order", "rocker", _PAPERS, "", when=_with_card),
    Choice("back", "skater comes back", "rocker", _COMES_BACK, None, when=_with_card),
)


def order_buttons(panel: Panel, card: Card) -> list[CardButton]:
    """Order the grinding that the panel shows, for both edges or the one that is shown; save its papers."""
    buttons, target = [], panel.bar.blade("trial")
    for name, sides in (("order", LEFT_AND_RIGHT), ("order_side", SKATER.sides)):
        if (name == "order" or len(sides) == 1) and not _waits(panel, card, sides, target):
            said = f"order this grinding, {' and '.join(sides)}"
            only = " only" if name == "order_side" else ""
            buttons.append(CardButton(name, said + only, partial(_order, panel, card, sides)))
    if card.fitted and (card.trial is not None or _orders(card)):
        buttons.append(
            CardButton("work_order", "save the work order (PDF)", partial(_save_order, panel, card))
        )
        text = "save the skater's sheet (PDF)"
        buttons.append(CardButton("skater_sheet", text, partial(_save_sheet, panel, card)))
    return buttons


def _orders(card: Card) -> list[Ordered]:
    return [edge.order for edge in card.edges_on if edge.order is not None]


def _waits(panel: Panel, card: Card, sides: tuple[str, ...], target: Blade | None) -> bool:
    """Whether just this is ordered already and not done."""
    tolerance = float(panel.dials["order_tolerance_mm"].value)
    edges = [card.edge(side) for side in sides]
    return target is not None and all(
        edge is not None
        and edge.order is not None
        and edge.order_waits
        and not what_differs(edge.order.target, target)
        and abs(edge.order.tolerance_mm - tolerance) < 1e-9
        for edge in edges
    )


def _order(panel: Panel, card: Card, sides: tuple[str, ...]) -> tuple[Entry, ...]:
    """Write the order, unless it can't be ground."""
    if panel.fault:
        raise InputError(f"not ordered: {panel.sentence_text}".rstrip("."))
    target = panel.bar.blade("trial")
    if target is None:
        raise InputError(
            "an order says the hollow too, and the card knows none: make a blade the present or the trial "
            "blade on a page with a hollow first"
        )
    result = panel.result
    if isinstance(result, SteelOff) and abs(result.cut.tilt_deg) >= 0.005:
        raise InputError("an order keeps the trial's level point: set *boot may tip by* to 0")
    today = datetime.date.today()
    what = grinding_ordered(card, target, sides, panel.state().order_tolerance_mm)
    after = card_after(card, [Entry(card.skater, today, one, number=card.last + 1) for one in what])
    for one in what:
        if isinstance(one, Ordered):  # what would end below the minimum is refused here
            work_order(after, one.steel, today, one.sides)
    return SKATER.write(*what)


def _save_order(panel: Panel, card: Card) -> None:
    now = SKATER.now() or card
    _save(
        panel,
        f"work-order-{card.skater.lower()}",
        lambda file, paper: write_order(file, _of_today(now), paper),
    )


def _save_sheet(panel: Panel, card: Card) -> None:
    now, weeks = SKATER.now() or card, panel.state().back
    day = None if weeks is None else datetime.date.today() + datetime.timedelta(weeks=weeks)

    def write(file: IO[bytes], paper: str) -> None:
        write_skater_sheet(file, now, _of_today(now), day, paper)

    _save(panel, f"skater-sheet-{card.skater.lower()}", write)
    if day is not None and day != now.next_on and not panel.saving.work.fault:
        SKATER.write(NextDate(day))


def _of_today(card: Card) -> tuple[WorkOrder, ...]:
    return orders_of(card, datetime.date.today())


def _save(panel: Panel, stem: str, write: Callable[[IO[bytes], str], object]) -> None:
    paper = panel.state().paper
    panel.saving.save_other(stem, "pdf", lambda file: write(file, paper))
