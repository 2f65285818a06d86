"""A rink's card under a panel: the tests of its ice by date, and what changed between them."""

from __future__ import annotations

import html
from collections.abc import Callable

import ipywidgets as widgets

from bladelab._errors import InputError
from bladelab.book.entry import Entry
from bladelab.book.rink_happenings import IceTested
from bladelab.book.rinks import RinkCard, rink_cards
from bladelab.physics.ice import Ice
from bladelab.rink.hardness_change import HardnessChange
from bladelab.show.panel.file_work import FileWork
from bladelab.show.panel.files import save_numbered
from bladelab.show.panel.forms import Message, beside, button
from bladelab.show.panel.skater import SKATER
from bladelab.show.panels.rink.written import menu_field, text_field
from bladelab.show.wording.say import say_day
from bladelab.show.wording.say_rink import softening_said
from bladelab.show.wording.units_shown import UNITS
from bladelab.show.wording.words import ended, plus_minus

_KINDS = ("ice tested", "struck")
_NONE, _ANOTHER = "no rink", "another rink …"


class RinkCardBox(widgets.VBox):
    """A menu of the rinks in the book, a field for the code of another, and the card of the one chosen.

    A skater's card that is opened chooses the rink of its last test.

    Parameters
    ----------
    chosen : callable
        Gets the code of a rink when another is chosen; empty for none.

    Attributes
    ----------
    menu : Dropdown
    code : Text
        The code of a rink that is not in the book yet.
    message : Message
        What the last two tests say.
    table : HTML
        The tests, the newest first.
    saving : FileWork
        Where the table was saved.
    """

    def __init__(self, chosen: Callable[[str], None]) -> None:
        self._chosen, self._quiet = chosen, False
        self.menu = menu_field("rink", ((_NONE, ""), (_ANOTHER, "+")))
        self.code = text_field("rink's code", "such as R1; no name")
        self.code.continuous_update = False
        self.message, self.table = Message(), widgets.HTML()
        saver = button("save the rink's card as a table (CSV)", self.save)
        self.saving = FileWork([saver])
        self._files = beside(saver, self.saving)
        self._rink, self._edition = "", -1
        self._card: RinkCard | None = None
        super().__init__([self.menu, self.code, self.message, self.table, self._files])
        self.menu.observe(lambda _: self._by_hand(), names="value")
        self.code.observe(lambda _: self._by_hand(), names="value")
        SKATER.listen(self._show)
        UNITS.listen(self._show)
        self._show()

    def choose(self, rink: str) -> None:
        """Show the card of a rink."""
        if rink != self._rink:
            self._rink = rink
            self._show()
            self._chosen(rink)

    def save(self) -> None:
        """Save the card as a table."""
        card = self._card
        assert card is not None  # else there is no button
        table, stem = card.as_csv(), f"rink-{card.code.lower()}"
        self.saving.save(lambda: (save_numbered(stem, "csv", lambda file: file.write(table)), ""))

    def _by_hand(self) -> None:
        if self._quiet:
            return
        typed = self.menu.value == "+" or not self._shown(self.menu)
        self._show_field(self.code, typed)
        self.choose(str(self.code.value).strip() if typed else str(self.menu.value))

    def _show(self) -> None:
        said, fault, cards = "", False, dict[str, RinkCard]()
        try:
            cards = rink_cards(SKATER.book.entries(words=_KINDS))
        except InputError as problem:
            said, fault = f"The rinks' cards can't be read: {ended(str(problem))}", True
        if self._edition != SKATER.edition:
            self._edition = SKATER.edition
            last = SKATER.card.ice.what if SKATER.card and SKATER.card.ice else None
            if isinstance(last, IceTested) and last.rink != self._rink:
                self._rink = last.rink
                self._chosen(last.rink)
        self._offer(list(cards))
        self._card = cards.get(self._rink)
        self.message.say(last_change_said(self._card) if self._card else said, fault)
        self.table.value = "" if self._card is None else _table(self._card)
        self._show_field(self._files, self._card is not None)

    def _offer(self, codes: list[str]) -> None:
        """Offer the rinks in the book; with none there, only the field for a code."""
        another = self.menu.value == "+" or bool(self._rink)
        self._quiet = True
        try:
            options = ((_NONE, ""), *((code, code) for code in codes), (_ANOTHER, "+"))
            if options != self.menu.options:
                self.menu.options = options
            self.menu.value = self._rink if self._rink in codes else "+" if another else ""
            self._show_field(self.menu, bool(codes))
            self._show_field(self.code, not codes or self.menu.value == "+")
        finally:
            self._quiet = False

    @staticmethod
    def _show_field(field: widgets.DOMWidget, shown: bool) -> None:
        field.layout.display = "" if shown else "none"

    @staticmethod
    def _shown(field: widgets.DOMWidget) -> bool:
        return field.layout.display != "none"


def last_change_said(card: RinkCard) -> str:
    """What the last test of a rink says, and whether the ice changed since the one before."""
    last, drop = card.tests[-1], card.last.drop
    said = f"Rink {card.code}, {say_day(last.on)}: hardness "
    said += f"{plus_minus(drop.hardness_MPa, drop.standard_error_MPa, 1)} MPa"
    if len(card.tests) < 2:
        return f"{said}, the only test so far."
    before = card.tests[-2]
    earlier = say_day(before.on) if before.on != last.on else "the test before, on the same day"
    change = card.changes[-1]
    if change is None:
        return f"{said}. Not compared with {earlier}: one ball pressed much longer than the other."
    percent, low, high = change.percent
    if not change.shown:
        return (
            f"{said}. No change is shown since {earlier}: {_error_said(change)} is within the error of the "
            "two tests."
        )
    word = "harder" if percent > 0 else "softer"
    ends = " to ".join(f"{abs(end):.0f}" for end in sorted((low, high), key=abs))
    said += (
        f". Since {earlier}, it got {abs(percent):.0f} % {word} ({ends}): {_error_said(change)}, more than"
    )
    return f"{said} the error of the two tests.{_cold_said(card)}"


def _cold_said(card: RinkCard) -> str:
    """That colder ice is harder, where the temperatures differ."""
    before = card.tests[-2].what
    assert isinstance(before, IceTested)
    colds = card.last.temperature_C, before.temperature_C
    if colds[0] is None or colds[1] is None or colds[0] == colds[1]:
        return ""
    usual = [float(Ice(cold).drop_hardness_MPa) for cold in colds]
    cold, hard = ("colder", "harder") if colds[0] < colds[1] else ("warmer", "softer")
    share = abs(100 * (usual[0] / usual[1] - 1))
    return f" It was {cold}: that alone usually makes ice {share:.0f} % {hard}."


def _error_said(change: HardnessChange) -> str:
    around = plus_minus(change.difference_MPa, change.standard_error_MPa, 1)
    return f"{'+' if change.difference_MPa > 0 else ''}{around} MPa"


def _table(card: RinkCard) -> str:
    heads = ["date", "hardness, MPa", "craters", "ice", "since the test before"]
    slow = any(isinstance(entry.what, IceTested) and entry.what.press for entry in card.tests)
    if slow:
        heads += ["slow press, MPa", "softer, pressed ten times as long"]
    rows = [
        _row(entry, change, first=at == 0, slow=slow)
        for at, (entry, change) in enumerate(zip(card.tests, card.changes, strict=True))
    ]
    top = "".join(f'<th scope="col" style="{_CELL}">{html.escape(head)}</th>' for head in heads)
    name = f"Rink {html.escape(card.code)}: tests of its ice, newest first"
    return (
        f'<div role="group" tabindex="0" aria-label="{name}" style="overflow-x:auto">'
        f"<table><caption>{name}</caption><thead><tr>{top}</tr></thead>"
        f"<tbody>{''.join(reversed(rows))}</tbody></table></div>"
    )


_CELL = "text-align:left;padding:2px 12px 2px 0;white-space:nowrap"


def _row(entry: Entry, change: HardnessChange | None, first: bool, slow: bool) -> str:
    what = entry.what
    assert isinstance(what, IceTested)
    drop, cold = what.drop, what.temperature_C
    if change is not None:
        since = f"{_error_said(change)}, {'shown' if change.shown else 'not shown'}"
    else:
        since = "" if first else "not compared: one ball pressed much longer"
    cells = [
        plus_minus(drop.hardness_MPa, drop.standard_error_MPa, 1),
        str(len(what.crater_mm)),
        "not known" if cold is None else UNITS.say("temperature", cold),
        since,
    ]
    if slow:
        press = what.press
        cells += [
            "" if press is None else plus_minus(press.hardness_MPa, press.standard_error_MPa, 1),
            softening_said(what),
        ]
    day = f'<th scope="row" style="{_CELL};font-weight:normal">{say_day(entry.on)}</th>'
    return f"<tr>{day}{''.join(f'<td style={_CELL!r}>{html.escape(cell)}</td>' for cell in cells)}</tr>"
