"""One skater from notebook to notebook, to the paper and to the next day in JupyterLab, in metric units; and
one of a team on plain pages, in feet."""

from __future__ import annotations

import datetime

import pytest
from playwright.sync_api import expect
from pypdf import PdfReader

from bladelab import feet, steel_to_remove
from bladelab.book.happenings import Circumstances, Decided
from bladelab.book.shape_now import shape_now
from bladelab.book.steel_happenings import Fitted, Stated
from bladelab.book.store import open_book
from bladelab.shape.blade import Blade
from bladelab.shape.hollow import Hollow
from bladelab.shape.rocker import Rocker
from tests.journeys import edges
from tests.show.panel.test_card_bar import write

BITE, COMPARE = "02_the_hollow_and_the_bite.ipynb", "07_compare_two_blades.ipynb"
SIDES, CUT, TEAM = "12_left_and_right.ipynb", "13_what_a_change_costs.ipynb", "20_the_team.ipynb"
PRESENT = Blade(Rocker.single(2743.2, 284.0), Hollow(12.7, 2.9))


@pytest.fixture
def book(tmp_path):
    """A book with two skaters, nobody's card open; both are said in metric units or none."""
    file = tmp_path / "book.sqlite"
    write(
        file,
        Circumstances(75.0, -4.0, 5.0, units="metric"),
        Fitted("S1"),
        Stated("S1", PRESENT),
        choose=False,
    )
    write(file, Circumstances(62.0), skater="K08", choose=False)
    return file


def numbers_on(paper, row):
    """The numbers in a row of the table along the runner, by place, mm; the left ones if the sides differ."""
    lines = [line.split() for line in paper.splitlines()]
    places, numbers = (
        next(line for line in lines if " ".join(line).startswith(name)) for name in ("place", row)
    )
    count = len(places) - 1
    return dict(zip((int(one.replace("−", "-")) for one in places[1:]), numbers[-count:], strict=True))


def check_order(pdf, size_mm, cut, radius_mm, *words):
    """Read a work order back: its paper, its words, the cut and what the gauge must read."""
    reader = PdfReader(pdf)
    width, height = (float(side) / 72 * 25.4 for side in reader.pages[0].mediabox[2:])
    assert abs(width - size_mm[0]) < 0.5 and abs(height - size_mm[1]) < 0.5
    paper = reader.pages[0].extract_text().replace("\u00a0", " ")
    for word in words:
        assert word in paper, paper
    comes_off, gauge = numbers_on(paper, "comes off"), numbers_on(paper, "gauge to read")
    for place in (-100, 0, 60):
        assert float(comes_off[place]) == pytest.approx(float(cut.depth_mm(place)), abs=0.00051)
        # The height of an arc over a chord of 60 mm, as handbooks have it: R - sqrt(R^2 - (c/2)^2).
        assert float(gauge[place]) == pytest.approx(radius_mm - (radius_mm**2 - 30.0**2) ** 0.5, abs=0.00051)


def from_the_edges_to_the_paper(desk, book, files):
    """Both edges are measured, a single change is chosen and ordered; returns the blade that is to be."""
    now = PRESENT.rocker
    for side, seed, spot in (("left", 1, 0.0), ("right", 2, 0.05)):
        edges.write_german(files / "measured" / f"k07-{side}.csv", *edges.heights(now, seed, spot))
    desk.open(SIDES)
    for side in ("left", "right"):
        desk.dial(side).select_option(label=f"k07-{side}.csv")
    desk.press("keep both edges on the card", "right edge measured by height at 139 places")
    card = open_book(book).card("K07")
    assert [len(card.edge(side).measured.x_mm) for side in ("left", "right")] == [139, 139]

    desk.open(COMPARE, place=1)  # the map of single changes
    desk.bar.get_by_role("button", name="load it").click()
    day = datetime.date.today()
    measured = f"left as measured {day.day} {day:%b %Y}"
    expect(desk.dial("shape").locator("option:checked")).to_have_text(measured)
    desk.panel.get_by_role("tab", name="skater").click()
    desk.dial("change").select_option(label="0.30 m flatter overall")
    desk.press("try this next: single 3.0", "Next to try: single 3.0")
    trial = open_book(book).card("K07").trial
    radius = trial.rocker.zones[0].radius_mm
    assert radius == pytest.approx(2743.2 + 304.8, abs=15) and trial.hollow == PRESENT.hollow

    desk.open(CUT)
    left, right = (shape_now(card.edge(side), 284.0).edge for side in ("left", "right"))
    desk.tells(steel_to_remove(left, trial.rocker).largest_mm, "mm", after="At its deepest")
    desk.dial("paper").select_option(label="Letter")
    desk.press("order this grinding, left and right", "Grinding of set S1 ordered: single")
    order = open_book(book).card("K07").edge("right").order
    assert order.target == trial
    desk.press("save the work order (PDF)", "saved as saved/work-order")
    cut = steel_to_remove(left, trial.rocker)
    said = f"single {radius / 1000:.2f} m over 284 mm", "12.7 mm, as it is now", "K07", "± 0.030 mm"
    check_order(files / "saved" / "work-order-k07-1.pdf", (215.9, 279.4), cut, radius, *said)
    comes_off = steel_to_remove(right, trial.rocker).depth_mm(60.0)
    assert comes_off < cut.depth_mm(60.0) - 0.03, "the low spot of the right edge needs less there"
    return trial


def test_a_card_goes_from_notebook_to_notebook_to_the_paper_and_to_the_next_day(sit_down, own_files, book):
    desk = sit_down("lab", book)
    desk.open(BITE)
    desk.reads("mass_kg", "165 lb")
    expect(desk.bar.locator("button:visible, p:visible")).to_have_count(0)
    desk.dial("skater").select_option("K07")
    expect(desk.bar).to_contain_text("Present: single 2.74 m, hollow 12.7 mm. No trial yet.")
    desk.reads("mass_kg", "75 kg")
    desk.reads("present.hollow_mm", "12.7 mm")
    last = open_book(book).last

    desk.open(COMPARE)
    expect(desk.dial("skater")).to_have_value("K07")
    desk.reads("present.radius_mm", "2.74 m")
    desk.reads("speed_m_s", "5.0 m/s")
    desk.panel.get_by_role("tab", name="skater").click()
    desk.reads("mass_kg", "75 kg")
    desk.dial("units").select_option(label="feet and inches")
    desk.reads("mass_kg", "165 lb")
    desk.dial("units").select_option(label="metric")
    desk.reads("mass_kg", "75 kg")
    assert open_book(book).card("K07").mass_kg == 75.0, "units move no number"
    desk.dial("mass_kg").press("ArrowRight")
    desk.bar.get_by_role("button", name="keep on the card: skater 76 kg").click()
    expect(desk.bar.get_by_role("button", name="keep on the card")).to_have_count(0)
    assert open_book(book).card("K07").mass_kg == 76.0 and open_book(book).last == last + 3

    desk.open(BITE)  # looked at again: the change is offered, and nothing moves by itself
    expect(desk.bar).to_contain_text("The card has changed.")
    desk.reads("mass_kg", "75 kg")
    desk.bar.get_by_role("button", name="load it").click()
    desk.reads("mass_kg", "76 kg")
    expect(desk.bar).not_to_contain_text("The card has changed.")
    trial = from_the_edges_to_the_paper(desk, book, own_files)
    desk.end_the_day()

    desk.open(COMPARE)
    expect(desk.dial("skater")).to_have_value("K07")
    desk.reads("mass_kg", "76 kg")
    assert open_book(book).card("K07").trial == trial
    desk.reads("trial.radius_mm", f"{trial.rocker.zones[0].radius_mm / 1000:.2f} m")
    desk.end_the_day()


def test_a_team_comes_in_is_sharpened_and_one_of_it_gets_an_order(sit_down, own_files, tmp_path):
    book = tmp_path / "team.sqlite"
    nine, ten = (Blade(Rocker.single(feet(r), 280.0), Hollow(12.7, 2.9)) for r in (9, 10))
    write(book, Stated("S1", nine), Fitted("S1"), Decided(ten), skater="T02", choose=False)
    roster = tmp_path / "roster.csv"
    rows = [f"T{n:02d};U16;{50 + n},5;6;S1;13,2;9,5" for n in range(1, 13)]
    roster.write_text("\r\n".join(["skater;team;mass_kg;hours_per_week;steel;height_mm;least_mm", *rows]))
    desk = sit_down("voila", book)
    desk.open(TEAM)
    with desk.page.expect_file_chooser() as chooser:
        desk.page.get_by_role("button", name="bring in a roster").click()
    chooser.value.set_files(roster)
    expect(desk.page.get_by_text("Taken from roster.csv: 12 skaters with news")).to_be_visible()
    assert open_book(book).card("T02").mass_kg == 52.5
    desk.page.locator("thead input[type=checkbox]").check()
    desk.page.get_by_role("button", name="sharpened today: those ticked").click()
    expect(desk.page.get_by_text("Written: 12 sets of 12 skaters sharpened today.")).to_be_visible()
    assert open_book(book).card("T12").edge("left").sharpened_on == datetime.date.today()
    desk.dial("skater").select_option("T02")
    expect(desk.bar).to_contain_text(
        "Present: single 9 ft, hollow 1/2 in. Trial: single 10 ft, hollow 1/2 in."
    )

    desk.open(CUT)
    cut = steel_to_remove(nine.rocker, ten.rocker)
    desk.tells(cut.largest_mm, "mm", after="At its deepest")
    desk.tells(13.2 - 9.5, "mm", after="of the")
    desk.reads("trial.radius_mm", "10 ft")
    desk.dial("paper").select_option(label="A4")
    desk.press("order this grinding, left and right", "Grinding of set S1 ordered: single")
    desk.press("save the work order (PDF)", "saved as saved/work-order")
    with desk.page.expect_download() as download:
        desk.bar.get_by_role("link", name="download work-order-t02-1.pdf").click()
    said = "Work order: T02", "team U16", "single 10 ft over 280 mm", "1/2 in, as it is now"
    check_order(download.value.path(), (210.0, 297.0), cut, feet(10), *said)
    desk.end_the_day()
