"""What a card knows, by the dials that show it: the one table for all panels.

A dial is known by its name. Those of a blade are in the column *present* or *trial*; without a column they
belong to the present blade or, in a panel that says so, to the order.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

from bladelab.book.card import Card
from bladelab.book.shape_now import ShapeNow, shape_now
from bladelab.book.steel_happenings import LEFT_AND_RIGHT, Ordered
from bladelab.book.tested_ice import TestedIce, tested_ice
from bladelab.book.upkeep import usual_hours
from bladelab.physics.ice import DROP_TEST_ICE
from bladelab.shape.blade import Blade
from bladelab.shape.hollow import Hollow
from bladelab.shape.rocker import Rocker
from bladelab.show.controls.blade import MOST_ZONES, rocker_controls
from bladelab.show.controls.blade_dials import rocker_dials
from bladelab.show.controls.control import Slider
from bladelab.show.controls.dials import Dial
from bladelab.show.wording.say import say_day, short_day
from bladelab.show.wording.units_shown import UNITS

ROCKER_KEYS = tuple(control.key for control in rocker_controls())
BLADE_KEYS = (*ROCKER_KEYS, "hollow_mm", "width_mm", "edge_radius_mm")


def _height_now(card: Card, side: str) -> float | None:
    steel = card.on(side)
    return None if steel is None or steel.height_mm is None else steel.height_mm - steel.taken_mm


def _least(card: Card, side: str) -> float | None:
    steel = card.on(side)
    return None if steel is None else steel.least_mm


def _first_cut(card: Card, side: str) -> float | None:
    """The deepest cut of what is ordered or to be tried, from the edge as it is; the worse of both sides."""
    from bladelab.workshop.cut import steel_to_remove  # one panel in twenty asks

    blade = getattr(order_on(card, side), "target", None) or card.trial
    depths = []
    for one in LEFT_AND_RIGHT:
        edge, steel = card.edge(one), card.on(one)
        known = shape_now(edge, steel.length_mm) if edge is not None and steel is not None else None
        if blade is None or known is None or known.rocker.length_mm > blade.rocker.length_mm + 0.5:
            continue
        depths.append(steel_to_remove(known.edge, blade.rocker).largest_mm)
    return max(depths, default=None)


#: Dial -> its word in "not known: ..." (empty: not said), and where the card has it.
_FACTS: dict[str, tuple[str, Callable[[Card, str], float | str | TestedIce | None]]] = {
    "mass_kg": ("weight", lambda card, _: card.mass_kg),
    "temperature_C": ("ice", lambda card, _: card.temperature_C),
    "speed_m_s": ("speed", lambda card, _: card.speed_m_s),
    # Where a card doesn't say, the ice is what pages start with: nobody is asked to keep that.
    "hardness": ("", lambda card, _: card.hardness or tested_ice(card) or DROP_TEST_ICE),
    "ice_hours": ("hours a week", lambda card, _: card.hours_per_week),
    "height_mm": ("height", _height_now),
    "least_mm": ("minimum", _least),
    "first_cut_mm": ("", _first_cut),
    "present.hours_per_sharpening": ("", lambda card, _: usual_hours(card)),
}
#: Dial -> the field of `Circumstances` in which a card keeps it.
KEPT = {"mass_kg": "mass_kg", "temperature_C": "temperature_C", "speed_m_s": "speed_m_s"}
KEPT |= {"ice_hours": "hours_per_week", "hardness": "hardness"}
#: The dials that a card keeps of a set of steel, under the same names.
KEPT_OF_STEEL = ("height_mm", "least_mm")


@dataclass
class OnDials:
    """A card as the dials of one panel can show it.

    Attributes
    ----------
    values : dict of str to value
        By the dial's name.
    unknown : list of str
        What the panel has dials for and the card doesn't know, a word each.
    cant : list of str
        What the card knows and the dials can't show, a clause each.
    beyond : set of str
        The dials that can't show what the card knows.
    """

    values: dict[str, Any] = field(default_factory=dict)
    unknown: list[str] = field(default_factory=list)
    cant: list[str] = field(default_factory=list)
    beyond: set[str] = field(default_factory=set)


@dataclass(frozen=True)
class KnownShape:
    """What a card knows of one blade; None for the rest."""

    rocker: Rocker | None = None
    hollow_mm: float | None = None
    width_mm: float | None = None
    length_mm: float | None = None
    edge_radius_mm: float | None = None  # sharp, where the hollow is known and nobody said otherwise
    whole: ShapeNow | None = None  # what the sliders can't show, and the menu of shapes can

    @property
    def blade(self) -> Blade | None:
        if self.rocker is None or self.hollow_mm is None or self.width_mm is None:
            return None
        return Blade(self.rocker, Hollow(self.hollow_mm, self.width_mm, self.edge_radius_mm or 0.0))

    @property
    def dials(self) -> dict[str, object]:
        """By key, as far as it is known and the dials can show it."""
        known = {key: getattr(self, key) for key in ("length_mm", "hollow_mm", "width_mm", "edge_radius_mm")}
        values = {key: value for key, value in known.items() if value is not None}
        if self.whole is not None:
            return values | {"shape": self.whole}
        return values | (rocker_dials(self.rocker) if self.rocker else {})


#: The card asked for last, and what was found out of it: every frame asks again.
_ASKED: tuple[Card | None, dict[tuple[str, str], KnownShape]] = (None, {})


def shape_on_card(card: Card, side: str, column: str) -> KnownShape:
    """What a card knows of the present blade, the trial or the order."""
    global _ASKED
    if _ASKED[0] is not card:
        _ASKED = (card, {})
    if (side, column) not in _ASKED[1]:
        _ASKED[1][side, column] = _find_shape(card, side, column)
    return _ASKED[1][side, column]


def _find_shape(card: Card, side: str, column: str) -> KnownShape:
    if column == "present":
        steel, edge = card.on(side), card.edge(side)
        if steel is None or edge is None:
            return KnownShape()
        known = shape_now(edge, steel.length_mm)
        edges = None if edge.hollow_mm is None else edge.edge_radius_mm or 0.0
        if known is None:
            return KnownShape(None, edge.hollow_mm, steel.width_mm, steel.length_mm, edges)
        length = known.rocker.length_mm
        return KnownShape(known.rocker, edge.hollow_mm, steel.width_mm, length, edges, _off_sliders(known))
    order = order_on(card, side) if column == "ordered" else None
    blade = card.trial if column == "trial" else None if order is None else order.target
    if blade is None:
        now = shape_on_card(card, side, "present")  # whatever is tried is on the same runner
        return KnownShape(None, None, now.width_mm, now.length_mm)
    rocker, hollow = blade.rocker, blade.hollow
    whole = _off_sliders(ShapeNow(rocker, rocker, "decided", card.trial_on, "stated"))
    edges = hollow.edge_radius_mm
    return KnownShape(rocker, hollow.radius_mm, hollow.width_mm, rocker.length_mm, edges, whole)


def _off_sliders(known: ShapeNow) -> ShapeNow | None:
    """The shape, if it was measured or has more zones than there are sliders."""
    return known if known.how == "measured" or len(known.rocker.zones) > MOST_ZONES else None


def shapes_on_card(card: Card, side: str, column: str) -> tuple[tuple[str, ShapeNow], ...]:
    """What the menu of shapes offers besides the sliders: a word and a shape each.

    Parameters
    ----------
    card : Card
    side : {"left", "right"}
        Whose edge is the present one. The other one is not looked at: finding its zones takes time.
    column : {"present", "trial", "ordered"}
    """
    if column == "trial":
        whole = shape_on_card(card, "left", "trial").whole
        return () if whole is None else (("the trial on the card", whole),)
    if column == "ordered":
        whole = shape_on_card(card, "left", "ordered").whole
        return () if whole is None else (("as ordered", whole),)
    whole = shape_on_card(card, side, "present").whole
    if whole is None:
        return ()
    day = f" {short_day(whole.on)}" if whole.on else ""
    return ((f"{side} as {whole.how}{day}", whole),)


def ices_on_card(card: Card | None) -> tuple[tuple[str, TestedIce], ...]:
    """What the menu of ices offers besides its own: the ice as it was last tested, if it was."""
    tested = tested_ice(card)
    return () if tested is None else ((f"as tested, rink {tested.rink}, {say_day(tested.on)}", tested),)


def order_on(card: Card, side: str) -> Ordered | None:
    """The last order for the edge on this side, else for that on the other."""
    edges = [card.edge(one) for one in sorted(LEFT_AND_RIGHT, key=lambda one: one != side)]
    return next((edge.order for edge in edges if edge is not None and edge.order is not None), None)


def card_blade(card: Card, side: str, column: str) -> Blade | None:
    """The blade that a card has as *present*, *trial* or *ordered*; None unless all of it is known."""
    return shape_on_card(card, side, column).blade


def card_on_dials(dials: Mapping[str, Dial], card: Card, side: str, plain: str = "present") -> OnDials:
    """What the dials of a panel are on this card.

    Parameters
    ----------
    dials : mapping of str to Dial
    card : Card
    side : {"left", "right"}
        Whose edge is the present one.
    plain : {"present", "ordered"}
        What the dials without a column describe.
    """
    found = OnDials()
    for name, (word, fact) in _FACTS.items():
        if name in dials:
            _put(found, dials, word, {name: fact(card, side)})
    for column in ("", "present", "trial"):
        of = column or plain
        shape, dot = shape_on_card(card, side, of), f"{column}." if column else ""
        _put_rocker(found, dials, dot, of, shape)
        for key, value in (("hollow_mm", shape.hollow_mm), ("width_mm", shape.width_mm)):
            _put(found, dials, key.removesuffix("_mm") if of == "present" else "", {dot + key: value})
        _put(found, dials, "", {f"{dot}edge_radius_mm": shape.edge_radius_mm})
    order = order_on(card, side)
    # Where no grinding was ordered, the next sharpening is to the hollow that is there.
    asked = shape_on_card(card, side, "present").hollow_mm if order is None else order.target.hollow.radius_mm
    if asked is not None:
        _put(found, dials, "", {"asked_mm": asked})
    if order is not None and plain == "ordered":  # elsewhere it is the tolerance of something else
        _put(found, dials, "", {"tolerance_mm": order.tolerance_mm})
    found.unknown = list(dict.fromkeys(found.unknown))
    return found


def _put(found: OnDials, dials: Mapping[str, Dial], word: str, values: Mapping[str, object]) -> None:
    """Take over what belongs together, for the dials that are there, if each of them can show it."""
    values = {name: value for name, value in values.items() if name in dials}
    if any(value is None for value in values.values()):
        found.unknown += [word] if word else []
        return
    wrong = [said for name, value in values.items() if (said := beyond(dials[name], value))]
    if wrong:
        found.cant += wrong
        found.beyond |= set(values)
    else:
        found.values |= values


def _put_rocker(found: OnDials, dials: Mapping[str, Dial], dot: str, of: str, shape: KnownShape) -> None:
    """Take over a rocker completely or not at all: half of one would be another."""
    own = {key for key in ROCKER_KEYS if dot + key in dials}
    if "radius_mm" not in own:
        _put(found, dials, "length" if of == "present" else "", {f"{dot}length_mm": shape.length_mm})
        return
    if shape.rocker is None:
        found.unknown += {"present": ["rocker"], "ordered": ["shape ordered"]}.get(of, [])
        if shape.length_mm is not None:
            _put(found, dials, "", {f"{dot}length_mm": shape.length_mm})
        return
    if shape.whole is not None and "shape" in own:
        _put(found, dials, "", {f"{dot}shape": shape.whole})
        return
    count, said = len(shape.rocker.zones), "the rocker ordered" if of == "ordered" else f"the {of} rocker"
    shared = None if "length_mm" in own or "length_mm" not in dials else dials["length_mm"].value
    shared = shared and found.values.get("length_mm", shared)
    if count > 1 and "shape" not in own:
        said += f" has {count} zones, and this panel has dials for one radius"
    elif shared is not None and abs(shared - shape.rocker.length_mm) > 0.05:
        said += f" is {shape.rocker.length_mm:.0f} mm long, and this panel has one length for both"
    else:
        values = rocker_dials(shape.rocker)
        _put(found, dials, "", {dot + key: value for key, value in values.items()})
        return
    found.cant.append(said)
    found.beyond |= {dot + key for key in own}


def beyond(dial: Dial, value: Any) -> str:
    """Say that a dial can't show a value; empty if it can."""
    control = dial.control
    if not isinstance(control, Slider) or control.low <= value <= control.high:
        return ""
    low, high, shown = (UNITS.say(control.quantity, one) for one in (control.low, control.high, value))
    return f"{control.label} is {shown}, and its dial goes from {low} to {high}"
