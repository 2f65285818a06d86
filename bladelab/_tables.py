"""Tables in text files, read whichever way a spreadsheet wrote them, or rejected with the line number.

Commas, semicolons or tabs between the columns; decimal points or commas; UTF-8 with or without a mark, or the
UTF-16 that spreadsheets call Unicode; line breaks inside quotation marks. Lines that begin with ``#`` are
notes. Line numbers are those that an editor shows.
"""

from __future__ import annotations

import codecs
import csv
import os
import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bladelab._cells import decimal_sign, number_of
from bladelab._errors import InputError
from bladelab._files import Kind, about, read_limited

LONGEST_LINE = 20_000
_MOST_JOINED = 20
_OPEN = "a quotation mark in it is not closed"
_SEPARATOR_LINE = re.compile(rb'"?sep=.?"?\s*', re.IGNORECASE)


@dataclass(frozen=True)
class Record:
    """One row of a table.

    Attributes
    ----------
    line : int
        Where it begins in the file, from 1.
    cells : tuple of str
        Its texts; none if the row can't be read.
    trouble : str
        Why it can't be read; empty if it can.
    last : int
        The line on which it ends; it is another if a cell holds line breaks.
    """

    line: int
    cells: tuple[str, ...]
    trouble: str = ""
    last: int = 0


def lines_of(data: bytes) -> list[bytes]:
    """Return the lines of a text file in UTF-8, without their ends.

    Raises
    ------
    InputError
        If it is marked as UTF-16 and isn't.
    """
    if data[:2] in (codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE):
        try:
            data = data.decode("utf-16").encode("utf-8")
        except UnicodeError:
            raise InputError("this isn't readable text; save it as 'CSV UTF-8'") from None
    return data.removeprefix(codecs.BOM_UTF8).splitlines()


def records(lines: Sequence[bytes], delimiter: str, width: int = 0) -> Iterator[Record]:
    """Yield every row; notes and empty rows are left out.

    A row whose quotation mark isn't closed goes on in the next lines, unless one of them is a whole row of
    `width` cells by itself: then the mark is damage, and the rows after it are safe.
    """
    at = 0
    while at < len(lines):
        first, raw = at, lines[at]
        at += 1
        if not raw.strip() or raw.lstrip(b' \t"').startswith(b"#") or _SEPARATOR_LINE.fullmatch(raw):
            continue
        cells, trouble = _split(raw, delimiter)
        if trouble == _OPEN:
            for last in range(first + 1, min(first + _MOST_JOINED, len(lines))):
                if width and len(_split(lines[last], delimiter)[0]) == width:
                    break
                joined, still = _split(b"\n".join(lines[first : last + 1]), delimiter)
                if not still:
                    cells, trouble, at = joined, "", last + 1
                if still != _OPEN:
                    break
        if trouble or any(cell.strip() for cell in cells):
            yield Record(first + 1, cells, trouble, at)


def _split(raw: bytes, delimiter: str) -> tuple[tuple[str, ...], str]:
    if len(raw) > LONGEST_LINE:
        return (), f"it has {len(raw)} characters; a line has at most {LONGEST_LINE}"
    try:
        text = raw.decode("utf-8")
    except UnicodeDecodeError as error:
        return (), (
            f"it holds a character that is not UTF-8 (byte {raw[error.start]:#x}); save the file as 'CSV "
            "UTF-8'"
        )
    if "\0" in text:
        return (), "it contains something that isn't text"
    # An open quotation mark takes in the line after, which closes it.
    reader = csv.reader([text + "\n", '"\n'], delimiter=delimiter, strict=True)
    try:
        cells = next(reader)
    except csv.Error:
        return (), "a quotation mark in it is out of place"
    return ((), _OPEN) if reader.line_num > 1 else (tuple(cells), "")


@dataclass(frozen=True)
class Header:
    """The row that names the columns: its line, the names, and the delimiter that gave them."""

    line: int
    names: tuple[str, ...]
    delimiter: str


def header_of(lines: Sequence[bytes], known: Callable[[str], bool]) -> Header:
    """Find the names of the columns, and the delimiter with which most of them are known ones.

    Raises
    ------
    InputError
        If there is no row, or the first can't be read.
    """
    found, trouble = [], "the file is empty"
    for delimiter in ",;\t":
        first = next(records(lines, delimiter), None)
        if first and first.trouble:
            trouble = f"line {first.line}: {first.trouble}"
        elif first:
            names = tuple(" ".join(cell.split()) for cell in first.cells)
            found.append((sum(map(known, names)), len(names), Header(first.line, names, delimiter)))
    if not found:
        raise InputError(trouble)
    return max(found, key=lambda pair: pair[:2])[2]


@dataclass(frozen=True)
class Table:
    """A table of numbers."""

    header: Header
    rows: tuple[Record, ...]

    def place(self, row: int) -> int:
        """The line of a row."""
        return self.rows[row].line

    def numbers(self, columns: dict[str, tuple[int, float]]) -> dict[str, NDArray[np.float64]]:
        """Read columns of numbers.

        Parameters
        ----------
        columns : dict
            Name, for messages -> place in the row, and the largest size that a number in it can have.

        Raises
        ------
        InputError
            With line and column, for the first cell that is empty, no number, or may be two numbers.
        """
        decimal = "."  # a comma between the columns leaves only the point
        if self.header.delimiter != ",":
            decimal = decimal_sign(
                (row.cells[where], largest)
                for row in self.rows
                for where, largest in columns.values()
                if where < len(row.cells)
            )
        read: dict[str, list[float]] = {name: [] for name in columns}
        for row in self.rows:
            for name, (where, largest) in columns.items():
                cell = row.cells[where] if where < len(row.cells) else ""
                if not cell.strip():
                    raise InputError(f"line {row.line} has no {name}; fill in the cell, or delete the line")
                try:
                    read[name].append(number_of(cell, decimal, largest))
                except InputError as problem:
                    raise InputError(f"line {row.line}: {name} {problem}") from None
        return {name: np.array(values) for name, values in read.items()}


def read_table(path: str | os.PathLike[str], kind: Kind, known: Callable[[str], bool]) -> Table:
    """Read a file with one table; `known` says which names of columns are meant.

    Raises
    ------
    InputError
        With the file's name and the line: a row that can't be read, or has more cells than the header.
    """
    data = read_limited(path, kind)
    with about(path):
        return _table(lines_of(data), known)


def _table(lines: Sequence[bytes], known: Callable[[str], bool]) -> Table:
    header = header_of(lines, known)
    rows = [row for row in records(lines, header.delimiter) if row.line > header.line]
    for row in rows:
        if row.trouble:
            raise InputError(f"line {row.line}: {row.trouble}")
        if any(cell.strip() for cell in row.cells[len(header.names) :]):
            advice = (
                "are there decimal commas? Then put semicolons between the columns, or use decimal points"
                if header.delimiter == ","
                else "delete the extra ones"
            )
            raise InputError(
                f"line {row.line} has {len(row.cells)} cells, the header {len(header.names)}; {advice}"
            )
    return Table(header, tuple(rows))
