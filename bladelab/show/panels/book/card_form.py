"""A form that writes on a skater's card what was done at the bench, said or measured."""

from __future__ import annotations

import datetime
import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

import ipywidgets as widgets

from bladelab._cells import number_of
from bladelab._codes import spelled_as
from bladelab._errors import InputError
from bladelab.book.card import Card, SteelSet
from bladelab.book.happenings import MASS_ENDS_KG, Circumstances, Happening, Joined
from bladelab.book.plan_happenings import NextDate
from bladelab.book.steel_happenings import (
    LEFT_AND_RIGHT,
    Fitted,
    Ground,
    Ordered,
    Retired,
    Sharpened,
    SteelMeasured,
)
from bladelab.show.panel.forms import Message, beside, button, coming_day, field, past_day, usual_hollows
from bladelab.show.panel.skater import SKATER
from bladelab.show.wording.say import say_day
from bladelab.show.wording.say_entry import said_of
from bladelab.show.wording.units_shown import UNITS

_BOTH = "both"
_SAME_HOLLOW = "as it was"


def _number(
    fields: Mapping[str, object],
    name: str,
    quantity: str = "number",
    ends: tuple[float, float] = (-math.inf, math.inf),
) -> float | None:
    """The number in a field, kept in internal units; None where the field is empty. `ends`, in internal
    units, are for what is typed in other units than a message of the book would name."""
    text = str(fields[name]).strip()
    if not text:
        return None
    try:
        shown = number_of(text.replace(",", "."), ".", 1e4)
    except InputError as problem:
        raise InputError(f"{name} {problem}") from None
    kept = float(UNITS.scale(quantity).kept(shown))
    if not ends[0] <= kept <= ends[1]:
        low, high = (UNITS.say(quantity, end) for end in ends)
        raise InputError(
            f"{name} is {text} {UNITS.unit(quantity)}; it must be at least {low} and at most {high}"
        )
    return kept


#: What the book calls the numbers of the form.
_IN_THE_BOOK = {
    "height_mm": "height",
    "least_mm": "minimum",
    "taken_mm": "steel taken",
    "tolerance_mm": "tolerance",
    "hours_per_week": "hours a week",
}


def _in_words_of_the_form(problem: str) -> str:
    for name, words in _IN_THE_BOOK.items():
        problem = problem.replace(name, words)
    return problem


def _sides(fields: Mapping[str, object]) -> tuple[str, ...]:
    return LEFT_AND_RIGHT if fields["side"] == _BOTH else (str(fields["side"]),)


def _sharpened(_: Card, fields: Mapping[str, Any]) -> Happening:
    return Sharpened(fields["set"], fields["hollow"], _sides(fields), _number(fields, "steel taken"))


def _ordered(card: Card, fields: Mapping[str, Any]) -> Happening:
    if card.trial is None:
        raise InputError("there is no trial on the card: make a blade the trial first, then order it")
    tolerance = _number(fields, "tolerance")
    return Ordered(fields["set"], card.trial, _sides(fields), 0.03 if tolerance is None else tolerance)


def _profiled(card: Card, fields: Mapping[str, Any]) -> Happening:
    sides, steel = _sides(fields), card.steel.get(fields["set"]) or SteelSet(fields["set"])
    rockers = []
    for side in sides:
        edge = steel.side(side)
        if edge.order is None or not edge.order_waits:
            raise InputError(f"nothing is ordered for the {side} edge of set {steel.code}: order it first")
        rockers.append(edge.order.target.rocker)
    if any(rocker != rockers[0] for rocker in rockers):
        raise InputError("left and right were ordered differently: write one side at a time")
    return Ground(steel.code, rockers[0], sides, _number(fields, "steel taken"))


def _measured(_: Card, fields: Mapping[str, Any]) -> Happening:
    found = SteelMeasured(fields["set"], _number(fields, "height"), _number(fields, "minimum"))
    if found.height_mm is None and found.least_mm is None:
        raise InputError("height and minimum are both empty; at least one must be filled in")
    return found


def _skater(_: Card, fields: Mapping[str, object]) -> Happening:
    found = Circumstances(
        mass_kg=_number(fields, "weight", "mass", MASS_ENDS_KG),
        hours_per_week=_number(fields, "hours a week"),
    )
    if found == Circumstances():
        raise InputError("weight and hours a week are both empty; at least one must be filled in")
    return found


def _next_date(_: Card, fields: Mapping[str, Any]) -> Happening:
    day = fields["next date"]
    if day is None:
        raise InputError("the next date is missing")
    return NextDate(coming_day("next date", day))


@dataclass(frozen=True)
class _Kind:
    """One thing that can be written: its fields, and what they become."""

    fields: tuple[str, ...]
    happening: Callable[[Card, Mapping[str, Any]], Happening]


#: What the form can write, by the words on the page.
CAN_WRITE: dict[str, _Kind] = {
    "sharpened": _Kind(("set", "side", "hollow", "steel taken"), _sharpened),
    "height of the steel, minimum": _Kind(("set", "height", "minimum"), _measured),
    "weight, hours on the ice": _Kind(("weight", "hours a week"), _skater),
    "put on": _Kind(("set", "side"), lambda _, fields: Fitted(fields["set"], _sides(fields))),
    "grinding ordered, to the trial on the card": _Kind(("set", "side", "tolerance"), _ordered),
    "ground as ordered": _Kind(("set", "side", "steel taken"), _profiled),
    "steel thrown or given away": _Kind(("set",), lambda _, fields: Retired(fields["set"])),
    "asked to come back": _Kind(("next date",), _next_date),
    "moved to a team": _Kind(("team",), lambda _, fields: Joined(fields["team"], moved=True)),
}


class CardForm(widgets.VBox):
    """What happened, in which set and when; written on the card that is open."""

    def __init__(self) -> None:
        self.kind = field(widgets.Dropdown, "what happened", options=tuple(CAN_WRITE))
        self.fields: dict[str, widgets.Widget] = {
            "set": field(widgets.Combobox, "set", value="S1", placeholder="such as S1"),
            "side": field(widgets.Dropdown, "side", options=(_BOTH, *LEFT_AND_RIGHT)),
            "hollow": field(widgets.Dropdown, "hollow", options=usual_hollows(_SAME_HOLLOW), index=0),
            "team": field(widgets.Text, "team", placeholder="a code such as U14"),
            "next date": field(widgets.DatePicker, "next date"),
        }
        for name in ("steel taken", "height", "minimum", "tolerance", "weight", "hours a week"):
            self.fields[name] = field(widgets.Text, name)
        self.day = field(widgets.DatePicker, "day", value=datetime.date.today())
        self.by = field(widgets.Text, "by", placeholder="initials or a code; may stay empty")
        self.note = field(widgets.Text, "note", placeholder="one line, no names; may stay empty")
        self.button = button("write it on the card", self.write, once=True)
        self.message = Message()
        head = widgets.HTML("<h3>Write on the card</h3>")
        self._shown = widgets.VBox()
        rest = widgets.VBox([self.day, self.by, self.note])
        columns = beside(widgets.VBox([self.kind, self._shown]), rest)
        super().__init__([head, columns, beside(self.button), self.message])
        self.kind.observe(lambda _: self._show(), names="value")
        SKATER.listen(self._card_changed)
        UNITS.listen(self._units_changed)
        self._units_changed()
        self._card_changed()

    def write(self) -> None:
        """Write what the form says, or say why not."""
        try:
            if (card := SKATER.now()) is None:
                raise InputError("no card is open: choose a skater, or a new one, in the line over the panel")
            day = past_day("day", self.day.value)
            told = {name: self._told(name) for name in CAN_WRITE[self.kind.value].fields}
            if "set" in told:
                told["set"] = spelled_as(told["set"], card.steel)
            what = CAN_WRITE[self.kind.value].happening(card, told)
            news = self._put_on_first(card, what)
            SKATER.write(*news, on=day, by=self.by.value.strip(), note=self.note.value.strip())
        except InputError as problem:
            self.message.say(f"Not written: {_in_words_of_the_form(str(problem))}.", fault=True)
            return
        self.message.say(f"Written on {card.skater}'s card, {say_day(day)}: {said_of(what)}")
        for name in ("steel taken", "height", "minimum", "weight", "hours a week"):
            self.fields[name].value = ""
        self.note.value = ""

    @staticmethod
    def _put_on_first(card: Card, what: Happening) -> list[Happening]:
        """A card on which no steel is fitted gets the set that is spoken of."""
        code = getattr(what, "steel", "")
        fresh = code and not card.fitted and not isinstance(what, Fitted | Retired)
        return [Fitted(code), what] if fresh else [what]

    def _told(self, name: str) -> Any:
        value = self.fields[name].value
        return value.strip() if isinstance(value, str) else value

    def _show(self) -> None:
        self._shown.children = tuple(self.fields[name] for name in CAN_WRITE[self.kind.value].fields)

    def _card_changed(self) -> None:
        card = SKATER.card
        codes = tuple(card.steel) if card else ()
        self.fields["set"].options = codes
        if card and card.fitted and self.fields["set"].value not in codes:
            self.fields["set"].value = next(iter(card.fitted.values()))
        self.button.disabled = card is None
        # The button says whose: another notebook may have opened another card meanwhile.
        self.button.description = f"write it on the card{f' of {card.skater}' if card else ''}"

    def _units_changed(self) -> None:
        chosen = self.fields["hollow"].index
        self.fields["hollow"].options = usual_hollows(_SAME_HOLLOW)
        self.fields["hollow"].index = chosen
        units = {name: "mm" for name in ("steel taken", "height", "minimum", "tolerance")}
        for name, unit in {**units, "weight": UNITS.unit("mass"), "hours a week": "h"}.items():
            self.fields[name].placeholder = f"{unit}; may stay empty"
        self.fields["tolerance"].placeholder = "mm; 0.03 if left empty"
        self._show()
