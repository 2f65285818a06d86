"""Contacts and frictions for panels: solved together, and remembered over the last few settings.

A slider mostly moves one blade of two; what belongs to the other is not solved again.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Sequence
from dataclasses import fields, is_dataclass
from typing import Any, Generic, TypeVar

import numpy as np

from bladelab.physics.contact import Case, Contact, solve_contact, solve_contacts
from bladelab.physics.glide import Case as GlideCase
from bladelab.physics.glide import Friction, frictions_of_contacts

SomeCase = TypeVar("SomeCase")
Result = TypeVar("Result")
_KEPT = 200


class Remembering(Generic[SomeCase, Result]):
    """Call with cases: those that are not remembered are solved in one call of `solve`."""

    def __init__(self, solve: Callable[[Sequence[SomeCase]], list[Result]]) -> None:
        self._solve = solve
        self._known: dict[Hashable, Result] = {}

    def __call__(self, cases: Sequence[SomeCase]) -> list[Result]:
        """Return the result of each case; raise what `solve` raises."""
        keys = [_plain(case) for case in cases]
        missing = {key: case for key, case in zip(keys, cases, strict=True) if key not in self._known}
        self._known |= zip(missing, self._solve(list(missing.values())), strict=True)
        found = [self._known[key] for key in keys]
        while len(self._known) > _KEPT:
            del self._known[next(iter(self._known))]  # the oldest
        return found


def _plain(value: Any) -> Hashable:
    """A value with the same meaning that can be compared, arrays and all."""
    if isinstance(value, np.ndarray):
        return value.shape, value.tobytes()
    if isinstance(value, tuple):
        return tuple(map(_plain, value))
    if is_dataclass(value):
        return tuple(_plain(getattr(value, f.name)) for f in fields(value))
    return value


def _frictions(cases: Sequence[GlideCase]) -> list[Friction]:
    # The contact does not depend on the speed.
    contacts = contacts_of([(blade, stance, ice, True) for blade, stance, ice, _ in cases])
    return frictions_of_contacts(contacts, [speed for *_, speed in cases])


contacts_of = Remembering(solve_contacts)
frictions_of = Remembering(_frictions)


def named_contacts(cases: dict[str, Case]) -> dict[str, Contact]:
    """Return the contacts by name.

    Raises
    ------
    ValueError
        If one stance can't be solved; the sentence begins with the name: "present blade: ...".
    """
    try:
        return dict(zip(cases, contacts_of(list(cases.values())), strict=True))
    except ValueError:
        for name, case in cases.items():
            try:
                solve_contact(*case)
            except ValueError as problem:
                raise ValueError(f"{name} blade: {problem}") from None
        raise
