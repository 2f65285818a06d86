"""The whole book in one file, out and in again: JSON to keep or move it, CSV for a spreadsheet.

Importing adds what the book does not hold yet, so that a file can be imported twice.
"""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from bladelab._cells import csv_table, date_of, unguarded
from bladelab._errors import InputError
from bladelab._files import BOOK, about, quoted, read_limited, write_whole
from bladelab._json import document_of, parsed_json
from bladelab._tables import header_of, lines_of
from bladelab.book.entry import Entry, as_text, of_text
from bladelab.book.happenings import Joined
from bladelab.book.store import Book

FILE_KIND = "bladelab book"
FILE_VERSION = 1
COLUMNS = ("number", "date", "skater", "kind", "steel", "in_words", "note", "by", "what")
_NEEDED = {*COLUMNS} - {"steel", "in_words"}  # which are in "what" too
_LEFT = "Nothing was imported"


@dataclass(frozen=True)
class Imported:
    """How an import went.

    Attributes
    ----------
    added : tuple of Entry
        With their numbers in the book.
    known : int
        How many the book held already.
    damage : tuple of str
        What could not be read, a sentence for each.
    """

    added: tuple[Entry, ...]
    known: int
    damage: tuple[str, ...] = ()

    @property
    def sentence(self) -> str:
        """It in words."""
        entries = f"{len(self.added)} {'entry' if len(self.added) == 1 else 'entries'} added"
        known = f", {self.known} known already" if self.known else ""
        return f"{entries}{known}." + "".join(f" {one}." for one in self.damage)


def export_json(book: Book, path: str | Path, replace: bool = False) -> Path:
    """Write every entry of the book to a JSON file, struck ones too, completely or not at all.

    Parameters
    ----------
    book : Book
    path : str or Path
    replace : bool
        Whether a file that is there may be replaced.

    Raises
    ------
    InputError
        If it can't be written.
    FileExistsError
        If there is a file and `replace` is False.

    Examples
    --------
    >>> import datetime, tempfile
    >>> from bladelab.book.store import open_book
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     book = open_book(Path(folder) / "book.sqlite")
    ...     added = book.add(Entry("K07", datetime.date(2026, 11, 3), Joined("U14")))
    ...     file = export_json(book, Path(folder) / "book.json")
    ...     print(import_entries(book, file).sentence)
    0 entries added, 1 known already.
    """
    return write_whole(path, book_as_json(book), replace)


def export_csv(book: Book, path: str | Path, replace: bool = False) -> Path:
    """Write every entry of the book to a CSV file, one in each row; see `export_json`.

    The columns are `COLUMNS`; ``what`` holds the details as JSON, for importing. Texts that a spreadsheet
    would run as a formula have an apostrophe in front, which importing takes away.

    Examples
    --------
    >>> import datetime, tempfile
    >>> from bladelab.book.store import open_book
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     book = open_book(Path(folder) / "book.sqlite")
    ...     added = book.add(Entry("K07", datetime.date(2026, 11, 3), Joined("U14"), by="AB"))
    ...     print(export_csv(book, Path(folder) / "book.csv").read_text().splitlines()[0])
    number,date,skater,kind,steel,in_words,note,by,what
    """
    return write_whole(path, book_as_csv(book), replace)


def book_as_json(book: Book) -> bytes:
    """Return what `export_json` writes."""
    rows = ",\n".join(json.dumps(_document(entry), ensure_ascii=False) for entry in book.entries())
    return f'{{"file": "{FILE_KIND}", "version": {FILE_VERSION}, "entries": [\n{rows}\n]}}\n'.encode()


def book_as_csv(book: Book, in_words: Callable[[Entry], str] = lambda _: "") -> bytes:
    """Return what `export_csv` writes; `in_words` says each entry for those who read the table."""
    rows = (
        (
            *(one.number, one.on.isoformat(), one.skater, one.word, one.steel, in_words(one)),
            *(one.note, one.by, as_text(one.what)),
        )
        for one in book.entries()
    )
    return csv_table(COLUMNS, rows)


def import_entries(book: Book, path: str | Path, codes: Mapping[str, str] | None = None) -> Imported:
    """Add the entries of an exported book, JSON or CSV, that the book does not hold yet: all of them or none.

    Parameters
    ----------
    book : Book
    path : str or Path
    codes : mapping of str to str, optional
        Which code a skater of the file has here. Needed where both books have a skater of one code: another
        code if they are two skaters, the same code if they are one.

    Raises
    ------
    InputError
        With the name of the file: it is no exported book or a newer bladelab wrote it, an entry can't be
        read, or a code belongs to another skater here, or may. Nothing was imported.

    Examples
    --------
    See `export_json`.
    """
    contents = read_limited(path, BOOK)
    with about(path), _nothing_imported():
        entries = [_renamed(entry, codes or {}) for entry in _entries_in(contents)]
        numbers = [entry.number for entry in entries if entry.number]
        if len(numbers) != len(set(numbers)):
            raise InputError("it holds two entries of one number")
        added = book.merge(*sorted(entries, key=lambda entry: entry.number))
    return Imported(added, len(entries) - len(added))


def _document(entry: Entry) -> dict[str, object]:
    return {
        "number": entry.number,
        "date": entry.on.isoformat(),
        "skater": entry.skater,
        "kind": entry.word,
        "what": json.loads(as_text(entry.what)),
        "note": entry.note,
        "by": entry.by,
    }


def _renamed(entry: Entry, codes: Mapping[str, str]) -> Entry:
    if (code := codes.get(entry.skater)) is None:
        return entry
    if code == entry.skater and isinstance(entry.what, Joined):
        return replace(entry, what=replace(entry.what, moved=True))
    return replace(entry, skater=code)


@contextmanager
def _nothing_imported() -> Iterator[None]:
    try:
        yield
    except InputError as problem:
        raise InputError(f"{problem}. {_LEFT}") from None


def _entries_in(contents: bytes) -> list[Entry]:
    if contents.removeprefix(b"\xef\xbb\xbf").lstrip()[:1] != b"{":
        return list(_of_csv(contents))
    entries = document_of(contents, FILE_KIND, FILE_VERSION).get("entries")
    if not isinstance(entries, list):
        raise InputError("it has no list of entries")
    return [_entry(f"entry {i} of the file", one) for i, one in enumerate(entries, 1)]


def _of_csv(contents: bytes) -> Iterator[Entry]:
    lines = lines_of(contents)
    header = header_of(lines, lambda name: name.lower() in COLUMNS)
    names = [name.lower() for name in header.names]
    if missing := sorted(_NEEDED - set(names)):
        raise InputError(f"this is no exported book: it has no column {', '.join(missing)}")
    for line, cells in _rows(lines[header.line :], header.delimiter):
        where = f"line {line + header.line}"
        told: dict[str, Any] = dict(zip(names, map(unguarded, cells), strict=False))
        try:
            told |= {"number": int(told["number"]), "date": date_of(told["date"]).isoformat()}
            told["what"] = parsed_json(told["what"].encode())
        except (KeyError, ValueError) as problem:
            said = str(problem) if isinstance(problem, InputError) else "it holds no whole entry"
            raise InputError(f"{where}: {said}") from None
        yield _entry(where, {name: told.get(name, "") for name in _NEEDED})


def _rows(lines: Iterable[bytes], delimiter: str) -> Iterator[tuple[int, list[str]]]:
    # A measured edge makes a cell longer than the module allows at first; the limit is the same for all.
    before = csv.field_size_limit(BOOK.most_bytes)
    try:
        text = io.StringIO(b"\n".join(lines).decode("utf-8"), newline="")
        reader = csv.reader(text, delimiter=delimiter, strict=True)
        for cells in reader:
            if any(cells):
                yield reader.line_num, cells
    except UnicodeDecodeError:
        raise InputError("it holds a character that is not UTF-8; save the file as 'CSV UTF-8'") from None
    except csv.Error:
        raise InputError("a quotation mark in it is out of place") from None
    finally:
        csv.field_size_limit(before)


def _entry(where: str, told: object) -> Entry:
    try:
        if not isinstance(told, dict) or set(told) != _NEEDED:
            raise InputError(f"it must hold {', '.join(sorted(_NEEDED))}, and nothing else")
        number = told["number"]
        if isinstance(number, bool) or not isinstance(number, int) or number < 0:
            raise InputError(f"number is {quoted(number)}; it must be a whole number")
        return Entry(
            told["skater"],
            date_of(str(told["date"])),
            of_text(str(told["kind"]), json.dumps(told["what"])),
            told["note"],
            told["by"],
            number,
        )
    except InputError as problem:
        raise InputError(f"{where}: {problem}") from None
