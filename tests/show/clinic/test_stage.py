"""Artists on a stage are reused by the next drawing, and look like a first drawing."""

import gc
import io
import weakref

import pytest
from matplotlib.figure import Figure
from matplotlib.patches import Polygon
from PIL import Image

from bladelab.show.clinic import pictures as pen
from bladelab.show.clinic.drawing import Page
from bladelab.show.clinic.slide_view import Shown, SlideView
from bladelab.show.clinic.stage import drop_unused, rewind, stage
from tests.show.clinic.states import deck
from tests.show.clinic.test_panel import unnamed

#: One after the other: other words and numbers, other lengths of texts, other marks in the pictures.
STATES = [
    ("adults", "metric", "plain"),
    ("coaches", "feet and inches", "odd numbers"),
    ("young players", "metric", "close"),
    ("adults", "feet and inches", "far apart"),
    ("adults", "metric", "plain"),
]


@pytest.mark.parametrize("key", [slide.key for slide in deck("young players", "metric", "plain").slides])
def test_a_page_drawn_again_is_as_one_drawn_afresh(key):
    page = Page()
    for state in STATES:
        slide, number = deck(*state).slide(key), 0
        page.draw(slide, number + 1)
        fresh = Page()
        fresh.draw(slide, number + 1)
        assert unnamed(page.html(slide.alt)) == unnamed(fresh.html(slide.alt)), state


def test_a_slide_is_saved_as_it_is_shown_with_words_below_it():
    view, slide = SlideView(), deck("adults", "metric", "plain").slides[0]
    view.show(Shown(finding=slide.title, sentence="", slide=slide, number=1))
    assert view.pixels().shape == (view.height_px, view.width_px, 4)
    file = io.BytesIO()
    view.write(file, "png", "K07, 3 November 2026")
    with Image.open(file) as image:
        assert image.width == pytest.approx(2 * view.width_px, abs=1)
        assert image.height > 2 * view.height_px + 10


def draw(figure, *marks):
    """Draw marks on the one stage of a figure: a text, or a height with the width of a line."""
    rewind(figure)
    axes = stage(figure, 0, 0, 1, 1, xlim=(0, 1), ylim=(0, 1))
    for mark in marks:
        if isinstance(mark, str):
            pen.write(axes, 0.5, 0.5, mark)
        else:
            pen.line(axes, [0, 1], [mark[0]] * 2, linewidth=mark[1])
    drop_unused(figure)
    return [one for one in axes.get_children() if one in {*axes.texts, *axes.lines}]


def test_what_has_the_same_look_is_moved():
    figure = Figure()
    first = draw(figure, (0.1, 2), "one", (0.3, 4))
    again = draw(figure, (0.2, 2), "two", (0.5, 4))
    assert again == first and len(figure.axes) == 1
    assert [list(line.get_ydata()) for line in (again[0], again[2])] == [[0.2, 0.2], [0.5, 0.5]]
    assert again[1].get_text() == "two"


def test_what_has_another_look_is_made_anew_with_all_that_follows_it():
    figure = Figure()
    first = draw(figure, (0.1, 2), "one", (0.3, 4))
    again = draw(figure, (0.1, 2), (0.2, 3), "one", (0.3, 4))
    assert again[0] is first[0] and not {*again[1:]} & {*first}
    assert [line.get_linewidth() for line in (again[0], again[1], again[3])] == [2, 3, 4]


def test_a_bar_does_not_become_an_area_of_its_look():
    figure = Figure()
    axes = stage(figure, 0, 0, 1, 1, xlim=(0, 1), ylim=(0, 1))
    pen.bar(axes, 0.5, 0.5, 0.1, facecolor="red")
    rewind(figure)
    pen.fill(axes, [0, 1, 1], 0, 1, facecolor="red")
    (area,) = axes.patches
    assert type(area) is Polygon and len(area.get_xy()) == 7


def test_what_is_no_longer_drawn_is_taken_away():
    figure = Figure()
    first = draw(figure, (0.1, 2), "one", (0.3, 4))
    assert draw(figure, (0.1, 2)) == first[:1]
    assert draw(figure) == []


@pytest.mark.slow
def test_a_page_that_is_gone_leaves_nothing_behind():
    page = Page()
    page.draw(deck(*STATES[0]).slides[0], 1)
    axes = [weakref.ref(axes) for axes in page.figure.subfigs[0].axes]
    del page
    gc.collect()
    assert axes and not any(still() for still in axes)
