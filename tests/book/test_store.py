"""A book keeps what is written in it, for all who have it open."""

import datetime
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from threading import Barrier

import pytest

from bladelab import InputError
from bladelab.book.entry import Entry
from bladelab.book.fold import card_of
from bladelab.book.happenings import Circumstances, Joined, Struck
from bladelab.book.kept_cards import WORTH_KEEPING
from bladelab.book.steel_happenings import Sharpened
from bladelab.book.store import open_book
from tests.book.test_entry import ONE_OF_EACH

ROOT = Path(__file__).resolve().parents[2]
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


def test_several_writers_take_turns_and_make_the_book_once(place):
    count, together = 8, Barrier(3)

    def write(code):
        together.wait()
        return [
            open_book(place).add(entry(Sharpened("S1"), code, note=str(i)))[0].number for i in range(count)
        ]

    with ThreadPoolExecutor(3) as pool:
        numbers = list(pool.map(write, ("K1", "K2", "K3")))
    entries = open_book(place).entries()
    assert [one.number for one in entries] == list(range(1, 3 * count + 1))
    for code, own in zip(("K1", "K2", "K3"), numbers, strict=True):
        assert [(one.number, one.note) for one in entries if one.skater == code] == [
            (number, str(i)) for i, number in enumerate(own)
        ]


def test_merging_adds_what_is_not_there_and_strikes_what_was_meant(place, fresh):
    first, second = open_book(place), open_book(fresh)
    first.add(entry(Joined("U14")), entry(Sharpened("S1")), entry(Struck(2)))
    second.add(entry(Joined(), "K99"))
    assert [one.what for one in second.merge(*first.entries())] == [Joined("U14"), Sharpened("S1"), Struck(3)]
    assert second.merge(*first.entries()) == () and len(second.entries()) == 4


def test_a_kept_card_is_read_and_folded_on(place):
    open_book(place).add(*[entry(Sharpened("S1"))] * WORTH_KEEPING)
    assert open_book(place).cards()["K07"].steel["S1"].sharpenings == WORTH_KEEPING
    book = open_book(place)
    book.add(entry(Sharpened("S1")))
    assert book.card("K07") == card_of("K07", book.entries())


def test_without_a_book_no_database_is_loaded(tmp_path):
    code = f"""
import sys
from bladelab.book.store import open_book
for place in ("", {str(tmp_path / "book.sqlite")!r}):
    book = open_book(place)
    print(book.chosen, book.last, book.cards(), book.trouble, "sqlalchemy" in sys.modules)
"""
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=ROOT)
    assert done.stdout == " 0 {}  False\n" * 2


def test_no_book_holds_nothing_and_takes_nothing(monkeypatch):
    monkeypatch.setenv("BLADELAB_BOOK", "")
    book = open_book()
    assert (book.skaters(), book.entries(), book.cards(), book.last, book.chosen) == ((), (), {}, 0, "")
    with pytest.raises(InputError, match="there is no book to write in: BLADELAB_BOOK is empty"):
        book.add(entry(Joined("U14")))
