"""A book keeps what is written in it, for all who have it open."""

import datetime
from pathlib import Path

import pytest

from bladelab import InputError
from bladelab.book.entry import Entry
from bladelab.book.happenings import Circumstances, Joined, Sharpened
from bladelab.book.store import open_book
from tests.book.test_entry import ONE_OF_EACH

DAY = datetime.date(2026, 11, 3)


def entry(what, skater="K07", **more):
    return Entry(skater, DAY, what, **more)


def test_nothing_is_made_before_the_first_entry(place):
    book = open_book(place)
    assert (book.skaters(), book.entries(), book.cards(), book.last, book.chosen) == ((), (), {}, 0, "")
    assert book.card("K07").last == 0
    if isinstance(place, Path):
        assert not place.parent.exists()


def test_what_was_added_is_read_back(place):
    added = open_book(place).add(*(entry(what, note="one", by="AB") for what in ONE_OF_EACH))
    assert open_book(place).entries() == added
    assert [one.number for one in added] == list(range(1, len(ONE_OF_EACH) + 1))
    assert [one.what for one in added] == list(ONE_OF_EACH)


def test_all_or_none_are_added(place):
    book = open_book(place)
    book.add(entry(Joined("U14")))
    with pytest.raises(InputError, match="an entry is 'K08'"):
        book.add(entry(Sharpened("S1")), "K08")
    assert len(book.entries()) == book.last == 1


def test_cards_are_those_of_the_entries(place):
    book = open_book(place)
    book.add(entry(Circumstances(mass_kg=61.0)), entry(Circumstances(mass_kg=80.0), "K08"))
    assert {code: card.mass_kg for code, card in book.cards().items()} == {"K07": 61.0, "K08": 80.0}
    assert book.card("K08") == book.cards()["K08"]


def test_the_chosen_skater_is_remembered(place):
    open_book(place).choose("K07")
    assert open_book(place).chosen == "K07"
    open_book(place).choose("")
    assert open_book(place).chosen == ""


def test_a_change_is_seen_by_others(place):
    one, other = open_book(place), open_book(place)
    before = other.last
    one.add(entry(Joined("U14")))
    assert other.last > before and other.skaters() == ("K07",)


def test_forgetting_leaves_nothing_of_a_skater(place):
    book = open_book(place)
    book.add(entry(Joined("U14")), entry(Joined("U14"), "K08"))
    book.choose("K07")
    before = book.last
    book.forget("K07")
    assert book.skaters() == ("K08",) and {one.skater for one in book.entries()} == {"K08"}
    assert book.chosen == "" and book.last > before


def test_no_book_holds_nothing_and_takes_nothing(monkeypatch):
    monkeypatch.setenv("BLADELAB_BOOK", "")
    book = open_book()
    assert (book.skaters(), book.entries(), book.cards(), book.last, book.chosen) == ((), (), {}, 0, "")
    with pytest.raises(InputError, match="there is no book to write in: BLADELAB_BOOK is empty"):
        book.add(entry(Joined("U14")))
