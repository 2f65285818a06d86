"""The quiz as slides: each question before its answer, the room's own numbers, letters it can read."""

import io
import re
from functools import cache

import numpy as np
import pytest
from pptx import Presentation

from bladelab.show.clinic.deck import build_deck
from bladelab.show.clinic.lesson import AUDIENCES, Examples
from bladelab.show.clinic.page import SMALL_PRINT_PT, SMALLEST_PT
from bladelab.show.clinic.pictures import COLOUR, texts_of
from bladelab.show.clinic.powerpoint import write_pptx
from bladelab.show.clinic.quiz import QUESTIONS, measure, pair, say, winner
from bladelab.show.clinic.quiz_slides import COUNT, quiz_deck
from bladelab.show.clinic.slide import units
from bladelab.show.wording.words import capital
from bladelab.units import SYSTEMS
from tests.show.clinic.states import picture_of

ROOM = Examples(mass_kg=35, length_mm=230)


@cache
def quiz(audience, system="metric"):
    return quiz_deck(build_deck(audience, examples=ROOM, system=system))


@cache
def labels(slide):
    """The picture of a slide, laid out, and its texts."""
    figure = picture_of(slide)
    return figure, texts_of(figure)


@pytest.mark.slow
@pytest.mark.parametrize("audience", AUDIENCES)
def test_each_question_comes_before_its_answer(audience):
    slides = quiz(audience).slides
    assert len(slides) == 2 * COUNT and {slide.question for slide in slides} == set(QUESTIONS)
    for asks, tells in zip(slides[::2], slides[1::2], strict=True):
        assert asks.kind == "asks" and asks.title == asks.question.text
        assert tells.kind == "tells" and tells.number == asks.number
        a, b = pair(tells.number, 230)
        right = winner(tells.question, a, b, 35)
        same = right == "both the same"
        assert tells.title == (
            f"Both {tells.question.same}" if same else f"{capital(right)} {tells.question.wins}"
        )
        figure, texts = labels(asks)
        for name, blade in zip("AB", (a, b), strict=True):
            # From the side and from the end, so that the groove is seen where only the groove differs.
            side, end = [
                line.get_ydata()
                for axes in figure.axes
                for line in axes.lines
                if line.get_color() == COLOUR[name]
            ]
            assert np.ptp(side) == pytest.approx(blade.rocker.height_mm(230 / 2), rel=1e-6)
            assert np.ptp(end) == pytest.approx(blade.hollow.depth_mm, rel=1e-3)
        assert not any(tells.question.wins in text.get_text() for text in texts)


@pytest.mark.parametrize("system", SYSTEMS)
def test_the_numbers_are_those_of_the_rooms_skater(system):
    for slide in quiz("coaches", system).slides[1::2]:
        _, texts = labels(slide)
        shown = " ".join(text.get_text() for text in texts)
        for blade in pair(slide.number, 230):
            assert say(slide.question, measure(slide.question.key, blade, 35), units(system)) in shown
        assert slide.question.bars in shown, "a bar says what it shows"
        mass = {"metric": "35\u00a0kg", "feet and inches": "77\u00a0lb"}[system]
        assert f"the skater, fully dressed: {mass}" in slide.notes


@pytest.mark.slow
@pytest.mark.parametrize("audience", ["young players", "coaches"])
@pytest.mark.parametrize("system", SYSTEMS)
def test_the_room_can_read_it(audience, system):
    deck = quiz(audience, system)
    deck.check()
    for slide in deck.slides:
        figure, texts = labels(slide)
        boxes = [(text.get_window_extent(), text.get_text()) for text in texts]
        for text, (box, said) in zip(texts, boxes, strict=True):
            small = "exaggerated" in said
            assert text.get_fontsize() >= (SMALL_PRINT_PT if small else SMALLEST_PT)
            assert box.x0 >= -1 and box.x1 <= figure.bbox.width + 1, f"{slide.key}: {said!r}"
            assert box.y0 >= -1 and box.y1 <= figure.bbox.height + 1, f"{slide.key}: {said!r}"
        for i, (one, said) in enumerate(boxes):
            for other, also in boxes[i + 1 :]:
                wide = min(one.x1, other.x1) - max(one.x0, other.x0)
                high = min(one.y1, other.y1) - max(one.y0, other.y0)
                assert wide <= 1 or high <= 2, f"{slide.key}: {said!r} and {also!r} overlap"
        if audience == "young players":
            shown = " ".join([slide.title, slide.sentence, *(said for _, said in boxes)])
            assert not re.search(r"°|%|/[sh]\b|\d\.\d{3}", shown), slide.key


def test_a_long_comparison_keeps_clear_of_the_name_of_its_blade():
    """A comparison takes two lines, and who wins a third."""
    slide = next(s for s in quiz_deck(build_deck("young players")).slides if s.key == "quiz-10")
    _, texts = labels(slide)
    name = next(text for text in texts if "blade A" in text.get_text())
    beside = next(text for text in texts if slide.question.wins in text.get_text())
    assert "puck" in beside.get_text()
    gap_pt = name.get_window_extent().y0 - beside.get_window_extent().y1
    assert gap_pt >= 5


@pytest.mark.slow
def test_it_opens_as_slides():
    memory = io.BytesIO()
    deck = quiz_deck(build_deck("adults", examples=ROOM), count=3)
    write_pptx(deck, memory)
    titles = [page.shapes.title.text_frame.text for page in Presentation(memory).slides]
    assert titles == [slide.title for slide in deck.slides]
