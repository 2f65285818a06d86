"""Positions: what a control on the page can be set to, counted from 0.

The page knows a control's value as a whole number only. What a position means is decided here, for the scale
in which the page has it: a number in feet can never be taken for one in metres.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Protocol

from bladelab.shape.hollow import USUAL_HOLLOWS_MM
from bladelab.show.controls.control import Choice, Control, Frames, Slider, Tick
from bladelab.show.wording.say import say_edges
from bladelab.show.wording.units_shown import UNITS, Scale, after_number
from bladelab.show.wording.words import decimal


class Positions(Protocol):
    """The values that a control offers, in order."""

    @property
    def last(self) -> int:
        """The highest position."""

    def value(self, at: int) -> object:
        """The value at a position, as kept inside (mm, kg, °C)."""

    def nearest(self, value: Any) -> int:
        """The position of a value, or the nearest to it."""

    def say(self, value: Any) -> str:
        """A value in words, also one between two positions."""

    def page(self) -> dict[str, object]:
        """What the page needs to label every position."""


@dataclass(frozen=True)
class Listed:
    """Values with a text for each: a menu, a tick box, the usual hollows in inches."""

    values: tuple[object, ...]
    texts: tuple[str, ...]

    @property
    def last(self) -> int:
        return len(self.values) - 1

    def value(self, at: int) -> object:
        return self.values[at]

    def nearest(self, value: Any) -> int:
        same = (i for i, one in enumerate(self.values) if one is value or one == value)
        return next(same, 0)

    def say(self, value: Any) -> str:
        return self.texts[self.nearest(value)]

    def page(self) -> dict[str, object]:
        return {"texts": self.texts, "scale": None}


@dataclass(frozen=True)
class Even:
    """Numbers in even steps: position `at` shows ``low + at * step`` in the unit of `scale`.

    Attributes
    ----------
    low, step : float
        In shown units. The ends are whole steps, so that the steps between are the round numbers people ask
        for.
    count : int
    scale : Scale
    ends : (float, float)
        Least and greatest value as kept inside.
    trim : bool
        Whether zeros at the end of a decimal are left out: ``10 ft``, not ``10.00 ft``.
    """

    low: float
    step: float
    count: int
    scale: Scale
    ends: tuple[float, float]
    trim: bool = False

    @property
    def last(self) -> int:
        return self.count - 1

    def value(self, at: int) -> float:
        kept = self.scale.kept(self.low + at * self.step)
        return float(min(max(kept, self.ends[0]), self.ends[1]))

    def nearest(self, value: float) -> int:
        return min(max(round((self.scale.shown(value) - self.low) / self.step), 0), self.last)

    def say(self, value: float) -> str:
        text = decimal(self.scale.shown(value), self._decimals)
        if self.trim and "." in text:
            text = text.rstrip("0").rstrip(".")
        return text + self._unit

    def page(self) -> dict[str, object]:
        scale = {"low": self.low, "step": self.step, "decimals": self._decimals}
        return {"texts": None, "scale": {**scale, "trim": self.trim, "unit": self._unit}}

    @property
    def _decimals(self) -> int:
        return max(self.scale.decimals, len(f"{self.step:g}".partition(".")[2]))

    @property
    def _unit(self) -> str:
        return after_number(self.scale.unit)


def positions_of(control: Control, value: Any) -> Positions:
    """What a control that has this value can be set to, in the units chosen now."""
    if isinstance(control, Choice):
        texts, values = zip(*control.options, strict=True) if control.options else ((), ())
        return Listed(values, texts)
    if isinstance(control, Tick):
        return Listed((False, True), ("no", "yes"))
    if isinstance(control, Frames):
        return Even(0, 1, control.count, Scale(""), (0, control.count - 1))
    assert isinstance(control, Slider)
    scale = UNITS.scale(control.quantity)
    if control.quantity == "edge radius":
        return _edges(control, value)
    if control.quantity == "hollow" and scale.unit == "in":
        return _hollows(control, value)
    step = control.step or scale.step
    first = math.ceil(scale.shown(control.low) / step - 1e-6)
    last = math.floor(scale.shown(control.high) / step + 1e-6)
    trim = control.quantity == "radius" and scale.unit == "ft"
    return Even(first * step, step, last - first + 1, scale, (control.low, control.high), trim)


def _hollows(control: Slider, value: float) -> Listed:
    """The usual fractions of an inch, and the present value among them if it is none."""
    values = _with([h for h in USUAL_HOLLOWS_MM if control.low <= h <= control.high], value)
    return Listed(values, tuple(UNITS.say("hollow", h) for h in values))


def _edges(control: Slider, value: float) -> Listed:
    """Edges from sharp to dull, in even steps, and the present value among them if it is none."""
    step = UNITS.scale(control.quantity).step
    count = round((control.high - control.low) / step)
    values = _with([control.low + step * i for i in range(count + 1)], value)
    return Listed(values, tuple(say_edges(value).removesuffix(" round") for value in values))


def _with(steps: Sequence[float], value: float) -> tuple[float, ...]:
    others: Sequence[float] = [] if min(abs(step - value) for step in steps) < 1e-6 else [value]
    return tuple(sorted([*steps, *others]))
