"""The whole book goes out and comes in again, as JSON and as CSV, and nothing comes in twice."""

import csv
import datetime
import json
from dataclasses import replace

import numpy as np
import pytest

from bladelab import Blade, Hollow, InputError, Rocker, Trace, Trial, save_blade
from bladelab.advice.trial_log import TrialLog
from bladelab.book import exchange
from bladelab.book.bring_in import bring_in, import_blade, import_trials
from bladelab.book.entry import Entry
from bladelab.book.exchange import export_csv, export_json, import_entries
from bladelab.book.happenings import Circumstances, Decided, Joined, Struck, Tried
from bladelab.book.steel_happenings import Measured, Sharpened, Stated
from bladelab.book.store import open_book
from tests.book.test_entry import ONE_OF_EACH

DAY = datetime.date(2026, 11, 3)
BLADE = Blade(Rocker.single(3048.0, 280.0), Hollow(12.7, 2.9))
WAYS = {"json": export_json, "csv": export_csv}
#: What of a card holds entries, which have other numbers in another book.
NUMBERED = {"trials": (), "ice": None, "glides": (), "timed": (), "preferred": (), "last": 0}


def entry(what, skater="K07", **more):
    return Entry(skater, DAY, what, **more)


@pytest.fixture(params=WAYS)
def way(request):
    return request.param


@pytest.fixture
def book(tmp_path):
    """One of each, what a spreadsheet would run, two that are the same, and a long edge."""
    book = open_book(tmp_path / "book.sqlite")
    book.add(*(entry(what, note="=1+1, said @K07", by="-AB") for what in ONE_OF_EACH))
    book.add(entry(Sharpened("S1", 12.7)), entry(Sharpened("S1", 12.7)), entry(Joined("U14"), "K08"))
    x = np.linspace(-130.0, 130.0, 4500) + 1e-7  # longer than a cell that csv reads unless told
    book.add(entry(Measured("S1", "left", Trace(x, x**2 / 6096)), note="årets første; \"quoted\", 'so'"))
    return book


@pytest.fixture
def other(tmp_path):
    """A book with entries of its own, so that numbers differ."""
    other = open_book(tmp_path / "other.sqlite")
    other.add(*[entry(Circumstances(mass_kg=70.0), "K99")] * 5)
    return other


def plain(entries):
    """Entries without their numbers, and strikes by what they strike."""
    what = {one.number: one.what for one in entries}
    return [
        (
            one.skater,
            one.on,
            what[one.what.entry] if isinstance(one.what, Struck) else one.what,
            one.note,
            one.by,
        )
        for one in entries
    ]


@pytest.mark.slow
def test_all_comes_in_again_and_nothing_twice(book, other, way, tmp_path):
    file = WAYS[way](book, tmp_path / f"out.{way}")
    done = import_entries(other, file)
    assert plain(done.added) == plain(book.entries()) and done.known == 0
    assert [one.number for one in done.added] == list(range(6, 6 + len(book.entries())))
    assert replace(other.card("K07"), **NUMBERED) == replace(book.card("K07"), **NUMBERED)
    again = import_entries(other, file)
    assert (again.added, again.known) == ((), len(book.entries()))
    assert import_entries(book, file).added == ()


@pytest.mark.slow
def test_later_exports_bring_only_what_is_new(book, other, way, tmp_path):
    import_entries(other, WAYS[way](book, tmp_path / f"one.{way}"))
    last = book.last
    book.add(entry(Sharpened("S1", 12.7)), entry(Struck(last)))
    done = import_entries(other, WAYS[way](book, tmp_path / f"two.{way}"))
    assert plain(other.entries())[5:] == plain(book.entries())
    assert [type(one.what) for one in done.added] == [Sharpened, Struck]
    assert done.sentence == f"2 entries added, {last} known already."


def test_an_export_is_not_written_over(book, way, tmp_path):
    file = WAYS[way](book, tmp_path / "out")
    with pytest.raises(FileExistsError):
        WAYS[way](book, file)
    before = file.read_bytes()
    assert WAYS[way](book, file, replace=True).read_bytes() == before


def test_a_table_holds_no_formula_and_names_its_columns(book, tmp_path):
    with export_csv(book, tmp_path / "out.csv").open(encoding="utf-8", newline="") as file:
        csv.field_size_limit(10**6)
        first, *rows = csv.reader(file)
    assert max(map(len, rows[-1])) > 131_072
    assert first == ["number", "date", "skater", "kind", "steel", "in_words", "note", "by", "what"]
    assert rows[0][:6] == ["1", "2026-11-03", "K07", "joined", "", ""] and rows[0][6][0] == "'"
    assert not any(cell[:1] in tuple("=+-@\t\r") for row in rows for cell in row)
    sharpened = next(row for row in rows if row[3] == "sharpened")
    assert json.loads(sharpened[8])["hollow_mm"] == 15.875 and sharpened[4] == "S1"


def test_a_table_that_a_spreadsheet_saved_comes_in(book, other, tmp_path):
    with export_csv(book, tmp_path / "out.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.reader(file))
    for row in rows[1:]:
        row[1] = datetime.date.fromisoformat(row[1]).strftime("%d.%m.%Y")
    with (tmp_path / "saved.csv").open("w", encoding="utf-8-sig", newline="") as file:
        csv.writer(file, delimiter=";", lineterminator="\r\n").writerows(rows)
    assert plain(import_entries(other, tmp_path / "saved.csv").added) == plain(book.entries())


@pytest.mark.parametrize(
    ("contents", "says"),
    [
        ("{", "it is not JSON"),
        ('{"file": "bladelab blade"}', 'it is not marked "file": "bladelab book"'),
        ('{"file": "bladelab book", "version": 2}', "its version is 2; this program reads version 1"),
        ('{"file": "bladelab book", "version": 1}', "it has no list of entries"),
        (
            '{"file": "bladelab book", "version": 1, "entries": [7]}',
            "entry 1 of the file: it must hold by, date",
        ),
        ('{"file": "bladelab book", "version": 1, "entries": [NaN]}', "NaN is not a number"),
        ("", "the file is empty"),
        ("date,skater\n2026-11-03,K07\n", "no exported book: it has no column by, kind, note, number, what"),
        ("HEAD1,2026-11-03,K07,sharpened,S1,{,,\n", "line 2: it is not JSON"),
        ("HEAD1,3 Nov,K07,sharpened,S1,{},,\n", "line 2: is '3 Nov'; it must be a date"),
        ("HEADone,2026-11-03,K07,sharpened,S1,{},,\n", "line 2: it holds no whole entry"),
        ("HEAD,,,,,,,\n-1,2026-11-03,K07,joined,,{},,\n", "line 3: number is -1; it must be a whole number"),
        ('HEAD1,2026-11-03,K07,joined,,"{}"x,,\n', "a quotation mark in it is out of place"),
        ("HEAD1,2026-11-03,K07,joined,,{},\udce9,\n", "it holds a character that is not UTF-8"),
        (
            'HEAD1,2026-11-03,K07,joined,,"{""team"": ""U14""}",,\n2,2026-11-03,Karl,joined,,{},,\n',
            "line 3: skater is",
        ),
        ("HEAD1,2026-11-03,K07,joined,,{},,\n1,2026-11-03,K08,joined,,{},,\n", "two entries of one number"),
        (
            'HEAD2,2026-11-03,K07,struck,,"{""entry"": 1}",,\n',
            "entry 2 strikes out entry 1, which is not before it",
        ),
    ],
)
def test_what_is_no_exported_book_brings_nothing(other, tmp_path, contents, says):
    file = tmp_path / "in.txt"
    file.write_text(
        contents.replace("HEAD", "number,date,skater,kind,steel,what,note,by\n"),
        encoding="utf-8",
        errors="surrogateescape",
    )
    before = other.entries()
    with pytest.raises(InputError) as caught:
        import_entries(other, file)
    assert str(caught.value).startswith("in.txt: ") and says in str(caught.value)
    assert str(caught.value).endswith(". Nothing was imported")
    assert other.entries() == before


def test_a_file_too_large_to_be_a_book_is_not_read(other, tmp_path, monkeypatch):
    monkeypatch.setattr(exchange, "BOOK", replace(exchange.BOOK, most_bytes=100))
    (tmp_path / "in.json").write_bytes(b"{" + bytes(200))
    with pytest.raises(InputError, match=r"in.json: the file has .* MB; an exported book has at most"):
        import_entries(other, tmp_path / "in.json")


@pytest.mark.slow
def test_a_code_of_another_skater_is_asked_for(book, tmp_path, way):
    file = WAYS[way](book, tmp_path / "out")
    for codes, skaters in (({"K08": "K80"}, ("K07", "K08", "K80")), ({"K08": "K08"}, ("K07", "K08"))):
        other = open_book(tmp_path / f"{codes['K08']}.sqlite")
        other.add(entry(Joined("U16"), "K08"))
        with pytest.raises(
            InputError, match="out: K08 is in the book already, in team U16 since 2026-11-03; give"
        ):
            import_entries(other, file)
        assert len(other.entries()) == 1
        for _ in range(2):
            import_entries(other, file, codes)
            assert other.skaters() == skaters and len(other.entries()) == len(book.entries()) + 1


def test_two_who_joined_on_one_day_in_no_team_are_not_taken_for_one(tmp_path):
    """Nobody can tell whether they are one skater: that has to be said."""
    book = open_book(tmp_path / "book.sqlite")
    book.add(entry(Joined()), entry(Sharpened("S1", 12.7)))
    file = export_json(book, tmp_path / "out.json")
    for code, skaters in (("K70", ("K07", "K70")), ("K07", ("K07",))):
        other = open_book(tmp_path / f"{code}.sqlite")
        other.add(entry(Joined()))
        asked = (
            "K07 joined on 2026-11-03, in no team, .*; say K07=K07 if they are one skater, K07= and another"
        )
        with pytest.raises(InputError, match=asked):
            import_entries(other, file)
        assert len(other.entries()) == 1
        import_entries(other, file, {"K07": code})
        assert other.skaters() == skaters and import_entries(other, file, {"K07": code}).added == ()
    assert import_entries(book, file).added == (), "what comes back to its own book needs no answer"


def test_a_trial_log_comes_in(other, tmp_path):
    log = TrialLog(tmp_path / "trials.csv")
    for day in (1, 2, 2):
        log.append(
            Trial(datetime.date(2026, 9, day), "K07", BLADE, {"glide": 4}, "ten feet", "hollow", "cold")
        )
    with log.path.open("ab") as file:
        file.write(b"2026-09-03,K07,half a line")
    done = import_trials(other, log.path)
    assert [(one.on.day, one.note) for one in done.added] == [(1, "cold"), (2, "cold"), (2, "cold")]
    assert done.added[0].what == Tried(BLADE, {"glide": 4}, "ten feet", "hollow")
    assert done.sentence.startswith("3 entries added. line 5: it has no line end")
    assert import_trials(other, log.path).known == 3 and len(other.card("K07").trials) == 3


def test_a_saved_blade_comes_in(other, tmp_path):
    file = save_blade(tmp_path / "blade.json", BLADE, "ten feet")
    for _ in range(2):
        import_blade(other, file, "K07", DAY)
        import_blade(other, file, "K07", DAY, steel="S1")
    assert [one.what for one in other.entries("K07")] == [Decided(BLADE, "ten feet"), Stated("S1", BLADE)]


def test_a_file_is_known_by_what_it_holds(book, other, tmp_path):
    log = TrialLog(tmp_path / "one")
    log.append(Trial(DAY, "K07", BLADE, {"glide": 4}))
    blade = save_blade(tmp_path / "two", BLADE, "ten feet")
    exported = [WAYS[way](book, tmp_path / way) for way in WAYS]
    for file in (log.path, blade, *exported):
        bring_in(other, file, "K07", DAY)
    assert plain(other.entries())[7:] == plain(book.entries())
    assert [type(one.what) for one in other.entries()[5:7]] == [Tried, Decided]
    (tmp_path / "letter").write_text('"Dear coach\n')
    with pytest.raises(InputError, match=r"^letter: .*Nothing was imported$"):
        bring_in(other, tmp_path / "letter", "K07", DAY)
    with pytest.raises(InputError, match="two is a saved blade; first open the card of the skater it is for"):
        bring_in(other, blade, "", DAY)


def test_what_is_left_of_a_damaged_book_goes_into_a_new_one(book, other, tmp_path):
    import sqlite3

    connection = sqlite3.connect(book.place.path)
    with connection:
        connection.execute("UPDATE book_entries SET kind = 'polished' WHERE number = 5")
    connection.close()
    damaged = open_book(book.place.path)
    done = import_entries(other, export_json(damaged, tmp_path / "left.json"))
    assert len(done.added) == len(damaged.entries()) == book.last - 1
