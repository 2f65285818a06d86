"""A history has a line for everything that happened; what was struck out stays on it, marked."""

import datetime
import random

from bladelab.book.entry import Entry
from bladelab.book.fold import counting
from bladelab.book.happenings import Circumstances, Joined, Struck
from bladelab.book.history import history
from bladelab.book.invented import invented_entries
from bladelab.book.steel_happenings import Fitted

DAY = datetime.date(2026, 11, 3)


def entries(*whats, days=()):
    days = days or (DAY,) * len(whats)
    return [Entry("K07", on, what, number=n) for n, (on, what) in enumerate(zip(days, whats, strict=True), 1)]


def test_the_latest_day_comes_first_and_of_a_day_the_last_written():
    later = DAY + datetime.timedelta(days=2)
    found = entries(Joined("U14"), Fitted("S2"), Fitted("S1"), days=(DAY, later, DAY))
    random.Random(1).shuffle(found)
    assert [line.entry.number for line in history(found)] == [2, 3, 1]


def test_a_struck_entry_stays_with_its_strike():
    lines = history(entries(Joined("U14"), Circumstances(mass_kg=96.0), Struck(2, "digits swapped")))
    assert [(line.entry.number, line.struck_by and line.struck_by.number) for line in lines] == [
        (2, 3),
        (1, None),
    ]


def test_a_strike_that_was_struck_leaves_the_entry_as_it_was():
    lines = history(entries(Joined("U14"), Struck(1, "wrong"), Struck(2, "it was right")))
    assert [(line.entry.number, line.struck_by) for line in lines] == [(1, None)]
    again = history(entries(Joined("U14"), Struck(1, "wrong"), Struck(2), Struck(1, "wrong after all")))
    assert again[0].struck_by.number == 4


def test_the_lines_that_count_are_those_of_the_card():
    whole = [entry for entry in invented_entries() if entry.skater == "N16"]
    lines = history(whole)
    counts = [line.entry for line in reversed(lines) if line.struck_by is None]
    assert counts == counting(whole) and len(lines) == len(whole) - 1
