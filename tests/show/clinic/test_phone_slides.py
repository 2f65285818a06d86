"""Slides on a phone: as wide as its screen, in letters that one can read."""

import itertools
import re

import pytest

from bladelab.show.canvas.narrow import LEAST_PT, NARROW_PX
from bladelab.show.canvas.style import style_context
from bladelab.show.clinic.drawing import Page, phone_html
from bladelab.show.clinic.page import SMALLEST_PT
from bladelab.show.clinic.slide_view import Shown, SlideView
from tests.show.clinic.states import deck
from tests.show.clinic.test_slide_pictures import shown_texts

#: Those with the most in them, with the longest labels.
KEYS = {"title", "blades", "rocker", "hollow", "edges", "steel", "turn", "know", "home", "season-asked"}
SLIDES = [s for s in deck("coaches", "feet and inches", "far apart").slides if s.key in KEYS]


def test_everything_is_on_the_page_and_as_large_as_in_other_narrow_pictures():
    page = Page(phone=True)
    wide_px = page.figure.bbox.width
    assert SMALLEST_PT * NARROW_PX / wide_px >= LEAST_PT
    for slide in SLIDES:
        page.draw(slide, 1)
        with style_context():
            page.figure.draw_without_rendering()
        texts = list(shown_texts(page.figure))
        said = " ".join(text.get_text() for text in texts)
        for word in f"{slide.title} {slide.sentence} {slide.words}".split():
            assert word in said
        boxes = []
        for text in texts:
            box = text.get_window_extent()
            assert text.get_fontsize() >= SMALLEST_PT, f"{slide.key}: {text.get_text()!r}"
            assert box.x0 >= 0 and box.x1 <= wide_px, f"{slide.key}: {text.get_text()!r}"
            assert box.y0 >= 0 and box.y1 <= page.figure.bbox.height, f"{slide.key}: {text.get_text()!r}"
            boxes.append((box, text.get_text()))
            if slide.key == "home" and text.axes:
                assert box.x1 <= text.axes.bbox.x1, f"{text.get_text()!r} runs into the skate"
        for (one, this), (other, that) in itertools.combinations(boxes, 2):
            wide = min(one.x1, other.x1) - max(one.x0, other.x0)
            high = min(one.y1, other.y1) - max(one.y0, other.y0)
            assert wide <= 1 or high <= 2, f"{slide.key}: {this!r} and {that!r} overlap"


def test_a_picture_to_take_home_has_its_small_print_beside_it():
    shown, small = phone_html(SLIDES[2])
    assert re.fullmatch(r"Height exaggerated \d+x\.", small) and "exaggerated" not in shown


@pytest.mark.parametrize("narrow", [True, False])
def test_a_slide_is_laid_out_for_the_screen_it_is_on(narrow):
    view = SlideView()
    view.lay_out(not narrow)
    view.lay_out(narrow)
    view.show(Shown(finding=SLIDES[2].title, sentence="", slide=SLIDES[2], number=4))
    assert view.width_px == (NARROW_PX if narrow else 960)
    assert view.height_px / view.width_px == pytest.approx(1.12 if narrow else 7.5 / 13.333, abs=0.002)
    assert view.pixels().shape[:2] == pytest.approx((view.height_px, view.width_px), abs=1)
    assert "exaggerated" in view.frame_html()
