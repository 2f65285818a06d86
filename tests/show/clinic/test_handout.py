"""The handout of a clinic: its paper, its words and pictures, and the log to fill in."""

import re

import numpy as np
import pytest
from matplotlib.lines import Line2D

from bladelab.show.clinic import handout as handouts
from bladelab.show.clinic.deck import build_deck
from bladelab.show.clinic.drawing import picture as draw_picture
from bladelab.show.clinic.handout import PAPER_IN, draw_handout, write_handout
from bladelab.show.clinic.pictures import texts_of
from tests.show.clinic.written import as_bytes, pages_of

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def printed(made):
    """The pages of the handout, laid out, and the pictures on them."""
    pictures = []

    def noted(*what):
        pictures.append(draw_picture(*what))
        return pictures[-1]

    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(handouts, "picture", noted)
        pages = draw_handout(made)
    for page in pages:
        page.draw_without_rendering()
    return pages, pictures


@pytest.fixture(scope="module")
def handout(printed):
    """The pages of the handout, laid out."""
    return printed[0]


@pytest.mark.parametrize("system", PAPER_IN)
def test_handout_is_on_paper_of_the_country(system):
    """Few topics fit one page, those of young players both sides of one sheet."""
    pdf = as_bytes(write_handout, build_deck("coaches", ["turn"], system=system))
    [(w, h)] = re.findall(rb"/MediaBox \[ 0 0 ([\d.]+) ([\d.]+) \]", pdf)
    assert pages_of(pdf) == 1
    assert (float(w) / 72, float(h) / 72) == pytest.approx(PAPER_IN[system], abs=0.01)
    assert len(draw_handout(build_deck("young players", system=system))) == 2


def test_paper_sizes():
    # ISO 216: A4 is 210 mm by 297 mm. US Letter is 8 1/2 in by 11 in (ANSI/ASME Y14.1 size A, from memory).
    assert [side * 25.4 for side in PAPER_IN["metric"]] == pytest.approx([210, 297], abs=0.02)
    assert PAPER_IN["feet and inches"] == (8.5, 11.0)


def test_handout_says_all(made, handout):
    texts = [text for figure in handout for text in figure.texts]
    said = " ".join(" ".join(text.get_text() for text in texts).split())
    for slide in (made.slide("blades"), *made.findings):
        assert " ".join(slide.title.split()) in said
        assert " ".join(slide.sentence.split()) in said
    for word in ("gloves", "minimum", "slowly", "rules", "clinician", "invented", "Name and contact:"):
        assert word in said
    assert "from memory" not in said, "what parents read has been verified"
    for figure in handout:
        boxes = [text.get_window_extent() for text in figure.texts]
        for text, box in zip(figure.texts, boxes, strict=True):
            assert text.get_fontsize() >= 10
            assert box.x0 >= 0 and box.x1 <= figure.bbox.width, text.get_text()
            assert box.y0 >= 0 and box.y1 <= figure.bbox.height, text.get_text()
        overlaps = [
            (a, b)
            for i, a in enumerate(boxes)
            for b in boxes[i + 1 :]
            if min(a.x1, b.x1) - max(a.x0, b.x0) > 2 and min(a.y1, b.y1) - max(a.y0, b.y0) > 3
        ]
        assert overlaps == []


def test_letters_in_the_handouts_pictures_are_as_large(made, printed):
    """All letters of a picture, at the size at which the handout shows it. What is small on a slide is said
    beside the picture."""
    pages, pictures = printed
    shown = [axes for figure in pages for axes in figure.axes]
    assert len(shown) == len(pictures) == len(made.findings) + 1
    for axes, picture in zip(shown, pictures, strict=True):
        wide = axes.get_position().width * axes.figure.get_figwidth()
        letters = min(text.get_fontsize() for text in texts_of(picture))
        assert letters * wide / picture.get_figwidth() >= 10 - 1e-9
    beside = " ".join(text.get_text() for figure in pages for text in figure.texts)
    for slide, said in (("rocker", "Height exaggerated"), ("stand", "Angle exaggerated")):
        assert said.lower() in made.slide(slide).in_picture and said in beside


def test_the_log_can_be_filled_in(handout):
    """A column each for the date, what changed and how it felt; eight rows, high enough to write in."""
    page = handout[-1]
    headings = {text.get_text(): text.get_window_extent().x0 for text in page.texts}
    assert headings["date"] < headings["what changed"] < headings["felt, 1 to 5"]
    heights = [line.get_ydata() for line in page.findobj(Line2D) if line in page.artists + page.lines]
    across = sorted(one for one, other in heights if one == other)
    assert len(across) >= 10
    foot = max(text.get_window_extent().y1 for text in page.texts if text.get_text().startswith("Words: "))
    assert across[0] * page.bbox.height - foot < 0.5 * page.dpi, "it fills the page"
    # Ruled paper has lines 7 to 8 mm apart (common practice; no source).
    assert np.diff(across) * page.get_figheight() * 25.4 == pytest.approx(7.62, abs=0.01)


@pytest.mark.parametrize("name", ["longer than any line" * 20, "far too long a name " * 200])
def test_what_does_not_fit_is_said_of_the_handout(name):
    with pytest.raises(ValueError, match="the handout: "):
        draw_handout(build_deck("adults", ["turn"], name=name))


def test_the_trainers_name_is_on_the_handout_and_the_first_slide():
    deck = build_deck("adults", ["turn"], contact="Kim, rink 2")
    assert "Kim, rink 2" in deck.slides[0].sentence
    assert "From: Kim, rink 2" in [text.get_text() for figure in draw_handout(deck) for text in figure.texts]
