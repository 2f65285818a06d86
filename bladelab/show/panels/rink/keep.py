"""Tests on the ice put on the skater's card that is open, and what a rink's card says of its ice."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from bladelab._errors import InputError
from bladelab.book.card import Card
from bladelab.book.entry import Entry
from bladelab.book.happenings import Happening
from bladelab.book.rink_happenings import GlideMeasured, IceTested, Timed
from bladelab.book.rinks import RinkCard, rink_cards
from bladelab.rink.session import TimedSession
from bladelab.show.panel.card_buttons import CardButton
from bladelab.show.panel.card_dials import card_blade
from bladelab.show.panel.skater import SKATER
from bladelab.show.wording.say import say_day
from bladelab.show.wording.words import plus_minus

_MOST_TESTS = 8


def keep_button(
    name: str, text: str, make: Callable[[], Happening], known: tuple[Entry, ...]
) -> list[CardButton]:
    """A button that writes what `make` gives; none where that is on the card already.

    Parameters
    ----------
    name, text : str
    make : callable
        May raise an InputError, which the bar says when the button is pressed.
    known : tuple of Entry
        Of this kind, on the card.
    """
    try:
        what = make()
    except InputError:
        pass
    else:
        if any(entry.what == what for entry in known):
            return []
    return [CardButton(name, text, partial(_write, make))]


def _write(make: Callable[[], Happening]) -> None:
    SKATER.write(make())


def ice_button(card: Card, make: Callable[[], IceTested]) -> list[CardButton]:
    """A button to keep a test of the ice."""
    known = (card.ice,) if card.ice is not None else ()
    return keep_button("ice", "keep this test of the ice on the card", make, known)


def glide_button(card: Card, make: Callable[[], GlideMeasured]) -> list[CardButton]:
    """A button to keep glide-outs."""
    return keep_button("glide", "keep these glide-outs on the card", make, card.glides)


def timed_button(card: Card, session: TimedSession) -> list[CardButton]:
    """A button to keep a timed session: A is the present blade of the card, B its trial."""

    def make() -> Timed:
        return Timed.of(session, card_blade(card, SKATER.side, "present"), card.trial)

    same = [e for e in card.timed if isinstance(e.what, Timed) and e.what.session == session]
    text = "keep the last session on the card: A the present blade, B the trial"
    return [] if same else keep_button("timed", text, make, card.timed)


def rink_said(code: str) -> str:
    """What the book knows of a rink's ice: its tests by date; empty for none."""
    entries = SKATER.book.entries(words=("ice tested", "struck"))
    card: RinkCard | None = rink_cards(entries).get(code)
    if card is None:
        return ""
    said = []
    for entry in card.tests[-_MOST_TESTS:]:
        what = entry.what
        assert isinstance(what, IceTested)
        drop = what.drop
        said.append(f"{say_day(entry.on)} {plus_minus(drop.hardness_MPa, drop.standard_error_MPa, 1)}")
    more = len(card.tests) - len(said)
    before = f", after {more} earlier" if more else ""
    return f"Rink {code}, hardness in MPa{before}: {'; '.join(said)}."
