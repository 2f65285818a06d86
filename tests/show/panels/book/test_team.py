"""The team's page says what the library says, and does for many at once what the book can hold."""

import asyncio
import csv
import datetime

import numpy as np
import pytest
from pypdf import PdfReader

from bladelab import Blade, Hollow, Rocker
from bladelab.book.entry import Entry
from bladelab.book.happenings import Circumstances, Joined
from bladelab.book.invented import invented_cards
from bladelab.book.plan_happenings import NextDate, SeasonPlanned
from bladelab.book.steel_happenings import Fitted, Ordered, Sharpened, Stated, SteelMeasured
from bladelab.book.store import open_book
from bladelab.book.team import standing
from bladelab.show.panel.skater import SKATER
from bladelab.show.panels.book.team import DUE_WORDS, ROWS, team_chart
from bladelab.show.panels.book.team_page import BOOK_IS_OPEN, team_panel
from tests.show.engine_checks import check_panel, hand

TODAY = datetime.date.today()
BLADE = Blade(Rocker.single(3048.0, 280.0), Hollow(12.7, 2.9))


@pytest.fixture
def team(book_file):
    """Three skaters: one due, one not, one of whom nothing is known."""
    ago = TODAY - datetime.timedelta(days=14)
    happenings = {
        "K07": [Circumstances(hours_per_week=6.0), Fitted("S1"), Stated("S1", BLADE), Sharpened("S1")],
        "K08": [Circumstances(hours_per_week=2.0), Fitted("S1"), Sharpened("S1")],
        "K09": [],
    }
    for code, what in happenings.items():
        open_book(book_file).add(*(Entry(code, ago, one) for one in (Joined("U15"), *what)))
    SKATER.close()
    return team_panel()


@pytest.mark.slow
def test_it_behaves_like_every_panel():
    check_panel(team_chart)


def test_the_last_page_shows_nothing_of_the_one_before(book_file):
    book, ago = open_book(book_file), TODAY - datetime.timedelta(days=14)
    for i in range(ROWS):
        what = Circumstances(hours_per_week=6.0), SteelMeasured("S1", 9.5, 9.0), Fitted("S1"), Sharpened("S1")
        book.add(*(Entry(f"K{i:02d}", ago, one) for one in what))
    book.add(Entry("K99", ago, Joined("U15")))
    SKATER.close()
    panel = team_chart()
    assert len(panel.view.codes) == ROWS and panel.view.codes[-1].get_text() and panel.result.page == 0
    panel.dials["page"].value = 2
    assert [code.get_text() for code in panel.view.codes] == ["K99"] + [""] * (ROWS - 1)
    assert [due.get_text() for due in panel.view.dues[1:]] == [""] * (ROWS - 1)
    assert not any(bar.get_visible() for bars in panel.view.bars.values() for bar in bars), "nothing is known"


def test_with_no_skater_it_shows_the_invented_team_and_writes_nothing(book_file):
    page = team_panel()
    rows = [standing(card, datetime.date(2026, 3, 29)) for card in invented_cards().values()]
    due = [row for row in rows if row.due]
    assert f"{len(due)} of 18 are due (the invented team" in page.panel.result.finding
    assert {row.skater: row for row in page.panel.result.rows} == {row.skater: row for row in rows}
    page.tick_due()
    page.sharpened()
    assert "invented team" in page.message.value and not book_file.exists()


def test_who_is_due_follows_the_hours(team):
    assert team.panel.result.finding.startswith("1 of 3 is due")
    hand(team.panel, "hours", 2.0)
    assert team.panel.result.finding.startswith("2 of 3 are due")
    assert "Steel not known" in team.panel.sentence_text


def test_who_is_due_goes_by_the_card_unless_told_otherwise(team, book_file):
    """K07's plan says every 20 h, and that K07 comes back today; K08 has the number on the slider."""
    plan = SeasonPlanned(TODAY, TODAY + datetime.timedelta(weeks=30), (TODAY,), 20.0)
    SKATER.add(Entry("K07", TODAY, plan), Entry("K07", TODAY, NextDate(TODAY)))
    [row] = [row for row in team.panel.result.rows if row.skater == "K07"]
    assert row.due == ("reprofile", "visit") and row.allowed.hours == 20.0
    assert "Re-profile, as planned: K07. Due back: K07." in team.panel.sentence_text
    assert "for 1 by the season's plan on the card, for 2 by the slider" in team.panel.sentence_text
    across, down = (np.asarray(one, float) for one in team.panel.view.limit["hours"].get_data(orig=True))
    whole = np.isfinite(down)
    assert set(across[whole]) == {20.0, 6.0}, "each row has the limit that it goes by"
    assert not whole[2::3].any(), "and no line leads from one to the next"
    hand(team.panel, "by_card", "these numbers for all")
    [row] = [row for row in team.panel.result.rows if row.skater == "K07"]
    assert "sharpening" in row.due and "for 3 by the slider" in team.panel.sentence_text


def test_many_are_sharpened_in_one_action(team):
    team.table.pick(["K07", "K08", "K09"])
    team.hollow.value, team.by.value = 15.875, "rink"
    team.sharpened()
    assert "2 sets of 2 skaters sharpened today; no steel in the book: K09" in team.message.value
    cards = SKATER.book.cards()
    assert cards["K07"].edge("left").sharpened_on == TODAY == cards["K08"].edge("right").sharpened_on
    assert cards["K07"].edge("right").hollow_mm == 15.875
    assert team.panel.result.finding.startswith("0 of 3 are due") and team.table.picked == ()
    last = SKATER.book.last
    team.sharpened()  # pressed twice
    assert team.message.text.startswith("Nobody else is ticked. Written: 2 sets of 2 skaters")
    assert SKATER.book.last == last


def test_the_table_says_what_the_picture_says(team):
    (row,) = [row for row in team.table._rows if row["id"] == "K07"]
    ago = (TODAY - datetime.timedelta(days=14)).isoformat()
    assert [text for text, _ in row["cells"]] == [
        "K07", "U15", DUE_WORDS["sharpening"], ago, "12", "", "", "", "", "", "",
    ]  # fmt: skip
    assert row["cells"][7][1] is None  # what is not known comes last however it is sorted


def test_a_roster_comes_in(team, tmp_path):
    file = tmp_path / "ours.csv"
    file.write_bytes(b"skater;team;mass_kg\nK10;U15;61,5\nKarl;U15;70\n")
    team.roster("ours.csv", file)
    assert "from ours.csv: 1 skater with news" in team.message.text
    assert "line 3: skater is" in team.message.text
    assert SKATER.book.card("K10").mass_kg == 61.5
    file.write_bytes(b"who,mass_kg\nK10,60\n")
    team.roster("bad.csv", file)
    assert "Nothing was taken from bad.csv" in team.message.text and "no column skater" in team.message.text


def test_what_was_sharpened_can_be_undone(team):
    before = SKATER.book.cards()["K07"].edge("left").sharpened_on
    team.table.pick(["K07"])
    team.sharpened()
    team.table.pick(["K08"])
    team.sharpened()
    team.undo()
    assert "1 sharpening struck out again" in team.message.text
    cards = SKATER.book.cards()
    assert cards["K08"].edge("left").sharpened_on < TODAY and cards["K07"].edge("left").sharpened_on == TODAY
    team.undo()
    assert SKATER.book.cards()["K07"].edge("left").sharpened_on == before
    team.undo()
    assert "nothing was written" in team.message.text


@pytest.mark.slow
def test_work_orders_for_those_ticked(team, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    SKATER.add(Entry("K07", TODAY, Ordered("S1", BLADE)))
    team.save_orders()
    assert team.saving.report == "Not saved: nobody is ticked."
    team.table.pick(["K07", "K08"])
    team.save_orders()
    assert "saved/work-orders-1.pdf with 1 order. None for K08: nothing is ordered" in team.saving.report
    text = "".join(page.extract_text() for page in PdfReader("saved/work-orders-1.pdf").pages)
    assert "K07" in text and "No work order" in text


def test_a_batch_of_work_orders_says_how_far_it_is_and_can_be_stopped(team, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    said = []
    team.saving.bar.observe(lambda _: said.append(team.saving.report), names="value")

    async def play(stop):
        team.table.pick(["K07", "K08", "K09"])
        team.save_orders()
        assert team.saving.busy and team.saving.report == "1 of 3 skaters"
        assert team.saving.stop_button.layout.display != "none"
        if stop:
            team.saving.stop_button.click()
        await team.saving.task

    asyncio.run(play(stop=True))
    assert team.saving.report == "Stopped after 1 of 3; no file was written."
    assert not (tmp_path / "saved").exists()
    asyncio.run(play(stop=False))
    assert {"1 of 3 skaters", "2 of 3 skaters", "3 of 3 skaters"} <= set(said)
    assert team.saving.report.startswith("Saved as saved/work-orders-1.pdf")
    assert team.saving.stop_button.layout.display == "none"


def test_a_plain_page_can_fetch_what_the_page_wrote(team, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    team.save()
    assert team.saving.links.value == "", "JupyterLab lists the files itself"
    monkeypatch.setenv("BLADELAB_SERVED", str(tmp_path))
    monkeypatch.setenv("VOILA_BASE_URL", "/")
    team.save()
    assert 'href="/files/saved/team-2.csv?download=1"' in team.saving.links.value
    [row, *_] = csv.DictReader((tmp_path / "saved" / "team-2.csv").read_text().splitlines())
    assert (row["skater"], row["date"], row["left_blade"]) == (
        "K07",
        TODAY.isoformat(),
        "single 10 ft, hollow 1/2 in",
    )
    team.table.pick(["K07"])
    team.save_orders()
    assert "work-orders-1.pdf?download=1" in team.saving.links.value
    assert "team-2" not in team.saving.links.value
    team.table.pick([])
    team.save_orders()
    assert team.saving.links.value == "", "a report about no file links to none"


def test_a_saved_notebook_keeps_nothing_of_an_own_team(team, book_file):
    bundle, _ = team._repr_mimebundle_()
    assert bundle["text/plain"] == BOOK_IS_OPEN and "image/png" not in bundle and "K07" not in str(bundle)
    book_file.unlink()
    SKATER.close()
    bundle, _ = team_panel()._repr_mimebundle_()
    assert "of 18 are due" in bundle["text/plain"] and "image/png" in bundle


def test_the_invented_table_tells_no_day_years_ahead(book_file):
    page = team_panel()
    ends = {row["id"]: row["cells"][8] for row in page.table._rows}
    assert ends["N08"][0] == ends["N08"][1] < "2028" and ends["N05"][0] == "more than 2 years"
    assert page.hollow.index == 0
