"""A book of an earlier version is brought up to date with all that is in it; a newer one is refused."""

import datetime
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from sqlalchemy import inspect

from bladelab import InputError
from bladelab.book import migration
from bladelab.book.entry import Entry
from bladelab.book.happenings import Joined
from bladelab.book.steel_happenings import Sharpened
from bladelab.book.store import open_book

DAY = datetime.date(2026, 11, 3)
#: A book as version 1 wrote it, with two entries and a chosen skater.
VERSION_1 = (
    "CREATE TABLE book_state (version INTEGER NOT NULL, last INTEGER NOT NULL, chosen TEXT NOT NULL)",
    "CREATE TABLE book_skaters (code TEXT NOT NULL, last INTEGER NOT NULL, PRIMARY KEY (code))",
    "CREATE TABLE book_entries (number INTEGER NOT NULL, skater TEXT NOT NULL, happened TEXT NOT NULL, "
    "kind TEXT NOT NULL, what TEXT NOT NULL, note TEXT NOT NULL, done_by TEXT NOT NULL, "
    "PRIMARY KEY (number), FOREIGN KEY(skater) REFERENCES book_skaters (code) ON DELETE CASCADE)",
    "CREATE INDEX ix_book_entries_skater ON book_entries (skater)",
    "INSERT INTO book_skaters VALUES ('K07', 2)",
    "INSERT INTO book_entries VALUES (1, 'K07', '2026-11-03', 'joined', '{\"team\": \"U14\"}', '', '')",
    "INSERT INTO book_entries VALUES (2, 'K07', '2026-11-03', 'sharpened', "
    '\'{"hollow_mm": 12.7, "sides": ["left"], "steel": "S1", "taken_mm": null}\', \'blunt\', \'AB\')',
    "INSERT INTO book_state VALUES (1, 2, 'K07')",
)
ENTRIES = (
    Entry("K07", DAY, Joined("U14"), number=1),
    Entry("K07", DAY, Sharpened("S1", 12.7, ("left",)), "blunt", "AB", number=2),
)


def plainly(place, statements):
    """Run SQL on the database itself."""
    import psycopg2

    connection = sqlite3.connect(place) if isinstance(place, Path) else psycopg2.connect(place)
    with closing(connection), connection:
        cursor = connection.cursor()
        for statement in statements:
            cursor.execute(statement)


@pytest.fixture
def old(place):
    if isinstance(place, Path):
        place.parent.mkdir()
    plainly(place, VERSION_1)
    return place


def columns(place):
    """The columns of each table, as the database describes them."""
    seen = inspect(open_book(place)._database._engine)
    return {
        table: [(one["name"], str(one["type"]), one["nullable"]) for one in seen.get_columns(table)]
        + [seen.get_pk_constraint(table)["constrained_columns"]]
        + [(one["constrained_columns"], one["options"]) for one in seen.get_foreign_keys(table)]
        for table in seen.get_table_names()
    }


def test_version_1_is_brought_up_to_date(old, fresh):
    book = open_book(old)
    assert (book.entries(), book.last, book.chosen, book.skaters()) == (ENTRIES, 2, "K07", ("K07",))
    added = book.add(Entry("K08", DAY, Joined("U14")))
    assert open_book(old).entries() == (*ENTRIES, *added)
    open_book(fresh).add(Entry("K08", DAY, Joined("U14")))
    assert columns(old) == columns(fresh)


def test_writing_brings_it_up_to_date_too(old):
    added = open_book(old).add(Entry("K07", DAY, Sharpened("S1")))
    assert open_book(old).entries() == (*ENTRIES, *added) and open_book(old).chosen == "K07"


def test_a_migration_that_fails_changes_nothing(old, monkeypatch):
    before = columns(old)
    steps = migration.MIGRATION_STEPS[1]
    monkeypatch.setitem(
        migration.MIGRATION_STEPS, 1, (*steps[:-1], "CREATE TABLE book_state (version INTEGER)")
    )
    with pytest.raises(Exception, match="already exists"):
        open_book(old).entries()
    assert columns(old) == before
    monkeypatch.setitem(migration.MIGRATION_STEPS, 1, steps)
    assert open_book(old).entries() == ENTRIES and open_book(old).chosen == "K07"


def test_a_newer_book_is_refused_and_left_alone(place):
    open_book(place).add(ENTRIES[0])
    plainly(place, ["UPDATE book_state SET version = 99"])
    book = open_book(place)
    for use in (book.entries, lambda: book.chosen, lambda: book.add(ENTRIES[1]), lambda: book.forget("K07")):
        with pytest.raises(
            InputError, match=r"written by a newer bladelab: it has version 99.*nothing was changed"
        ):
            use()
    plainly(place, ["UPDATE book_state SET version = 2"])
    assert len(book.entries()) == 1
