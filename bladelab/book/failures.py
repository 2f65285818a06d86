"""Errors of the database as sentences: those that a user can cause or mend, and only those."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager

from sqlalchemy.exc import DBAPIError, OperationalError

from bladelab._errors import InputError
from bladelab.book.place import Place
from bladelab.book.tables import STATE


class EntryRefused(InputError):
    """What is wrong with an entry, and not with the book."""


@contextmanager
def sentences(place: Place) -> Iterator[None]:
    """Turn what a user can cause, and only that, into a sentence that begins with the book's name."""
    try:
        yield
    except EntryRefused:
        raise
    except InputError as problem:
        said = str(problem)
        raise InputError(said if said.startswith(f"{place}") else f"{place}: {said}") from None
    except DBAPIError as problem:
        if why := _WHY.get(failure(problem)):
            raise InputError(f"{place}: {why}") from None
        if place.path is None and isinstance(problem, OperationalError):
            lines = str(problem.orig).strip().splitlines()
            raise InputError(f"{place} can't be reached: {lines[0] if lines else 'no answer'}") from None
        if f"no such table: {STATE.name}" in str(problem.orig):
            raise InputError(f"{place}: it is a database of another program, and no book") from None
        raise


@contextmanager
def plain_errors() -> Iterator[None]:
    """Errors of sqlite3 itself as SQLAlchemy reports them."""
    try:
        yield
    except sqlite3.Error as problem:
        raise DBAPIError.instance(None, None, problem, sqlite3.Error) from None


_BUSY = "another program is writing to it; try again in a moment"
_WHY = {
    "BUSY": _BUSY,
    "LOCKED": _BUSY,
    "PROTOCOL": _BUSY,
    "FULL": "it can't be written: the disk is full",
    "READONLY": "it can't be written: you have no permission, or its disk is read-only",
    "CANTOPEN": "it can't be opened: you have no permission for it or for its folder",
    "PERM": "it can't be opened: you have no permission for it or for its folder",
    "IOERR": "it can't be read or written: its disk is full, or failing",
    "NOTADB": "it is no book: it is damaged, or another kind of file",
    "CORRUPT": "it is damaged",
}


def failure(problem: Exception) -> str:
    """What SQLite calls it: ``"FULL"`` for SQLITE_FULL, ``"IOERR"`` for SQLITE_IOERR_WRITE.

    What a server reports goes by the same words. Nothing for what no user can cause.
    """
    if not isinstance(problem, DBAPIError):
        return ""
    code = str(getattr(problem.orig, "pgcode", None) or "")
    if code:
        return next((name for start, name in _SERVER_CODES.items() if code.startswith(start)), "")
    name = str(getattr(problem.orig, "sqlite_errorname", None) or "")
    return name.split("_")[1] if name.startswith("SQLITE_") else ""


#: How the codes of the server begin (appendix A of the manual of PostgreSQL 15).
_SERVER_CODES = {"53100": "FULL", "42501": "READONLY", "25006": "READONLY", "40": "BUSY", "55P03": "BUSY"}
