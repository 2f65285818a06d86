"""What the dials of a panel say that a card doesn't: the other way round of `card_dials`."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from types import SimpleNamespace
from typing import Any

from bladelab._errors import InputError
from bladelab.book.card import Card
from bladelab.shape.blade import Blade
from bladelab.shape.hollow import Hollow
from bladelab.show.controls.blade import blade_of
from bladelab.show.controls.control import Slider
from bladelab.show.controls.dials import Dial
from bladelab.show.panel.card_dials import BLADE_KEYS, ROCKER_KEYS, OnDials, shape_on_card


def moved(dials: Mapping[str, Dial], shown: OnDials, names: Iterable[str] | None = None) -> list[str]:
    """The dials that say something else than the card, in the words of the page: a rounding moves nothing."""
    return [
        name
        for name, value in shown.values.items()
        if (names is None or name in names) and not _same(dials[name], value)
    ]


def _same(dial: Dial, value: Any) -> bool:
    if dial.value == value:
        return True
    return isinstance(dial.control, Slider) and dial.positions.say(dial.value) == dial.positions.say(value)


def blade_on_dials(
    dials: Mapping[str, Dial], card: Card, side: str, column: str, shown: OnDials
) -> Blade | None:
    """The blade that the dials of a panel describe, *present* or *trial*.

    What the panel has no dials for is as on the card, and so is what its dials can't show. None if part of
    the blade is still missing, the dials describe no blade, or the panel has none in this column.
    """
    dot = f"{column}."
    own = {key: dot + key for key in BLADE_KEYS if dot + key in dials}
    around = {key: key for key in BLADE_KEYS if key in dials}
    if not (own or (column == "present" and {"radius_mm", "hollow_mm"} & set(around))):
        return None
    card_has = shape_on_card(card, side, column)
    base = card_has if column == "present" or card_has.rocker else shape_on_card(card, side, "present")
    known: dict[str, Any] = {"pivot_mm": 0.0, **base.dials}
    if "radius_mm" in own and "length_mm" in around:
        own.setdefault("length_mm", "length_mm")
    names = {**around, **own}
    if column == "trial" and card_has.rocker:  # the card's own trial comes before what both blades share
        names = own
    rocker = base.rocker
    if "radius_mm" in names and rocker is not None and names["radius_mm"] in shown.beyond:
        names = {key: name for key, name in names.items() if key not in ROCKER_KEYS}
    elif "radius_mm" in names:
        rocker = None
    for key, name in names.items():
        value = shown.values.get(name)
        known[key] = value if value is not None and _same(dials[name], value) else dials[name].value
    if rocker is not None:
        if "hollow_mm" in known and "width_mm" in known:
            return Blade(rocker, Hollow(known["hollow_mm"], known["width_mm"]))
        return None
    if not {"length_mm", "radius_mm", "hollow_mm", "width_mm"} <= set(known) and "zones" not in known:
        return None
    try:
        return blade_of(SimpleNamespace(**known))
    except (InputError, AttributeError):
        return None
