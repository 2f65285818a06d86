"""A roster is read as spreadsheets save it; a wrong row is refused with its line, and the others are read."""

import datetime

import pytest

from bladelab import InputError
from bladelab.book.fold import card_of
from bladelab.book.happenings import Circumstances, Joined
from bladelab.book.roster import read_roster
from bladelab.book.steel_happenings import Fitted, SteelMeasured

DAY = datetime.date(2026, 9, 1)


def read(tmp_path, text, cards=None):
    path = tmp_path / "roster.csv"
    path.write_text(text, encoding="utf-8")
    return read_roster(path, cards or {}, DAY)


FULL = "skater,team,mass_kg,hours_per_week,steel,height_mm,least_mm\nK07,U15,61.5,6,S1,13.2,9\nK08,U15,,,,,\n"


def test_a_row_becomes_entries(tmp_path):
    found = read(tmp_path, FULL)
    assert [(e.skater, e.what) for e in found.entries] == [
        ("K07", Joined("U15")),
        ("K07", Circumstances(mass_kg=61.5, hours_per_week=6.0)),
        ("K07", SteelMeasured("S1", height_mm=13.2, least_mm=9.0)),
        ("K07", Fitted("S1")),
        ("K08", Joined("U15")),
    ]
    assert found.refused == () and {e.on for e in found.entries} == {DAY}


def test_twice_adds_nothing_twice(tmp_path):
    first = read(tmp_path, FULL)
    cards = {code: card_of(code, first.entries) for code in ("K07", "K08")}
    again = read(tmp_path, FULL, cards)
    assert again.entries == () and again.known == 2
    heavier = read(tmp_path, FULL.replace("61.5", "63"), cards)
    assert [e.what for e in heavier.entries] == [Circumstances(mass_kg=63.0)]


def test_cards_of_new_skaters_are_said_in_the_units_of_the_page(tmp_path):
    path = tmp_path / "roster.csv"
    path.write_text("skater,mass_kg\nK07,61\nK08,\n")
    found = read_roster(path, {"K07": card_of("K07", [])}, DAY, "metric")
    assert [(e.skater, e.what) for e in found.entries] == [
        ("K07", Circumstances(mass_kg=61.0)),
        ("K08", Joined()),
        ("K08", Circumstances(units="metric")),
    ]


def test_capitals_make_no_other_skater_and_no_other_set(tmp_path):
    first = read(tmp_path, FULL)
    cards = {code: card_of(code, first.entries) for code in ("K07", "K08")}
    small = read(tmp_path, "skater,steel,height_mm\nk07,s1,13\n", cards)
    assert [(e.skater, e.what) for e in small.entries] == [("K07", SteelMeasured("S1", height_mm=13.0))]
    twice = read(tmp_path, "skater\nK09\nk09\n")
    assert twice.refused == ("line 3: skater 'K09' is in an earlier line too",)


def test_semicolons_and_decimal_commas(tmp_path):
    found = read(tmp_path, "skater;mass_kg;steel;height_mm\nK07;61,5;S1;13,25\n")
    assert found.entries[1].what.mass_kg == 61.5 and found.entries[2].what.height_mm == 13.25


@pytest.mark.parametrize(
    ("row", "says"),
    [
        ("Anna,U15,60,6,S1,13,9", "line 2: skater is 'Anna'; it must be a code"),
        ("K07,U15,600,6,S1,13,9", "line 2: mass_kg is 600 kg"),
        ("K07,U15,heavy,6,S1,13,9", "line 2: mass_kg is 'heavy'; it must be a number"),
        ("K07,U15,60,6,,13,9", "line 2: height_mm, least_mm need the code of a set"),
        ("K08,U15,60,6,S1,13,9", "line 3: skater 'K08' is in an earlier line too"),
    ],
)
def test_a_wrong_row_is_refused_and_the_others_are_read(tmp_path, row, says):
    head = FULL.splitlines()[0]
    found = read(tmp_path, f"{head}\n{row}\nK08,U15,60,6,S1,13,9\n")
    assert len(found.refused) == 1 and says in found.refused[0]
    assert {e.skater for e in found.entries} == {"K08"}


def test_a_file_without_codes_is_no_roster(tmp_path):
    with pytest.raises(InputError, match=r"roster.csv.*no column skater"):
        read(tmp_path, "team,mass_kg\nU15,60\n")
