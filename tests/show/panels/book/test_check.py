"""The check after grinding says on the page what the library says, of the card that is open."""

import datetime

import numpy as np
import pytest

from bladelab import Blade, Hollow, Rocker, Trace
from bladelab.book.check import check_grinding
from bladelab.book.entry import Entry
from bladelab.book.fold import card_of
from bladelab.book.invented import invented_cards
from bladelab.book.steel_happenings import Fitted, Ground, Measured, Ordered
from bladelab.show.panel.skater import SKATER
from bladelab.show.panels.book import check
from tests.show.engine_checks import check_panel as checked
from tests.show.engine_checks import shows_what_a_fresh_one_shows

DAY = datetime.date(2026, 10, 1)
X = np.linspace(-120.0, 120.0, 61)
TEN = Rocker.single(3048.0, 280.0)


@pytest.mark.slow
def test_it_behaves_like_every_panel():
    checked(check.check_panel)


def test_with_no_skater_it_shows_the_invented_team(book_file):
    panel = check.check_panel()
    found = check_grinding(invented_cards()["N09"], "S1")
    worst = found.sides[1].after
    assert panel.result.check == found
    assert f"ground {abs(worst.largest_mm):.3f} mm too deep" in panel.result.finding
    assert "on the right" in panel.result.finding and "0.040 mm that the order allows" in panel.sentence_text
    assert "(invented)" in panel.dials["steel_set"].control.options[0][0]


def test_with_a_skater_it_shows_the_sets_of_the_card(book_file):
    SKATER.begin("K07")
    panel = check.check_panel()
    assert panel.fault and "nothing was ordered" in panel.sentence_text.lower()
    order = Ordered("S1", Blade(TEN, Hollow(12.7, 2.9)), ("left",), 0.05)
    SKATER.write(Fitted("S1"), order, on=DAY)
    panel.catch_up()
    assert panel.dials["steel_set"].control.options[0][0] == "set S1"
    SKATER.write(Measured("S1", "left", Trace(X, X**2 / 5486.4, error_mm=0.003)), on=DAY)
    panel.catch_up()
    off = abs(check_grinding(SKATER.card, "S1").sides[0].before.largest_mm)
    assert f"Left: not ground yet; now it is up to {off:.3f} mm from the order" in panel.sentence_text
    SKATER.write(Ground("S1", TEN), Measured("S1", "left", Trace(X, X**2 / 6096, error_mm=0.003)), on=DAY)
    again = check.check_panel()
    assert again.result.check.verdict == "within" and "K07, set S1: ground as ordered" == again.result.finding
    assert f"Before, it was up to {off:.3f} mm from the order" in again.sentence_text
    assert "(invented)" not in str(again.dials["steel_set"].control.options)


def test_an_edge_that_was_ground_and_not_measured_is_said_so():
    order = Ordered("S1", Blade(TEN, Hollow(12.7, 2.9)), ("left",), 0.05)
    trace = Measured("S1", "left", Trace(X, X**2 / 5486.4, error_mm=0.003))
    for first, before in (([], "it was not measured before either"), ([trace], "before, it was up to 0.")):
        what = [Fitted("S1"), order, *first, Ground("S1", TEN)]
        card = card_of("K07", [Entry("K07", DAY, one, number=i) for i, one in enumerate(what, 1)])
        words = check._side_words(check_grinding(card, "S1").sides[0])
        assert words.startswith(f"Left: ground but not measured since; {before}")


@pytest.mark.slow
def test_a_card_with_less_to_see_shows_nothing_of_the_one_before(book_file):
    trace = Trace(X, X**2 / 6096 + 0.0002 * X, error_mm=0.003)
    for code, sides in (("K07", ("left", "right")), ("K08", ("left",))):
        SKATER.begin(code)
        SKATER.write(Fitted("S1"), on=DAY)
        if code == "K07":
            SKATER.write(*(Measured("S1", side, trace) for side in sides), on=DAY)
        SKATER.write(Ordered("S1", Blade(TEN, Hollow(12.7, 2.9)), sides, 0.05), on=DAY)
        if code == "K07":
            SKATER.write(Ground("S1", TEN), *(Measured("S1", side, trace) for side in sides), on=DAY)
    SKATER.choose("K07")
    panel = check.check_panel()
    assert panel.result.check.apart is not None
    SKATER.choose("K08")
    assert panel.result.check.apart is None and not panel.fault
    shows_what_a_fresh_one_shows(panel, check.check_panel())
