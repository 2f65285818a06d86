"""A book's database: connections, transactions, and its errors as sentences."""

from __future__ import annotations

import sqlite3
import tempfile
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager, nullcontext, suppress
from pathlib import Path
from typing import Any, TypeVar

from sqlalchemy import Connection, Engine, create_engine, event, inspect, select
from sqlalchemy.exc import DBAPIError
from sqlalchemy.pool import NullPool

from bladelab._errors import InputError
from bladelab._files import about, write_whole
from bladelab.book.place import Place
from bladelab.book.tables import METADATA, SCHEMA_VERSION, STATE

_Found = TypeVar("_Found")
#: How long one writer waits for another, s.
PATIENCE_S = 20.0


class Database:
    """The database of a book; each use has a connection of its own.

    Parameters
    ----------
    place : Place
        A file or a server.
    """

    def __init__(self, place: Place) -> None:
        self.place = place
        self._engine = _on_file(place.path) if place.path is not None else _on_server(place.url)

    def read(self, work: Callable[[Connection], _Found], nothing: _Found) -> _Found:
        """Do some reading that sees the book as it is at one moment; `nothing` if there is no book yet."""
        if not self._made():
            return nothing
        with _sentences(self.place), self._engine.connect() as connection:
            if self.place.path is None:
                connection = connection.execution_options(isolation_level="REPEATABLE READ")
            with connection.begin():
                _known_version(connection)
                return work(connection)

    def write(self, work: Callable[[Connection], _Found]) -> _Found:
        """Do some writing, all of it or nothing; the book is made first if there is none."""
        if not self._made():
            self._make()
        with _sentences(self.place), self._engine.connect() as connection:
            with connection.execution_options(writes=True).begin():
                _known_version(connection)
                return work(connection)

    def _made(self) -> bool:
        if self.place.path is not None:
            return self.place.path.exists()
        with _sentences(self.place), self._engine.connect() as connection:
            return inspect(connection).has_table(STATE.name)

    def _make(self) -> None:
        if self.place.path is None:
            with _sentences(self.place), self._engine.begin() as connection:
                # One maker at a time: the number is our own, the same for all that make a book.
                connection.exec_driver_sql("SELECT pg_advisory_xact_lock(1798412563)")
                if not inspect(connection).has_table(STATE.name):
                    _make_tables(connection)
            return
        with tempfile.TemporaryDirectory() as folder:
            empty = Path(folder) / "empty.sqlite"
            with closing(sqlite3.connect(empty)) as plain:
                plain.execute("PRAGMA journal_mode=WAL")  # the file remembers it
            with _on_file(empty).connect() as connection, connection.begin():
                _make_tables(connection)
            with suppress(FileExistsError):  # another program made it at the same time
                write_whole(self.place.path, empty.read_bytes())


def _make_tables(connection: Connection) -> None:
    METADATA.create_all(connection)
    connection.execute(STATE.insert().values(version=SCHEMA_VERSION, last=0, chosen=""))


def _known_version(connection: Connection) -> None:
    version = connection.execute(select(STATE.c.version)).scalar_one()
    if version > SCHEMA_VERSION:
        raise InputError(
            f"it was written by a newer bladelab: it has version {version}, and this one knows those up to "
            f"{SCHEMA_VERSION}. Update bladelab to use it; nothing was changed"
        )


def _on_file(path: Path) -> Engine:
    # No connection stays open: the last one to close leaves a single file, which can be copied, moved or
    # deleted, and the next one sees whatever is there then.
    def connect() -> sqlite3.Connection:
        connection = sqlite3.connect(
            f"{path.as_uri()}?mode=rw",
            uri=True,
            timeout=PATIENCE_S,
            isolation_level=None,
            check_same_thread=False,
        )
        for setting in ("synchronous=FULL", "foreign_keys=ON", "secure_delete=ON", "cell_size_check=ON"):
            connection.execute(f"PRAGMA {setting}")
        return connection

    engine = create_engine("sqlite://", creator=connect, poolclass=NullPool)

    @event.listens_for(engine, "begin")
    def begin(connection: Connection) -> None:
        writes = connection.get_execution_options().get("writes")
        # A writer takes its turn before it reads: what it read can't change before it writes.
        connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")

    return engine


def _on_server(url: str) -> Engine:
    try:
        return create_engine(url, poolclass=NullPool)
    except ModuleNotFoundError:
        raise InputError(
            "a book on a server needs a package that isn't installed; install bladelab with its extra shared"
        ) from None


@contextmanager
def _sentences(place: Place) -> Iterator[None]:
    """Turn what a user can cause, and only that, into a sentence about the book."""
    with about(place.path) if place.path is not None else nullcontext():
        try:
            yield
        except DBAPIError as problem:
            if why := _why(problem.orig):
                raise InputError(why) from None
            raise


_WHY = {
    "SQLITE_BUSY": "another program is writing to it; try again in a moment",
    "SQLITE_LOCKED": "another program is writing to it; try again in a moment",
    "SQLITE_PROTOCOL": "another program is writing to it; try again in a moment",
    "SQLITE_FULL": "it can't be written: the disk is full",
    "SQLITE_READONLY": "it can't be written: you have no permission, or its disk is read-only",
    "SQLITE_CANTOPEN": "it can't be opened: you have no permission for it or for its folder",
    "SQLITE_PERM": "it can't be opened: you have no permission for it or for its folder",
    "SQLITE_IOERR": "its disk can't be read or written just now",
    "SQLITE_NOTADB": "it is no book: it is damaged, or another kind of file",
    "SQLITE_CORRUPT": "it is damaged",
}


def _why(problem: Any) -> str:
    name = getattr(problem, "sqlite_errorname", None)
    if isinstance(name, str):
        return next((why for start, why in _WHY.items() if name.startswith(start)), "")
    return ""
