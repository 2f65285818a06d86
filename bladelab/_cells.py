"""One cell of a table: a number, a date or a text, as spreadsheets write them, or rejected."""

from __future__ import annotations

import csv
import datetime
import io
import math
import re
from collections.abc import Iterable, Mapping, Sequence
from types import MappingProxyType

from bladelab._errors import InputError
from bladelab._files import quoted

_NUMBER = re.compile(r"[+-]?(\d+([.,]\d*)?|[.,]\d+)([eE][+-]?\d{1,3})?", re.ASCII)
_PERHAPS_THOUSANDS = re.compile(r"[+-]?[1-9]\d{0,2}[.,]\d{3}", re.ASCII)
_THOUSANDS = re.compile(r"[+-]?\d{1,3}([.,'’ \u00a0\u202f]\d{3})+([.,]\d*)?", re.ASCII)


def number_of(cell: str, decimal: str = "", largest: float = math.inf) -> float:
    """Read a number with a decimal point or a decimal comma.

    Parameters
    ----------
    cell : str
    decimal : str
        The sign known to be this file's decimal sign, ``"."`` or ``","``; empty if not known.
    largest : float
        The largest size that the number can have. It tells 3,459 apart: where 3459 is impossible, it is
        3.459.

    Raises
    ------
    InputError
        If it is not a number, holds separators of thousands, or could be 3.459 as well as 3459.

    Examples
    --------
    >>> number_of("2,36"), number_of("-1e-3"), number_of("3,459", largest=500)
    (2.36, -0.001, 3.459)
    """
    text = cell.strip().replace("\u2212", "-")
    if not _NUMBER.fullmatch(text):
        if _THOUSANDS.fullmatch(text):
            raise InputError(f"is {quoted(cell)}; write it without separators between the thousands")
        raise InputError(f"is {quoted(cell)}; it must be a number")
    if _ambiguous(text, largest) and _sign(text) != decimal:
        plain = text.replace(",", ".")
        raise InputError(
            f"is {quoted(cell)}, which may be {plain} or {re.sub('[.,]', '', text)}; write it as "
            f"{plain}0, or without the separator"
        )
    value = float(text.replace(",", "."))
    if not math.isfinite(value):
        raise InputError(f"is {quoted(cell)}; it must be a finite number")
    return value


def decimal_sign(cells: Iterable[tuple[str, float]]) -> str:
    """Return the decimal sign that pairs of a cell and its largest size prove; nothing for none or both."""
    proved = {
        _sign(text)
        for text, largest in ((cell.strip(), largest) for cell, largest in cells)
        if _sign(text) and _NUMBER.fullmatch(text) and not _ambiguous(text, largest)
    }
    return proved.pop() if len(proved) == 1 else ""


def _sign(text: str) -> str:
    return "," if "," in text else "." if "." in text else ""


def _ambiguous(text: str, largest: float) -> bool:
    return bool(_PERHAPS_THOUSANDS.fullmatch(text)) and abs(float(re.sub("[.,]", "", text))) <= largest


_YEAR_FIRST = re.compile(r"(\d{4})([-/.])(\d{1,2})\2(\d{1,2})", re.ASCII)
_YEAR_LAST = re.compile(r"(\d{1,2})([-/.])(\d{1,2})\2(\d{4})", re.ASCII)


def date_of(cell: str) -> datetime.date:
    """Read a date: the year first, or days, months and years with dots between them, as in German.

    Raises
    ------
    InputError
        If it is not a date, or could be of two days, such as 10/5/2026.

    Examples
    --------
    >>> str(date_of("2026-10-05")), str(date_of("5.10.2026")), str(date_of("10/25/2026"))
    ('2026-10-05', '2026-10-05', '2026-10-25')
    """
    text = cell.strip()
    readings: set[datetime.date] = set()
    if first := _YEAR_FIRST.fullmatch(text):
        readings = _days((first[1], first[3], first[4]))
    elif last := _YEAR_LAST.fullmatch(text):
        readings = _days((last[4], last[3], last[1]))
        if last[2] != ".":
            readings |= _days((last[4], last[1], last[3]))
    if not readings:
        raise InputError(f"is {quoted(cell)}; it must be a date such as 2026-10-05")
    if len(readings) > 1:
        early, late = sorted(readings)
        raise InputError(f"is {quoted(cell)}, which may be {early} or {late}; write it as {early} is written")
    return readings.pop()


def _days(parts: tuple[str, str, str]) -> set[datetime.date]:
    try:
        return {datetime.date(*map(int, parts))}
    except ValueError:
        return set()


#: A spreadsheet takes what begins so for a formula to run; a cell of its own begins after each separator,
#: in case it splits the columns differently. The apostrophe is in the list so that reading gives the
#: same text.
_RUN = "=+\\-@\t\r＝＋－＠'"
_BEFORE = "(?<![^;,\t\r\n])"
_TO_GUARD = re.compile(f"{_BEFORE}(?=[{_RUN}])")
_GUARD = re.compile(f"{_BEFORE}'(?=[{_RUN}])")


def guarded(text: str) -> str:
    """Return a text that is safe in a cell: with an apostrophe before what a spreadsheet would run.

    Plain numbers stay as they are. `unguarded` gives the text back.

    Examples
    --------
    >>> guarded("=1+1"), guarded("-2"), unguarded(guarded("=1+1"))
    ("'=1+1", '-2', '=1+1')
    """
    return text if _NUMBER.fullmatch(text) else _TO_GUARD.sub("'", text)


def unguarded(cell: str) -> str:
    """Undo `guarded`."""
    return _GUARD.sub("", cell)


def significant(value: float, digits: int = 4) -> str:
    """Write a number with so many significant digits, without an exponent; nothing for what is not a number.

    Examples
    --------
    >>> significant(0.0660512345), significant(3048.0), significant(123456.0)
    ('0.06605', '3048', '123456')
    """
    if not math.isfinite(value):
        return ""
    if value == 0:
        return "0"
    after = max(0, digits - 1 - math.floor(math.log10(abs(value))))
    text = f"{value:.{after}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def csv_row(cells: Iterable[str], delimiter: str = ",") -> bytes:
    """Return one line of a CSV file in UTF-8, its texts guarded."""
    buffer = io.StringIO()
    csv.writer(buffer, delimiter=delimiter, lineterminator="\n").writerow(map(guarded, cells))
    return buffer.getvalue().encode("utf-8")


def csv_table(
    columns: Sequence[str],
    rows: Iterable[Sequence[str | float]],
    notes: Iterable[str] = (),
    about: Mapping[str, str] = MappingProxyType({}),
) -> bytes:
    """Return a table as a CSV file: every file with a table is written by this.

    Parameters
    ----------
    columns : sequence of str
    rows : iterable of sequences
        Texts are guarded, other numbers than whole ones get four significant digits.
    notes : iterable of str
        Lines put before the table, each after a ``#``: how it was made.
    about : mapping of str to str
        Columns put before the others that say the same in every row, such as whose it is.
    """

    def cell(value: str | float) -> str:
        return str(value) if isinstance(value, str | int) else significant(value)

    head = "".join(f"# {' '.join(note.split())}\n" for note in notes).encode("utf-8")
    lines = (csv_row((*about.values(), *map(cell, row))) for row in rows)
    return head + csv_row((*about, *columns)) + b"".join(lines)
