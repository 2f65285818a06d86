"""Reject the impossible: every message names the value, the allowed range and the unit."""

from __future__ import annotations

import datetime
import inspect
import sys
from collections.abc import Callable, Collection, Iterable, Mapping
from functools import wraps
from typing import TypeAlias, TypeVar

import numpy as np

from bladelab._errors import InputError
from bladelab._types import Array, Numbers, OneOrMany

SomeKind = TypeVar("SomeKind")
#: What `takes` can ask for: a type, one of several, a list of one, or `callable` for a function.
Wanted: TypeAlias = type | tuple[type, ...] | list[type] | Callable[[object], bool]
#: What a number must be: unit, least and most, and whether it must be more than that, or less.
Range: TypeAlias = (
    tuple[str, float, float] | tuple[str, float, float, bool] | tuple[str, float, float, bool, bool]
)
SomeFunction = TypeVar("SomeFunction", bound=Callable[..., object])


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
    value: object,
    unit: str,
    low: float = -np.inf,
    high: float = np.inf,
    low_open: bool = False,
    high_open: bool = False,
) -> OneOrMany:
    """Return `value` as a float, or as a read-only float array, if every number of it lies in the range.

    Raises
    ------
    ValueError
        If a number is not finite or out of range, or if `value` is not a number at all: a text that looks
        like one, a truth value, a complex number and an array of objects are none.
    """
    if isinstance(value, (float, int)) and value is not True and value is not False:
        # By far most calls: a plain comparison takes a tenth of the time of an array.
        if abs(value) <= sys.float_info.max:
            if (low < value if low_open else low <= value) and (value < high if high_open else value <= high):
                return float(value)
            value = float(value)
    range_of = low, high, unit, low_open, high_open
    array = _as_floats(value)
    if array is None:
        raise InputError(f"{name} is {shown(value)}; it must be a number, {allowed(*range_of)}")
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


def _as_floats(value: object) -> Array | None:
    """Return a new array of floats; None where something is not a number."""
    if isinstance(value, (list, tuple)) and any(part is True or part is False for part in value):
        return None
    try:
        given = np.asarray(value)
        if given.dtype.kind in "iuf":
            with np.errstate(over="ignore"):
                return given.astype(float)
    except (TypeError, ValueError, OverflowError):
        pass
    return None


def shown(value: object) -> str:
    """Return what was given, as a message quotes it: at most 60 characters of it."""
    return f"{value!r:.60}"


def kind(name: str, value: SomeKind, wanted: type | tuple[type, ...], words: str = "") -> SomeKind:
    """Return `value` if it is of the wanted kind.

    Parameters
    ----------
    name : str
        What the caller calls it.
    value : object
    wanted : type or tuple of types
    words : str
        What it must be, in words; "" for the name of the type.

    Raises
    ------
    ValueError
        If it is not.
    """
    if isinstance(value, wanted):
        return value
    if not words:
        kinds = wanted if isinstance(wanted, tuple) else (wanted,)
        words = " or ".join(f"{'an' if k.__name__[0] in 'AEIOU' else 'a'} {k.__name__}" for k in kinds)
    raise InputError(f"{name} is {shown(value)}; it must be {words}")


def one_of(name: str, value: object, words: Iterable[str]) -> str:
    """Return `value` if it is one of the words.

    Parameters
    ----------
    name : str
        What the caller calls it.
    value : object
    words : iterable of str

    Raises
    ------
    ValueError
        If it is none of them; it names them all.
    """
    known = list(words)
    if isinstance(value, str) and value in known:
        return value
    raise InputError(f"{name} is {shown(value)}; it must be one of {', '.join(known)}")


def each(name: str, value: SomeKind, wanted: type) -> SomeKind:
    """Return `value` if it is a list or the like and each of its members is of the wanted kind."""
    if isinstance(value, (str, bytes)) or not isinstance(value, Collection):
        raise InputError(f"{name} is {shown(value)}; it must be a list of {wanted.__name__}")
    for i, member in enumerate(value):
        kind(f"{name}[{i}]", member, wanted)
    return value


def takes(**wanted: Wanted) -> Callable[[SomeFunction], SomeFunction]:
    """Refuse arguments of the wrong kind, parameter by parameter, before a function sees them.

    Parameters
    ----------
    **wanted : type, tuple of types, list of one type, or `callable`
        By the name of the parameter: what it must be; ``[Trial]`` is a sequence of trials. None is taken
        where it is the default.

    Examples
    --------
    >>> @takes(gliding=bool)
    ... def settles(gliding=False):
    ...     return gliding
    >>> settles("no")
    Traceback (most recent call last):
    bladelab._errors.InputError: gliding is 'no'; it must be True or False
    """

    def check(name: str, value: object, given: Wanted, default: object) -> None:
        if value is None and default is None:
            return
        if given is bool:
            kind(name, value, (bool, np.bool_), "True or False")
        elif isinstance(given, list):
            each(name, value, given[0])
        elif isinstance(given, type | tuple):
            kind(name, value, given)
        elif not given(value):
            raise InputError(f"{name} is {shown(value)}; it must be a function")

    def around(function: SomeFunction) -> SomeFunction:
        parameters = inspect.signature(function).parameters
        names, defaults = list(parameters), {name: one.default for name, one in parameters.items()}

        @wraps(function)
        def checked(*args: object, **named: object) -> object:
            for name, value in (*zip(names, args, strict=False), *named.items()):
                if name in wanted:
                    check(name, value, wanted[name], defaults[name])
            return function(*args, **named)

        return checked  # type: ignore[return-value]

    return around


def number(
    name: str,
    value: object,
    unit: str,
    low: float = -np.inf,
    high: float = np.inf,
    low_open: bool = False,
    high_open: bool = False,
) -> float:
    """Like `numbers`, for one number only."""
    if not isinstance(value, (float, int)):
        array = _as_floats(value)
        if array is not None and array.ndim:
            raise InputError(f"{name} is an array of shape {array.shape}; it must be one number")
    return float(numbers(name, value, unit, low, high, low_open, high_open))


def keep(case: object, **values: object) -> None:
    """Give fields of a frozen dataclass, in its `__post_init__`, values that were checked."""
    for name, value in values.items():
        object.__setattr__(case, name, value)


def keep_number(case: object, prefix: str = "", **ranges: Range) -> None:
    """Check fields of a frozen dataclass as `number` does, and keep them as floats.

    Parameters
    ----------
    case : dataclass
    prefix : str
        Put before the name of a field in a message.
    **ranges : (unit, low, high), (unit, low, high, low_open) or (unit, low, high, low_open, high_open)
        By the name of the field.
    """
    keep(case, **{name: number(prefix + name, getattr(case, name), *of) for name, of in ranges.items()})


def keep_numbers(case: object, prefix: str = "", **ranges: Range) -> None:
    """The same for fields that may be arrays: checked as `numbers` does."""
    keep(case, **{name: numbers(prefix + name, getattr(case, name), *of) for name, of in ranges.items()})


def number_if_known(
    name: str, value: object, unit: str, low: float = -np.inf, high: float = np.inf
) -> float | None:
    """Like `number`, for one that may be unknown: None."""
    return None if value is None else number(name, value, unit, low, high)


def shared_shape(named: Mapping[str, Numbers]) -> tuple[int, ...]:
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


def as_rows(named: Mapping[str, Numbers]) -> tuple[tuple[int, ...], Array]:
    """Return that shape, and a row of numbers for each name: array, (names, numbers)."""
    shape = shared_shape(named)
    return shape, np.array([np.broadcast_to(v, shape).ravel() for v in named.values()], dtype=float)


def one_line(name: str, value: object, longest: int, least: int = 0) -> str:
    """Return `value` if it is a text on one line of `least` to `longest` characters, with no control
    character.

    Raises
    ------
    ValueError
        If it is not.
    """
    # A line ends at more than "\n"; half a surrogate pair can't be written to a file.
    if (
        not isinstance(value, str)
        or any(ord(c) < 32 or c in "\x7f\x85\u2028\u2029" or "\ud800" <= c <= "\udfff" for c in value)
        or not least <= len(value) <= longest
        or len(value.strip()) < least
    ):
        count = f"at most {longest}" if least == 0 else f"{least} to {longest}"
        raise InputError(f"{name} is {str(value)[:80]!r}; it must be one line of {count} characters")
    return value


def checked_day(name: str, day: object) -> datetime.date:
    """Return a date from 2000 to 2100; else say in a sentence why not."""
    if isinstance(day, datetime.datetime) or not isinstance(day, datetime.date):
        raise InputError(f"{name} is {day!r:.60}; it must be a date")
    if not 2000 <= day.year <= 2100:
        raise InputError(f"{name} is {day}; it must be from 2000 to 2100")
    return day
