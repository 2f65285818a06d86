"""Controls as data.

A panel's controls are a list of `Slider`, `Choice`, `Tick` and `Frames`: frozen data that says what may be
set, in which group and within what range, in internal units (mm, kg, °C). dials.py makes live widgets of
them.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field, replace
from types import SimpleNamespace
from typing import Any

#: The order of groups, the same in every panel.
GROUPS = ("rocker", "hollow", "skater", "ice", "view")


@dataclass(frozen=True)
class Control:
    """What every control has.

    Attributes
    ----------
    key : str
        Its name in the state, with the unit as suffix: ``radius_mm``.
    label : str
        The label on the page.
    group : str
        One of `GROUPS`.
    column : str
        ``"present"`` or ``"trial"`` for a control of one of two blades, else ``""``. A control in a column is
        found in the state under the column: ``state.present.radius_mm``.
    when : callable, optional
        Says from the state of its column (from the whole state, if it has none) whether it is shown.
    """

    key: str
    label: str
    group: str
    column: str = field(default="", kw_only=True)
    when: Callable[[SimpleNamespace], bool] | None = field(default=None, kw_only=True)

    def __post_init__(self) -> None:
        if self.group not in GROUPS:
            raise ValueError(f"the group of {self.key!r} is {self.group!r}; it must be one of {GROUPS}")

    @property
    def name(self) -> str:
        """The name of its dial: ``"present.radius_mm"`` or ``"mass_kg"``."""
        return f"{self.column}.{self.key}" if self.column else self.key


@dataclass(frozen=True)
class Slider(Control):
    """A number from `low` to `high`, at first `default`, kept in internal units; `quantity` says how it is
    shown (see `SCALES`): ``Slider("mass_kg", "skater", "skater", 25, 130, 75, "mass")``.

    `step` is in shown units; by default that of the quantity. The quantity ``"hollow"`` gives a slider over
    the usual fractions of an inch, or a free one in mm.
    """

    low: float
    high: float
    default: float
    quantity: str = "number"
    step: float | None = None


@dataclass(frozen=True)
class Choice(Control):
    """One of several named values: `options` are pairs of text and value."""

    options: tuple[tuple[str, Any], ...]
    default: object


@dataclass(frozen=True, kw_only=True)
class Tick(Control):
    """Yes or no."""

    default: bool = False


@dataclass(frozen=True, kw_only=True)
class Frames(Control):
    """A whole number from 0 to `count` - 1 that can also be played: a stride, a season."""

    count: int
    default: int = 0
    interval_ms: int = 50


def choice_of(key: str, label: str, group: str, words: Iterable[str], default: str = "") -> Choice:
    """A choice in which the text of each value is the value itself; the first one by default."""
    options = tuple((word, word) for word in words)
    return Choice(key, label, group, options, default or options[0][0])


def preset(controls: Iterable[Control], **defaults: Any) -> list[Control]:
    """The same controls with other defaults, by key: ``preset(rocker_controls(), shape="blended")``."""
    return [
        replace(control, **({"default": defaults[control.key]} if control.key in defaults else {}))
        for control in controls
    ]


def for_both(*controls: Control, trial: dict[str, object] | None = None) -> list[Control]:
    """Put each control into both columns, *present* and *trial*.

    Parameters
    ----------
    *controls : Control
    trial : dict, optional
        Defaults of the trial blade that differ: key -> value.
    """
    pairs = []
    for control in controls:
        pairs.append(replace(control, column="present"))
        pairs += preset([replace(control, column="trial")], **(trial or {}))
    return pairs
