"""Damaged books, files that are none, and a book that may only be read: what is whole is read."""

import os
import shutil
import sqlite3
import tempfile
from contextlib import closing
from pathlib import Path

import pytest

from bladelab import InputError
from bladelab.book import database, rescue
from bladelab.book.fold import card_of
from bladelab.book.happenings import Joined
from bladelab.book.steel_happenings import Sharpened
from bladelab.book.store import open_book
from tests.book.test_store_faults import entry, plain


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
