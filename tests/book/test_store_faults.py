"""Whatever happens to a book, what it acknowledged is there, and nothing half-written is read as whole."""

import datetime
import os
import random
import shutil
import sqlite3
import subprocess
import sys
import tempfile
from contextlib import closing
from pathlib import Path

import pytest
from sqlalchemy.exc import DBAPIError

from bladelab import InputError
from bladelab.book import database, kept_cards, rescue
from bladelab.book.entry import Entry
from bladelab.book.failures import plain_errors
from bladelab.book.fold import card_of
from bladelab.book.happenings import Circumstances, Joined, Struck
from bladelab.book.steel_happenings import Sharpened
from bladelab.book.store import open_book
from tests.book.faults import integrity
from tests.book.test_entry import ONE_OF_EACH

ROOT = Path(__file__).resolve().parents[2]
DAY = datetime.date(2026, 11, 3)


def entry(what, skater="K07", **more):
    return Entry(skater, DAY, what, **more)


@pytest.fixture
def path(tmp_path):
    return tmp_path / "book.sqlite"


@pytest.fixture(scope="module")
def pattern(tmp_path_factory):
    """A book of 400 entries, on many pages."""
    path = tmp_path_factory.mktemp("pattern") / "book.sqlite"
    open_book(path).add(*(entry(Sharpened("S1"), f"K{i % 7}", note="x" * 300) for i in range(400)))
    return path


@pytest.fixture
def full_book(path, pattern):
    """A copy of it that may be damaged."""
    return shutil.copyfile(pattern, path)


@pytest.mark.slow
@pytest.mark.skipif(os.name == "nt", reason="Windows has no fork and no kill -9")
def test_a_little_of_each_trial():
    """In full, they run for minutes: python -m tests.book.faults."""
    words = [sys.executable, "-m", "tests.book.faults", "--quick"]
    done = subprocess.run(words, cwd=ROOT, capture_output=True, text=True, timeout=120)
    assert done.returncode == 0, done.stderr
    found = [line.rpartition(", ")[2].rpartition(": ")[2] for line in done.stdout.splitlines()]
    assert found == ["all there", "all there", "all there", "nothing written"]


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


def plain(path, query):
    with closing(sqlite3.connect(path)) as connection, connection:
        row = connection.execute(query).fetchone()
    return row and row[0]


def test_what_is_whole_in_a_damaged_book_is_read(full_book):
    before = open_book(full_book).entries()
    size, root = (
        plain(full_book, "PRAGMA page_size"),
        plain(full_book, "SELECT rootpage FROM sqlite_master WHERE name = 'book_entries'"),
    )
    with full_book.open("r+b") as file:
        file.seek((root + 6) * size)  # somewhere among the entries
        file.write(b"\xa5" * 2 * size)
    damaged = full_book.read_bytes()
    book = open_book(full_book)
    read = book.entries()
    assert 300 < len(read) < 400 and set(read) < set(before)
    assert set(book.skaters()) == {one.skater for one in read}
    assert book.card("K3") == card_of("K3", [one for one in read if one.skater == "K3"])
    assert book.trouble.startswith(
        f"book.sqlite: it is damaged, and {len(read)} of its entries can be read; nothing"
    )
    for write in (lambda: book.add(entry(Sharpened("S1"))), lambda: book.forget("K3")):
        with pytest.raises(InputError, match=r"it is damaged, and 3.. of its entries can be read"):
            write()
    book.choose("K3")
    assert book.chosen == "K3" and open_book(full_book).chosen == ""
    assert full_book.read_bytes() == damaged


def test_nothing_is_added_to_a_book_whose_damage_nobody_saw_yet(full_book):
    """What is damaged is a page that adding would not touch."""
    size = plain(full_book, "PRAGMA page_size")
    root = plain(full_book, "SELECT rootpage FROM sqlite_master WHERE name = 'book_entries'")
    with full_book.open("r+b") as file:
        file.seek((root + 6) * size)
        file.write(b"\xa5" * size)
    with pytest.raises(InputError, match="it is damaged"):
        open_book(full_book).add(entry(Sharpened("S1")))


def test_a_book_cut_short_is_read_as_far_as_it_goes(full_book):
    before = open_book(full_book).entries()
    contents = full_book.read_bytes()
    full_book.write_bytes(contents[: len(contents) * 3 // 5])
    read = open_book(full_book).entries()
    assert 50 < len(read) < 400 and set(read) < set(before)


@pytest.mark.parametrize(
    "change",
    [
        'what = \'{"steel": "S\'',
        "kind = 'polished'",
        "happened = '2026-13-01'",
        "skater = 'Karl'",
        "note = x'ff00'",
    ],
)
def test_an_entry_that_was_tampered_with_is_left_out_and_said(full_book, change):
    plain(full_book, "PRAGMA foreign_keys=OFF")
    plain(full_book, f"UPDATE book_entries SET {change} WHERE number = 17")
    book = open_book(full_book)
    assert [one.number for one in book.entries()] == [n for n in range(1, 401) if n != 17]
    assert "it is damaged, and 399 of its entries can be read" in book.trouble


@pytest.mark.parametrize(
    ("damage", "left"),
    [
        ("UPDATE book_state SET last = 'many'", 400),
        ("DROP TABLE book_state", 400),
        ("DROP TABLE book_state; DROP TABLE book_entries", 0),
    ],
)
def test_entries_are_found_without_knowing_how_many_there_are(full_book, damage, left):
    with closing(sqlite3.connect(full_book)) as connection, connection:
        connection.executescript(damage)
    assert rescue.rescued(full_book)[1] == left


@pytest.mark.skipif(os.name == "nt", reason="Windows has other permissions")
def test_a_book_that_may_only_be_read_is_read_and_takes_nothing(pattern):
    folder = Path(tempfile.mkdtemp())
    file = shutil.copyfile(pattern, folder / "book.sqlite")
    file.chmod(0o444)
    folder.chmod(0o555)
    root = os.geteuid() == 0
    try:
        if root:  # who may write everywhere
            os.setresuid(65534, 65534, 0)
        book = open_book(file)
        assert len(book.entries()) == 400
        assert book.trouble == "book.sqlite can only be read: you have no permission to write there"
        book.choose("K3")
        assert book.chosen == "K3" and open_book(file).chosen == ""
        with pytest.raises(InputError, match=r"^book.sqlite: it can't be written"):
            book.add(entry(Sharpened("S1")))
    finally:
        if root:
            os.setresuid(0, 0, 0)
        folder.chmod(0o755)
    (folder / "book.sqlite-wal").write_bytes(b"not empty")
    with pytest.raises(InputError, match=r"its last entries are still in book\.sqlite-wal"):
        database._at_rest(file)
    shutil.rmtree(folder)


@pytest.mark.parametrize(
    ("contents", "says"),
    [
        (b"", "is an empty file; delete it"),
        (
            b"skater,team\nK07,U14\n" * 300,
            "it is no book: it is another kind of file, or damaged from its first",
        ),
        (b"SQLite format 3\x00" + bytes(8000), "it is damaged, and 0 of its entries can be read"),
    ],
)
def test_another_kind_of_file_is_no_book_and_is_left_alone(path, contents, says):
    path.write_bytes(contents)
    book = open_book(path)
    with pytest.raises(InputError, match=says):
        book.add(entry(Joined("U14")))
    assert path.read_bytes() == contents


def test_a_database_of_another_program_is_no_book(path):
    plain(path, "CREATE TABLE songs (title TEXT)")
    for use in (open_book(path).entries, lambda: open_book(path).add(entry(Joined("U14")))):
        with pytest.raises(
            InputError, match=r"book.sqlite: it is a database of another program, and no book"
        ):
            use()
    assert plain(path, "SELECT count(*) FROM sqlite_master") == 1


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
