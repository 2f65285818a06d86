"""What is whole in a damaged book, read into memory; the file itself is left as it is."""

from __future__ import annotations

import os
import shutil
import sqlite3
import tempfile
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

from sqlalchemy import Engine, create_engine
from sqlalchemy.pool import StaticPool

from bladelab.book.rows import DamagedRow, Row, entry_of, row_of
from bladelab.book.tables import ENTRIES, SKATERS, STATE, make_tables

_COLUMNS = ", ".join(column.name for column in ENTRIES.columns)
_SHORTEST_ROW = 30  # bytes: no file holds more rows than its size tells
_ENOUGH = 200_000  # unreadable places, after which the rest is given up


def rescued(path: Path) -> tuple[Engine, int]:
    """Return a book in memory with every entry that can be read, and their number."""
    entries = []
    for row in _rows(path):
        try:
            entries.append(entry_of(row))
        except DamagedRow:
            continue
    engine = create_engine("sqlite://", poolclass=StaticPool, connect_args={"check_same_thread": False})
    with engine.begin() as connection:
        make_tables(connection)
        if entries:
            newest = {entry.skater: entry.number for entry in entries}
            connection.execute(SKATERS.insert(), [{"code": c, "last": n} for c, n in newest.items()])
            connection.execute(ENTRIES.insert(), [row_of(entry) for entry in entries])
            connection.execute(STATE.update().values(last=entries[-1].number))
    return engine, len(entries)


def _rows(path: Path) -> Iterator[Row]:
    """The rows that can be read in a file, even where its end is missing."""
    with path.open("rb") as file:
        head = file.read(32)
    # Of a page, in bytes; and how many there are (SQLite's file format).
    size = int.from_bytes(head[16:18], "big")
    missing = int.from_bytes(head[28:32], "big") * (65536 if size == 1 else size) - path.stat().st_size
    if not 0 < missing < 100 * path.stat().st_size:
        yield from _rows_of(path)
        return
    # SQLite opens no file that ends too early: it is given a copy with empty pages at the end.
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(folder) / "copy.sqlite"
        shutil.copyfile(path, copy)
        os.truncate(copy, path.stat().st_size + missing)
        yield from _rows_of(copy)


def _rows_of(path: Path) -> Iterator[Row]:
    for how in ("mode=ro", "immutable=1"):
        with closing(sqlite3.connect(f"{path.as_uri()}?{how}", uri=True)) as connection:
            connection.text_factory = lambda text: text.decode("utf-8", "replace")
            try:
                connection.execute("SELECT 1 FROM sqlite_master").fetchall()
            except sqlite3.DatabaseError:
                continue  # its folder can only be read, or nothing is whole
            yield from _readable(connection, _most(connection, path))
            return


def _most(connection: sqlite3.Connection, path: Path) -> int:
    """The largest number an entry can have."""
    for query in ("SELECT last FROM book_state", "SELECT max(number) FROM book_entries"):
        try:
            most = connection.execute(query).fetchone()[0]
        except (sqlite3.DatabaseError, TypeError):
            continue
        if isinstance(most, int):
            return most
    return path.stat().st_size // _SHORTEST_ROW


def _readable(connection: sqlite3.Connection, most: int) -> Iterator[Row]:
    """The rows that can be read: where some of a stretch can't, its halves are tried."""
    left, failed = [(1, most)], 0
    while left and failed < _ENOUGH:
        low, high = left.pop()
        try:
            yield from connection.execute(
                f"SELECT {_COLUMNS} FROM book_entries WHERE number BETWEEN ? AND ? ORDER BY number",
                (low, high),
            ).fetchall()
        except sqlite3.DatabaseError:
            failed += 1
            if low < high:
                middle = (low + high) // 2
                left += [(middle + 1, high), (low, middle)]
