"""The skater's sheet: why the blades change, what changes, how to try it and what to watch."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import IO

from bladelab._errors import InputError
from bladelab.advice.complaint import COMPLAINTS
from bladelab.advice.quantities import Conditions
from bladelab.advice.scorecard import scorecard
from bladelab.advice.trial import RATINGS
from bladelab.book.card import Card
from bladelab.book.tested_ice import tested_ice
from bladelab.book.work_order import EdgeWork, WorkOrder
from bladelab.physics.ice import DROP_TEST_ICE, Ice
from bladelab.physics.moments import MOMENTS
from bladelab.shape.blade import Blade
from bladelab.show.drawings.rocker_view import OneRocker, RockerView
from bladelab.show.papers.sheet import SMALL_PT, Sheet
from bladelab.show.wording.say import say_day, say_rocker
from bladelab.show.wording.say_rink import measured_on_ice
from bladelab.show.wording.units_shown import UNITS
from bladelab.show.wording.words import CAUTIONS, minus

#: In which moments a skater is told what to expect.
_TOLD = ("one-foot glide", "stride push", "tight turn")
#: How to try a blade (our own advice; common practice, no source).
_HOW = (
    "Skate two easy laps first, away from traffic, then stops and turns to both sides, before any drill.",
    "Change nothing else for now: the same boots, the same lacing.",
    "Skate what you always skate, and fill in the table right after each skate.",
    "Give it three skates before you judge it. If it feels wrong or unsafe, stop and say so.",
)
_SKATES = ("1st skate", "2nd skate", "3rd skate")
_FIRST_IN = 1.35


class RockerOnPaper(RockerView):
    """The picture of the rocker, of a size that can be read on paper."""

    width_px, height_px = 740, 260
    spans = ((0.54, 0.36), (0.15, 0.29))


def write_skater_sheet(
    file: IO[bytes],
    card: Card,
    orders: Sequence[WorkOrder],
    next_on: datetime.date | None = None,
    paper: str = "",
) -> None:
    """Write the sheet for a skater as a PDF, in the units chosen now, a page or two for each order.

    Parameters
    ----------
    file : binary file
    card : Card
        Says why, and who skates on what ice.
    orders : sequence of WorkOrder
        Of this skater, at least one: what changes.
    next_on : date, optional
        When to come back; left out, the day on the card, if it is still ahead, or else space to write it.
    paper : {"", "A4", "Letter"}
        Left out, the one usual where the units are.

    Raises
    ------
    InputError
        If the paper is not known.
    """
    sheet = Sheet(paper)
    for order in orders:
        put_skater_sheet(sheet, card, order, next_on)
    sheet.write(file, f"skater's sheet {card.skater}")


def put_skater_sheet(
    sheet: Sheet, card: Card, order: WorkOrder, next_on: datetime.date | None = None
) -> None:
    """Put the sheet for a skater on a paper, from a new page on."""
    sheet.begin(f"skater's sheet · {order.skater} · set {order.steel} · {say_day(order.on)}")
    sheet.title(f"Your blades: {order.skater}", f"Set {order.steel} · {say_day(order.on)}")
    if why := _why(card):
        sheet.heading("Why")
        sheet.prose(why)
    sheet.heading("What changes")
    _changes(sheet, order)
    sheet.heading("What to expect")
    for text in _expected(card, order):
        sheet.prose(text)
    if measured := measured_on_ice(card):
        sheet.heading("What was measured on the ice")
        for text in measured:
            sheet.prose(text)
    sheet.heading("How to try it")
    sheet.numbered(_HOW)
    sheet.heading("What to watch", 2.4)
    rows: list[list[str | None]] = [["date", *(None for _ in _SKATES)]]
    for rating in RATINGS.values():
        ends = f"{_mark(rating.low)} {rating.low_word}, {_mark(rating.high)} {rating.high_word}"
        rows.append([f"{rating.question} {ends}", *(None for _ in _SKATES)])
    sheet.grid(rows, 4.0, ["mark", *_SKATES])
    if next_on is None and card.next_on is not None and card.next_on > order.on:
        next_on = card.next_on
    if next_on is not None:
        sheet.heading(f"Come back with this sheet on {say_day(next_on)}", 0.0)
    else:
        sheet.blanks(["Come back with this sheet on"], 2)
    sheet.gap(0.08)
    cautions = ("first", "health", "rules")
    sheet.prose(f"Fresh edges cut. {' '.join(CAUTIONS[name] for name in cautions)}", SMALL_PT)
    targets = dict.fromkeys(edge.target.rocker for edge in order.edges)
    views = []
    for rocker in targets:
        sides = [edge.side for edge in order.edges if edge.target.rocker == rocker]
        finding = f"Your new shape, {sides[0]}" if len(targets) > 1 else "Your new shape"
        view = RockerOnPaper()
        view.show(OneRocker(rocker=rocker, finding=finding, sentence=""))
        views.append(view)
    sheet.pictures(views)


def _why(card: Card) -> str:
    heard = COMPLAINTS.get(card.complaint.about) if card.complaint else None
    said = [f"You said: “{heard.heard}”"] if heard else []
    why = card.trial_why.strip()
    if why:
        said.append(f"{why[:1].upper()}{why[1:]}{'' if why[-1] in '.!?' else '.'}")
    return " ".join(said)


def _changes(sheet: Sheet, order: WorkOrder) -> None:
    def alike(texts: Iterable[str]) -> list[str]:
        each = list(texts)
        return each if len(set(each)) > 1 else each[:1]

    rows = [
        ["Rocker", *alike(map(_rocker, order.edges))],
        ["Hollow", *alike(map(_hollow_change, order.edges))],
    ]
    heads = [edge.side.capitalize() for edge in order.edges] if any(len(row) > 2 for row in rows) else ()
    sheet.table(rows, _FIRST_IN, heads)


def _rocker(edge: EdgeWork) -> str:
    wanted = say_rocker(edge.target.rocker)
    return f"to {wanted}" if edge.now is None else f"from {say_rocker(edge.now.rocker)} to {wanted}"


def _hollow_change(edge: EdgeWork) -> str:
    wanted = UNITS.say("hollow", edge.target.hollow.radius_mm)
    if edge.hollow_now_mm is None:
        return wanted
    now = UNITS.say("hollow", edge.hollow_now_mm)
    return f"stays {wanted}" if now == wanted else f"from {now} to {wanted}"


def _expected(card: Card, order: WorkOrder) -> list[str]:
    """What the model expects of the new blade against the old one; why not, where too little is known."""
    edge = order.edges[0]
    if edge.now is None or edge.hollow_now_mm is None or card.mass_kg is None:
        missing = "weight" if card.mass_kg is None else "present shape"
        return [
            f"Your {missing} isn't on the card, so what to expect wasn't worked out. Skate it to find out."
        ]
    cold_C = Ice().temperature_C if card.temperature_C is None else card.temperature_C
    tested = None if card.hardness else tested_ice(card)
    ice = tested.at(cold_C) if tested else Ice.of_kind(card.hardness or DROP_TEST_ICE, cold_C)
    told = tuple(moment for moment in MOMENTS if moment.name in _TOLD)
    conditions = Conditions(card.mass_kg, ice, card.speed_m_s or Conditions().speed_m_s, told)
    before = Blade(edge.now.rocker, replace(edge.target.hollow, radius_mm=edge.hollow_now_mm))
    try:
        found = scorecard(before, edge.target, conditions, n=60)
    except InputError as problem:
        return [f"It can't be worked out what to expect: {problem}. Skate it to find out."]
    side = f", {edge.side} blade" if len({_rocker(one) for one in order.edges}) > 1 else ""
    mass, cold = UNITS.say("mass", card.mass_kg), UNITS.say("temperature", ice.temperature_C)
    hard = "softer the longer it is pressed" if ice.is_pressed else "as hard as in a drop test"
    hard = f"as hard as tested at rink {tested.rink}" if tested else hard
    about = f"Computed for {mass} on ice of {cold}, {hard}{side}. "
    about += "The model isn't the ice: skate it to find out."
    return [*(text.replace("the trial", "the new blade") for text in found.sentences()), about]


def _mark(value: int) -> str:
    return minus(str(value))
