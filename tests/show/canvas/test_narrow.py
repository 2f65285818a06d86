"""Pictures for a phone: every panel's picture stacked, nothing cut off or over another, letters to read."""

from __future__ import annotations

import re
from itertools import combinations

import numpy as np
import pytest
from matplotlib.figure import Figure
from matplotlib.text import Text

from bladelab.show.canvas.narrow import (
    LEAST_PT,
    NARROW_PX,
    AxesBox,
    headline_lines,
    reading_order,
    stack_axes,
)
from bladelab.show.canvas.view import View
from bladelab.show.panel.panel_box import PanelBox
from bladelab.units import SYSTEMS
from tests.show.engine_checks import panel_makers, texts_in, units

pytestmark = pytest.mark.usefixtures("unseen_pictures")

#: A ladder is narrow as it is, and a slide has a page of its own (tests/show/clinic/test_phone_slides.py).
AS_IT_IS = {"complaint_panel", "clinic_panel"}


def seen(view: View) -> list[Text]:
    """The texts that can be seen."""
    hidden = set()
    for axes in view.figure.axes:
        for axis, ends in ((axes.xaxis, axes.get_xlim()), (axes.yaxis, axes.get_ylim())):
            for tick in axis.get_major_ticks():
                if not min(ends) <= tick.get_loc() <= max(ends):
                    hidden |= {tick.label1, tick.label2}
        if not (axes.get_visible() and axes.axison):
            hidden |= {*axes.get_xticklabels(), *axes.get_yticklabels(), axes.xaxis.label, axes.yaxis.label}
    every = [text for text in texts_in(view.figure) if text.get_visible() and text.get_text().strip()]
    return [text for text in every if text not in hidden and (text.axes is None or text.axes.get_visible())]


def laid_out(view: View) -> list:
    """Where the axes are and what the upright ones say."""
    return [(axes.get_position().bounds, axes.get_ylabel(), axes.get_visible()) for axes in view.figure.axes]


@pytest.mark.slow
@pytest.mark.parametrize(("number", "name"), [*enumerate(sorted(set(panel_makers()) - AS_IT_IS))])
def test_a_stacked_picture_shows_everything(number, name):
    with units(SYSTEMS[number % 2]):
        made = panel_makers()[name]()
        panel = made.panel if isinstance(made, PanelBox) else made
        view = panel.view
        before = laid_out(view)
        wide = [tuple(np.round(axes.get_position().intervalx, 6)) for axes in view.figure.axes]
        panel.lay_out(narrow=True)
        assert view.size()["width"] == NARROW_PX and panel._size["narrow"]
        height = view.size()["height"]
        renderer = view._canvas.get_renderer()
        view.figure.draw(renderer)
        places = {text.get_text(): text.get_window_extent(renderer).extents.round(1) for text in seen(view)}
        cut = {
            words: tuple(box)
            for words, box in places.items()
            if (box[:2] < -1).any() or (box[2:] > np.array([NARROW_PX, height]) + 1).any()
        }
        assert not cut
        shown = [axes.get_window_extent() for axes in view.figure.axes if axes.get_visible()]
        over = [(a, b) for i, a in enumerate(shown) for b in shown[:i] if a.overlaps(b)]
        assert not over
        assert min(text.get_fontsize() for text in texts_in(view.figure)) >= LEAST_PT
        for axes in view.figure.axes:
            if said := re.search(r"exaggerated (\d+)x", axes.get_ylabel()):
                box, (left, right), (low, high) = axes.bbox, axes.get_xlim(), axes.get_ylim()
                tall = (box.height / (high - low)) / (box.width / (right - left))
                assert abs(float(said[1]) - abs(tall)) <= 0.5
        # What lies at one place along the blade lies there in all axes that were one above the other.
        for (axes, was), (other, other_was) in combinations(zip(view.figure.axes, wide, strict=True), 2):
            if was == other_was and all(one.get_visible() and one.axison for one in (axes, other)):
                assert np.allclose(axes.get_position().intervalx, other.get_position().intervalx)
        panel.lay_out(narrow=False)
        assert laid_out(view) == before, "back to what it was"
        made.close()  # or it would be drawn in the units of before


def place(name: str, left: float, top: float, wide: float, tall: float) -> AxesBox:
    return AxesBox(name, left, top, wide, tall)


def test_columns_come_one_after_the_other_and_rows_from_the_top():
    grid = [place("b", 100, 0, 90, 50), place("c", 0, 60, 90, 50), place("a", 0, 0, 90, 50)]
    assert [one.axes for one in reading_order(grid)] == ["a", "c", "b"]
    over_all = [place("b", 100, 60, 90, 50), place("a", 0, 60, 90, 50), place("top", 0, 0, 190, 50)]
    assert [one.axes for one in reading_order(over_all)] == ["top", "a", "b"]


@pytest.mark.parametrize("where", ["left", "center", "right"])
def test_a_title_at_any_place_has_room_above_its_axes(where):
    figure = Figure((9.2, 3.6), dpi=100)
    upper, lower = figure.add_axes((0.1, 0.6, 0.8, 0.3)), figure.add_axes((0.1, 0.1, 0.8, 0.3))
    for axes in (upper, lower):
        axes.set(xticks=[], yticks=[])
    lower.set_title("the crater, magnified", loc=where)
    height = stack_axes(figure, (920, 360), figure.text(0, 1, ""))
    gap = upper.get_position(original=True).y0 - lower.get_position(original=True).y1
    assert gap * height > 28


def test_a_headline_keeps_a_number_with_its_unit():
    for letters in range(1, 30):
        lines = headline_lines(f"{'o' * letters} the trial bites 20 % deeper").split("\n")
        assert not any(line.startswith("%") for line in lines)
