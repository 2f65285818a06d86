"""Tests on the ice put on the skater's card that is open."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import partial

from bladelab._errors import InputError
from bladelab.book.card import Card
from bladelab.book.entry import Entry
from bladelab.book.happenings import Happening
from bladelab.book.rink_happenings import GlideMeasured, IceTested, Preferred, Timed
from bladelab.rink.session import TimedSession
from bladelab.shape.blade import Blade
from bladelab.show.panel.card_buttons import CardButton
from bladelab.show.panel.card_dials import card_blade
from bladelab.show.panel.skater import SKATER
from bladelab.show.wording.say import say_blade


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


def _write(make: Callable[[], Happening]) -> tuple[Entry, ...]:
    return SKATER.write(make())


def ice_button(card: Card, make: Callable[[], IceTested]) -> list[CardButton]:
    """A button to keep a test of the ice."""
    known = (card.ice,) if card.ice is not None else ()
    return keep_button("ice", "keep this test of the ice on the card", make, known)


def glide_button(card: Card, make: Callable[[], GlideMeasured]) -> list[CardButton]:
    """A button to keep glide-outs."""
    return keep_button("glide", "keep these glide-outs on the card", make, card.glides)


def preferred_button(card: Card, for_a: int, for_b: int, neither: int) -> list[CardButton]:
    """A button to keep blind pairs: A is the present blade of the card, B its trial."""

    def make() -> Preferred:
        return Preferred(for_a, for_b, neither, *_a_and_b(card))

    return keep_button("preferred", f"keep the blind pairs on the card{_whose(card)}", make, card.preferred)


def timed_button(card: Card, session: TimedSession, drill: str = "") -> list[CardButton]:
    """A button to keep a timed session of a drill: A is the present blade of the card, B its trial."""

    def make() -> Timed:
        return replace(Timed.of(session, *_a_and_b(card)), drill=drill)

    same = [e for e in card.timed if isinstance(e.what, Timed) and e.what.session == session]
    text = f"keep the last session on the card{_whose(card)}"
    return [] if same else keep_button("timed", text, make, card.timed)


def _a_and_b(card: Card) -> tuple[Blade | None, Blade | None]:
    """The present blade of a card and its trial, as far as they are known; neither where they are the same,
    as after a grinding."""
    present = card_blade(card, SKATER.side, "present")
    return (None, None) if present == card.trial else (present, card.trial)


def blades_said() -> tuple[str, str] | None:
    """A and B of the card that is open, in words; None where it doesn't know two."""
    a, b = _a_and_b(SKATER.card) if SKATER.card else (None, None)
    return (say_blade(a), say_blade(b)) if a and b else None


def _whose(card: Card) -> str:
    """Which blades a button keeps with what was measured."""
    if all(_a_and_b(card)):
        return ": A the present blade, B the trial"
    if card.trial is not None and card.trial == card_blade(card, SKATER.side, "present"):
        return ", without the blades: present and trial are the same"
    return ", without the blades: it doesn't know both"
