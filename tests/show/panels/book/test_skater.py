"""A skater's page: the card in words, its history, and what can be done with it."""

import datetime
import re

import pytest
from pypdf import PdfReader

from bladelab import Blade, Hollow, InputError, Rocker
from bladelab.book.entry import Entry
from bladelab.book.fold import card_of
from bladelab.book.happenings import Circumstances, Decided, Joined, Struck
from bladelab.book.history import steel_left
from bladelab.book.invented import invented_cards, invented_entries
from bladelab.book.rink_happenings import IceTested, Timed
from bladelab.book.steel_happenings import Fitted, Ordered, Sharpened, SteelMeasured  # fmt: skip
from bladelab.book.store import open_book
from bladelab.show.panel.skater import SKATER
from bladelab.show.panels.book import skater
from bladelab.show.panels.book.card_form import CAN_WRITE
from bladelab.show.panels.book.skater_page import skater_panel
from bladelab.show.wording.say import say_blade, say_day
from bladelab.show.wording.say_card import say_card
from tests.show.engine_checks import check_panel, hand, shows_what_a_fresh_one_shows, units

TODAY = datetime.date.today()
AGO = TODAY - datetime.timedelta(days=14)
BLADE = Blade(Rocker.single(3048.0, 280.0), Hollow(12.7, 2.9))


@pytest.fixture
def page(book_file, tmp_path, monkeypatch):
    """The page of K07, who has a set of steel that was sharpened two weeks ago."""
    monkeypatch.chdir(tmp_path)
    what = [
        Joined("U15"), Circumstances(hours_per_week=6.0), SteelMeasured("S1", 12.0, 9.0), Fitted("S1"),
        Sharpened("S1", 12.7, taken_mm=0.05),
    ]  # fmt: skip
    book = open_book(book_file)
    book.add(*(Entry("K07", AGO, one) for one in what))
    book.choose("K07")
    SKATER.close()
    return skater_panel()


def fill(form, kind, **fields):
    form.kind.value = kind
    for name, value in fields.items():
        form.fields[name.replace("_", " ")].value = value
    form.write()


def test_the_newest_of_what_was_measured_on_the_ice_is_said(page):
    hand(page.panel, "whose", "K07")
    assert "tested" not in page.panel.sentence_text and "imed on two" not in page.panel.sentence_text
    old, new = (IceTested("R1", 12.7, 1.0, craters) for craters in ((9.4,) * 5, (9.8, 10.1, 9.9, 10.0, 10.2)))
    runs = "AB" * 4
    times = (4.0, 4.1, 4.0, 4.2, 4.1, 4.2, 4.0, 4.1)
    SKATER.write(old, Timed(runs, 2, times[::-1]), Timed(runs, 2, times), on=AGO)
    SKATER.write(new, on=TODAY)
    said = page.panel.sentence_text
    drop = new.drop
    hardness = f"{drop.hardness_MPa:.1f} ± {drop.standard_error_MPa:.1f} MPa by 5 craters."
    assert f"{say_day(TODAY)}: ice of rink R1 tested: hardness {hardness}" in said
    assert said.count("ice of rink") == 1 and "glide measured" not in said
    assert re.search(rf"{say_day(AGO)}: timed on two blades: 8 runs, B took \+3.1 % \([^)]*; shown\)\.", said)
    assert said.count("timed on two") == 1


@pytest.mark.slow
def test_it_behaves_like_every_panel():
    check_panel(skater.timeline)


def test_a_card_with_less_to_see_shows_nothing_of_the_one_before(book_file):
    book = open_book(book_file)
    book.add(Entry("K08", TODAY, Joined("U15")))
    for steel, day in (("S1", AGO), ("S2", AGO + datetime.timedelta(days=3))):
        measured = SteelMeasured(steel, 12.0, 9.0), Fitted(steel), Sharpened(steel, 12.7, taken_mm=0.05)
        book.add(*(Entry("K07", day, one) for one in measured))
    SKATER.choose("K07")
    panel = skater.timeline()
    assert {tag.get_text() for tag in panel.view.tags} == {"set S1", "set S2", ""}
    SKATER.choose("K08")
    shows_what_a_fresh_one_shows(panel, skater.timeline())
    assert "no steel on the card yet" in panel.result.finding
    assert panel.sentence_text.startswith("To begin, write below which steel is on")


def test_the_codes_on_offer_are_those_of_the_invented_team():
    assert skater.INVENTED == tuple(invented_cards())


def test_with_no_card_it_shows_the_invented_team_and_writes_nothing(book_file):
    page = skater_panel()
    hand(page.panel, "whose", "N16 (invented)")
    assert page.panel.result.card == invented_cards()["N16"]
    assert any(
        "Struck out on 29 March 2026: digits swapped." in row["cells"][1][0] for row in page.table._rows
    )
    page.table.pick([page.table._rows[0]["id"]])
    for act in (page.strike, page.restore):
        act()
        assert "No card of your own is open" in page.message.text
    page.form.write()
    assert "no card is open" in page.form.message.text and not book_file.exists()


def test_the_card_in_words_and_what_is_next(page):
    said = page.panel.sentence_text
    assert "Set S1, on both sides: 2.9" in said and "About 12 h on the ice" in said
    assert said.endswith("Next: sharpen.") and page.panel.result.finding.endswith("1 thing to do")
    (top, *rest) = page.table._rows
    assert top["cells"][1][0] == "Set S1 sharpened to a hollow of 1/2 in, 0.05 mm taken off."
    assert top["cells"][0][0] == AGO.isoformat() and len(rest) == 4


def test_what_another_notebook_wrote_counts_at_once(page, book_file):
    """The form writes on the card as the book has it, and the page shows it as soon as the reader is back."""
    order = Ordered("S1", BLADE)
    open_book(book_file).add(Entry("K07", TODAY, order))
    fill(page.form, "ground as ordered", steel_taken="0.3")
    assert page.form.message.text.endswith("Set S1 profiled: single 10 ft, 0.30 mm taken off.")
    open_book(book_file).add(Entry("K07", TODAY, Decided(BLADE)))
    page.panel.look()
    assert SKATER.card.trial == BLADE and page.panel.bar.page()["told"] == ""
    hand(page.panel, "whose", "N16 (invented)")
    open_book(book_file).add(Entry("K07", TODAY, Decided(None)))
    page.panel.look()  # whoever looks at another card stays there
    assert SKATER.card.trial == BLADE and page.panel.bar.page()["told"] == "The card has changed."


def test_strike_and_undo(page):
    page.table.pick([page.table._rows[0]["id"]])
    page.why.value = "wrong skater"
    page.strike()
    assert page.message.text == "1 entry struck out." and SKATER.card.edge("left").sharpened_on is None
    assert page.table._rows[0]["quiet"] and "wrong skater" in page.table._rows[0]["cells"][1][0]
    page.strike()
    assert "Tick an entry that counts" in page.message.text
    page.table.pick([page.table._rows[0]["id"]])
    page.restore()
    assert SKATER.card.edge("left").sharpened_on == AGO and not page.table._rows[0]["quiet"]


@pytest.mark.slow
def test_the_form_writes_what_it_says(page):
    assert page.form.button.description == f"write it on the card of {SKATER.code}"
    fill(page.form, "weight, hours on the ice", weight="135")
    assert SKATER.card.mass_kg == pytest.approx(135 * 0.45359237)  # the pound is defined so
    with units("metric"):
        fill(page.form, "weight, hours on the ice", weight="61,5", hours_a_week="7")
    assert SKATER.card.mass_kg == 61.5 and SKATER.card.hours_per_week == 7.0
    fill(page.form, "height of the steel, minimum", set="S2", height="14.2", minimum="9")
    assert SKATER.card.steel["S2"].height_mm == 14.2 and SKATER.card.fitted["left"] == "S1"
    fill(page.form, "height of the steel, minimum", set="s2", height="14.2")
    assert "s2" not in SKATER.card.steel
    fill(page.form, "put on", set="S2", side="left")
    assert dict(SKATER.card.fitted) == {"left": "S2", "right": "S1"}
    fill(page.form, "sharpened", set="S1", side="right", hollow=15.875, steel_taken="0.04")
    assert SKATER.card.edge("right").hollow_mm == 15.875 and SKATER.card.steel[
        "S1"
    ].taken_mm == pytest.approx(0.09)
    fill(page.form, "grinding ordered, to the trial on the card", set="S1", side="right")
    assert "there is no trial on the card" in page.form.message.text
    SKATER.write(Decided(BLADE))
    fill(page.form, "grinding ordered, to the trial on the card", set="S1", side="right", tolerance="0.05")
    assert SKATER.card.edge("right").order.tolerance_mm == 0.05
    on = say_day(TODAY)
    assert f"{say_blade(BLADE)}, ordered for the right on {on}." in say_card(SKATER.card)
    SKATER.write(Decided(None))
    assert f"Ordered for the right on {on}: {say_blade(BLADE)}." in say_card(SKATER.card)
    assert "o trial yet" not in say_card(SKATER.card)
    fill(page.form, "ground as ordered", set="S1", side="right", steel_taken="0.3")
    assert "rdered" not in say_card(SKATER.card)
    assert SKATER.card.edge("right").order_done and SKATER.card.edge("right").rocker == BLADE.rocker
    fill(page.form, "ground as ordered", set="S1", side="right")
    assert "nothing is ordered for the right edge" in page.form.message.text
    fill(page.form, "steel thrown or given away", set="S2")
    assert SKATER.card.steel["S2"].retired_on == TODAY and "left" not in SKATER.card.fitted
    soon = TODAY + datetime.timedelta(days=7)
    fill(page.form, "asked to come back", next_date=soon)
    assert SKATER.card.next_on == soon and page.next_on.value == soon
    fill(page.form, "asked to come back", next_date=TODAY)
    assert f"the next date is {TODAY}; it must be after today" in page.form.message.text
    fill(page.form, "moved to a team", team="U16")
    assert SKATER.card.team == "U16"


@pytest.mark.parametrize(
    ("kind", "fields", "says"),
    [
        ("sharpened", {"steel_taken": "much"}, "steel taken is 'much'; it must be a number"),
        ("sharpened", {"steel_taken": "9"}, "steel taken is 9 mm; it must be at least 0 mm and at most 5 mm"),
        (
            "weight, hours on the ice",
            {"weight": "1810"},
            "weight is 1810 lb; it must be at least 44 lb and at most 441 lb",
        ),
        ("height of the steel, minimum", {}, "height and minimum are both empty"),
        ("sharpened", {"set": "the old one"}, "steel is 'the old one'"),
        ("weight, hours on the ice", {}, "weight and hours a week are both empty"),
        ("asked to come back", {}, "the next date is missing"),
    ],
)
def test_a_form_that_is_wrong_writes_nothing(page, kind, fields, says):
    before = SKATER.book.last
    fill(page.form, kind, **fields)
    assert says in page.form.message.text and SKATER.book.last == before
    page.form.day.value = TODAY + datetime.timedelta(days=1)
    page.form.write()
    assert "in the future" in page.form.message.text and SKATER.book.last == before


def test_edges_ordered_differently_are_written_as_ground_one_by_one(page):
    flat = Blade(Rocker.single(3352.8, 280.0), BLADE.hollow)
    SKATER.write(Ordered("S1", BLADE, ("left",)), Ordered("S1", flat, ("right",)))
    fill(page.form, "ground as ordered", set="S1")
    assert "left and right were ordered differently: write one side at a time" in page.form.message.text
    fill(page.form, "ground as ordered", set="S1", side="left")
    assert SKATER.card.edge("left").rocker == BLADE.rocker and SKATER.card.edge("right").order_waits


def test_what_is_missing_to_know_the_steel_left_is_said():
    entries = [SteelMeasured("S1", 12.0), Fitted("S1"), SteelMeasured("S2", 12.0, 9.0), Sharpened("S2")]
    card = card_of("K07", [Entry("K07", AGO, one, number=i) for i, one in enumerate(entries, 1)])
    assert skater._steel_words(card) == [
        "set S1, on both sides: steel left not known, nobody said the maker's minimum",
        "set S2, not on: steel left not known, some came off unmeasured since: measure the height",
    ]


def test_a_card_that_can_not_be_read_is_said_when_the_reader_is_back(page, monkeypatch):
    def fails():
        raise InputError("the book is in use")

    monkeypatch.setattr(SKATER, "look", lambda: None)
    monkeypatch.setattr(SKATER, "changed", True)
    monkeypatch.setattr(SKATER, "load", fails)
    page.panel.look()
    assert SKATER.trouble == "the book is in use"
    page.panel.result = None
    page.save_order()
    assert page.saving.report == "Not saved: there is no card on the page."


@pytest.mark.slow
def test_the_next_date_is_printed_and_kept_on_the_card(page):
    SKATER.write(Decided(BLADE))
    day = TODAY + datetime.timedelta(days=21)
    page.next_on.value = day
    page.save_sheet()
    assert page.saving.report == "Saved as saved/skater-sheet-k07-1.pdf; the next date is on the card."
    assert SKATER.card.next_on == day and f"To come back on {say_day(day)}" in page.panel.sentence_text
    SKATER.close()
    again = skater_panel()
    assert again.next_on.value == day, "tomorrow it is still there"
    again.save_sheet()
    text = "".join(sheet.extract_text() for sheet in PdfReader("saved/skater-sheet-k07-2.pdf").pages)
    assert f"Come back with this sheet on {say_day(day)}" in " ".join(text.split())
    before = SKATER.book.last
    again.next_on.value = TODAY
    again.save_sheet()
    assert again.saving.report == f"Not saved: the next date is {TODAY}; it must be after today."
    assert SKATER.book.last == before
    again.next_on.value = None
    again.save_sheet()
    assert "the next date was taken off the card" in again.saving.report and SKATER.card.next_on is None


def test_a_date_that_is_chosen_stays_while_something_else_is_written(page):
    page.next_on.value = TODAY + datetime.timedelta(days=21)
    SKATER.write(Circumstances(mass_kg=61.0))
    assert page.next_on.value == TODAY + datetime.timedelta(days=21)


@pytest.mark.slow
def test_papers_are_saved_and_a_plain_page_can_fetch_them(page, tmp_path, monkeypatch):
    monkeypatch.setenv("BLADELAB_SERVED", str(tmp_path))
    monkeypatch.setenv("VOILA_BASE_URL", "/")
    SKATER.write(Decided(BLADE))
    page.save_order()
    assert page.saving.report == "Saved as saved/work-order-k07-1.pdf."
    assert 'href="/files/saved/work-order-k07-1.pdf?download=1"' in page.saving.links.value
    page.save_sheet()
    assert page.saving.report == "Saved as saved/skater-sheet-k07-1.pdf."
    assert 'href="/files/saved/skater-sheet-k07-1.pdf?download=1"' in page.saving.links.value


def test_steel_over_the_season():
    entries = [entry for entry in invented_entries() if entry.skater == "N05"]
    left = steel_left(entries)
    assert left["S1"][0] == (
        datetime.date(2025, 9, 1),
        pytest.approx(invented_cards()["N05"].steel["S1"].height_mm - 9.0),
    )
    for code, days in left.items():
        assert days[-1][1] == pytest.approx(invented_cards()["N05"].steel[code].left_above_least_mm)
    unmeasured = [
        Entry("K07", AGO, SteelMeasured("S1", 12.0, 9.0), number=1),
        Entry("K07", AGO, Sharpened("S1"), number=2),
    ]
    assert [mm for _, mm in steel_left(unmeasured)["S1"]] == [3.0, None]
    assert steel_left([*unmeasured, Entry("K07", AGO, Struck(2), number=3)])["S1"] == ((AGO, 3.0),)


def test_every_kind_on_the_form_has_its_fields(page):
    for kind in CAN_WRITE:
        page.form.kind.value = kind
        assert [one.description for one in page.form._shown.children] == list(CAN_WRITE[kind].fields)
