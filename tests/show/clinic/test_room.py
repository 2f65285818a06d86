"""Slides that a room can read: from the back, in grey, with any kind of colour vision, and without
clutter."""

import itertools
import math

import numpy as np
import pytest
from colorspacious import cspace_convert, deltaE
from matplotlib.colors import to_rgb
from matplotlib.text import Text

from bladelab.show.canvas.style import ICE, INK, PRESENT, QUIET, STEEL, TRIAL
from bladelab.show.canvas.text_lines import LINE_HEIGHT
from bladelab.show.clinic.drawing import draw_page
from bladelab.show.clinic.page import (
    CAPITAL_SHARE,
    FOOTER,
    NUMBER,
    PAGE_IN,
    SMALLEST_PT,
    fit,
    legible_pt,
    tells,
)
from bladelab.show.clinic.pictures import LETTERS, SMALL_LETTERS, SOFT, TEXT_COLOUR
from tests.show.clinic.contrast import LINE_RATIO, TEXT_RATIO, contrast
from tests.show.clinic.states import ALL, deck


def test_the_contrast_is_that_of_the_standard():
    assert contrast((0, 0, 0), (1, 1, 1)) == pytest.approx(21)  # stated in WCAG 2.2
    # "#767676 on white is 4.54 to 1" (a usual worked example of the definition, from memory).
    assert contrast(to_rgb("#767676"), (1, 1, 1)) == pytest.approx(4.54, abs=0.005)


def test_the_smallest_type_is_legible_from_the_back():
    # 16 minutes of arc: ISO 9241-303 (from memory). Six picture heights: a usual rule for rooms, no source.
    height = SMALLEST_PT * CAPITAL_SHARE / 72
    minutes = math.degrees(math.atan(height / (6 * PAGE_IN[1]))) * 60
    assert minutes >= 16
    assert legible_pt() == pytest.approx(21.06, abs=0.01)
    assert legible_pt() <= SMALLEST_PT < legible_pt() + 2
    for bad in ((0, 16), (6, 0), (6, 5400), (math.nan, 16)):
        with pytest.raises(ValueError, match="must be"):
            legible_pt(*bad)


@pytest.mark.slow
@pytest.mark.parametrize("choice", ALL[::10], ids=" ".join)
def test_letters_of_the_page(choice):
    for number, slide in enumerate(deck(*choice).slides, 1):
        figure = draw_page(slide, number)
        for text in filter(Text.get_text, figure.texts):
            # The slide number is the speaker's.
            least = NUMBER.smallest_pt if text.get_text() == str(number) else SMALLEST_PT
            assert text.get_fontsize() >= least
            assert contrast(to_rgb(text.get_color()), (1, 1, 1)) >= TEXT_RATIO
            box = text.get_window_extent()
            assert (
                box.x0 >= 0 and box.x1 <= figure.bbox.width and box.y0 >= 0 and box.y1 <= figure.bbox.height
            )


@pytest.mark.slow
@pytest.mark.parametrize("choice", ALL[::10], ids=" ".join)
def test_the_page_is_used(choice):
    """Picture and text fill the page from the title to the bottom margin, and the picture is most of it. A
    question leaves no line empty."""
    for slide in deck(*choice).slides[1:]:
        boxes = [box for text, box in slide.texts if text] + [slide.layout.picture]
        assert slide.layout.picture.height >= (0.58 if slide.kind == "tells" else 0.5) * PAGE_IN[1], slide.key
        assert max(box.top + box.height for box in boxes) == pytest.approx(FOOTER.top - 0.02), slide.key
        for above, below in itertools.pairwise(sorted(boxes, key=lambda box: box.top)):
            assert 0 < below.top - above.top - above.height < 0.15, slide.key
        for text, box in slide.texts[:2] if slide.kind == "asks" else ():
            size, lines = fit(text, box)
            assert box.height * 72 - len(lines) * size * LINE_HEIGHT < size, f"{slide.key}: {text}"


def test_letters_of_picture_and_slide_are_alike():
    for with_words in (False, True):
        sentence = tells(with_words).sentence
        assert (LETTERS, SMALL_LETTERS) == (sentence.largest_pt, sentence.smallest_pt)


@pytest.mark.parametrize("ground", ["white", ICE], ids=["on white", "on ice"])
@pytest.mark.parametrize("colour", [PRESENT, TRIAL, INK, QUIET], ids=["A", "B", "ink", "quiet"])
def test_lines_stand_out(colour, ground):
    assert contrast(to_rgb(colour), to_rgb(ground)) >= LINE_RATIO


@pytest.mark.parametrize("colour", [*TEXT_COLOUR.values(), INK, SOFT])
def test_text_colours(colour):
    assert contrast(to_rgb(colour), (1, 1, 1)) >= TEXT_RATIO


# Colours that a reader must tell from each other in one picture; steel and ice have a thick edge between
# them.
PAIRS = [(PRESENT, TRIAL), (STEEL, INK), (QUIET, ICE), (PRESENT, STEEL), (TRIAL, STEEL), (PRESENT, ICE)]


@pytest.mark.parametrize("kind", ["protanomaly", "deuteranomaly", "tritanomaly"])
@pytest.mark.parametrize("pair", PAIRS, ids="-".join)
def test_colours_for_the_colour_blind(pair, kind):
    """Simulated at full severity (Machado et al. 2009, as colorspacious does), colours stay apart in
    CAM02-UCS."""
    space = {"name": "sRGB1+CVD", "cvd_type": kind, "severity": 100}
    seen = [np.clip(cspace_convert(to_rgb(colour), space, "sRGB1"), 0, 1) for colour in pair]
    assert deltaE(*seen, input_space="sRGB1") >= 10


@pytest.mark.parametrize("pair", [(QUIET, ICE), (STEEL, INK), (PRESENT, ICE), (STEEL, "white")], ids="-".join)
def test_fills_in_grey(pair):
    """Fills that differ in colour alone also differ in lightness (CAM02-UCS J' in grey)."""
    lightness = [cspace_convert(to_rgb(colour), "sRGB1", "CAM02-UCS")[0] for colour in pair]
    assert abs(lightness[0] - lightness[1]) >= 10
