"""Dials: live widgets made from controls.

A dial keeps its value in the units of the house (mm, kg, °C), shows it in the units of the notebook and
converts at its edge.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Generator, Sequence
from types import SimpleNamespace
from typing import Any

import ipywidgets as widgets
from traitlets import CFloat, CInt, Int

from bladelab._checks import number
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
        if isinstance(self.control, Slider):
            low, high = self.control.low, self.control.high
            number(self.control.label, value, "", low, high)
        self._value = value
        self.units_changed()
        if self.player:
            self.player.value = value
        self._changed()

    def show(self, shown: bool) -> None:
        """Show or hide the dial, if its control says when."""
        display = "" if shown else "none"
        if self.box.layout.display != (display or None):
            self.box.layout.display = display or None

    def units_changed(self) -> None:
        """Show the value as it stands, in the units chosen now."""
        self._busy = True
        try:
            kind, traits = self._wanted()
            if type(self.widget) is kind:
                if "options" in traits:
                    # A selection checks its value against the options it has, so these go first, and alone.
                    if self.widget.options != traits["options"]:
                        self.widget.options = traits["options"]
                    self.widget.value = traits["value"]
                else:
                    with self.widget.hold_trait_notifications():
                        for name, value in traits.items():
                            setattr(self.widget, name, value)
            else:
                style = kind.class_traits()["style"].klass
                self.widget = kind(
                    layout=self._looks.one(widgets.Layout, _WIDE),
                    style=self._looks.one(style, {} if kind is widgets.Checkbox else _NAME),
                    **traits,
                )
                self.widget.observe(self._moved, names="value")
                if isinstance(self.control, Frames):
                    self._add_player(self.control)
                self.box.children = (self.player, self.widget) if self.player else (self.widget,)
        finally:
            self._busy = False

    def _moved(self, change: dict[str, Any]) -> None:
        if self._busy:
            return
        value = change["new"]
        if isinstance(self.control, Slider) and not isinstance(self.widget, widgets.SelectionSlider):
            if self._is_rounding(value):
                return
            value = UNITS.scale(self.control.quantity).kept(value)
            value = min(max(value, self.control.low), self.control.high)
        self._value = value
        if self.player and self.player.value != value:
            self._follow.start()
        self._changed()

    def _is_rounding(self, shown: float) -> bool:
        """Whether the browser only rounded to a whole step what it was given (75 kg, 165.35 lb: 165 lb)."""
        low, step = self.widget.min, self.widget.step
        here = UNITS.scale(self.control.quantity).shown(self._value)  # type: ignore[attr-defined]
        whole = low + round((here - low) / step) * step
        return abs(shown - whole) < 1e-6 * step < abs(here - whole)

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
        scale = UNITS.scale(control.quantity)
        name = f"{control.label}, {scale.unit}" if scale.unit else control.label
        if control.quantity == "hollow" and scale.unit == "in":
            usual = [
                h for h in USUAL_HOLLOWS_MM if control.low <= h <= control.high and abs(h - value) > 1e-6
            ]
            steps = sorted([*usual, value])
            options = tuple((UNITS.say("hollow", h), h) for h in steps)
            return _SelectionSlider, {"description": control.label, "options": options, "value": value}
        step, shown = control.step or scale.step, scale.shown(value)
        # The ends lie on whole steps, so that the steps between hit the round numbers people ask for.
        traits = {
            "description": name,
            "min": min(math.ceil(scale.shown(control.low) / step - 1e-6) * step, shown),
            "max": max(math.floor(scale.shown(control.high) / step + 1e-6) * step, shown),
            "step": step,
            "value": shown,
            "readout_format": f".{max(scale.decimals, len(f'{step:g}'.partition('.')[2]))}f",
        }
        return _FloatSlider, traits

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
