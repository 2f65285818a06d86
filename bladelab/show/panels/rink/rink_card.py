"""A rink's card under a panel: the tests of its ice by date, and what changed between them."""

from __future__ import annotations

import html

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
from bladelab.show.wording.say import say_day
from bladelab.show.wording.units_shown import UNITS
from bladelab.show.wording.words import plus_minus

_KINDS = ("ice tested", "struck")


class RinkCardBox(widgets.VBox):
    """The card of the rink that is chosen; nothing on it until one is.

    Attributes
    ----------
    message : Message
        What the last two tests say, or that there is none.
    table : HTML
        The tests, the newest first.
    saving : FileWork
        Where the table was saved.
    """

    def __init__(self) -> None:
        self.message, self.table = Message(), widgets.HTML()
        saver = button("save the rink's card as a table (CSV)", self.save)
        self.saving = FileWork([saver])
        self._files = beside(saver, self.saving)
        self._code = ""
        self._card: RinkCard | None = None
        super().__init__([self.message, self.table, self._files])
        SKATER.listen(self._show)
        UNITS.listen(self._show)
        self._show()

    def choose(self, code: str) -> None:
        """Show the card of a rink."""
        self._code = code
        self._show()

    def save(self) -> None:
        """Save the card as a table."""
        card = self._card
        if card is not None:
            table, stem = card.as_csv(), f"rink-{card.code.lower()}"
            self.saving.save(lambda: (save_numbered(stem, "csv", lambda file: file.write(table)), ""))

    def _show(self) -> None:
        said, fault, self._card = "", False, None
        if self._code:
            try:
                cards = rink_cards(SKATER.book.entries(words=_KINDS))
            except InputError as problem:
                said, fault = f"The rink's card can't be read: {problem}.", True
            else:
                self._card = cards.get(self._code)
                if self._card is not None:
                    said = last_change_said(self._card)
                elif cards:
                    said = (
                        f"No test of rink {self._code} is on a card; there are tests of {', '.join(cards)}."
                    )
        self.message.say(said, fault)
        self.table.value = "" if self._card is None else _table(self._card)
        self._files.layout.display = "none" if self._card is None else ""


def last_change_said(card: RinkCard) -> str:
    """What the last test of a rink says, and whether the ice changed since the one before."""
    last, drop = card.tests[-1], card.last.drop
    said = f"Rink {card.code}, {say_day(last.on)}: hardness "
    said += f"{plus_minus(drop.hardness_MPa, drop.standard_error_MPa, 1)} MPa"
    if len(card.tests) < 2:
        return f"{said}, the only test so far."
    before = card.tests[-2]
    since = f"since {say_day(before.on)}"
    change = card.changes[-1]
    if change is None:
        return f"{said}. Not compared with {say_day(before.on)}: one ball pressed much longer than the other."
    percent, low, high = change.percent
    if not change.shown:
        return (
            f"{said}. No change is shown {since}: {_error_said(change)} is within the error of the two tests."
        )
    word = "harder" if percent > 0 else "softer"
    ends = " to ".join(f"{abs(end):.0f}" for end in sorted((low, high), key=abs))
    said += f". {since[:1].upper()}{since[1:]} it is {abs(percent):.0f} % {word} ({ends}): "
    said += f"{_error_said(change)}, more than the error of the two tests"
    return f"{said}.{_cold_said(card)}"


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
    return f" It was {cold}: by the usual fit that alone makes ice {share:.0f} % {hard}."


def _error_said(change: HardnessChange) -> str:
    around = plus_minus(change.difference_MPa, change.standard_error_MPa, 1)
    return f"{'+' if change.difference_MPa > 0 else ''}{around} MPa"


def _table(card: RinkCard) -> str:
    heads = ("date", "hardness, MPa", "craters", "ice", "since the test before")
    rows = [
        _row(entry, change, first=at == 0)
        for at, (entry, change) in enumerate(zip(card.tests, card.changes, strict=True))
    ]
    top = "".join(f'<th scope="col" style="{_CELL}">{html.escape(head)}</th>' for head in heads)
    caption = f"<caption>Rink {html.escape(card.code)}: tests of its ice, newest first</caption>"
    return (
        f'<div style="overflow-x:auto"><table>{caption}<thead><tr>{top}</tr></thead>'
        f"<tbody>{''.join(reversed(rows))}</tbody></table></div>"
    )


_CELL = "text-align:left;padding:2px 12px 2px 0"


def _row(entry: Entry, change: HardnessChange | None, first: bool) -> str:
    what = entry.what
    assert isinstance(what, IceTested)
    drop, cold = what.drop, what.temperature_C
    if change is not None:
        since = f"{_error_said(change)}, {'shown' if change.shown else 'not shown'}"
    else:
        since = "" if first else "not compared: one ball pressed much longer"
    cells = (
        plus_minus(drop.hardness_MPa, drop.standard_error_MPa, 1),
        str(len(what.crater_mm)),
        "not known" if cold is None else UNITS.say("temperature", cold),
        since,
    )
    day = f'<th scope="row" style="{_CELL};font-weight:normal">{say_day(entry.on)}</th>'
    return f"<tr>{day}{''.join(f'<td style={_CELL!r}>{html.escape(cell)}</td>' for cell in cells)}</tr>"
