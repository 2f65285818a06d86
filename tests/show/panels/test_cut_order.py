"""From the cut to an order and its papers: written for the sides chosen, refused where it can't be ground."""

import datetime

import numpy as np
import pytest
from pypdf import PdfReader

from bladelab import Blade, Hollow, Rocker, Trace
from bladelab.book.happenings import Decided
from bladelab.book.steel_happenings import Fitted, Ground, Measured, Stated, SteelMeasured
from bladelab.show.panel.skater import SKATER
from bladelab.show.panels.workshop.cut import cut_panel
from bladelab.show.wording.say import say_day
from tests.show.engine_checks import click, hand, units

DAY = datetime.date(2026, 9, 1)
PRESENT, TRIAL = (Blade(Rocker.single(radius, 280.0), Hollow(12.7, 2.9)) for radius in (3048.0, 2743.2))


@pytest.fixture
def card(book_file, tmp_path, monkeypatch):
    """A skater with one set of steel and a trial; what is saved goes to a folder of this test."""
    monkeypatch.chdir(tmp_path)
    SKATER.begin("K07")
    SKATER.write(Fitted("S1"), Stated("S1", PRESENT), Decided(TRIAL, "quicker feet"), on=DAY)
    return SKATER


def buttons(panel):
    return dict(panel.bar.page()["buttons"])


def press(panel, name):
    assert name in buttons(panel)
    panel.bar.act("press", name)


def orders():
    return [SKATER.card.edge(side).order for side in ("left", "right")]


def saved(tmp_path, name):
    pdf = PdfReader(tmp_path / "saved" / name)
    return " ".join(" ".join(page.extract_text().split()) for page in pdf.pages), pdf.pages[0].mediabox


def test_with_no_skater_nothing_is_ordered(book_file):
    panel = cut_panel()
    assert panel._bar["buttons"] == []
    assert not panel.dials["order_tolerance_mm"].shown and not panel.dials["paper"].shown


def test_the_trial_is_ordered_for_both_edges_with_its_tolerance(card):
    panel = cut_panel()
    assert panel.dials["order_tolerance_mm"].shown
    panel.dials["order_tolerance_mm"].value = 0.05
    press(panel, "order")
    left, right = orders()
    assert left == right and (left.target, left.tolerance_mm, left.steel) == (TRIAL, 0.05, "S1")
    assert "order" not in buttons(panel)  # it waits already
    panel.dials["order_tolerance_mm"].value = 0.03
    assert "order" in buttons(panel)
    SKATER.write(Ground("S1", TRIAL.rocker))
    panel.dials["order_tolerance_mm"].value = 0.05
    assert "order" in buttons(panel)  # what was ground can be ordered again


def test_where_the_edges_differ_one_can_be_ordered_alone(card):
    SKATER.write(Stated("S1", TRIAL, ("right",)))
    panel = cut_panel()
    assert buttons(panel)["order_side"] == "order this grinding, left only"
    press(panel, "order_side")
    left, right = orders()
    assert left.target == TRIAL and right is None


def test_what_would_go_below_the_minimum_is_not_ordered(card):
    SKATER.write(SteelMeasured("S1", height_mm=10.2, least_mm=10.0))
    panel = cut_panel()
    press(panel, "order")
    assert "would be 9.84 mm high" in SKATER.trouble and "minimum is 10.00 mm" in SKATER.trouble
    assert orders() == [None, None]


def test_a_shape_that_is_tipped_to_save_steel_is_not_ordered(card):
    x = np.linspace(-130.0, 130.0, 131)
    tipped = Trace(x, PRESENT.rocker.height_mm(x) + 0.002 * x, 0.002, level_error_deg=0.02)
    SKATER.write(Measured("S1", "left", tipped))
    panel = cut_panel()
    panel.dials["tilt_limit_deg"].value = 1.0
    press(panel, "order")
    assert "set *boot may tip by* to 0" in SKATER.trouble and orders() == [None, None]


def test_without_a_hollow_nothing_is_ordered(book_file):
    SKATER.begin("K08")
    panel = cut_panel()
    press(panel, "order")
    assert "an order says the hollow too" in SKATER.trouble


@pytest.mark.slow
@pytest.mark.parametrize(
    ("system", "paper", "width"),
    [("metric", "", 595.3), ("feet and inches", "A4", 595.3)],
)
def test_the_work_order_is_saved_on_the_paper_chosen(system, paper, width, card, tmp_path):
    with units(system):
        panel = cut_panel()
        panel.dials["paper"].value = paper
        press(panel, "order")
        press(panel, "work_order")
        assert panel.saving.work.report == "saved as saved/work-order-k07-1.pdf"
        text, box = saved(tmp_path, "work-order-k07-1.pdf")
        assert float(box.width) == pytest.approx(width, abs=0.1)
        assert f"Set S1, left and right · {say_day(datetime.date.today())}" in text
        assert "single 2.74 m over 280 mm" in text or system != "metric"
        assert "± 0.030 mm" in text and "no order was entered" not in text


def test_a_work_order_that_would_go_below_the_minimum_is_not_saved(card, tmp_path):
    panel = cut_panel()
    SKATER.write(SteelMeasured("S1", height_mm=10.2, least_mm=10.0))
    press(panel, "work_order")
    report = panel.saving.work.report
    assert report.startswith("not saved: the left runner of K07's set S1 would be 9.84 mm high")
    assert panel.saving.work.fault and not (tmp_path / "saved").exists()


def test_a_template_says_whose_it_is(card, tmp_path):
    panel = cut_panel()
    click(panel, "save a template, PDF")
    assert b"%PDF" in (tmp_path / "saved" / "template-1.pdf").read_bytes()[:10]
    click(panel, "save a template, SVG")
    svg = (tmp_path / "saved" / "template-1.svg").read_text("utf-8")
    assert f"K07, {say_day(datetime.date.today())}" in svg


@pytest.mark.slow
def test_the_skaters_sheet_is_saved_and_its_next_date_kept_on_the_card(card, tmp_path):
    panel = cut_panel()
    assert panel.dials["back"].shown
    press(panel, "skater_sheet")
    text, _ = saved(tmp_path, "skater-sheet-k07-1.pdf")
    assert "Quicker feet." in text and "from single 10 ft to single 9 ft" in text
    assert SKATER.card.next_on is None and "Come back with this sheet on" in text
    hand(panel, "back", "in 3 weeks")
    press(panel, "skater_sheet")
    day = datetime.date.today() + datetime.timedelta(weeks=3)
    assert SKATER.card.next_on == day
    hand(panel, "back", "as on the card")
    press(panel, "skater_sheet")
    for number in (2, 3):
        text, _ = saved(tmp_path, f"skater-sheet-k07-{number}.pdf")
        assert f"Come back with this sheet on {say_day(day)}" in text


@pytest.mark.slow
def test_a_sheet_that_is_not_saved_leaves_no_date(card, tmp_path):
    panel = cut_panel()
    hand(panel, "back", "in 3 weeks")
    (tmp_path / "saved").write_text("in the way")
    press(panel, "skater_sheet")
    assert panel.saving.work.fault and SKATER.card.next_on is None
