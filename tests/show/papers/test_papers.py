"""The papers read back as others would: paper sizes, text that can be searched, nothing cut off, in both
systems of units."""

from __future__ import annotations

import datetime
import io
import re
from dataclasses import replace

import pytest
from pypdf import PdfReader

from bladelab import InputError, hardness_from_drop
from bladelab.book.card import Card
from bladelab.book.happenings import Circumstances, Decided
from bladelab.book.ordering import orders_of, work_order
from bladelab.book.rink_happenings import GlideMeasured, Timed
from bladelab.book.steel_happenings import Fitted, Sharpened, Stated, SteelMeasured
from bladelab.book.work_order import WorkOrder
from bladelab.show.papers.order import put_order, write_order, write_orders_due
from bladelab.show.papers.sheet import Sheet
from bladelab.show.papers.skater_sheet import write_skater_sheet
from bladelab.workshop.gauge import versine
from tests.show.engine_checks import units
from tests.show.papers.cards import DAY, ICE, NINE, POINTS, RUNS, SESSION, TEN, TIMED, card

# Each writes whole PDFs and reads them again.
pytestmark = pytest.mark.slow


def text_of(pdf: bytes) -> str:
    """All text of a PDF, as a search in it would find it."""
    text = re.sub(r"\s+", " ", " ".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages))
    return text.replace("°F .", "°F.")  # letters drawn close together are read with a space between


# One PDF of each kind, read back ------------------------------------------------------------------------


@pytest.fixture(scope="module")
def order_pdf(full: Card) -> bytes:
    file = io.BytesIO()
    with units("feet and inches"):
        write_order(file, orders_of(full, DAY))
    return file.getvalue()


@pytest.fixture(scope="module")
def skater_pdf(full: Card) -> bytes:
    file = io.BytesIO()
    with units("metric"):
        write_skater_sheet(file, full, orders_of(full, DAY), datetime.date(2026, 11, 24))
    return file.getvalue()


def sizes(pdf: bytes) -> list[tuple[float, float]]:
    return [
        (float(page.mediabox.width), float(page.mediabox.height)) for page in PdfReader(io.BytesIO(pdf)).pages
    ]


def test_paper_sizes_are_those_of_the_standards(order_pdf: bytes, skater_pdf: bytes) -> None:
    """ISO 216 for A4, ANSI/ASME Y14.1 for Letter; a tenth of a point is 0.04 mm."""
    for pdf, paper in ((order_pdf, "Letter"), (skater_pdf, "A4")):
        for size in sizes(pdf):
            assert size == pytest.approx(POINTS[paper], abs=0.1)


def test_a_work_order_says_all_that_the_shop_needs(order_pdf: bytes, full: Card) -> None:
    text = text_of(order_pdf)
    for words in (
        "Work order: K07",
        "Set S1, left and right, team U14 · 3 November 2026",
        "heel to toe 8.5 ft for 90 mm, 11 ft for 110 mm and 6 ft for 80 mm",
        "50 mm behind the middle, 60 mm ahead of the middle; blended over 20 mm",
        "5 mm ahead of the middle",
        "5/8 in (now 1/2 in)",
        "± 0.050 mm",
        "maker's minimum 28.00 mm",
        "Gauge: 60 mm between the feet",
        "Ground by",
        "Signature",
        "Never grind below the maker's minimum height.",
        "page 1 of 2",
    ):
        assert words in text, words
    order = work_order(full, "S1", DAY)
    for edge in order.edges:
        assert edge.cut is not None
        assert f"{edge.cut.largest_mm:.3f} mm" in text
        assert f"{31.2 - edge.cut.largest_mm:.2f} mm left where most comes off" in text
        for cut in edge.cut_mm(order.places_mm)[1:-1]:
            assert f"{cut:.3f}" in text
    # The right edge is to be one circle: what the gauge reads on it is the handbook's versine.
    assert text.count(f"{versine(60.0, 2743.2):.3f}") >= 11


def test_a_skaters_sheet_says_why_what_and_how(skater_pdf: bytes) -> None:
    text = text_of(skater_pdf)
    for words in (
        "Your blades: K07",
        "You said: “The edge won't bite.”",
        "Slips on the left in tight turns",
        "from 12.7 mm to 15.9 mm",
        "In the one-foot glide the new blade",
        "Computed for 62 kg",
        "in a drop test",
        "two easy laps",
        "Does the edge hold when you push?",
        "Come back with this sheet on 24 November 2026",
        "Pain or a fall is for a clinician.",
    ):
        assert words in text, words


def sheet_of(system: str, paper: str, *happenings: object) -> str:
    one = card(Stated("S1", TEN), Fitted("S1"), Decided(NINE), *happenings)
    file = io.BytesIO()
    with units(system):
        write_skater_sheet(file, one, orders_of(one, DAY), paper=paper)
    assert len(PdfReader(file).pages) <= 2
    return text_of(file.getvalue())


@pytest.mark.parametrize(
    ("system", "paper", "cold", "area"),
    [("metric", "A4", "−5.0 °C", "m²"), ("feet and inches", "Letter", "23.0 °F", "ft²")],
)
def test_a_skaters_sheet_lists_what_was_measured_on_the_ice(system, paper, cold, area) -> None:  # type: ignore[no-untyped-def]
    one = GlideMeasured(RUNS.distance_m, GlideMeasured.of(RUNS, 75.0).time_s[:4], (1, -1) * 2, (0,) * 4, 75.0)
    two = GlideMeasured.of(RUNS, 75.0, TEN, NINE)
    text = sheet_of(system, paper, ICE, one, two, replace(TIMED, drill="15 m sprint"))
    drop = hardness_from_drop(12.7, 1.0, ICE.crater_mm)
    hard = f"{drop.hardness_MPa:.1f} ± {drop.standard_error_MPa:.1f} MPa by 5 craters, at {cold}."
    assert "What was measured on the ice" in text
    assert f"Ice of rink R1, 3 November 2026: hardness {hard}" in text
    fit, both = one.found, two.found
    assert f"4 runs: friction {fit.mu:.4f} ± {fit.mu_error:.4f} of the weight, drag area " in text
    per = 1.0 if area == "m²" else 0.3048**2
    decimals = 2 if area == "m²" else 1
    assert f"drag area {fit.cda_m2 / per:.{decimals}f} ± {fit.cda_error / per:.{decimals}f} {area}." in text
    for mu, error in zip(both.mu, both.mu_error, strict=True):
        assert f"{mu:.4f} ± {error:.4f}" in text
    percent, low, high = SESSION.result.percent
    ends = " to ".join(f"{end:+.1f}".replace("-", "−") for end in (low, high))
    timed = f"Timed trial, 3 November 2026, 15 m sprint, {len(SESSION.time_s)} runs: B took "
    assert f"{timed}{abs(percent):.1f} % less time than A ({ends} %): shown." in text


def test_a_difference_within_its_error_is_said_not_to_be_shown() -> None:
    times = (4.0, 4.1, 4.0, 4.1, 3.9, 4.0, 4.1, 4.15)
    text = sheet_of("metric", "A4", Timed("ABBAABBA", 2, times), Timed("ABBA", 2, (4.0, None, 3.9, 4.0)))
    assert "%): not shown, it may be chance." in text and "3 runs: too few to tell." in text


def test_only_the_newest_are_told_and_a_card_without_any_says_nothing() -> None:
    text = sheet_of("metric", "A4", *(Timed("ABAB", 2, (4.0, 3.9, 4.1, t)) for t in (4.0, 4.2, 4.3, 4.4)))
    assert text.count("Timed trial,") == 2 and "On the card: 2 earlier timed trials." in text
    assert "measured on the ice" not in sheet_of("metric", "A4")


def words_of(order: WorkOrder) -> str:
    sheet = Sheet("A4")
    put_order(sheet, order)
    return " ".join(text.get_text() for page in sheet.pages for text in page.figure.texts)


def test_what_is_not_known_has_room_to_be_written(bare: Card) -> None:
    text = words_of(work_order(bare, "S1", DAY))
    assert "Measure before grinding: the height, the maker's minimum and the right edge." in text
    assert "now: ________ mm; minimum, by the maker: ________ mm" in text
    assert "not known: measure the edge" in text


def test_a_height_measured_before_a_sharpening_is_said_and_not_used() -> None:
    height = SteelMeasured("S1", 30.0, 28.0)
    known = card(Stated("S1", TEN), height, Sharpened("S1"), Fitted("S1"), Decided(NINE))
    text = words_of(work_order(known, "S1", DAY))
    assert "now: ________ mm (30.00 mm on 3 November 2026; steel came off once since)" in text


# A team -------------------------------------------------------------------------------------------------


def test_a_team_prints_in_one_go_each_in_the_units_of_the_card() -> None:
    ready = (Stated("S1", TEN), Fitted("S1"), Decided(NINE))
    cards = [
        card(*ready, Circumstances(units="metric"), skater="K09"),
        card(skater="K01"),
        card(*ready, Circumstances(units="feet and inches"), skater="K03"),
    ]
    file = io.BytesIO()
    with units("metric"):
        orders, refused = write_orders_due(file, cards, DAY)
    pages = [re.sub(r"\s+", " ", page.extract_text()) for page in PdfReader(file).pages]
    assert [order.skater for order in orders] == ["K09", "K03"]
    assert refused == (("K01", "nobody said which steel is on the skates of K01"),)
    assert len(pages) == 3
    for page, words in zip(pages, ("K09 single 2.74 m", "K03 single 9 ft", "K01 Nobody said"), strict=True):
        code, shape = words.split(" ", 1)
        assert code in page and shape in page and "page 1 of 1" in page
    assert sizes(file.getvalue()) == [pytest.approx(POINTS["A4"], abs=0.1)] * 3


def test_a_paper_that_is_not_known_is_refused() -> None:
    with pytest.raises(InputError, match=r"paper is 'B5'; it must be one of A4, Letter"):
        Sheet("B5")
