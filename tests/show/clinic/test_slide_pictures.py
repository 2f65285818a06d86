"""The pictures on the slides of every clinic: a room can read what is written in them, no number is typed,
and everything is in the units and the words of who looks.

All tests of a clinic follow one another, on pictures that are drawn once for them.
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import pytest
from matplotlib.artist import Artist
from matplotlib.axis import Axis
from matplotlib.colors import to_rgb, to_rgba, to_rgba_array
from matplotlib.figure import Figure
from matplotlib.text import Annotation, Text

from bladelab.show.canvas.limits import exaggeration
from bladelab.show.canvas.style import style_context
from bladelab.show.clinic.drawing import picture
from bladelab.show.clinic.lesson import AUDIENCES
from bladelab.show.clinic.page import SMALL_PRINT_PT, SMALLEST_PT
from bladelab.show.clinic.pictures import COLOUR, DASH, texts_of
from bladelab.show.clinic.slide import Slide
from bladelab.show.clinic.sources import STUDIES
from bladelab.units import SYSTEMS
from tests.show.clinic.contrast import LARGE_RATIO, TEXT_RATIO, contrast
from tests.show.clinic.states import EXAMPLES, NUMBER, deck, picture_of
from tests.show.engine_checks import IMPERIAL, METRIC, NOTHING_WITH_A_SIGN

YOUNG, ADULTS, COACHES = AUDIENCES
#: Every clinic with pictures of its own: adults see those of coaches.
ALL = [(audience, system, name) for audience in (YOUNG, COACHES) for system in SYSTEMS for name in EXAMPLES]
#: Those of young players have fewer labels, or other ones.
PICTURES = [c for c in ALL if c[0] == COACHES or c[2] in ("plain", "far apart")]
WRONG = dict(zip(SYSTEMS, (METRIC, IMPERIAL), strict=True))


@dataclass(frozen=True)
class Clinic:
    """A clinic's slides, and the picture of each, laid out; put back what you change."""

    audience: str
    system: str
    examples: str
    pictures: tuple[tuple[Slide, Figure], ...]


def test_the_leg_goes_on_above_the_picture():
    """Closed off just below the edge it looks like a stump."""
    (axes,) = picture(deck(COACHES, SYSTEMS[1], "plain").slides[0]).axes
    assert max(patch.get_path().vertices[:, 1].max() for patch in axes.patches) > axes.get_ylim()[1] + 10


@pytest.fixture(scope="module")
def clinic(request: pytest.FixtureRequest) -> Clinic:
    slides = deck(*request.param).slides
    return Clinic(*request.param, tuple((slide, picture_of(slide)) for slide in slides))


def every(choices):
    return pytest.mark.parametrize("clinic", choices, ids=" ".join, indirect=True)


def drawn(part: Artist) -> Iterator[Artist]:
    """A part and all parts of it that are drawn. Axes that are switched off have no numbers beside them, and
    would make them only when asked."""
    yield part
    for child in part.get_children():
        if not isinstance(child, Axis) or child.axes.axison:
            yield from drawn(child)


def shown_texts(figure: Figure) -> Iterator[Text]:
    """Every text that is drawn."""
    for part in drawn(figure):
        if isinstance(part, Text) and part.get_visible() and part.get_text().strip():
            yield part


def pixels(figure):
    with style_context():
        figure.canvas.draw()
    return np.asarray(figure.canvas.buffer_rgba())[..., :3]


@pytest.mark.slow
@every(PICTURES)
def test_letters_in_pictures(clinic):
    """Few, large, inside the picture, clear of each other, and of enough contrast with what lies behind."""
    for slide, figure in clinic.pictures:
        texts = list(shown_texts(figure))
        assert 1 <= len(texts) <= 17, f"{slide.key}: clutter"
        boxes = []
        for text in texts:
            where = f"{slide.key}: {text.get_text()!r}"
            small = "exaggerated" in text.get_text()
            assert text.get_fontsize() >= (SMALL_PRINT_PT if small else SMALLEST_PT), where
            box = text.get_window_extent()
            assert box.x0 >= -1 and box.y0 >= -1, where
            assert box.x1 <= figure.bbox.width + 1 and box.y1 <= figure.bbox.height + 1, where
            boxes.append((box, text.get_text()))
        for (one, said), (other, also) in itertools.combinations(boxes, 2):
            wide = min(one.x1, other.x1) - max(one.x0, other.x0)
            high = min(one.y1, other.y1) - max(one.y0, other.y0)
            assert wide <= 1 or high <= 2, f"{slide.key}: {said!r} and {also!r} overlap"
        for text in texts:
            text.set_visible(False)
        behind = pixels(figure)
        for text in texts:
            text.set_visible(True)
        for text, (box, said) in zip(texts, boxes, strict=True):
            rows = slice(
                max(0, round(figure.bbox.height - box.y1)), max(1, round(figure.bbox.height - box.y0))
            )
            ground = behind[rows, max(0, round(box.x0)) : max(1, round(box.x1))].reshape(-1, 3) / 255
            ratios = contrast(to_rgb(text.get_color()), ground)
            assert np.median(ratios) >= TEXT_RATIO, f"{slide.key}: {said!r} {np.median(ratios):.2f}"
            assert np.quantile(ratios, 0.03) >= LARGE_RATIO, f"{slide.key}: {said!r} crosses something dark"


@pytest.mark.slow
@every(PICTURES[:2])
def test_blades_in_grey(clinic):
    """Grey cannot tell blade A from blade B well; the dash does, and each is named beside itself."""
    assert DASH["A"] == "-" and DASH["B"] != "-"
    both = 0
    for slide, figure in clinic.pictures:
        artists = [artist for artist in drawn(figure) if not isinstance(artist, Text)]
        used = {name for name in "AB" if any(draws_in(artist, COLOUR[name]) for artist in artists)}
        if used == {"A", "B"} and slide.key not in ("season", "season-asked", "safety"):
            named = " ".join(text.get_text() for text in shown_texts(figure))
            assert "blade A" in named and "blade B" in named, slide.key
            both += 1
    assert both > 5


def draws_in(artist, colour):
    get = getattr(artist, "get_color", None) or getattr(artist, "get_edgecolor", None)
    return get and any(np.allclose(one[:3], to_rgb(colour), atol=0.01) for one in to_rgba_array(get()))


@pytest.mark.slow
def test_adults_see_the_pictures_of_coaches():
    for _, system, examples in ALL:
        adults, coaches = deck(ADULTS, system, examples), deck(COACHES, system, examples)
        for one, other in zip(adults.slides, coaches.slides, strict=True):
            assert one.lesson == other.lesson and one.layout == other.layout
            assert one.said == {**other.said, "audience": ADULTS}


@pytest.mark.slow
@every(ALL)
def test_each_number_shown_is_a_fact(clinic):
    for audience in (ADULTS, COACHES) if clinic.audience == COACHES else (YOUNG,):
        slides = deck(audience, clinic.system, clinic.examples).slides
        for slide, (_, figure) in zip(slides, clinic.pictures, strict=True):
            named = {f"{exaggeration(axes):.0f}" for axes in figure.axes}
            for fact in slide.lesson.facts:
                named |= set(NUMBER.findall(slide.said[fact.name]))
                named |= set(NUMBER.findall(slide.exact[fact.name]))
            if slide.key == "home":  # its three lines are numbered
                named |= set("123")
            notes = slide.notes
            for fact in slide.lesson.facts:
                notes = notes.replace(f"Numbers, {fact.source}:", "")
                if fact.like:
                    notes = notes.replace(f", {fact.like.words} ({fact.like.source})", "")
            for study in STUDIES.values():
                notes = notes.replace(study, "")
            shown = [text.get_text() for text in shown_texts(figure)]
            for text in (slide.title, slide.sentence, slide.words, notes, *shown):
                assert set(NUMBER.findall(text)) <= named, f"{slide.key}: {text}"


@pytest.mark.slow
@every([choice for choice in ALL if choice[0] == YOUNG])
def test_young_players_are_told_comparisons(clinic):
    """No degrees, no per cent, no millimetres but those of a groove, and no number with three decimals on
    anything that children see."""
    shown = ""
    for slide, figure in clinic.pictures:
        labels = " | ".join(text.get_text() for text in texts_of(figure))
        told = f"{slide.title} {slide.sentence} {labels}"
        for fact in slide.lesson.facts:
            if fact.quantity == "hollow":
                told = told.replace(slide.said[fact.name], "")
        assert not re.search(r"°|%|\d\.\d{3}|\bmm\b", told), slide.key
        shown += f"{slide.sentence} {labels} ".replace("\n", " ")
        assert len(slide.sentence.split()) <= 28
        if slide.key == "hollow":
            assert slide.said["bite_deep_said"] != slide.said["bite_shallow_said"], "one sinks in deeper"
    for thing in ("face-off circle", "puck", "bank card", "thickness of"):
        assert thing in shown


@pytest.mark.slow
@every(PICTURES)
def test_the_blade_touches_the_ice_right_below_the_weight(clinic):
    for slide, figure in clinic.pictures:
        for axes in figure.axes if slide.key == "stand" else ():
            [arrow] = [text for text in axes.texts if isinstance(text, Annotation)]
            paint = [to_rgba(colour) for colour in COLOUR.values()]
            [blade] = [one for one in axes.patches if one.get_facecolor() in paint]
            x, y = blade.get_xy()[np.argmin(blade.get_xy()[:, 1])]
            assert (arrow.xy[0], 0) == pytest.approx((x, y), abs=1e-6)


@pytest.mark.slow
@every(PICTURES)
def test_a_slide_says_nothing_in_the_other_units(clinic):
    for slide, figure in clinic.pictures:
        written = [text.get_text() for text in shown_texts(figure)]
        for text in (slide.title, slide.sentence, slide.words, slide.notes, *written):
            text = text.replace("\u00a0", " ")
            assert not WRONG[clinic.system].search(text), text
            assert not NOTHING_WITH_A_SIGN.search(re.sub(r"\d{4}-\d\d-\d\d", "", text)), text
