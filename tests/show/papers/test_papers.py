"""The papers read back as others would: paper sizes, text that can be searched, nothing cut off, in both
systems of units."""

from __future__ import annotations

import datetime
import io
import re
from dataclasses import replace

import numpy as np
import pytest
from matplotlib.backends.backend_agg import RendererAgg
from matplotlib.figure import Figure
from matplotlib.text import Text
from pypdf import PdfReader

from bladelab import Blade, Hollow, InputError, Rocker, Trace, Zone, hardness_from_drop
from bladelab._data import data_file
from bladelab.book.card import Card
from bladelab.book.entry import Entry
from bladelab.book.fold import card_of
from bladelab.book.happenings import Circumstances, Complained, Decided, Joined
from bladelab.book.ordering import orders_of, work_order
from bladelab.book.rink_happenings import GlideMeasured, IceTested, Timed
from bladelab.book.steel_happenings import Fitted, Measured, Ordered, Sharpened, Stated, SteelMeasured
from bladelab.book.work_order import WorkOrder
from bladelab.rink.reading import read_glide_times, read_session
from bladelab.show.canvas.style import style_context
from bladelab.show.papers.order import put_order, write_order, write_orders_due
from bladelab.show.papers.sheet import MARGIN_IN, Sheet
from bladelab.show.papers.skater_sheet import put_skater_sheet, write_skater_sheet
from bladelab.units import SYSTEMS
from bladelab.workshop.gauge import versine
from tests.show.engine_checks import IMPERIAL, METRIC, NOT_A_NUMBER, units

DAY = datetime.date(2026, 11, 3)
TEN, NINE = (Blade(Rocker.single(304.8 * feet, 280.0), Hollow(12.7, 3.0)) for feet in (10, 9))
SHAPED = Blade(
    Rocker((Zone(2590.8, 90), Zone(3352.8, 110), Zone(1828.8, 80)), 20.0, 5.0), Hollow(15.875, 3.0)
)
RUNS = read_glide_times(data_file("demo/glide_outs.csv"))
SESSION = read_session(data_file("demo/timed_session.csv"))
TIMED = Timed.of(SESSION, TEN, SHAPED)
ICE = IceTested("R1", 12.7, 1.0, (9.8, 10.1, 9.9, 10.0, 10.2), temperature_C=-5.0)
#: Points: A4 is 210 x 297 mm (ISO 216), Letter 8.5 x 11 in (ANSI/ASME Y14.1, size A).
POINTS = {"A4": (210 / 25.4 * 72, 297 / 25.4 * 72), "Letter": (612.0, 792.0)}


def card(*happenings: object, skater: str = "K07") -> Card:
    entries = [Entry(skater, DAY, what, number=i) for i, what in enumerate(happenings, 1)]  # type: ignore[arg-type]
    return card_of(skater, entries)


def edge_of(radius_mm: float, level_mm: float) -> Trace:
    x = np.linspace(-125.0, 125.0, 126)
    scatter = 0.003 * np.cos(1e4 * np.arange(126.0) ** 2)
    return Trace(x, Rocker.single(radius_mm, 280.0, level_mm).height_mm(x) + scatter, error_mm=0.003)


@pytest.fixture(scope="module")
def full() -> Card:
    """All there can be on an invented skater's card: both edges measured, each ground to another shape."""
    return card(
        Joined("U14"),
        Circumstances(mass_kg=62.0),
        Stated("S1", TEN),
        SteelMeasured("S1", height_mm=31.2, least_mm=28.0),
        Fitted("S1"),
        Measured("S1", "left", edge_of(3000.0, 3.0)),
        Measured("S1", "right", edge_of(3100.0, -2.0)),
        Complained("no bite", "left"),
        Decided(SHAPED, "slips on the left in tight turns; wants to glide further " + "and further " * 30),
        Ordered("S1", SHAPED, ("left",)),
        Ordered("S1", NINE, ("right",), tolerance_mm=0.05),
        ICE,
        Circumstances(hardness="drop test"),
        *(GlideMeasured.of(RUNS, 75.0, TEN, NINE) for _ in range(3)),
        *(replace(TIMED, drill=drill) for drill in ("15 m sprint", "two crossovers", "round the circle")),
    )


@pytest.fixture(scope="module")
def bare() -> Card:
    """As little as an order can be made from: nothing measured, nothing known of the right edge."""
    return card(Stated("S1", TEN, ("left",)), Fitted("S1"), Decided(NINE), skater="K08")


def text_of(pdf: bytes) -> str:
    """All text of a PDF, as a search in it would find it."""
    text = re.sub(r"\s+", " ", " ".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages))
    return text.replace("°F .", "°F.")  # letters drawn close together are read with a space between


@pytest.fixture(
    scope="module", params=[*zip(POINTS, SYSTEMS, strict=True), *zip(POINTS, SYSTEMS[::-1], strict=True)]
)
def sheets(request: pytest.FixtureRequest, full: Card, bare: Card) -> tuple[str, str, list[Sheet]]:
    """An order and a skater's sheet of each card, on one paper in one system of units."""
    paper, system = request.param
    made = []
    with units(system):
        for one in (full, bare):
            [order] = orders_of(one, DAY)
            made += [Sheet(paper), Sheet(paper)]
            put_order(made[-2], order)
            put_skater_sheet(made[-1], one, order, DAY if one is full else None)
    return paper, system, made


#: Small letters are placed on whole dots: measured at so many dots a point, they are as wide as on paper.
FINE = 8


def boxes(figure: Figure) -> list[tuple[str, np.ndarray]]:
    """The texts that a figure shows and their left, lower, right and upper ends, points."""
    with style_context():
        figure.set_dpi(72 * FINE)
        renderer = RendererAgg(8, 8, 72 * FINE)
        figure.draw(renderer)  # gives the names of the axes their places
        found = [
            (text.get_text(), text.get_window_extent(renderer).extents / FINE) for text in shown_in(figure)
        ]
    figure.set_dpi(72)
    return found


def shown_in(figure: Figure) -> list[Text]:
    """The texts of a picture, but for those of axes that are hidden and of ticks that lie off their axis."""
    beyond = set()
    for axes in figure.axes:
        for axis in (axes.xaxis, axes.yaxis):
            low, high = sorted(axis.get_view_interval())
            ticks = [*axis.get_major_ticks(), *axis.get_minor_ticks()]
            beyond |= {
                t for tick in ticks if not low <= tick.get_loc() <= high for t in (tick.label1, tick.label2)
            }
        if not axes.get_visible():
            beyond |= set(axes.findobj(Text))
    shown = [text for text in figure.findobj(Text) if text.get_visible() and text.get_text().strip()]
    return [text for text in shown if text not in beyond]


def overlapping(found: list[tuple[str, np.ndarray]], slack: float = 0.5) -> list[tuple[str, str]]:
    """Pairs of texts whose boxes share more than `slack` points both ways."""
    pairs = []
    for i, (one, a) in enumerate(found):
        for other, b in found[i + 1 :]:
            shared = np.minimum(a[2:], b[2:]) - np.maximum(a[:2], b[:2])
            if (shared > slack).all():
                pairs.append((one, other))
    return pairs


def test_no_text_is_cut_off_or_lies_over_another(sheets: tuple[str, str, list[Sheet]]) -> None:
    paper, _, made = sheets
    for sheet in made:
        for page in sheet.pages:
            found = boxes(page.figure)
            edge = 72 * MARGIN_IN
            for text, (left, low, right, high) in found:
                assert left >= edge - 1 and right <= POINTS[paper][0] - edge + 1, text
                assert low >= edge - 1 and high <= POINTS[paper][1] - edge + 10, text
            # The lines of one paragraph lie as close as their letters allow.
            assert overlapping(found, slack=3.0) == []


def test_no_text_of_a_picture_is_cut_off_or_lies_over_another(sheets: tuple[str, str, list[Sheet]]) -> None:
    _, _, made = sheets
    for sheet in made:
        for page in sheet.pages:
            for view, scale, left, low in page.pictures:
                found = boxes(view.figure)
                for text, (x, y, right, high) in found:
                    assert x >= 0 and y >= 0 and right <= view.width_px and high <= view.height_px, text
                # On the paper no letter is smaller than 6 points, as small print is.
                smallest = min(text.get_fontsize() for text in shown_in(view.figure))
                assert smallest * scale >= 6
                assert left >= 72 * MARGIN_IN - 1 and low >= 72 * MARGIN_IN - 1
                assert view.width_px * scale + left <= 72 * (sheet.width - MARGIN_IN) + 1


def test_papers_speak_one_system_of_units(sheets: tuple[str, str, list[Sheet]]) -> None:
    _, system, made = sheets
    other = IMPERIAL if system == "metric" else METRIC
    for sheet in made:
        for page in sheet.pages:
            for text in page.figure.findobj(Text):
                assert not other.search(text.get_text()), text.get_text()
                assert not NOT_A_NUMBER.search(text.get_text()), text.get_text()


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
