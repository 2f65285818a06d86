"""Buttons of the line over a panel that write on the card: what the dials say, and what the panel found."""

from __future__ import annotations

from collections.abc import Callable, Container, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from bladelab.book.card import Card
from bladelab.book.entry import Entry
from bladelab.book.happenings import Circumstances, Decided, Happening
from bladelab.book.steel_happenings import LEFT_AND_RIGHT
from bladelab.book.tested_ice import TestedIce
from bladelab.book.to_write import measured_edges, steel_measured
from bladelab.shape.blade import what_differs
from bladelab.show.canvas.result import Result
from bladelab.show.controls.dials import Dial
from bladelab.show.panel.card_dials import KEPT, KEPT_OF_STEEL, OnDials
from bladelab.show.panel.dials_card import moved
from bladelab.show.panel.skater import SKATER
from bladelab.show.wording.say import say_blade
from bladelab.workshop.gauge import GaugeReadings
from bladelab.workshop.trace import Trace


@dataclass(frozen=True)
class CardButton:
    """A button of the bar.

    Attributes
    ----------
    name : str
        By which the page calls it; no two in one bar have the same.
    text : str
    act : callable
        May raise an InputError, which the bar says.
    """

    name: str
    text: str
    act: Callable[[], object]


def card_writer(*happenings: Happening, note: str = "") -> Callable[[], tuple[Entry, ...]]:
    """What writes this on the card that is open."""
    return lambda: SKATER.write(*happenings, note=note)


def to_keep(dials: Mapping[str, Dial], card: Card, side: str, shown: OnDials) -> Iterator[CardButton]:
    """Buttons that keep what the dials say of the skater, the ice and the steel, if the card says otherwise.

    The steel has a button of its own: nobody keeps a height that is only an example by keeping a weight.
    """
    # What was tested is on the card already.
    known = [name for name, dial in dials.items() if isinstance(dial.value, TestedIce)]
    if names := [name for name in _news(dials, shown, KEPT) if name not in known]:
        # A slider's value may be a number of numpy's; a choice has a word.
        kept: dict[str, Any] = {
            KEPT[name]: value if isinstance(value := dials[name].value, str) else float(value)
            for name in names
        }
        yield CardButton(
            "keep", f"keep on the card: {_said(dials, names)}", card_writer(Circumstances(**kept))
        )
    if names := _news(dials, shown, KEPT_OF_STEEL):
        what = steel_measured(card, side, **{name: float(dials[name].value) for name in names})
        yield CardButton("steel", f"keep on the card: {_said(dials, names)}", card_writer(*what))


def _news(dials: Mapping[str, Dial], shown: OnDials, names: Container[str]) -> list[str]:
    """The dials of these that say what the card doesn't."""
    known = {*shown.values, *shown.beyond}
    return [*(n for n in dials if n in names and n not in known), *moved(dials, shown, names)]


def _said(dials: Mapping[str, Dial], names: list[str]) -> str:
    return ", ".join(f"{dials[name].control.label} {dials[name].page()['text']}" for name in names)


def to_take(result: Result | None, card: Card) -> Iterator[CardButton]:
    """Buttons for what a panel came up with: a blade to try, or edges that were measured."""
    if result is None:
        return
    if result.makes is not None and (card.trial is None or what_differs(result.makes, card.trial)):
        said = f"try this next: {say_blade(result.makes)}"
        yield CardButton("makes", said, card_writer(Decided(result.makes)))
    edges = result.edges
    if "" in edges:
        known = any(_on_card(card, side, edges[""]) for side in LEFT_AND_RIGHT)
        for side in LEFT_AND_RIGHT:
            if not known:
                what = measured_edges(card, {side: edges[""]})
                write = card_writer(*what, note=result.edges_note)
                yield CardButton(side, f"it is the {side} edge", write)
    elif edges and not all(_on_card(card, side, edge) for side, edge in edges.items()):
        yield CardButton("edges", "keep both edges on the card", card_writer(*measured_edges(card, edges)))


def _on_card(card: Card, side: str, readings: Trace | GaugeReadings) -> bool:
    edge = card.edge(side)
    return edge is not None and edge.measured == readings
