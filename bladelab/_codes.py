"""Codes of skaters, rinks and sets of steel, in place of names."""

from __future__ import annotations

import re
from collections.abc import Iterable

from bladelab._errors import InputError

_CODE = re.compile(r"(?=.*\d)[A-Za-z0-9-]{1,12}")


def checked_code(name: str, code: object) -> str:
    """Return the code of a skater, a rink or a set of steel; else say in a sentence what a code is."""
    if not isinstance(code, str) or not _CODE.fullmatch(code):
        raise InputError(
            f"{name} is {code!r:.60}; it must be a code of at most 12 letters, digits and dashes with a "
            "digit in it, such as K07, and no name"
        )
    return code


def spelled_as(code: str, known: Iterable[str]) -> str:
    """Return the code as one that is known is spelled: k07 is K07. If none is the same, as it is.

    Examples
    --------
    >>> spelled_as("k07", ["K06", "K07"])
    'K07'
    """
    return next((one for one in known if one.casefold() == code.casefold()), code)
