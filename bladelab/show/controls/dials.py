"""Dials: controls with a value, kept in internal units (mm, kg, °C) and shown in those of the notebook.

A dial is not a widget. `Dial.page` is what the page shows of it, and what comes back from the page is a
position in a scale that the dial has given it: the page can't change a value any other way.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import numpy as np

from bladelab._errors import InputError
from bladelab.show.controls.control import Choice, Control, Frames, Slider, Tick
from bladelab.show.controls.positions import Positions, positions_of
from bladelab.show.wording.units_shown import UNITS
from bladelab.units import inches

#: Scales a dial keeps: more than a page can lag behind.
_MOST_SCALES = 8


def make_dials(controls: Sequence[Control], changed: Callable[[], None]) -> dict[str, Dial]:
    """The dials of one panel, by name; each calls `changed` when its value is set from Python."""
    dials = {control.name: Dial(control, changed) for control in controls}
    if len(dials) != len(controls):
        raise ValueError("two controls of one panel have the same name")
    if "units" in dials:
        raise ValueError("a control is called 'units', as the choice of units that every panel has")
    return dials


class Dial:
    """A control with its value.

    Attributes
    ----------
    control : Control
    shown : bool
        Whether the control is on view now.
    place : int
        Controls of one group come on the page by rising place, those of one place in the order declared.
    touched : bool
        Whether a hand ever moved it or typed in it: until then its value may be an example.
    """

    def __init__(self, control: Control, changed: Callable[[], None]) -> None:
        self.control, self.shown, self.place, self.touched = control, True, 0, False
        self._changed = changed
        self._value: object = control.default  # type: ignore[attr-defined]
        self._edition = 0
        self._handed_out: dict[int, Positions] = {0: positions_of(control, self._value)}

    @property
    def value(self) -> Any:
        """The value in internal units."""
        return self._value

    @value.setter
    def value(self, value: object) -> None:
        self._value = self._checked(value)
        self.rescale()
        self._changed()

    def offer(self, options: Iterable[tuple[str, object]], value: object = None) -> None:
        """Give a choice other options, and choose the one with `value`, or the first if there is none."""
        assert isinstance(self.control, Choice)
        self.control = replace(self.control, options=tuple(options))
        values = [one for _, one in self.control.options]
        self._value = value if value in values else next(iter(values), None)
        self.rescale()

    # What the page shows and sends ----------------------------------------------------------------------

    @property
    def positions(self) -> Positions:
        """What the page can set it to now."""
        return self._handed_out[self._edition]

    def page(self) -> dict[str, object]:
        """What the page shows of this dial now; plain data."""
        positions = self.positions
        return {
            "edition": self._edition,
            "at": positions.nearest(self._value),
            "last": positions.last,
            "text": positions.say(self._value) if positions.last >= 0 else "",
            **positions.page(),
            "shown": self.shown,
            "place": self.place,
        }

    def move(self, edition: int, at: int) -> None:
        """Take a position chosen on the page, in the scale that the page had."""
        positions = self._handed_out.get(edition)
        if positions is not None and 0 <= at <= positions.last:
            self._value, self.touched = positions.value(at), True

    def type(self, text: str) -> None:
        """Take a value typed by the user, in the units shown.

        Raises
        ------
        InputError
            If it is not a number or out of range.
        """
        assert isinstance(self.control, Slider)
        scale, name = UNITS.scale(self.control.quantity), self.control.label
        plain = text.strip().replace("−", "-").removesuffix(scale.unit).strip().replace(",", ".")
        try:
            if scale.unit == "in":
                value = inches(plain)
            else:
                value = scale.kept(float(plain))
        except ValueError:
            raise InputError(f"{name} is {text[:30]!r}; it must be a number, {self._range()}") from None
        # The range is shown rounded: a value typed at an end may miss it by the rounding.
        low, high = self.control.low, self.control.high
        slack = 0.5 * 10.0**-scale.decimals / scale.factor
        if not low - slack <= value <= high + slack:
            raise InputError(f"{name} is {text.strip()[:30]}; it must be {self._range()}")
        self._value, self.touched = min(max(value, low), high), True
        self.rescale()

    def rescale(self) -> None:
        """Issue a new scale if the units chosen now or the present value call for one."""
        positions = positions_of(self.control, self._value)
        if positions != self._handed_out[self._edition]:
            self._edition += 1
            self._handed_out[self._edition] = positions
            self._handed_out.pop(self._edition - _MOST_SCALES, None)

    # Inside ---------------------------------------------------------------------------------------------

    def _checked(self, value: object) -> object:
        control, wanted = self.control, ""
        if isinstance(control, Slider):
            if not isinstance(value, float | int | np.number) or not control.low <= value <= control.high:
                wanted = f"a number from {control.low:g} to {control.high:g}"
        elif isinstance(control, Frames):
            if not isinstance(value, int | np.integer) or not 0 <= value < control.count:
                wanted = f"a whole number from 0 to {control.count - 1}"
        elif isinstance(control, Tick):
            if not isinstance(value, bool | np.bool_):
                wanted = "True or False"
        else:
            assert isinstance(control, Choice)
            if not any(value is one or value == one for _, one in control.options):
                wanted = f"one of: {', '.join(text for text, _ in control.options)}"
        if wanted:
            raise InputError(f"{control.label} is {value!r:.60}; it must be {wanted}")
        return value

    def _range(self) -> str:
        assert isinstance(self.control, Slider)
        say = self.positions.say
        return f"at least {say(self.control.low)} and at most {say(self.control.high)}"


def read(dials: Iterable[Dial]) -> SimpleNamespace:
    """The state: ``state.mass_kg``, and for columns ``state.present.radius_mm``."""
    state = SimpleNamespace()
    for dial in dials:
        control, home = dial.control, state
        if control.column:
            if not hasattr(state, control.column):
                setattr(state, control.column, SimpleNamespace())
            home = getattr(state, control.column)
        setattr(home, control.key, dial.value)
    return state
