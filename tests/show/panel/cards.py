"""A card of whom nearly all is known, and what a reader does with the bar over a panel."""

from __future__ import annotations

import datetime

from bladelab.book.entry import Entry
from bladelab.book.happenings import Happening
from bladelab.book.store import open_book
from bladelab.shape.blade import Blade
from bladelab.shape.hollow import Hollow
from bladelab.shape.rocker import Rocker, Zone
from bladelab.show.panel.declare import PanelKind
from bladelab.show.panel.engine import Panel

DAY = datetime.date(2026, 11, 3)


PRESENT = Blade(Rocker.single(2743.2, 284.0, 4.0), Hollow(12.7, 3.0))


ZONES = (Zone(2743.2, 90.0), Zone(3352.8, 110.0), Zone(2438.4, 84.0))


TRIAL = Blade(Rocker(ZONES, blend_mm=20.0), Hollow(9.525, 2.9))


ORDER = Blade(Rocker(ZONES, pivot_mm=5.0), Hollow(19.05, 2.9))


def write(path, *happenings: Happening, skater: str = "K07", choose: bool = True) -> None:
    """What is in the book when the notebook opens, or what another notebook writes."""
    book = open_book(path)
    book.add(*(Entry(skater, DAY, what) for what in happenings))
    if choose:
        book.choose(skater)


def press(panel: Panel, name: str) -> None:
    """Press a button of the bar."""
    assert name in buttons(panel), buttons(panel)
    panel._from_page(panel, {"do": "card", "act": "press", "value": name}, [])


def ask(panel: Panel, act: str, value: str) -> None:
    panel._from_page(panel, {"do": "card", "act": act, "value": value}, [])


def buttons(panel: Panel) -> dict[str, str]:
    """The buttons of the bar as the page has them, by name."""
    return dict(panel._bar["buttons"])


def defaults(kind: PanelKind) -> dict[str, object]:
    return {control.name: control.default for control in kind.controls}


def values(panel: Panel) -> dict[str, object]:
    return {name: dial.value for name, dial in panel.dials.items()}
