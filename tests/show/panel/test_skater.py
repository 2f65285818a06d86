"""Whose card is open, and what the panels of a notebook make of it."""

from __future__ import annotations

import datetime
import sqlite3

import pytest

from bladelab._errors import InputError
from bladelab.book.entry import Entry
from bladelab.book.happenings import Circumstances, Decided, Joined
from bladelab.book.steel_happenings import Fitted, Stated
from bladelab.book.store import open_book
from bladelab.shape.blade import Blade
from bladelab.shape.hollow import Hollow
from bladelab.shape.rocker import Rocker
from bladelab.show.panel.skater import SKATER
from bladelab.show.wording.units_shown import UNITS

DAY = datetime.date(2026, 11, 3)
PRESENT = Blade(Rocker.single(2743.2, 284.0), Hollow(12.7, 2.9))
TRIAL = Blade(Rocker.single(3352.8, 284.0), Hollow(15.875, 2.9))


def other_notebook(path, *happenings, skater="K07"):
    """What another notebook writes to the same book."""
    open_book(path).add(*(Entry(skater, DAY, what) for what in happenings))


class Ear:
    """Counts what a panel would hear."""

    def __init__(self):
        self.heard = 0
        SKATER.listen(self.hear)

    def hear(self):
        self.heard += 1


def test_with_no_skater_nothing_is_written(book_file):
    assert SKATER.card is None and SKATER.code == "" and SKATER.codes == ()
    assert SKATER.write(Circumstances(mass_kg=80.0)) == ()
    SKATER.choose("")
    UNITS.system = "metric"
    assert not book_file.exists()


def test_a_new_skater_is_chosen_and_is_chosen_again_tomorrow(book_file):
    ear = Ear()
    SKATER.begin(" K07 ")
    assert SKATER.code == "K07" and SKATER.codes == ("K07",) and ear.heard == 1
    SKATER.write(Circumstances(mass_kg=62.0), note="on the scales")
    assert SKATER.card.mass_kg == 62.0
    SKATER.close()  # another day, another kernel
    assert SKATER.code == "K07" and SKATER.card.mass_kg == 62.0
    SKATER.choose("")
    SKATER.close()
    assert SKATER.card is None and SKATER.codes == ("K07",)


@pytest.mark.parametrize("code", ["", "Anna", "K 07", "K07" * 9])
def test_a_skater_needs_a_code(book_file, code):
    with pytest.raises(InputError, match="must be a code"):
        SKATER.begin(code)
    assert not book_file.exists()


def test_a_code_is_used_once(book_file):
    SKATER.begin("K07")
    with pytest.raises(InputError, match="K07 is in the book already"):
        SKATER.begin("K07")
    with pytest.raises(InputError, match="K07 is in the book already"):
        SKATER.begin("k07")
    with pytest.raises(InputError, match="no skater 'K99' is in the book; there are K07"):
        SKATER.choose("K99")


def test_units_belong_to_the_card(book_file):
    SKATER.begin("K07")
    SKATER.begin("K08")
    UNITS.system = "metric"
    assert SKATER.card.units == "metric"
    SKATER.choose("K07")
    assert UNITS.system == "feet and inches", "as they were when the card was begun"
    SKATER.add(Entry("K06", datetime.date(2026, 9, 1), Joined()))
    SKATER.choose("K08")
    SKATER.choose("K06")
    assert UNITS.system == "metric" and SKATER.card.units is None, "a card that doesn't say leaves them alone"
    SKATER.choose("K07")
    last = SKATER.book.last
    SKATER.choose("K08")
    assert UNITS.system == "metric"
    SKATER.choose("K07")
    assert UNITS.system == "feet and inches" and SKATER.book.last == last, "choosing writes nothing"


def test_what_another_notebook_did_is_seen_when_this_one_is_looked_at(book_file):
    SKATER.begin("K08")
    SKATER.begin("K07")
    edition = SKATER.edition
    other_notebook(book_file, Circumstances(mass_kg=70.0), skater="K08")
    SKATER.look()
    assert SKATER.news == "", "that is not this card"
    other_notebook(book_file, Circumstances(mass_kg=66.0))
    SKATER.look()
    SKATER.look()
    assert SKATER.news == "the card has changed"
    assert SKATER.edition == edition and SKATER.card.mass_kg is None, "nothing moves by itself"
    SKATER.load()
    assert SKATER.card.mass_kg == 66.0 and SKATER.news == "" and SKATER.edition > edition
    open_book(book_file).choose("K08")
    SKATER.look()
    assert SKATER.news == "K08's card was opened in another notebook" and SKATER.code == "K07"
    SKATER.load()
    assert SKATER.code == "K08" and SKATER.card.mass_kg == 70.0
    open_book(book_file).choose("")
    SKATER.look()
    assert SKATER.news == "the card was closed"


def test_a_notebook_without_a_skater_hears_of_a_book_that_comes_later(book_file):
    assert SKATER.card is None
    other_notebook(book_file, Fitted("S1"))
    open_book(book_file).choose("K07")
    SKATER.look()
    assert SKATER.news == "K07's card was opened in another notebook" and SKATER.codes == ("K07",)


def test_a_skater_who_was_forgotten_elsewhere_is_not_written_back(book_file):
    SKATER.begin("K07")
    open_book(book_file).forget("K07")
    with pytest.raises(InputError, match="K07 is no longer in the book"):
        SKATER.write(Circumstances(mass_kg=66.0))
    assert open_book(book_file).entries() == ()


def test_writing_moves_no_dial(book_file):
    SKATER.begin("K07")
    edition, ear = SKATER.edition, Ear()
    SKATER.write(Decided(TRIAL))
    assert SKATER.card.trial == TRIAL and SKATER.edition == edition and ear.heard == 1


def test_the_present_edge_is_the_left_one_unless_only_the_right_is_known(book_file):
    SKATER.begin("K07")
    assert SKATER.sides == ("left", "right"), "nothing is known of either"
    SKATER.write(Fitted("S1"), Stated("S1", PRESENT, ("right",)))
    assert SKATER.side == "right" and SKATER.sides == ("right",)
    SKATER.write(Stated("S1", TRIAL, ("left",)))
    assert SKATER.side == "left" and SKATER.sides == ("left",)
    SKATER.side = "right"
    assert SKATER.side == "right" and SKATER.sides == ("right",)
    SKATER.write(Stated("S1", TRIAL))
    assert SKATER.sides == ("left", "right")
    with pytest.raises(InputError, match="left or right"):
        SKATER.side = "middle"


def test_a_damaged_book_is_shown_as_far_as_it_is_whole_and_says_so(book_file):
    other_notebook(book_file, Fitted("S1"), Stated("S1", PRESENT), Decided(TRIAL))
    connection = sqlite3.connect(book_file)
    with connection:
        connection.execute("UPDATE book_entries SET what = '{' WHERE number = 3")
    connection.close()
    SKATER.close()
    SKATER.choose("K07")
    assert SKATER.card.edge("left").rocker == PRESENT.rocker and SKATER.card.trial is None
    assert "it is damaged, and 2 of its entries can be read; nothing can be added" in SKATER.trouble
    SKATER.look()
    assert SKATER.code == "K07" and SKATER.news == ""
    with pytest.raises(InputError, match="it is damaged"):
        SKATER.write(Decided(TRIAL))


def test_a_book_that_cannot_be_read_is_a_sentence_and_no_skater(book_file, monkeypatch):
    monkeypatch.setenv("BLADELAB_BOOK", str(book_file.parent))  # a folder
    SKATER.close()
    assert SKATER.card is None and "is a folder" in SKATER.trouble
    with pytest.raises(InputError):
        SKATER.begin("K07")
