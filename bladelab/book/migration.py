"""Books of earlier versions are brought to the present one, in one transaction.

The steps are fixed SQL: they know the tables as they were, whatever `tables.py` says today.
"""

from __future__ import annotations

from sqlalchemy import Connection, select

from bladelab._errors import InputError
from bladelab.book.tables import SCHEMA_VERSION, STATE

#: What brings a book of this version to the next one.
MIGRATION_STEPS: dict[int, tuple[str, ...]] = {
    1: (
        "CREATE TABLE book_chosen (counter TEXT NOT NULL, skater TEXT NOT NULL, PRIMARY KEY (counter))",
        "INSERT INTO book_chosen SELECT '', chosen FROM book_state WHERE chosen <> ''",
        "ALTER TABLE book_state RENAME TO book_state_1",
        "CREATE TABLE book_state (version INTEGER NOT NULL, last INTEGER NOT NULL)",
        "INSERT INTO book_state SELECT 2, last FROM book_state_1",
        "DROP TABLE book_state_1",
        "CREATE TABLE book_cards (skater TEXT NOT NULL, folded_by TEXT NOT NULL, last INTEGER NOT NULL, "
        "day TEXT NOT NULL, card TEXT NOT NULL, PRIMARY KEY (skater), "
        "FOREIGN KEY(skater) REFERENCES book_skaters (code) ON DELETE CASCADE)",
    ),
}


def version_of(connection: Connection, lock: bool = False) -> int:
    """Return the version of a book.

    Parameters
    ----------
    connection : Connection
    lock : bool
        Whether other writers must wait from here on.

    Raises
    ------
    InputError
        If a newer bladelab wrote it.
    """
    query = select(STATE.c.version)
    version = int(connection.execute(query.with_for_update() if lock else query).scalar_one())
    if version > SCHEMA_VERSION:
        raise InputError(
            f"it was written by a newer bladelab: it has version {version}, and this one knows those up to "
            f"{SCHEMA_VERSION}. Update bladelab to use it; nothing was changed"
        )
    return version


def bring_up_to_date(connection: Connection) -> None:
    """Bring a book to the present version, within a transaction that writes."""
    for version in range(version_of(connection, lock=True), SCHEMA_VERSION):
        for statement in MIGRATION_STEPS[version]:
            connection.exec_driver_sql(statement)
