"""Which setting the picture of a panel shows: the last one that works, in the units chosen now."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from types import SimpleNamespace
from typing import Generic

from bladelab._errors import InputError
from bladelab.show.canvas.result import Picture, SomeResult
from bladelab.show.wording.units_shown import UNITS


class KeptPicture(Generic[SomeResult]):
    """A view, and the last state whose picture it holds.

    Parameters
    ----------
    view : View, or another Picture
        As it was just made, in the units chosen now.
    answer : callable

    Attributes
    ----------
    answer : callable
        As it was given.
    state : SimpleNamespace or None
        The last that had a picture.
    whole : bool
        Whether the view holds that picture whole.
    """

    def __init__(self, view: Picture[SomeResult], answer: Callable[[SimpleNamespace], SomeResult]) -> None:
        self._view, self.answer, self._units = view, answer, UNITS.system
        self.state: SimpleNamespace | None = None
        self.whole = False

    def draw(self, state: SimpleNamespace) -> SomeResult:
        """Draw the answer to a state in the units chosen now, and return it."""
        answer = self.answer(state)
        self.whole = False
        if self._units != UNITS.system:
            self._view.rebuild()
            self._units = UNITS.system
        self._view.show(answer)
        self.whole, self.state = True, state
        return answer

    def keep(self) -> SomeResult | None:
        """Draw the last good state again where its picture is not whole, or in other units."""
        if self.state is not None and not (self.whole and self._units == UNITS.system):
            with suppress(InputError):  # where it can't be answered any more, the picture stays as it was
                return self.draw(self.state)
        return None

    def lay_out(self, narrow: bool) -> None:
        """Lay the view out for a page with little room, or for one with enough."""
        self._view.lay_out(narrow)
        self.whole = False
