"""An entry of the book: what happened to whom and when, and how it is written as plain data."""

from __future__ import annotations

import datetime
import json
from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING, Any, get_args, get_origin

import numpy as np

from bladelab._checks import checked_day, kind, one_line
from bladelab._codes import checked_code
from bladelab._errors import InputError
from bladelab.advice.trial import LONGEST_NOTE
from bladelab.book.happenings import Happening
from bladelab.book.rink_happenings import IceTested
from bladelab.shape.hollow import Hollow
from bladelab.shape.rocker import Rocker

if TYPE_CHECKING:
    from cattrs import Converter

#: The kinds of entries by the word under which they are written.
KINDS: dict[str, type] = {
    cls.__name__[0].lower() + "".join(f" {c.lower()}" if c.isupper() else c for c in cls.__name__[1:]): cls
    for cls in get_args(Happening)
}
_WORDS = {cls: word for word, cls in KINDS.items()}


@dataclass(frozen=True)
class Entry:
    """One thing that happened, as the book keeps it.

    Parameters
    ----------
    skater : str
        A code such as ``"K07"``; never a name.
    on : datetime.date
        The day it happened, from 2000 to 2100.
    what : one of the classes of `bladelab.book.happenings`
    note : str
        One line, may be empty.
    by : str
        Who did it: initials or a code; at most 20 characters, may be empty.
    number : int
        Given by the book, rising from 1 in the order of writing; 0 for what is not yet written.

    Raises
    ------
    ValueError
        If one of them is invalid, naming the value and what it must be.

    Examples
    --------
    >>> import datetime
    >>> from bladelab.book.happenings import Sharpened
    >>> Entry("K07", datetime.date(2026, 11, 3), Sharpened("S1", hollow_mm=12.7)).word
    'sharpened'
    """

    skater: str
    on: datetime.date
    what: Happening
    note: str = ""
    by: str = ""
    number: int = 0

    def __post_init__(self) -> None:
        checked_code("skater", self.skater)
        checked_day("on", self.on)
        kind(
            "what",
            self.what,
            tuple(KINDS.values()),
            "something that can happen (see `bladelab.book.happenings`)",
        )
        one_line("note", self.note, LONGEST_NOTE)
        one_line("by", self.by, 20)

    @property
    def word(self) -> str:
        """What kind of entry it is, in one word or two: ``"sharpened"``."""
        return _WORDS[type(self.what)]

    @property
    def steel(self) -> str:
        """The code of the set of steel it is about; empty for one about the skater."""
        return getattr(self.what, "steel", "")


def as_text(what: Happening) -> str:
    """Write what happened as JSON, every number so that reading gives the same number."""
    return json.dumps(_converter().unstructure(what), ensure_ascii=False, allow_nan=False, sort_keys=True)


def of_text(word: str, text: str) -> Happening:
    """Read what `as_text` wrote.

    Parameters
    ----------
    word : str
        The kind of entry.
    text : str

    Raises
    ------
    InputError
        If there is no such kind, the text is not JSON, a field is missing or unknown, or a value is out of
        range.
    """
    if word not in KINDS:
        raise InputError(f"no entry is called {word!r:.60}; there are {', '.join(KINDS)}")
    try:
        document = json.loads(text)
    except (json.JSONDecodeError, RecursionError):
        raise InputError(f"what is written of {word!r} is not JSON: {text[:60]!r}") from None
    try:
        found: Happening = _converter().structure(document, KINDS[word])
    except InputError:
        raise
    except Exception as problem:
        from cattrs import transform_error

        said = "; ".join(transform_error(problem)) or str(problem)
        raise InputError(f"what is written of {word!r} can't be read: {said[:200]}") from None
    return found


@lru_cache(maxsize=1)
def _converter() -> Converter:
    from cattrs import Converter  # what has no book to read need not load it
    from cattrs.gen import make_dict_unstructure_fn, override

    converter = Converter(forbid_extra_keys=True, detailed_validation=False)
    converter.register_unstructure_hook_func(_is_array, lambda array: array.tolist())
    converter.register_structure_hook_func(_is_array, lambda numbers, _: np.asarray(numbers))
    converter.register_unstructure_hook(datetime.date, lambda day: day.isoformat())
    converter.register_structure_hook(datetime.date, lambda text, _: _day(text))
    converter.register_structure_hook(str, _only(str))
    converter.register_structure_hook(int, _only(int))
    converter.register_structure_hook(bool, _only(bool))
    converter.register_structure_hook(float, lambda value, _: float(_only((int, float))(value, float)))
    # What came later is written only where it says something: entries from before stay word for word.
    later = override(omit_if_default=True)
    converter.register_unstructure_hook(
        Hollow, make_dict_unstructure_fn(Hollow, converter, edge_radius_mm=later)
    )
    converter.register_unstructure_hook(
        IceTested,
        make_dict_unstructure_fn(
            IceTested, converter, press_crater_mm=later, press_load_N=later, press_s=later
        ),
    )
    # Checking a rocker takes longer than all the rest, and a book holds few of them many times over.
    plain = converter.copy()
    known = lru_cache(maxsize=2000)(lambda text: plain.structure(json.loads(text), Rocker))
    converter.register_structure_hook(Rocker, lambda value, _: known(json.dumps(value, sort_keys=True)))
    return converter


def _is_array(declared: object) -> bool:
    return declared is np.ndarray or get_origin(declared) is np.ndarray


def _day(text: object) -> datetime.date:
    try:
        return datetime.date.fromisoformat(str(text))
    except ValueError:
        raise InputError(f"{text!r:.60} is not a date such as 2026-10-05") from None


def _only(wanted: type | tuple[type, ...]) -> Callable[[object, object], Any]:
    def check(value: object, _: object) -> object:
        if (isinstance(value, bool) and wanted is not bool) or not isinstance(value, wanted):
            raise InputError(f"{value!r:.60} is of another kind than expected")
        return value

    return check
