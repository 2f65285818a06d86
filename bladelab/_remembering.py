"""Results cached by their arguments, so that what no slider moved is not recomputed."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Hashable, Sequence
from typing import Generic, TypeVar

from bladelab._values import plain

SomeCase = TypeVar("SomeCase")
Solved = TypeVar("Solved")


class Remembering(Generic[SomeCase, Solved]):
    """Call with cases: those not among the last `kept` asked for are solved in one call of `solve`."""

    def __init__(self, solve: Callable[[Sequence[SomeCase]], list[Solved]], kept: int = 200) -> None:
        self._solve, self._kept = solve, kept
        self._known: OrderedDict[Hashable, Solved] = OrderedDict()  # the one asked for last comes last

    def __call__(self, cases: Sequence[SomeCase]) -> list[Solved]:
        """Return the result of each case; raise what `solve` raises."""
        keys = [plain(case) for case in cases]
        missing = {key: case for key, case in zip(keys, cases, strict=True) if key not in self._known}
        if missing:
            self._known.update(zip(missing, self._solve(list(missing.values())), strict=True))
        for key in keys:
            self._known.move_to_end(key)
        found = [self._known[key] for key in keys]
        while len(self._known) > self._kept:
            self._known.popitem(last=False)
        return found
