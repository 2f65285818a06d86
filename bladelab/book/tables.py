"""The tables of the book, the same in SQLite and PostgreSQL.

Every change of the book raises the number in `STATE.last`, in the same transaction: writers take turns
there, so that numbers rise in the order in which changes become visible.
"""

from __future__ import annotations

from sqlalchemy import Column, Connection, ForeignKey, Integer, MetaData, Table, Text

#: The version of the tables below; `migration.py` brings older books here.
SCHEMA_VERSION = 2

METADATA = MetaData()
STATE = Table(
    "book_state",
    METADATA,
    Column("version", Integer, nullable=False),
    Column("last", Integer, nullable=False),
)
SKATERS = Table(
    "book_skaters",
    METADATA,
    Column("code", Text, primary_key=True),
    Column("last", Integer, nullable=False),
)
ENTRIES = Table(
    "book_entries",
    METADATA,
    Column("number", Integer, primary_key=True, autoincrement=False),
    Column("skater", Text, ForeignKey("book_skaters.code", ondelete="CASCADE"), nullable=False, index=True),
    Column("happened", Text, nullable=False),
    Column("kind", Text, nullable=False),
    Column("what", Text, nullable=False),
    Column("note", Text, nullable=False),
    Column("done_by", Text, nullable=False),
)
#: Whose card is open, at each counter of a club; a book in a file has one counter, "".
CHOICES = Table(
    "book_chosen",
    METADATA,
    Column("counter", Text, primary_key=True),
    Column("skater", Text, nullable=False),
)
#: Cards as folded from the entries up to `last`, of which the latest day is `day`: only to save time.
CARDS = Table(
    "book_cards",
    METADATA,
    Column("skater", Text, ForeignKey("book_skaters.code", ondelete="CASCADE"), primary_key=True),
    Column("folded_by", Text, nullable=False),
    Column("last", Integer, nullable=False),
    Column("day", Text, nullable=False),
    Column("card", Text, nullable=False),
)


def make_tables(connection: Connection) -> None:
    """Make an empty book of the present version."""
    METADATA.create_all(connection)
    connection.execute(STATE.insert().values(version=SCHEMA_VERSION, last=0))
