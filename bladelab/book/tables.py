"""The tables of the book, the same in SQLite and PostgreSQL.

Every change of the book raises the number in `STATE.last`, in the same transaction: writers take turns
there, so that numbers rise in the order in which changes become visible.
"""

from __future__ import annotations

from sqlalchemy import Column, ForeignKey, Integer, MetaData, Table, Text

#: What this program writes; `migration.py` brings older books here.
SCHEMA_VERSION = 1

METADATA = MetaData()
STATE = Table(
    "book_state",
    METADATA,
    Column("version", Integer, nullable=False),
    Column("last", Integer, nullable=False),
    Column("chosen", Text, nullable=False),
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
