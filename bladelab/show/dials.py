"""Dials: live widgets made from controls.

A dial keeps its value in the units of the house (mm, kg, °C), shows it in the units of the notebook and
converts at its edge.

No message from the page changes a value that nobody moved, for three reasons. A widget's range never changes:
where other units ask for another range, a new widget takes its place, and nobody listens to the old one. A
slider's numbers are read as whole steps, so that a browser which rounds what it was given names the step it
was given. And a value that lies between two steps is offered as one more step of its own, so that the browser
has nothing to round where it would show.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Generator, Sequence
from types import SimpleNamespace
from typing import Any

import ipywidgets as widgets
import numpy as np
from ipywidgets.widgets.trait_types import TypedTuple
from traitlets import CFloat, CInt, Int, Unicode

from bladelab._errors import InputError
from bladelab.shape.hollow import USUAL_HOLLOWS_MM
from bladelab.show.controls import Choice, Control, Frames, Slider, Tick
from bladelab.show.long_work import AtRest
from bladelab.show.preference import UNITS

_BOX = {"overflow": "visible", "width": "auto", "max_width": "100%"}
_WIDE = {"width": "430px", "margin": "1px 2px"}
_NAME = {"description_width": "160px"}


# The kernel repeats each move of a slider to every browser window, even to the one where it was moved. On a
# held key that is one message in five for nothing, so these leave it out.


class _FloatSlider(widgets.FloatSlider):
    value = CFloat(0.0).tag(sync=True, echo_update=False)


class _SelectionSlider(widgets.SelectionSlider):
    _dom_classes = TypedTuple(trait=Unicode(), default_value=("bladelab-steps",)).tag(sync=True)
    index = Int(None, allow_none=True).tag(sync=True, echo_update=False)


class _IntSlider(widgets.IntSlider):
    value = CInt(0).tag(sync=True, echo_update=False)


class _Play(widgets.Play):
    value = CInt(0).tag(sync=True, echo_update=False)


class _Looks:
    """Layouts and styles that the dials of one panel share. A panel has some thirty dials, and each widget is
    one more message to the page, and one more object there, before a notebook is open."""

    def __init__(self) -> None:
        self._made: dict[Any, Any] = {}

    def one(self, kind: type[widgets.Widget], traits: dict[str, str]) -> Any:
        """The layout or the style of this kind with these traits."""
        key = kind, *traits.items()
        if key not in self._made:
            self._made[key] = kind(**traits)
        return self._made[key]


def class_of(name: str) -> str:
    """The CSS class of the box of a dial, by which tests from outside find it: ``dial-present-radius_mm``."""
    return f"dial-{name.replace('.', '-')}"


class _Steps:
    """The whole steps of a slider in the units shown now: step number n is n times `size`.

    They are counted from 0 and not from the slider's low end, so that they hit the round numbers people ask
    for.
    """

    def __init__(self, control: Slider) -> None:
        self._low, self._high = control.low, control.high
        self.scale = UNITS.scale(control.quantity)
        self.size = control.step or self.scale.step
        self.decimals = max(self.scale.decimals, len(f"{self.size:g}".partition(".")[2]))
        self.first = math.ceil(self.scale.shown(control.low) / self.size - 1e-6)
        self.last = math.floor(self.scale.shown(control.high) / self.size + 1e-6)

    def nearest(self, shown: float) -> int:
        """The number of the step nearest to a shown value."""
        return round(shown / self.size)

    def shown(self, step: int) -> float:
        """The value of a step as shown."""
        return round(step * self.size, 9)

    def kept(self, step: int) -> float:
        """The value of a step in the house's units."""
        return min(max(float(self.scale.kept(self.shown(step))), self._low), self._high)

    def text(self, shown: float) -> str:
        """A shown value as its readout says it."""
        text = f"{shown:.{self.decimals}f}"
        return text.lstrip("-") if float(text) == 0 else text


def _options(kept: list[float], value: float, text: Callable[[float], str]) -> dict[str, Any]:
    """The traits of a slider over these values, and over `value` as one more where it is none of them."""
    steps = sorted([*(step for step in kept if abs(step - value) > 1e-6), value])
    return {"options": tuple((text(step), step) for step in steps), "value": value}


def make_dials(controls: Sequence[Control], changed: Callable[[], None]) -> dict[str, Dial]:
    """The dials of one panel, by name; each calls `changed` after a change."""
    looks = _Looks()
    return {control.name: Dial(control, changed, looks) for control in controls}


class Dial:
    """A control come alive: `box` to lay out, `widget` to move, `value` in the house's units.

    For `Frames` there is a `player`, too. Made by `make_dials`.
    """

    def __init__(self, control: Control, changed: Callable[[], None], looks: _Looks) -> None:
        self.control = control
        self._changed, self._looks = changed, looks
        self._value: Any = control.default  # type: ignore[attr-defined]
        self._busy = False
        self.widget: Any = None
        self._made: tuple[Any, dict[str, Any]] = None, {}
        self.player: widgets.Play | None = None
        # What is never hidden needs no layout of its own.
        layout = widgets.Layout(**_BOX) if control.when else looks.one(widgets.Layout, _BOX)
        self.box = widgets.Box(layout=layout).add_class(class_of(control.name))
        self.units_changed()

    @property
    def value(self) -> Any:
        """The value in the house's units. Setting it moves the widget, as the reader would."""
        return self._value

    @value.setter
    def value(self, value: Any) -> None:
        self._check(value)
        self._value = value
        self.units_changed()
        if self.player:
            self.player.value = value
        self._changed()

    def _check(self, value: Any) -> None:
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
        elif isinstance(control, Choice):
            if not any(value == allowed for _, allowed in control.options):
                wanted = f"one of those offered: {', '.join(text for text, _ in control.options)}"
        if wanted:
            raise InputError(f"{control.label} is {value!r:.60}; it must be {wanted}")

    def show(self, shown: bool) -> None:
        """Show or hide the dial, if its control says when."""
        display = "" if shown else "none"
        if self.box.layout.display != (display or None):
            self.box.layout.display = display or None

    def close(self) -> None:
        """Take it off the page with all that belongs to it."""
        links = (self._link, self._link_back) if self.player else ()
        for part in (self.box, self.widget, self.player, *links):
            if part:
                part.close()

    def units_changed(self) -> None:
        """Show the value as it stands, in the units chosen now."""
        kind, traits = self._wanted()
        value = traits.pop("value")
        if (kind, traits) != self._made:
            self._made = kind, traits
            self._make(kind, value)
        elif self.widget.value != value:
            self._busy = True
            try:
                self.widget.value = value
            finally:
                self._busy = False

    def _make(self, kind: type[widgets.Widget], value: Any) -> None:
        """Make a widget with the traits wanted, and put it in the place of the one before."""
        old, style = self.widget, kind.class_traits()["style"].klass
        self.widget = kind(
            layout=self._looks.one(widgets.Layout, _WIDE),
            style=self._looks.one(style, {} if kind is widgets.Checkbox else _NAME),
            value=value,
            **self._made[1],
        )
        self.widget.observe(self._moved, names="value")
        if isinstance(self.control, Frames):
            self._add_player(self.control)
        self.box.children = (self.player, self.widget) if self.player else (self.widget,)
        if old:
            old.unobserve_all()
            old.close()

    def _moved(self, change: dict[str, Any]) -> None:
        if self._busy:
            return
        value = change["new"]
        if isinstance(self.control, Slider) and not isinstance(self.widget, widgets.SelectionSlider):
            steps = _Steps(self.control)
            if steps.nearest(value) == steps.nearest(steps.scale.shown(self._value)):
                return
            value = steps.kept(steps.nearest(value))
        self._value = value
        if self.player and self.player.value != value:
            self._follow.start()
        self._changed()

    def _wanted(self) -> tuple[type[widgets.Widget], dict[str, Any]]:
        """The kind of widget that shows the control now, and its traits."""
        control, value = self.control, self._value
        if isinstance(control, Choice):
            return widgets.Dropdown, {
                "description": control.label,
                "options": control.options,
                "value": value,
            }
        if isinstance(control, Tick):
            return widgets.Checkbox, {"description": control.label, "value": value, "indent": True}
        if isinstance(control, Frames):
            return _IntSlider, {
                "description": control.label,
                "min": 0,
                "max": control.count - 1,
                "value": value,
            }
        assert isinstance(control, Slider)
        steps = _Steps(control)
        unit = steps.scale.unit
        name = {"description": f"{control.label}, {unit}" if unit else control.label}
        if control.quantity == "hollow" and unit == "in":
            usual = [h for h in USUAL_HOLLOWS_MM if control.low <= h <= control.high]
            return _SelectionSlider, name | _options(usual, value, lambda h: UNITS.say("hollow", h))
        shown = steps.scale.shown(value)
        here = min(max(steps.nearest(shown), steps.first), steps.last)
        if steps.text(steps.shown(here)) != steps.text(shown):
            kept = [steps.kept(step) for step in range(steps.first, steps.last + 1)]
            texts = _options(kept, value, lambda kept: steps.text(steps.scale.shown(kept)))
            return _SelectionSlider, name | texts
        return _FloatSlider, {
            **name,
            "min": steps.shown(steps.first),
            "max": steps.shown(steps.last),
            "step": steps.size,
            "value": steps.shown(here),
            "readout_format": f".{steps.decimals}f",
        }

    def _add_player(self, control: Frames) -> None:
        self.player = _Play(
            value=self._value, min=0, max=control.count - 1, interval=control.interval_ms, repeat=True
        )
        # The slider is linked back only while it plays, so that playing goes on from where it is moved to.
        # Were it always, the page would tell the kernel of each step of the slider twice, which is a quarter
        # of the time to the next picture; at other times the player follows when the hand rests.
        self._link = widgets.jsdlink((self.player, "value"), (self.widget, "value"))
        self._link_back: widgets.jsdlink | None = None
        # Longer than from step to step of a held key, shorter than from the slider to the button that plays.
        self._follow = AtRest(self._let_player_follow, rest_s=0.1)
        self.player.observe(self._plays, names="playing")

    def _plays(self, change: dict[str, Any]) -> None:
        if change["new"] and not self._link_back:
            self._link_back = widgets.jsdlink((self.widget, "value"), (self.player, "value"))
        elif self._link_back and not change["new"]:
            self._link_back.close()
            self._link_back = None

    def _let_player_follow(self) -> Generator[None, None, None]:
        if self.player and not self.player.playing:
            self.player.value = self._value
        yield


def read(dials: Sequence[Dial]) -> SimpleNamespace:
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
