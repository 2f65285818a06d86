"""A blank page, a panel on it, and a book with a skater in it."""

from __future__ import annotations

import pytest

from bladelab.book.happenings import Circumstances, Decided
from bladelab.book.steel_happenings import Fitted, Ordered, Sharpened, Stated, SteelMeasured
from bladelab.show.panel.page import _LOOKS, _SCRIPT
from tests.show.panel.cards import ORDER, PRESENT, TRIAL, write
from tests.show.panel.lone_panel import START, data_of


@pytest.fixture(scope="module")
def blank(blank_page):
    """A blank page in headless Chromium; without one the test is skipped."""
    page = blank_page(viewport={"width": 1000, "height": 800})
    page.on("pageerror", lambda error: pytest.fail(f"the page: {error}"))
    return page


@pytest.fixture
def show(blank):
    """Call with a panel: shows it with a host that only listens."""

    def one(panel):
        blank.evaluate(START, [_SCRIPT, _LOOKS, data_of(panel)])
        return blank

    return one


@pytest.fixture
def known(book_file):
    """A book with a skater of whom nearly all is known."""
    write(
        book_file,
        Circumstances(62.0, -4.0, 5.0, 7.5),
        Fitted("S1"),
        Stated("S1", PRESENT),
        SteelMeasured("S1", height_mm=13.4, least_mm=10.0),
        Sharpened("S1", taken_mm=0.1),
        Ordered("S1", ORDER, tolerance_mm=0.05),
        Decided(TRIAL),
    )
    return book_file
