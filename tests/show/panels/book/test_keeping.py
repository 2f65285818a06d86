"""The whole book goes out to a file and comes in again, and a skater is forgotten, on the page."""

import datetime
import tempfile

import pytest

from bladelab import Blade, Hollow, Rocker, save_blade
from bladelab.book.entry import Entry
from bladelab.book.exchange import book_as_csv, book_as_json
from bladelab.book.happenings import Decided, Joined
from bladelab.book.steel_happenings import Sharpened
from bladelab.book.store import open_book
from bladelab.show.panel.skater import SKATER
from bladelab.show.panels.book.keeping import BookKeeping
from bladelab.show.wording.say_entry import say_entry
from tests.show.engine_checks import bring

DAY = datetime.date(2026, 11, 3)


@pytest.fixture
def page(book_file, tmp_path):
    """Two skaters, the card of one open."""
    book = open_book(book_file)
    book.add(
        *(Entry(code, DAY, what) for code in ("K07", "K08") for what in (Joined("U15"), Sharpened("S1")))
    )
    book.choose("K07")
    SKATER.close()
    return BookKeeping(tmp_path / "saved")


def arrive(page, *files):
    bring(page.upload, *files)


def buttons(page):
    rows = [row for row in page.children if hasattr(row, "children")]
    return {one.description: one for row in rows for one in row.children if hasattr(one, "description")}


@pytest.mark.parametrize(
    ("button", "file", "contents"),
    [
        ("export the book (JSON)", "book-1.json", book_as_json),
        ("as a table (CSV)", "book-1.csv", lambda book: book_as_csv(book, say_entry)),
    ],
)
def test_the_book_is_exported_and_comes_in_again(page, tmp_path, button, file, contents, monkeypatch):
    buttons(page)[button].click()
    written = (tmp_path / "saved" / file).read_bytes()
    assert written == contents(SKATER.book) and f"saved/{file}" in page.saving.report
    assert "keep it safe" in page.saving.report
    if file.endswith("csv"):
        told = SKATER.book.entries()[1]
        assert f",{told.steel},{say_entry(told)},,," in written.decode(), "in words, before the details"
    monkeypatch.setenv("BLADELAB_BOOK", str(tmp_path / "new.sqlite"))
    SKATER.close()
    arrive(page, (file, written))
    assert page.message.text == f"{file}: 4 entries added."
    assert SKATER.codes == ("K07", "K08")
    arrive(page, (file, written))
    assert page.message.text == f"{file}: 0 entries added, 4 known already."


def test_nothing_is_exported_of_an_empty_book(book_file, tmp_path):
    page = BookKeeping(tmp_path / "saved")
    buttons(page)["export the book (JSON)"].click()
    assert page.saving.report == "Not saved: nobody is in the book."
    assert not (tmp_path / "saved").exists()


def test_a_saved_blade_is_for_the_skater_whose_card_is_open(page, tmp_path):
    blade = Blade(Rocker.single(3048.0, 280.0), Hollow(12.7, 2.9))
    contents = save_blade(tmp_path / "blade.json", blade, "ten feet").read_bytes()
    arrive(page, ("blade.json", contents), ("letter.csv", b"dear coach"))
    brought = SKATER.book.entries("K07")[-1]
    assert brought.what == Decided(blade, "ten feet") and brought.on == datetime.date.today()
    assert SKATER.card.trial == blade
    assert page.message.text.startswith("blade.json: 1 entry added. letter.csv: this is no exported book")
    assert "bladelab-fault" in page.message.value, "one of them is to be looked at"
    assert page.upload._spec["several"], "two can be chosen at once"


def test_a_file_is_put_where_it_belongs_whatever_it_is_called(page, tmp_path, monkeypatch):
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    arrive(page, ("../stray.csv", b"dear coach"))
    assert page.message.text.startswith("stray.csv: this is no exported book")
    assert not list(tmp_path.rglob("stray.csv"))


def test_a_code_that_is_taken_is_changed_on_the_way(page):
    others = b"number,date,skater,kind,steel,what,note,by\n1,2026-10-01,K08,joined,,{},,\n"
    arrive(page, ("others.csv", others))
    assert (
        "K08 is in the book already, in team U15" in page.message.text
        and "Nothing was imported" in page.message.text
    )
    page.codes.value = "K08"
    arrive(page, ("others.csv", others))
    assert "codes is 'K08'; write the old code, =, and the new one" in page.message.text
    page.codes.value = " K08 = K80 ; K09=K90"
    arrive(page, ("others.csv", others))
    assert SKATER.codes == ("K07", "K08", "K80") and "bladelab-fault" not in page.message.value


def test_a_skater_is_forgotten_whose_code_was_typed(page):
    forget = buttons(page)["forget this skater for good"]
    for typed, says in (("", "type the skater's code first"), ("K7", "'K7' is not in the book")):
        page.forgotten.value = typed
        forget.click()
        assert page.message.text == f"Not forgotten: {says}."
    assert SKATER.book.skaters() == ("K07", "K08")
    page.forgotten.value = "K07 "
    forget.click()
    assert SKATER.book.skaters() == ("K08",) and SKATER.card is None and page.forgotten.value == ""
    assert page.message.text.startswith(
        "K07 is forgotten. Papers, exports and copies of the book made earlier remain"
    )
