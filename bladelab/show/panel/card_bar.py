"""The line over a panel that says whose card is open, and the panel's dials on that card."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING

from bladelab._errors import InputError
from bladelab.book.card import Card
from bladelab.book.entry import Entry
from bladelab.book.happenings import Decided
from bladelab.book.shape_now import ShapeNow
from bladelab.book.to_write import hollow_as_present, stated_as_present
from bladelab.shape.blade import Blade
from bladelab.show.controls.control import Choice
from bladelab.show.panel.card_buttons import CardButton, to_keep, to_take
from bladelab.show.panel.card_dials import (
    OnDials,
    card_blade,
    card_on_dials,
    ices_on_card,
    shape_on_card,
    shapes_on_card,
)
from bladelab.show.panel.dials_card import BladeDials, blade_dials, moved
from bladelab.show.panel.skater import SKATER
from bladelab.show.wording.say import say_blade, say_day
from bladelab.show.wording.say_card import as_sentences, say_card
from bladelab.show.wording.say_entry import say_entry
from bladelab.show.wording.units_shown import UNITS

if TYPE_CHECKING:
    from bladelab.show.panel.engine import Panel

#: What a menu offers besides its own entries, when this card is open: words and values.
Offer = Callable[[Card | None], tuple[tuple[str, object], ...]]
#: A menu's own entries, such as the files in a folder.
OwnEntries = Callable[[], tuple[tuple[str, object], ...]]
#: What a saved notebook keeps of a panel while a card is open.
CARD_IS_OPEN = "A skater's card is open: run the cell to see it."


@dataclass(frozen=True)
class _Found:
    """A card on the dials of a panel, what the bar says of it, and the panel's blades by column."""

    shown: OnDials
    says: str
    blades: dict[str, BladeDials]


class CardBar:
    """The card as one panel has it.

    Parameters
    ----------
    panel : Panel
    plain : {"present", "ordered"}
        What the panel's dials without a column describe.
    offers : mapping of str to callable
        By the name of a menu: what it offers from the card, before its own entries.
    own : mapping of str to callable
        By the name of a menu: its own entries, where they may be others by now.

    Attributes
    ----------
    more : callable
        Called with the card for more buttons of the panel's own.
    """

    def __init__(
        self, panel: Panel, plain: str, offers: Mapping[str, Offer], own: Mapping[str, OwnEntries]
    ) -> None:
        self._panel, self._plain = panel, plain
        self._offers, self._own = dict(offers), dict(own)
        for name, dial in panel.dials.items():
            if isinstance(dial.control, Choice):
                self._own.setdefault(name, partial(_always, dial.control.options))
                if dial.control.key == "shape":
                    self._offers[name] = partial(_shapes, dial.control.column or plain)
                if dial.control.key == "hardness":
                    self._offers[name] = ices_on_card
        self._edition, self._found_at = -1, dict[str, object]()
        self._known: tuple[Card, tuple[str, str], _Found] | None = None
        self.more: Callable[[Card], list[CardButton]] = lambda _: []

    def load(self) -> None:
        """Set the dials to what the card says; those of which it knows nothing stay as they are."""
        card = SKATER.card
        self._edition = SKATER.edition
        self.offer()
        for name, offers in self._offers.items():
            if self._panel.dials[name].control.key != "shape" and (found := offers(card)):
                self._panel.dials[name].value = found[0][1]
        for name, value in self._of(card).shown.values.items() if card else ():
            dial = self._panel.dials[name]
            if dial.value != value:
                dial.value = value
        self._found_at = {name: dial.value for name, dial in self._panel.dials.items()}

    def take_news(self) -> bool:
        """Set the dials that no hand has moved to what was written on the card since; return whether any was.

        Else another panel of the notebook would answer for a blade that the card no longer has.
        """
        news = self._of(card).shown.values if (card := SKATER.card) else {}
        late = {
            name: value
            for name, value in news.items()
            if self._panel.dials[name].value == self._found_at[name] != value
        }
        for name, value in late.items():
            self._panel.dials[name].value = self._found_at[name] = value
        return bool(late)

    def offer(self) -> bool:
        """Offer what is on the card in the panel's menus; return whether a menu has changed."""
        changed = False
        for name, offers in self._offers.items():
            dial = self._panel.dials[name]
            assert isinstance(dial.control, Choice)
            found = offers(SKATER.card)
            # An entry without a value only says that there is nothing to offer.
            options = (*found, *(pair for pair in self._own[name]() if pair[1] is not None or not found))
            if options != dial.control.options:
                dial.offer(options, dial.value)
                changed = True
        return changed

    def act(self, what: str, value: object) -> None:
        """Do what was asked for in the bar; what the book says against it is shown there."""
        SKATER.trouble = ""
        try:
            match what:
                case "choose":
                    SKATER.choose(str(value))
                case "begin":
                    SKATER.begin(str(value))
                case "side":
                    SKATER.side = str(value)
                case "press":
                    for button in self._buttons():
                        if button.name == value:
                            self._tell_written(button.act())
                case _:
                    raise ValueError(f"the page says {what!r:.80} of a card")
        except InputError as problem:
            SKATER.tell_trouble(problem)

    def page(self) -> dict[str, object]:
        """What the page shows of it; plain data."""
        card = SKATER.card
        told = (SKATER.trouble, SKATER.news)
        return {
            "looks": SKATER.may_change,
            "codes": list(SKATER.codes),
            "code": SKATER.code,
            "side": SKATER.side if len(SKATER.sides) == 1 else "",
            "says": "" if card is None else self._of(card).says,
            "told": as_sentences(told),
            "fault": bool(SKATER.trouble),
            "buttons": [[button.name, button.text] for button in self._buttons()],
        }

    def footer(self, columns: Collection[str] = ("present", "trial")) -> str:
        """What a saved picture or paper says below it: code, day and the blades of these columns; empty with
        no skater."""
        if (card := SKATER.card) is None:
            return ""
        blades = self._blades(card)
        said = [f"{column.capitalize()}: {words}" for column, words in blades.items() if column in columns]
        return ". ".join([f"{card.skater}, {say_day(datetime.date.today())}", *said])

    def table_columns(self) -> dict[str, str]:
        """What each row of a saved table begins with, by column: code, day and blades; nothing with no
        skater."""
        if (card := SKATER.card) is None:
            return {}
        blades = {f"{column}_blade": words for column, words in self._blades(card).items()}
        return {"skater": card.skater, "date": datetime.date.today().isoformat(), **blades}

    def _blades(self, card: Card) -> dict[str, str]:
        """Present and trial in words, as far as they are known."""
        present = self.blade("present") or card_blade(card, SKATER.side, "present")
        blades = {"present": present, "trial": self.blade("trial")}
        return {column: say_blade(blade) for column, blade in blades.items() if blade}

    def blade(self, column: str) -> Blade | None:
        """The blade that the dials of a column describe, with what the open card adds to them; None if part
        of it is not known or there can be none like it."""
        card = SKATER.card
        assert card is not None
        found = self._of(card)
        if column not in found.blades:
            return None
        try:
            return found.blades[column].blade(self._panel.dials, found.shown)
        except InputError:
            return None

    # Inside ---------------------------------------------------------------------------------------------

    def _of(self, card: Card) -> _Found:
        """The card on the dials and in words; worked out again only when one of them has changed."""
        way = (SKATER.side, UNITS.system)
        if self._known is None or self._known[0] is not card or self._known[1] != way:
            dials, side = self._panel.dials, SKATER.side
            shown = card_on_dials(dials, card, side, self._plain)
            unknown = [f"not on the card, only set here: {', '.join(shown.unknown)}"] if shown.unknown else []
            says = f"{say_card(card)} {as_sentences([*unknown, *shown.cant])}".strip()
            columns = ("present", "trial") if self._plain == "present" else ("trial",)
            blades = {column: blade_dials(dials, card, side, column, shown) for column in columns}
            found = _Found(shown, says, {name: blade for name, blade in blades.items() if blade})
            self._known = card, way, found
        return self._known[2]

    def _buttons(self) -> list[CardButton]:
        card = SKATER.card
        buttons = [CardButton("load", "load it", SKATER.load)] if SKATER.news else []
        if card is None:
            return buttons
        dials, found = self._panel.dials, self._of(card)
        shown = found.shown
        if not buttons and moved(dials, shown):
            buttons.append(CardButton("back", "back to the card", self._back))
        buttons += to_keep(dials, card, SKATER.side, shown)
        for column, blade in found.blades.items():
            if blade.says_more(dials, shown):
                make = partial(self._make_it, column, blade)
                buttons.append(CardButton(column, f"make this the {column} blade", make))
        return [*buttons, *to_take(self._panel.result, card), *self.more(card)]

    def _tell_written(self, done: object) -> None:
        """Say what a button wrote, in the words that the card's history has for it."""
        if isinstance(done, tuple) and done and all(isinstance(one, Entry) for one in done):
            said = " ".join(map(say_entry, done))
            self._panel.saving.work.say(f"Written on the card of {SKATER.code}: {said}")

    def _make_it(self, column: str, dials: BladeDials) -> tuple[Entry, ...]:
        """Write the blade on the dials as the present one or as the trial."""
        card = SKATER.card
        assert card is not None
        blade = dials.blade(self._panel.dials, self._of(card).shown)
        known = shape_on_card(card, SKATER.side, "present").whole
        if column == "present" and known and known.how == "measured" and blade.rocker == known.rocker:
            return SKATER.write(
                *hollow_as_present(card, blade.hollow, SKATER.side)
            )  # the rocker was measured
        if column == "present":
            return SKATER.write(*stated_as_present(card, blade, SKATER.sides))
        return SKATER.write(Decided(blade))

    def _back(self) -> None:
        with self._panel.quiet():
            self.load()


def _always(entries: tuple[tuple[str, object], ...]) -> tuple[tuple[str, object], ...]:
    return entries


def _shapes(column: str, card: Card | None) -> tuple[tuple[str, ShapeNow], ...]:
    return shapes_on_card(card, SKATER.side, column) if card else ()
