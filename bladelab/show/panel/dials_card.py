"""What the dials of a panel say that a card doesn't: the other way round of `card_dials`."""

from __future__ import annotations

from collections.abc import Container, Mapping
from dataclasses import dataclass
from types import SimpleNamespace

from bladelab.book.card import Card
from bladelab.shape.blade import Blade
from bladelab.shape.rocker import Rocker
from bladelab.show.controls.blade import blade_of, hollow_of
from bladelab.show.controls.control import Slider
from bladelab.show.controls.dials import Dial
from bladelab.show.panel.card_dials import BLADE_KEYS, ROCKER_KEYS, OnDials, shape_on_card


def moved(dials: Mapping[str, Dial], shown: OnDials, names: Container[str] | None = None) -> list[str]:
    """The dials that say something else than the card, in the words of the page: a rounding moves nothing."""
    return [
        name
        for name, value in shown.values.items()
        if (names is None or name in names) and not _same(dials[name], value)
    ]


def _same(dial: Dial, value: object) -> bool:
    if dial.value == value:
        return True
    return isinstance(dial.control, Slider) and dial.positions.say(dial.value) == dial.positions.say(value)


@dataclass(frozen=True)
class BladeDials:
    """The dials of a panel that describe its present or its trial blade, and what the card adds to them.

    What the panel has no dials for is as on the card, and so is what its dials can't show.

    Attributes
    ----------
    names : dict of str to str
        The dial's name, by its key.
    rest : dict of str to value
        What the card has, by key.
    rocker : Rocker or None
        The card's, where the dials can't describe it.
    on_card : Blade or None
        The blade as the card has it, if it knows all of it.
    """

    names: dict[str, str]
    rest: dict[str, object]
    rocker: Rocker | None
    on_card: Blade | None

    def says_more(self, dials: Mapping[str, Dial], shown: OnDials) -> bool:
        """Whether they describe another blade than the card has."""
        return self.on_card is None or bool(moved(dials, shown, self.names.values()))

    def blade(self, dials: Mapping[str, Dial], shown: OnDials) -> Blade:
        """The blade; an InputError if there can be none like it."""
        known = dict(self.rest)
        for key, name in self.names.items():
            value = shown.values.get(name)
            known[key] = value if value is not None and _same(dials[name], value) else dials[name].value
        side = SimpleNamespace(**known)
        return blade_of(side) if self.rocker is None else Blade(self.rocker, hollow_of(side))


def blade_dials(
    dials: Mapping[str, Dial], card: Card, side: str, column: str, shown: OnDials
) -> BladeDials | None:
    """Find the dials of one of a panel's blades; None if it has none, or part of the blade is missing.

    Parameters
    ----------
    dials : mapping of str to Dial
    card : Card
    side : {"left", "right"}
        Whose edge is the present one.
    column : {"present", "trial"}
    shown : OnDials
        The card on these dials.
    """
    dot = f"{column}."
    own = {key: dot + key for key in BLADE_KEYS if dot + key in dials}
    around = {key: key for key in BLADE_KEYS if key in dials}
    if not (own or (column == "present" and {"radius_mm", "hollow_mm"} & set(around))):
        return None
    has = shape_on_card(card, side, column)
    base = has if column == "present" or has.rocker else shape_on_card(card, side, "present")
    if "radius_mm" in own and "length_mm" in around:
        own.setdefault("length_mm", "length_mm")
    # The card's own trial comes before what both blades of the panel share.
    names = own if column == "trial" and has.rocker else {**around, **own}
    rocker = base.rocker
    if "radius_mm" in names and rocker is not None and names["radius_mm"] in shown.beyond:
        names = {key: name for key, name in names.items() if key not in ROCKER_KEYS}
    elif "radius_mm" in names:
        rocker = None
    rest = {"pivot_mm": 0.0, **base.dials}
    needed = {"hollow_mm", "width_mm"} | ({"length_mm", "radius_mm"} if rocker is None else set())
    if not needed <= {*rest, *names}:
        return None
    return BladeDials(names, rest, rocker, has.blade)
