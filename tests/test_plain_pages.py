"""What the plain pages have of their own: the map on their front page, titles, and words that fit."""

import re

import front
import nbformat
import pytest

from tests.browser.harness import ROOT, notebook_names

NOTEBOOKS = ROOT / "notebooks"


def test_the_front_page_lists_every_question_once():
    listed = [page for theme in front.themes(NOTEBOOKS) for page in theme.pages]
    assert sorted(page.file for page in listed) == [name for name in notebook_names() if name != front.MAP]
    assert len({page.question for page in listed}) == len(listed)


def test_the_map_has_themes_of_several_pages_in_order():
    themes = front.themes(NOTEBOOKS)
    assert themes[0].name == "The blade" and themes[0].pages[0] == front.Page(
        "01_the_rocker.ipynb", "How is the bottom of a blade curved?"
    )
    assert len(themes) > 4 and all(theme.pages for theme in themes)


@pytest.mark.parametrize("name", notebook_names())
def test_a_plain_page_has_a_question_as_title_and_no_word_of_a_menu(name):
    page = front.as_page(None, nbformat.read(NOTEBOOKS / name, as_version=4), "")
    assert page.metadata.title.endswith("?") and "#" not in page.metadata.title
    text = " ".join(cell.source for cell in page.cells if cell.cell_type == "markdown")
    assert not re.search(r"Run All|in the menu|three dots", text)
    assert "Who it is for" in text
