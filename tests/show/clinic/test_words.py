"""Words for a room: one sentence a slide, nothing unexplained, and children spoken to otherwise than
coaches."""

import re

import pytest

from bladelab.show.canvas.text_lines import text_width_in, wrap
from bladelab.show.clinic.deck import TOPICS, build_deck, topics_for
from bladelab.show.clinic.lesson import AUDIENCES, CHOSEN, Examples
from bladelab.show.clinic.page import fit
from bladelab.show.clinic.slide import printable
from bladelab.show.clinic.wording import WORDINGS
from bladelab.show.wording.glossary import TAUGHT, explained
from bladelab.show.wording.words import CAUTIONS
from tests.show.clinic.states import ALL, deck

# Words that people outside the trade do not know, besides those of the glossary: none may appear on a slide.
UNKNOWN = (
    r"\b(pitch|yaw|camber|versine|clothoid|tangent|curvature|plough\w*|coefficient|MPa|N m|contact|pivot)\b"
)


@pytest.mark.parametrize("choice", ALL, ids=" ".join)
def test_every_word_of_the_trade_is_explained(choice):
    for slide in deck(*choice).slides:
        shown = f"{slide.title}\n{slide.sentence}\n{slide.in_picture}"
        assert not re.search(UNKNOWN, shown, re.IGNORECASE), slide.key
        for entry in explained(shown):
            assert entry.lower() in slide.words.lower(), slide.key
        for name, word in TAUGHT.items():
            told = word.explained_in(shown) or word.meaning in slide.words.lower()
            assert told or not word.used_in(shown), f"{slide.key} uses {name!r}"


def test_the_words_taught_are_those_of_the_trade_in_plain_words():
    assert set(TAUGHT) >= set("rocker hollow radius bite hold stepped blended lean sharpen friction".split())
    assert not any(re.search(UNKNOWN, word.meaning) for word in TAUGHT.values())


@pytest.mark.parametrize("choice", ALL, ids=" ".join)
def test_one_sentence_a_slide(choice):
    for slide in deck(*choice).slides[1:]:
        assert re.search(r"[\w)%°][?]$" if slide.kind == "asks" else r"[\w)%°][.]$", slide.sentence)
        assert not re.search(r"[.!?] ", slide.sentence), slide.sentence
        assert slide.sentence[0].isupper() and not slide.title.endswith(".")
        assert "{" not in slide.title + slide.sentence + slide.notes
        assert not re.search(r"\d%", slide.title + slide.sentence + slide.notes), "as panels write it: 18 %"


def test_each_question_comes_before_its_answer():
    for audience in AUDIENCES:
        slides = deck(audience, "metric", "plain").slides
        keys = [slide.key for slide in slides]
        assert keys[:2] == ["title", "blades"] and keys[-2:] == ["safety", "home"]
        assert keys[2:-2:2] == [f"{key}-asked" for key in keys[3:-2:2]]
        assert tuple(keys[3:-2:2]) == topics_for(audience)
        for asked, told in zip(slides[2:-2:2], slides[3:-2:2], strict=True):
            assert (
                asked.title.endswith("?") and not told.title.endswith("?")
            ) or told.title == "How do we know?"
            assert asked.sentence.startswith(("Hands up: ", "Talk it over"))


@pytest.mark.parametrize("choice", [c for c in ALL if c[0] == "coaches"], ids=" ".join)
def test_a_question_does_not_tell_its_answer(choice):
    """No computed number is on the slide with the question: only the shapes that were chosen."""
    for slide in deck(*choice).slides:
        if slide.kind == "asks":
            assert {fact.source for fact in slide.lesson.facts} <= {CHOSEN}
            assert not re.search(r"\d", slide.title + slide.sentence)


def test_young_players_get_fewer_slides():
    assert [len(deck(a, "metric", "plain").slides) for a in AUDIENCES] == [18, 24, 24]
    left_out = {"zones", "steel", "season"}
    assert set(TOPICS) - set(topics_for("young players")) == left_out
    with pytest.raises(ValueError, match="no topic is chosen"):
        build_deck("young players", left_out)


def test_young_players_are_spoken_to_otherwise():
    by_key = [{s.key: s for s in deck(a, "metric", "plain").findings} for a in AUDIENCES]
    for key, young in by_key[0].items():
        assert len({one[key].sentence for one in by_key}) == 3, key
        assert "Numbers, " in young.notes, "the speaker has them"
    words = re.findall("[A-Za-z]+", " ".join(one.sentence for one in by_key[0].values()))
    assert sum(map(len, words)) / len(words) < 4.6, "short words for children"


def test_every_topic_has_its_words():
    assert list(WORDINGS) == ["title", "blades", *TOPICS, "safety", "home"]
    for key, wording in WORDINGS.items():
        assert wording.talk.endswith((".", "}"))
        if key in TOPICS:
            assert wording.ask.endswith("?") and wording.prompt and wording.choices
            assert any(wording.young) is TOPICS[key].for_young


@pytest.mark.parametrize("audience", AUDIENCES)
def test_a_study_that_is_mentioned_is_named(audience):
    """Notes that speak of measurements say whose, and sources are grouped: each is there once."""
    slides = {slide.key: slide.notes for slide in deck(audience, "metric", "plain").slides}
    assert "Redmond & Federolf 2010" in slides["hollow"] and "Morrison 2003" in slides["hollow"]
    assert "Federolf et al. 2008" in slides["know"] and "de Koning et al. 1992" in slides["know"]
    for key, notes in slides.items():
        headings = re.findall("^Numbers, (.*):$", notes, re.MULTILINE)
        assert len(headings) == len(set(headings)), key
        numbers = re.findall("^- .*$", notes, re.MULTILINE)
        assert len(numbers) == len(set(numbers)), key
        if re.search(r"\b(stud(y|ies)|measurements)\b", notes):
            assert re.search(r"(19|20)\d\d", notes), key


@pytest.mark.parametrize("choice", ALL, ids=" ".join)
def test_each_text_fits_its_box(choice):
    """In DejaVu Sans, wider than the Arial of the slides, as a greedy line breaker sets it."""
    deck(*choice).check()
    for slide in deck(*choice).slides:
        for text, box in slide.texts:
            size, lines = fit(text, box)
            assert box.smallest_pt <= size <= box.largest_pt
            assert max(text_width_in(line, size, box.bold) for line in lines) <= box.width
            assert len(lines) * size * 1.2 / 72 <= box.height + 1e-9
            assert " ".join(lines).split() == text.split()


def test_the_measure_is_that_of_the_font():
    """Widths against the advance widths in the font's own table, read by fontTools."""
    from fontTools.ttLib import TTFont
    from matplotlib.font_manager import FontProperties, findfont

    text = "Turn tighter or stand steadier 0123"
    for bold in (False, True):
        font = TTFont(findfont(FontProperties(family="DejaVu Sans", weight="bold" if bold else "normal")))
        table, letters = font["hmtx"], font.getBestCmap()
        wide = sum(table[letters[ord(c)]][0] for c in text) / font["head"].unitsPerEm * 25 / 72
        # Kerning may bring some pairs closer.
        assert text_width_in(text, 25, bold) == pytest.approx(wide, rel=0.02)


def test_breaking_lines():
    assert wrap("one two", 100, 20) == ["one two"]
    assert len(wrap("word " * 40, 5, 20)) > 3
    assert wrap("0.5\u00a0mm " * 3, text_width_in("0.5\u00a0mm 0", 20), 20) == ["0.5\u00a0mm"] * 3
    assert wrap("above\n\nbelow", 100, 20) == ["above", "", "below"]
    with pytest.raises(ValueError, match="too long for its line"):
        wrap("w" * 200, 5, 20)


def test_own_words():
    plain = deck("adults", "metric", "plain")
    own = plain.edited("hollow", title="Bite and glide", notes="My notes")
    slide = next(s for s in own.slides if s.key == "hollow")
    assert (slide.title, slide.notes, slide.edited) == ("Bite and glide", "My notes", ("notes", "title"))
    assert slide.sentence == next(s for s in plain.slides if s.key == "hollow").sentence
    assert "hold: how far" in plain.edited("turn", sentence="Mind the hold.").slide("turn").words.lower()
    with pytest.raises(ValueError, match="no slide is on 'skates'"):
        plain.edited("skates", title="x")
    with pytest.raises(ValueError, match="can't be edited"):
        plain.edited("hollow", colour="red")


@pytest.mark.parametrize(("texts", "why"), [
    ({"sentence": "word " * 80}, r"slide 8 .*sentence is about \d+ letters too long"),
    ({"title": "W" * 90}, "slide 8 .*too long for its line"),
    ({"title": "  "}, "slide 8 has no title"),
    ({"sentence": ""}, "slide 8 has no sentence"),
])  # fmt: skip
def test_texts_that_do_not_fit_are_refused_by_name(texts, why):
    with pytest.raises(ValueError, match=why):
        deck("adults", "metric", "plain").edited("hollow", **texts).check()


def test_control_characters_are_dropped():
    assert printable("a\x00b\x1b\ud800c\ufffe\nd\u00a0é漢🙂") == "abc\nd\u00a0é漢🙂"


@pytest.mark.parametrize(("how", "why"), [
    ({"audience": "everybody"}, "the audience is 'everybody'"),
    ({"topics": []}, "no topic is chosen"),
    ({"topics": ["rocker", "skates"]}, "skates"),
    ({"system": "cubits"}, "the system of units is 'cubits'"),
])  # fmt: skip
def test_choices_that_do_not_exist(how, why):
    with pytest.raises(ValueError, match=why):
        build_deck(**how)


@pytest.mark.parametrize(("how", "why"), [
    ({"radius_a_mm": 800}, "radius_a_mm is 800 mm; it must be at least 1200 mm and at most 12000 mm"),
    ({"hollow_b_mm": float("nan")}, "hollow_b_mm is nan mm"),
    ({"radius_b_mm": 3048.0}, "rocker radius of blade A .* must differ"),
    ({"hollow_b_mm": 12.7}, "radius of hollow of blade A .* must differ"),
    ({"mass_kg": 0}, "mass_kg is 0 kg"),
    ({"blend_mm": 400}, "blend_mm is 400 mm"),
])  # fmt: skip
def test_examples_that_teach_nothing_are_refused(how, why):
    with pytest.raises(ValueError, match=why):
        Examples(**how)


def test_the_slides_chosen():
    keys = [slide.key for slide in build_deck(topics=["season", "rocker"]).slides]
    assert keys[2:-2] == ["rocker-asked", "rocker", "season-asked", "season"], "in the order of the topics"


def test_cautions():
    """Our cautions are all in the notes of the closing slide, briefly."""
    notes = deck("coaches", "metric", "plain").slide("safety").notes
    for word in (
        "gloves",
        "eye protection",
        "guards",
        "trained",
        "maker's minimum",
        "slowly",
        "traffic",
        "rules",
        "clinician",
    ):
        assert word in notes
    assert sum(map(len, CAUTIONS.values())) < 400
