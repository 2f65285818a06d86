"""Whatever happens to a book, what it acknowledged is there, and nothing half-written is read as whole."""

import datetime
import os
import random
import sqlite3
import sys
from contextlib import closing
from pathlib import Path

import pytest
from sqlalchemy.exc import DBAPIError

from bladelab import InputError
from bladelab.book import database, kept_cards
from bladelab.book.entry import Entry
from bladelab.book.failures import plain_errors
from bladelab.book.fold import card_of
from bladelab.book.happenings import Circumstances, Joined, Struck
from bladelab.book.steel_happenings import Sharpened
from bladelab.book.store import open_book
from tests.book import faults
from tests.book.faults import integrity
from tests.book.test_entry import ONE_OF_EACH

ROOT = Path(__file__).resolve().parents[2]
DAY = datetime.date(2026, 11, 3)


def entry(what, skater="K07", **more):
    return Entry(skater, DAY, what, **more)


@pytest.mark.slow
@pytest.mark.skipif(os.name == "nt", reason="Windows has no fork and no kill -9")
def test_a_little_of_each_trial(monkeypatch, capsys):
    """In full, they run for minutes: python -m tests.book.faults."""
    monkeypatch.setattr(sys, "argv", ["faults", "--quick"])
    faults.main()
    found = [line.rpartition(", ")[2].rpartition(": ")[2] for line in capsys.readouterr().out.splitlines()]
    assert found == ["all there", "all there", "all there", "nothing written"]


def plain(path, query):
    with closing(sqlite3.connect(path)) as connection, connection:
        row = connection.execute(query).fetchone()
    return row and row[0]


def test_a_full_book_takes_no_half_entry(full_book, monkeypatch):
    pages = 2 + plain(full_book, "PRAGMA page_count")
    monkeypatch.setattr(database, "SETTINGS", (*database.SETTINGS, f"max_page_count={pages}"))
    book = open_book(full_book)
    with pytest.raises(InputError, match=r"book.sqlite: it can't be written: the disk is full"):
        book.add(*[entry(Sharpened("S1"), note="x" * 900)] * 50)
    assert len(book.entries()) == book.last == 400
    assert integrity(full_book) == "ok"
    monkeypatch.undo()
    assert open_book(full_book).add(entry(Sharpened("S1")))[0].number == 401


def test_what_the_driver_itself_says_is_a_fault_of_the_database():
    with pytest.raises(DBAPIError, match="disk I/O error"), plain_errors():
        raise sqlite3.OperationalError("disk I/O error")


def test_a_book_in_use_is_waited_for_and_then_said(full_book, monkeypatch):
    monkeypatch.setattr(database, "PATIENCE_S", 0.01)
    with closing(sqlite3.connect(full_book, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        book = open_book(full_book)
        assert len(book.entries()) == 400
        with pytest.raises(InputError, match="another program is writing to it; try again in a moment"):
            book.add(entry(Sharpened("S1")))
        with pytest.raises(InputError, match="another program is writing to it"):
            book.choose("K3")
        other.execute("ROLLBACK")
    assert book.add(entry(Sharpened("S1")))[0].number == 401


def test_a_book_that_was_moved_away_is_made_afresh(full_book):
    """Nothing is written into a file that is no longer there."""
    book = open_book(full_book)
    moved = full_book.rename(full_book.with_name("moved.sqlite"))
    assert book.entries() == () and book.cards() == {}
    book.add(entry(Joined("U14")))
    assert len(book.entries()) == 1 and len(open_book(moved).entries()) == 400


def test_nothing_of_a_forgotten_skater_is_in_the_file(path):
    book = open_book(path)
    for i in range(30):
        book.add(entry(Sharpened("S77"), "Z9Z9", note=f"very secret {i}"), entry(Joined(f"U{i}"), f"K{i}"))
    book.choose("Z9Z9")
    book.cards()
    reader = sqlite3.connect(path)  # another program that has it open, so that its -wal stays
    reader.execute("SELECT count(*) FROM book_entries").fetchall()
    assert b"Z9Z9" in path.read_bytes()
    book.forget("Z9Z9")
    left = b"".join(file.read_bytes() for file in path.parent.glob("*book*"))
    reader.close()
    assert b"K29" in left
    for trace in (b"Z9Z9", b"S77", b"very secret"):
        assert trace not in left
    assert integrity(path) == "ok" and len(book.skaters()) == 30


def test_forgetting_says_so_where_a_reader_keeps_copies_alive(full_book, monkeypatch):
    monkeypatch.setattr(database, "PATIENCE_S", 0.01)
    with closing(sqlite3.connect(full_book, isolation_level=None)) as reader:
        reader.execute("BEGIN")
        reader.execute("SELECT count(*) FROM book_entries").fetchall()
        with pytest.raises(
            InputError, match="the entries are deleted, but another program is reading the book"
        ):
            open_book(full_book).forget("K3")
    assert "K3" not in open_book(full_book).skaters()


def test_a_clock_that_runs_back_loses_nothing(path):
    """Numbers go by the order of writing, cards by the day that was said."""
    book = open_book(path)
    days = [DAY, datetime.date(2026, 11, 1), datetime.date(2025, 1, 1), datetime.date(2026, 11, 2)]
    for i, day in enumerate(days):
        book.add(Entry("K07", day, Circumstances(mass_kg=60.0 + i)))
        assert book.card("K07") == card_of("K07", book.entries())
    assert [one.number for one in book.entries()] == [1, 2, 3, 4]
    assert book.card("K07").mass_kg == 60.0


def test_a_code_is_not_used_twice(path):
    book = open_book(path)
    book.add(entry(Joined("U14")))
    with pytest.raises(
        InputError, match="K07 is in the book already, in team U14 since 2026-11-03; give a new skater"
    ):
        book.add(entry(Circumstances(mass_kg=61.0)), entry(Joined("U16")))
    with pytest.raises(InputError, match="K08 is in the book already"):
        book.add(entry(Joined("U14"), "K08"), entry(Joined("U14"), "K08"))
    assert len(book.entries()) == 1
    book.add(entry(Joined("U16", moved=True)))
    assert book.card("K07").team == "U16"
    book.add(entry(Struck(1)), entry(Struck(2)))
    assert book.add(entry(Joined("U18")))[0].number == 5  # nobody has it any more


def test_only_what_is_there_can_be_struck_out(path):
    book = open_book(path)
    book.add(entry(Joined()), entry(Joined(), "K08"))
    for number in (2, 4, 99):
        with pytest.raises(InputError, match=f"entry {number} can't be struck out: K07 has no such entry"):
            book.add(entry(Sharpened("S1")), entry(Struck(number)))
    assert len(book.entries()) == 2


@pytest.mark.slow
def test_cards_that_are_kept_are_those_folded_from_all_entries(path, monkeypatch):
    monkeypatch.setattr(kept_cards, "WORTH_KEEPING", 1)
    chance, book = random.Random(2), open_book(path)
    choices = [what for what in ONE_OF_EACH if not isinstance(what, Joined | Struck)]
    for i in range(25):
        day = DAY + datetime.timedelta(days=i // 2 - (chance.random() < 0.2) * 5)
        what = chance.choice(choices)
        own = [one.number for one in book.entries("K1")]
        if own and chance.random() < 0.15:
            what = Struck(chance.choice(own))
        book.add(Entry("K1", day, what), Entry("K2", day, Circumstances(mass_kg=50.0 + i)))
        expected = card_of("K1", book.entries())
        assert open_book(path).card("K1") == open_book(path).cards()["K1"] == book.card("K1") == expected
        assert hash(book.card("K1")) == hash(expected)
    assert plain(path, "SELECT count(*) FROM book_cards") == 2


def test_a_card_folded_by_another_program_is_folded_again(path, monkeypatch):
    monkeypatch.setattr(kept_cards, "WORTH_KEEPING", 1)
    book = open_book(path)
    book.add(entry(Circumstances(mass_kg=61.0)))
    assert book.card("K07").mass_kg == 61.0
    plain(path, "UPDATE book_cards SET card = replace(card, '61.0', '99.0')")
    assert open_book(path).card("K07").mass_kg == 99.0  # it is what is read
    plain(path, "UPDATE book_cards SET folded_by = 'earlier'")
    assert open_book(path).card("K07").mass_kg == 61.0
