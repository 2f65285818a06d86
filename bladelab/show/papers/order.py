"""The shop's work order: what to grind, how much comes off, and what the gauge must read afterwards."""

from __future__ import annotations

import datetime
from collections.abc import Generator, Iterable, Mapping, Sequence
from typing import IO

import numpy as np

from bladelab.book.card import Card
from bladelab.book.ordering import orders_due
from bladelab.book.work_order import EdgeWork, WorkOrder
from bladelab.show.drawings.cut_view import CutView, SteelOff
from bladelab.show.panel.long_work import Step, finish
from bladelab.show.papers.order_words import (
    UNSEEN_MM,
    height_words,
    hollow_words,
    junctions_words,
    level_from,
    most_words,
    now_words,
    three_decimals,
    zones_words,
)
from bladelab.show.papers.sheet import SMALL_PT, Sheet
from bladelab.show.wording.say import say_day
from bladelab.show.wording.units_shown import UNITS
from bladelab.show.wording.words import CAUTIONS, along_the_blade, signed
from bladelab.workshop.cut import Cut

_FIRST_IN = 1.35  # the column with the names of the rows
_MOST_PLACES = 17  # so many numbers fit across the page


class CutOnPaper(CutView):
    """The picture of the cut, of a size that can be read on paper."""

    width_px, height_px = 740, 315
    words = ("now", "ordered (dashed)")


def write_order(file: IO[bytes], orders: Sequence[WorkOrder], paper: str = "") -> None:
    """Write work orders as one PDF, each from a page of its own, in the units chosen now.

    Parameters
    ----------
    file : binary file
    orders : sequence of WorkOrder
        At least one.
    paper : {"", "A4", "Letter"}
        Left out, the one usual where the units are.

    Raises
    ------
    InputError
        If the paper is not known.
    """
    sheet = Sheet(paper)
    for order in orders:
        put_order(sheet, order)
    sheet.write(file, f"work order {', '.join(dict.fromkeys(order.skater for order in orders))}")


def steps_of_orders(
    file: IO[bytes],
    cards: Iterable[Card],
    on: datetime.date,
    steel: Mapping[str, Sequence[str]] | None = None,
    paper: str = "",
) -> Generator[Step, None, tuple[tuple[WorkOrder, ...], tuple[tuple[str, str], ...]]]:
    """Write the work orders of many skaters as one PDF, each in the units of the skater's card; work for
    `long_work`, which shows its progress, or for `finish`.

    The pages keep the order of the cards. Who can have no order is on the last page, with the reason.

    Parameters
    ----------
    file : binary file
    cards : iterable of Card
        Of the skaters who are due.
    on : date
        Of the order.
    steel : mapping of str to sequence of str, optional
        By the skater's code, the sets that are due; left out, those that are fitted.
    paper : {"", "A4", "Letter"}
        Left out, the one usual where the units chosen now are.

    Yields
    ------
    Step
        First a skater a step, then a page.

    Returns
    -------
    orders : tuple of WorkOrder
    refused : tuple of (str, str)
        The skater's code, and the reason in a clause.

    Raises
    ------
    InputError
        If the paper is not known.
    """
    every = list(cards)
    units = {card.skater: card.units or UNITS.system for card in every}
    orders: list[WorkOrder] = []
    refused: list[tuple[str, str]] = []
    sheet = Sheet(paper)
    for done, card in enumerate(every, 1):
        ready, not_ready = orders_due([card], on, steel)
        with UNITS.lent(units[card.skater]):
            for order in ready:
                put_order(sheet, order)
        orders += ready
        refused += not_ready
        yield Step(done, len(every), f"{done} of {len(every)} skaters")
    if refused or not orders:
        sheet.begin(f"no work order · {say_day(on)}")
        sheet.title("No work order", say_day(on))
        rows = [(skater, f"{reason[:1].upper()}{reason[1:]}.") for skater, reason in refused]
        sheet.table(rows or [("", "Nobody is due.")], 0.9)
    yield from sheet.steps(file, f"work orders of {on}")
    return tuple(orders), tuple(refused)


def write_orders_due(
    file: IO[bytes],
    cards: Iterable[Card],
    on: datetime.date,
    steel: Mapping[str, Sequence[str]] | None = None,
    paper: str = "",
) -> tuple[tuple[WorkOrder, ...], tuple[tuple[str, str], ...]]:
    """Do all of `steps_of_orders` now, and return what it returns."""
    return finish(steps_of_orders(file, cards, on, steel, paper))


def put_order(sheet: Sheet, order: WorkOrder) -> None:
    """Put an order on a paper, from a new page on."""
    sides = " and ".join(edge.side for edge in order.edges)
    sheet.begin(f"work order · {order.skater} · set {order.steel} · {say_day(order.on)}")
    team = f", team {order.team}" if order.team else ""
    sheet.title(f"Work order: {order.skater}", f"Set {order.steel}, {sides}{team} · {say_day(order.on)}")
    if first := _first(order):
        sheet.prose(first, 10.5, bold=True)
        sheet.gap(0.05)
    _shapes(sheet, order)
    _numbers(sheet, order)
    sheet.heading("After grinding", 1.1)
    heights = [f"Height {edge.side}, mm" for edge in order.edges]
    sheet.blanks([*heights, "Hollow"], 3)
    sheet.blanks(["Ground by", "Measured by", "Date"], 3)
    sheet.blanks(["Ordered by", "Signature"], 2)
    sheet.gap(0.08)
    for text in _notes(order):
        sheet.prose(text, SMALL_PT)
    _pictures(sheet, order)


# The parts ----------------------------------------------------------------------------------------------


def _first(order: WorkOrder) -> str:
    """What must be measured before anything is ground."""
    if not order.measure_first:
        return ""
    words = {"height": "the height", "minimum": "the maker's minimum"}
    what = [words.get(one, f"the {one.replace('shape', 'edge')}") for one in order.measure_first]
    listed = what[0] if len(what) == 1 else f"{', '.join(what[:-1])} and {what[-1]}"
    return f"Measure before grinding: {listed}."


def _shapes(sheet: Sheet, order: WorkOrder) -> None:
    rows: list[list[str]] = []

    def row(name: str, texts: Iterable[str]) -> None:
        each = list(texts)
        rows.append([name, *(each if len(set(each)) > 1 else each[:1])])

    edges = order.edges
    row("Now", map(now_words, edges))
    row("Grind to", (zones_words(edge.target.rocker) for edge in edges))
    if any(edge.target.rocker.junctions_mm for edge in edges):
        row("Zones meet", (junctions_words(edge.target.rocker) for edge in edges))
    row("Level point", (along_the_blade(edge.target.rocker.pivot_mm) for edge in edges))
    row("Hollow", map(hollow_words, edges))
    row("Tolerance", (f"± {UNITS.say('depth', edge.tolerance_mm)}" for edge in edges))
    row("Most comes off", map(most_words, edges))
    row("Height", (height_words(order, edge) for edge in edges))
    two = any(len(cells) > 2 for cells in rows)
    sheet.table(rows, _FIRST_IN, [edge.side.capitalize() for edge in edges] if two else ())


def _numbers(sheet: Sheet, order: WorkOrder) -> None:
    """The table along the runner: what comes off, what the gauge must read, and boxes for what it reads."""
    places, edges = order.places_mm, order.edges
    sheet.heading("Along the runner, mm from the middle: heel −, toe +", 1.6)
    if any(edge.expected for edge in edges):
        sheet.prose(
            f"Gauge: {order.chord_mm:g} mm between the feet, plunger midway. Write in what it reads "
            "after grinding.",
            SMALL_PT,
        )
        sheet.gap(0.04)
    count = -(-len(places) // _MOST_PLACES)
    for part in np.array_split(places, count):
        rows: list[list[str | None]] = []
        cuts = [three_decimals(edge.cut_mm(part)) for edge in edges]
        gauges = [three_decimals(edge.expected_mm(part)) for edge in edges]
        rows += _merged("comes off", edges, cuts)
        rows += _merged("gauge to read", edges, gauges)
        for edge, gauge in zip(edges, gauges, strict=True):
            rows.append([f"reads, {edge.side}", *(None if text else "–" for text in gauge)])
        sheet.grid(rows, _FIRST_IN, ["place", *(signed(place) for place in part)])


def _merged(name: str, edges: Sequence[EdgeWork], each: Sequence[Sequence[str]]) -> list[list[str | None]]:
    """A row for each edge, or one where they are alike."""
    if all(texts == each[0] for texts in each):
        return [[name, *(text or "–" for text in each[0])]]
    return [
        [f"{name}, {edge.side}", *(text or "–" for text in texts)]
        for edge, texts in zip(edges, each, strict=True)
    ]


def _pictures(sheet: Sheet, order: WorkOrder) -> None:
    alike: dict[Cut, list[EdgeWork]] = {}
    for edge in order.edges:
        if edge.cut is not None:
            alike.setdefault(edge.cut, []).append(edge)
    views = []
    for cut, edges in alike.items():
        who = " and ".join(edge.side for edge in edges)
        off = f"up to {UNITS.say('depth', cut.largest_mm)} comes off"
        finding = f"{who[:1].upper()}{who[1:]}: {off if cut.largest_mm >= 0.0005 else 'nothing to grind'}"
        view = CutOnPaper()
        height, least = order.height_now_mm, order.least_mm
        view.show(SteelOff(cut=cut, height_mm=height, least_mm=least, finding=finding, sentence=""))
        views.append(view)
    if views:
        sheet.pictures(views)


def _notes(order: WorkOrder) -> list[str]:
    said = []
    if any(edge.ordered_on is None for edge in order.edges):
        said.append("The shape is the trial on the skater's card; no order was entered for it.")
    measured = [edge.now for edge in order.edges if edge.now and edge.now.how == "measured"]
    levels = dict.fromkeys(level_from(now.level, "order") for now in measured)
    said += [words for words in levels if words]
    if unseen := [
        f"{edge.not_measured_mm:.0f} mm of the {edge.side} runner"
        for edge in order.edges
        if edge.not_measured_mm > UNSEEN_MM
    ]:
        said.append(f"Not measured: {' and '.join(unseen)}. More may come off there.")
    cautions = " ".join(CAUTIONS[name] for name in ("grind", "minimum", "rules"))
    return [" ".join(said), cautions] if said else [cautions]
