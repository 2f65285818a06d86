"""One skater from notebook to notebook and from day to day, in JupyterLab."""

from __future__ import annotations

import pytest
from playwright.sync_api import expect

from bladelab.book.happenings import Circumstances
from bladelab.book.steel_happenings import Fitted, Stated
from bladelab.book.store import open_book
from bladelab.shape.blade import Blade
from bladelab.shape.hollow import Hollow
from bladelab.shape.rocker import Rocker
from tests.browser import harness
from tests.show.panel.test_card_bar import write

BITE, COMPARE = "02_the_hollow_and_the_bite.ipynb", "07_compare_two_blades.ipynb"
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


class Desk:
    """A window of JupyterLab; what is asked for is in the tab that is in front."""

    def __init__(self, browser, server):
        self.window = harness.Window(browser, server)

    def open(self, name):
        """Open a notebook in one more tab, or look at its tab again."""
        self.notebook = self.window.open(name)
        self.notebook.wait_until_run()
        self.notebook.wait_for_panel()

    @property
    def page(self):
        return self.notebook.page

    def dial(self, name):
        return self.panel.locator(f'[data-dial="{name}"]')

    @property
    def panel(self):
        return self.page.locator(".bladelab-panel:visible").first

    @property
    def bar(self):
        return self.panel.locator(".bladelab-bar")

    def reads(self, name, text):
        """Wait until a slider says this."""
        expect(self.dial(name)).to_have_attribute("aria-valuetext", text)

    def go_home(self):
        """Close all notebooks and the window: no kernel remembers anything."""
        assert self.notebook.all_errors() == []
        self.window.close_notebook()
        self.window.close()


def test_a_card_goes_from_notebook_to_notebook_and_to_the_next_day(browser, project_copy, book):
    server = harness.start_server("lab", project_copy, book=book)
    try:
        desk = Desk(browser, server)
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
        desk.go_home()

        desk = Desk(browser, server)  # the next day
        desk.open(COMPARE)
        expect(desk.dial("skater")).to_have_value("K07")
        desk.reads("mass_kg", "76 kg")
        desk.go_home()
    finally:
        server.stop()


def test_where_there_is_no_book_nothing_is_written(person):
    somebody = person("lab")
    (panel, *_) = somebody.open(BITE)
    bar = panel.panel.locator(".bladelab-bar")
    bar.locator("[data-dial=skater]").select_option("+")
    bar.get_by_label("code of the new skater").fill("K07")
    bar.get_by_role("button", name="open a card").click()
    expect(bar).to_contain_text("There is no book to write in")
    expect(bar.locator("[data-dial=skater] option")).to_have_count(2)
    panel.is_true()
