"""Refuse the impossible in one voice: every message names the value, the allowed range and the unit."""

from __future__ import annotations

import sys
from typing import Any

import numpy as np

from bladelab._errors import InputError


def allowed(low: float, high: float, unit: str, low_open: bool = False, high_open: bool = False) -> str:
    """Say a range in words: ``"above 0 mm and at most 20 mm"``."""
    parts = []
    if np.isfinite(low):
        parts.append(f"{'above' if low_open else 'at least'} {low:g} {unit}".rstrip())
    if np.isfinite(high):
        parts.append(f"{'below' if high_open else 'at most'} {high:g} {unit}".rstrip())
    return " and ".join(parts) or "a finite number"


def numbers(
    name: str,
    value: Any,
    unit: str,
    low: float = -np.inf,
    high: float = np.inf,
    low_open: bool = False,
    high_open: bool = False,
) -> Any:
    """Return `value` as a float, or as a read-only float array, if every number of it lies in the range.

    Raises
    ------
    ValueError
        If a number is not finite or out of range, or if `value` is no number at all.
    """
    if isinstance(value, (float, int)) and abs(value) <= sys.float_info.max:
        # By far most calls: a plain comparison takes a tenth of the time of an array.
        if (low < value if low_open else low <= value) and (value < high if high_open else value <= high):
            return float(value)
    range_of = low, high, unit, low_open, high_open
    try:
        array = np.array(value, dtype=float)
    except (TypeError, ValueError, OverflowError):
        raise InputError(f"{name} is {value!r:.60}; it must be a number, {allowed(*range_of)}") from None
    too_low = array <= low if low_open else array < low
    too_high = array >= high if high_open else array > high
    bad = ~np.isfinite(array) | too_low | too_high
    if bad.any():
        first = float(array[bad][0]) if array.ndim else float(array)
        raise InputError(f"{name} is {first:g} {unit}".rstrip() + f"; it must be {allowed(*range_of)}")
    if array.ndim == 0:
        return float(array)
    array.setflags(write=False)
    return array


def number(
    name: str, value: Any, unit: str, low: float = -np.inf, high: float = np.inf, **how: bool
) -> float:
    """Like `numbers`, for one number only."""
    if np.ndim(value) != 0:
        raise InputError(f"{name} is an array of shape {np.shape(value)}; it must be one number")
    return numbers(name, value, unit, low, high, **how)


def shared_shape(named: dict[str, Any]) -> tuple[int, ...]:
    """Return the shape to which these numbers and arrays broadcast.

    Raises
    ------
    ValueError
        If they don't, with the shapes of those that are arrays.
    """
    try:
        return np.broadcast_shapes(*map(np.shape, named.values()))
    except ValueError:
        arrays = {name: np.shape(value) for name, value in named.items() if np.ndim(value)}
        shapes = list(arrays.values())
        raise InputError(f"{', '.join(arrays)} have shapes {shapes} that do not broadcast") from None


def as_rows(named: dict[str, Any]) -> tuple[tuple[int, ...], Any]:
    """Return that shape, and a row of numbers for each name: array, (names, numbers)."""
    shape = shared_shape(named)
    return shape, np.array([np.broadcast_to(v, shape).ravel() for v in named.values()], dtype=float)


def one_line(name: str, value: Any, longest: int, least: int = 0) -> str:
    """Return `value` if it is a text on one line of `least` to `longest` characters, with no control
    character.

    Raises
    ------
    ValueError
        If it is not.
    """
    # A line ends at more than "\n"; half a surrogate pair can't be written to a file.
    good = isinstance(value, str) and not any(
        ord(c) < 32 or c in "\x7f\x85\u2028\u2029" or "\ud800" <= c <= "\udfff" for c in value
    )
    if not good or not least <= len(value) <= longest or len(value.strip()) < least:
        count = f"at most {longest}" if least == 0 else f"{least} to {longest}"
        raise InputError(f"{name} is {str(value)[:80]!r}; it must be one line of {count} characters")
    return value
