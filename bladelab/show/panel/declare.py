"""A panel as a declaration: name, view, answer, controls, in one short statement."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import wraps
from types import SimpleNamespace
from typing import Any, Generic

from bladelab.show.canvas.result import Picture, SomeResult
from bladelab.show.controls.blade import ice_said
from bladelab.show.controls.control import Control
from bladelab.show.panel.engine import Panel
from bladelab.show.panel.skater import SKATER

#: What a button does with its panel.
Act = Callable[[Panel], object]

#: The button that most panels with two blades have.
COPY_PRESENT: tuple[str, Act] = (
    "start the trial from the present blade",
    lambda panel: panel.copy_column("present", "trial"),
)


@dataclass(frozen=True)
class PanelKind(Generic[SomeResult]):
    """Everything a panel is made from. Call it to make one.

    Attributes
    ----------
    name, view, answer, controls, buttons, kind, options
        As `panel` was given them.
    """

    name: str
    view: Callable[[], Picture[SomeResult]]
    answer: Callable[[SimpleNamespace], SomeResult]
    controls: tuple[Control, ...]
    buttons: tuple[tuple[str, Act], ...] = ()
    kind: type[Panel] = Panel
    options: Mapping[str, Any] = field(default_factory=dict)

    def __call__(self) -> Panel:
        _ = SKATER.card  # the picture is drawn in the units of the card
        if SKATER.may_change:  # a notebook that is run again may have opened its card long ago
            SKATER.look()
        return self.kind(self.name, self.view(), self.controls, self.answer, self.buttons, **self.options)


def panel(
    name: str,
    view: Callable[[], Picture[SomeResult]],
    answer: Callable[[SimpleNamespace], SomeResult],
    *controls: Control | Iterable[Control],
    buttons: Sequence[tuple[str, Act]] = (),
    kind: type[Panel] = Panel,
    **options: object,
) -> PanelKind[SomeResult]:
    """Declare a panel: ``bite_panel = panel("hollow", BiteView, answer, radius_control(), ...)``.

    Parameters
    ----------
    name : str
        Short, for the names of saved files.
    view : type of View, or of another Picture
        Draws what `answer` returns: both name the same type of result, which the type checker compares.
    answer : callable
        ``answer(state) -> Result``; pure. May raise InputError with a sentence for the reader.
    *controls : Control, or several
    buttons : sequence of (text, callable)
    kind : type of Panel
        For example one that sets dials itself.
    **options
        More of `Panel`: ``tabs``, ``columns_of``, ``titles``, ``open_on``, ``plain``, ``offers``.
    """
    every: list[Control] = []
    for one in controls:
        every += [one] if isinstance(one, Control) else one
    if any(control.key == "hardness" for control in every):
        answer = _naming_the_ice(answer)
    return PanelKind(name, view, answer, tuple(every), tuple(buttons), kind, options)


def _naming_the_ice(
    answer: Callable[[SimpleNamespace], SomeResult],
) -> Callable[[SimpleNamespace], SomeResult]:
    """Every picture of a panel that lets one choose the ice names the one it is for."""

    @wraps(answer)
    def named(state: SimpleNamespace) -> SomeResult:
        return replace(answer(state), ice=ice_said(state))

    return named
