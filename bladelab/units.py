"""Feet, inches and inch fractions to millimetres and back.

The foot is 304.8 mm and the inch 25.4 mm exactly (international yard and pound agreement, 1959); a mile is
5280 feet. Everything inside bladelab is in millimetres; these functions are for the edges, where people read
and write.
"""

from __future__ import annotations

import re
from fractions import Fraction

from bladelab._checks import number, numbers
from bladelab._errors import InputError
from bladelab._types import Numbers, OneOrMany

#: The two ways in which people give lengths, weights and speeds.
SYSTEMS = ("feet and inches", "metric")
MM_PER_INCH = 25.4
MM_PER_FOOT = 304.8
M_PER_MILE = 1609.344

_FRACTION = re.compile(r"\s*(?:(\d+)[\s-]+)?(\d+)\s*/\s*(\d+)\s*(?:in|inch|inches|\")?\s*")
_DECIMAL = re.compile(r"\s*(\d*\.?\d+|\d+\.)\s*(?:in|inch|inches|\")?\s*")


def feet(value: Numbers) -> OneOrMany:
    """Convert feet to millimetres; a number or an array. ``feet(10)`` is 3048.0.

    Examples
    --------
    >>> feet(10)
    3048.0
    """
    return numbers("feet", value, "ft") * MM_PER_FOOT


def inches(value: Numbers | str) -> OneOrMany:
    """Convert inches to millimetres.

    Parameters
    ----------
    value : float, array or str
        Inches; a text may be a fraction: ``"5/8"``, ``"1 1/4"``, ``"5/8 in"``, or a decimal.

    Returns
    -------
    float or array
        Millimetres.

    Raises
    ------
    ValueError
        If the text is neither a fraction nor a number.

    Examples
    --------
    >>> inches("5/8")
    15.875
    >>> inches(1)
    25.4
    """
    if not isinstance(value, str):
        return numbers("inches", value, "in") * MM_PER_INCH
    if (match := _FRACTION.fullmatch(value)) and int(match[3]) > 0:
        return float((int(match[1] or 0) + Fraction(int(match[2]), int(match[3]))) * Fraction(254, 10))
    if match := _DECIMAL.fullmatch(value):
        return float(match[1]) * MM_PER_INCH
    raise InputError(f"inches is {value!r}; it must be a number or a fraction such as '5/8' or '1 1/4'")


def as_feet(mm: Numbers) -> OneOrMany:
    """Convert millimetres to feet; a number or an array. ``as_feet(3048)`` is 10.0.

    Examples
    --------
    >>> as_feet(3048.0)
    10.0
    """
    return numbers("mm", mm, "mm") / MM_PER_FOOT


def as_fraction(mm: float, denominator: int = 64) -> str:
    """Write millimetres as the nearest fraction of an inch.

    Parameters
    ----------
    mm : float
        A length of at least 0 mm.
    denominator : int
        The finest division of the inch, 1 to 1,000,000; 64 as on a rule.

    Returns
    -------
    str
        Lowest terms, with the unit.

    Examples
    --------
    >>> as_fraction(15.875)
    '5/8 in'
    >>> as_fraction(31.75)
    '1 1/4 in'
    """
    division = number("denominator", denominator, "", 1.0, 1e6)
    if division != int(division):
        raise InputError(f"denominator is {denominator}; it must be a whole number")
    denominator = int(division)
    ticks = round(number("mm", mm, "mm", low=0.0) / MM_PER_INCH * denominator)
    whole, rest = divmod(Fraction(ticks, denominator), 1)
    words = [str(whole)] if whole or not rest else []
    if rest:
        words.append(f"{rest.numerator}/{rest.denominator}")
    return " ".join(words) + " in"
