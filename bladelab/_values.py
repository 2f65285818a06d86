"""Objects that hold arrays, compared by value: `==` of numpy compares number by number and gives an array."""

from __future__ import annotations

from collections.abc import Hashable, Mapping
from dataclasses import fields, is_dataclass
from typing import TypeVar

import numpy as np

SomeClass = TypeVar("SomeClass", bound=type)


def by_value(cls: SomeClass) -> SomeClass:
    """Let `==` and `hash` of a frozen dataclass go by what it holds; put it above `@dataclass`.

    Two are equal if they are of one class and all their fields are equal: arrays of one shape with the same
    numbers, NaN equal to NaN.
    """

    def equal(self: object, other: object) -> bool:
        return plain(self) == plain(other) if type(self) is type(other) else NotImplemented

    def hashed(self: object) -> int:
        return hash(plain(self))

    cls.__eq__ = equal  # type: ignore[assignment]
    cls.__hash__ = hashed  # type: ignore[assignment]
    return cls


def plain(value: object) -> Hashable:
    """Return a value with the same meaning that can be compared and hashed, arrays and all."""
    if isinstance(value, np.ndarray):
        if value.dtype.kind not in "biuf":
            return value.shape, tuple(plain(one) for one in value.ravel().tolist())
        # One way to write 0 and NaN, which have several bit patterns.
        numbers = value.astype(float) + 0.0
        numbers[np.isnan(numbers)] = np.nan
        return value.shape, numbers.tobytes()
    if isinstance(value, float) and value != value:
        return float, "nan"
    if isinstance(value, (tuple, list)):
        return tuple(map(plain, value))
    if isinstance(value, Mapping):
        return frozenset((key, plain(one)) for key, one in value.items())
    if is_dataclass(value) and not isinstance(value, type):
        return type(value), *(plain(getattr(value, f.name)) for f in fields(value) if f.compare)
    known: Hashable = value
    return known
