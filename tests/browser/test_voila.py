"""Every notebook as a plain page under voila: the panel is there, answers, and no code and no error shows.

Half of them are walked through as plain pages (tests/journeys/test_walks.py), and looked at then.
"""

import pytest

from tests.browser.for_all import not_by_keyboard
from tests.browser.harness import ROOT, notebook_names, uses_widgets, walked_in
from tests.browser.on_paper import wrong_on_paper
from tests.browser.page import until, wait_for
from tests.browser.test_jupyterlab import (
    DESKTOP,
    fits_a_phone,
    is_seen_in_one_view,
    move_a_control,
    units_change_no_value,
)


@pytest.mark.parametrize("name", [name for name in notebook_names() if walked_in(name) != "voila"])
def test_page_opens_and_answers(voila, open_notebook, name):
    page = open_notebook(voila, name, **DESKTOP)
    page.wait_until_run()
    if uses_widgets(ROOT / "notebooks" / name):
        page.wait_for_panel()
        is_seen_in_one_view(page)
        fills_the_screen(page)
        assert not_by_keyboard(page.page) == []
        units_change_no_value(page)
        move_a_control(page)
        assert wrong_on_paper(page.page, "Letter") == []
        fits_a_phone(page)
    assert page.all_errors() == []
    shows_no_code(page)


def fills_the_screen(notebook):
    """For a projector a panel is put on the whole screen, all of it in view and its picture larger; and
    back."""
    page = notebook.page
    picture = page.locator(".bladelab-picture").first
    before = picture.bounding_box()["width"]
    page.get_by_role("button", name="full screen", exact=True).first.click()
    until(page, "document.fullscreenElement?.matches('.bladelab-panel')")
    lower = """() => [...document.querySelectorAll('.bladelab-panel:fullscreen *')].filter(
      part => part.offsetParent && part.getBoundingClientRect().bottom > innerHeight + 1).length"""
    wait_for(lambda: not page.evaluate(lower), patience_s=5)
    assert picture.bounding_box()["width"] > before
    page.get_by_role("button", name="leave full screen").first.click()
    page.get_by_role("button", name="full screen", exact=True).first.wait_for()
    assert page.evaluate("document.fullscreenElement") is None


def shows_no_code(page):
    """A plain page has no cells with code."""
    assert page.page.locator(".jp-InputArea-editor, .jp-InputArea .highlight").count() == 0
