"""A book's database: how it is made, and reading and writing in transactions."""

from __future__ import annotations

import hashlib
import platform
import sqlite3
import tempfile
from collections.abc import Callable
from contextlib import closing, suppress
from pathlib import Path
from typing import TypeVar

from sqlalchemy import Connection, Engine, create_engine, event, inspect, make_url
from sqlalchemy.exc import DBAPIError, NoResultFound
from sqlalchemy.pool import NullPool

from bladelab._errors import InputError
from bladelab._files import write_whole, writing
from bladelab._locked import sync_folder
from bladelab.book.failures import failure, plain_errors, sentences
from bladelab.book.migration import bring_up_to_date, version_of
from bladelab.book.place import Place
from bladelab.book.rescue import rescued
from bladelab.book.rows import DamagedRow
from bladelab.book.tables import SCHEMA_VERSION, STATE, make_tables

_Found = TypeVar("_Found")
#: How long one writer waits for another, s.
PATIENCE_S = 20.0
#: What each connection to a file is set to: a commit waits for the disk, and what is deleted is overwritten.
SETTINGS = ("synchronous=FULL", "foreign_keys=ON", "secure_delete=ON", "cell_size_check=ON")


class Database:
    """The database of a book; each use has a connection of its own.

    Parameters
    ----------
    place : Place
        A file or a server.

    Attributes
    ----------
    damage : str
        What is wrong with the file, in a sentence, once it was noticed; from then on it is only read.
    """

    def __init__(self, place: Place) -> None:
        self.place = place
        self.damage = ""
        self._engine = _on_file(place.path) if place.path is not None else _on_server(place.url)
        self._looked_over = False
        self._rescued: tuple[object, Engine] | None = None

    @property
    def counter(self) -> str:
        """A code for this computer and user at a shared book, which names neither."""
        if self.place.path is not None:
            return ""
        return hashlib.sha256(f"{platform.node()} {Path.home()}".encode()).hexdigest()[:12]

    def read(self, work: Callable[[Connection], _Found], nothing: _Found) -> _Found:
        """Do some reading that sees the book as it is at one moment; `nothing` if there is no book yet."""
        if not self._made():
            return nothing
        with sentences(self.place):
            try:
                return self._read(self._engine, work)
            except (DBAPIError, DamagedRow, NoResultFound) as problem:
                if self.place.path is None:
                    raise
                if failure(problem) == "READONLY":
                    return self._read(_on_file(_at_rest(self.place.path), "immutable=1"), work)
                if isinstance(problem, DBAPIError) and failure(problem) not in ("CORRUPT", "NOTADB"):
                    raise
                return self._read(self._whole(self.place.path), work)

    def write(self, work: Callable[[Connection], _Found]) -> _Found:
        """Do some writing, all of it or nothing; the book is made first if there is none."""
        if not self._made():
            self._make()
        with sentences(self.place):
            if self.place.path is not None and not self._looked_over:
                self._look_over(self.place.path)
            if self.damage:
                raise InputError(self.damage)
            with self._engine.connect().execution_options(writes=True) as connection, connection.begin():
                bring_up_to_date(connection)
                return work(connection)

    def tidy(self) -> None:
        """Leave no trace of what was deleted in the file and beside it."""
        with sentences(self.place), self._engine.connect() as connection:
            if self.place.path is None:
                free = connection.execution_options(isolation_level="AUTOCOMMIT")
                for table in ("book_entries", "book_skaters", "book_cards", "book_chosen"):
                    free.exec_driver_sql(f"VACUUM FULL {table}")
                return
            plain = connection.connection.driver_connection
            assert isinstance(plain, sqlite3.Connection)
            with plain_errors():
                plain.execute("PRAGMA temp_store=MEMORY")  # VACUUM copies the book
                plain.execute("VACUUM")
                if plain.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()[0]:
                    raise InputError(
                        "the entries are deleted, but another program is reading the book, and copies of "
                        "them stay in the file until it is closed"
                    )

    def _read(self, engine: Engine, work: Callable[[Connection], _Found]) -> _Found:
        with engine.connect() as connection:
            if self.place.path is None:
                connection = connection.execution_options(isolation_level="REPEATABLE READ")
            with connection.begin():
                if version_of(connection) == SCHEMA_VERSION:
                    return work(connection)
        self.write(lambda _: None)  # brings it up to date
        return self._read(engine, work)

    def _made(self) -> bool:
        if self.place.path is not None:
            if not self.place.path.exists():
                return False
            if not self.place.path.stat().st_size:
                raise InputError(f"{self.place} is an empty file; delete it to have a new book made there")
            return True
        with sentences(self.place), self._engine.connect() as connection:
            return inspect(connection).has_table(STATE.name)

    def _make(self) -> None:
        path = self.place.path
        if path is None:
            with sentences(self.place), self._engine.begin() as connection:
                # One maker at a time: the number is our own, the same for all that make a book.
                connection.exec_driver_sql("SELECT pg_advisory_xact_lock(1798412563)")
                if not inspect(connection).has_table(STATE.name):
                    make_tables(connection)
            return
        with sentences(self.place), writing(), tempfile.TemporaryDirectory() as folder:
            empty = Path(folder) / "empty.sqlite"
            with plain_errors(), closing(sqlite3.connect(empty)) as plain:
                plain.execute("PRAGMA journal_mode=WAL")  # the file remembers it
            with _on_file(empty).connect() as connection, connection.begin():
                make_tables(connection)
            with suppress(FileExistsError):  # another program made it at the same time
                write_whole(path, empty.read_bytes())
            sync_folder(path.parent)

    def _look_over(self, path: Path) -> None:
        """Before the first writing: is the file whole?"""
        try:
            with self._engine.connect() as connection:
                whole = connection.exec_driver_sql("PRAGMA quick_check(1)").scalar_one() == "ok"
        except DBAPIError as problem:
            if failure(problem) not in ("CORRUPT", "NOTADB"):
                raise
            whole = False
        if not whole:
            self._whole(path)
        self._looked_over = True

    def _whole(self, path: Path) -> Engine:
        """What is whole of a damaged file, as a book in memory."""
        with path.open("rb") as file:
            start = file.read(16)
        if start != b"SQLite format 3\x00":
            raise InputError("it is no book: it is another kind of file, or damaged from its first byte on")
        seen = _signature(path)
        if self._rescued is None or self._rescued[0] != seen:
            engine, count = rescued(path)
            self._rescued = seen, engine
            self.damage = (
                f"it is damaged, and {count} of its entries can be read; nothing can be added. Export what "
                "is left, move the file away, and import the export or your last copy into a new book"
            )
        return self._rescued[1]


def _on_file(path: Path, how: str = "mode=rw") -> Engine:
    # No connection stays open: the last one to close leaves a single file, which can be copied, moved or
    # deleted, and the next one sees whatever is there then.
    def connect() -> sqlite3.Connection:
        connection = sqlite3.connect(
            f"{path.as_uri()}?{how}",
            uri=True,
            timeout=PATIENCE_S,
            isolation_level=None,
            check_same_thread=False,
        )
        for setting in SETTINGS:
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
        return create_engine(make_url(url).set(drivername="postgresql+psycopg2"), poolclass=NullPool)
    except ValueError:  # its port is not a number
        raise InputError("the address of the book must be like postgresql://user@server/database") from None
    except ModuleNotFoundError:
        raise InputError(
            "a book on a server needs a package that isn't installed; install bladelab with its extra shared"
        ) from None


def _at_rest(path: Path) -> Path:
    """The path of a book that may only be read, if nobody is writing to it."""
    beside = path.with_name(f"{path.name}-wal")
    if beside.exists() and beside.stat().st_size:
        raise InputError(
            f"it can only be read here, and its last entries are still in {beside.name}; open it once "
            "where it can be written"
        )
    return path


def _signature(path: Path) -> object:
    files = (path, path.with_name(f"{path.name}-wal"))
    return [(f.stat().st_mtime_ns, f.stat().st_size) if f.exists() else None for f in files]
