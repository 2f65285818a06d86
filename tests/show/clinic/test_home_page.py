"""The page to take home: the quiz with the room's own numbers, and the example blades."""

import re
from itertools import combinations

import pytest

from bladelab.show.canvas.style import style_context
from bladelab.show.clinic import home_page
from bladelab.show.clinic.deck import build_deck
from bladelab.show.clinic.drawing import PHONE_IN, picture
from bladelab.show.clinic.home_page import DIALS
from bladelab.show.clinic.lesson import Examples
from bladelab.show.clinic.pictures import texts_of
from bladelab.show.clinic.quiz import GUESSES, NOBODY, QUESTIONS, measure, pair, say, winner
from bladelab.show.panel.long_work import finish
from bladelab.show.wording.units_shown import UNITS
from bladelab.units import SYSTEMS
from tests.show.panel.test_take_home import held

EXAMPLES = Examples(mass_kg=35, length_mm=230)


def made(audience):
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(home_page, "STEPS", (5, 2, 4))
        deck = build_deck(audience, ["turn"], EXAMPLES, "metric", "U12", "Kim <kim@example.org>")
        return finish(home_page.home_page(deck)).decode()


@pytest.fixture(scope="module")
def page():
    return made("young players")


def test_each_answer_is_that_of_the_rooms_skater():
    data, settings = held(made("coaches"))
    lasts = [data["dials"][name]["last"] + 1 for name in DIALS]
    assert lasts == [5, 2, 4] and len(settings) == 40
    pairs = [int(text) for text in data["dials"]["pair"]["texts"]]
    assert pairs == [1, 2], "pairs are counted without gaps"
    for number, setting in enumerate(settings):
        question = QUESTIONS[number // 8]
        a, b = pair(pairs[number // 4 % 2], EXAMPLES.length_mm)
        guess = GUESSES[number % 4]
        if guess == NOBODY:
            assert "35\u00a0kg" in setting["words"] and "Right" not in setting["words"]
            assert setting["words"].startswith(f"Pair {pairs[number // 4 % 2]} of 2, both")
            continue
        right = winner(question, a, b, EXAMPLES.mass_kg)
        assert setting["words"].startswith("Right: " if guess == right else f"Not this time: {right}")
        with UNITS.lent("metric"):
            for blade in (a, b):
                said = say(question, measure(question.key, blade, EXAMPLES.mass_kg))
                assert said in setting["words"].replace("\u00a0", " ")


def test_young_players_take_home_no_degrees_and_no_speeds(page):
    _, settings = held(page)
    for setting in settings:
        shown = [text for _, _, text in setting["picture"]]
        assert not re.search(r"°|%|/[sh]\b|\d\.\d{3}", " ".join([setting["words"], *shown]))
        assert "\n" not in setting["words"], "the bars say how much"
        assert not re.search("rocker|hollow", " ".join(shown)) and "groove" in " ".join(shown)


@pytest.mark.parametrize(("audience", "system"), [("young players", SYSTEMS[0]), ("coaches", SYSTEMS[1])])
def test_pictures_fit_a_phone(audience, system):
    """Drawn as wide as a phone is, with its letters clear of each other and inside."""
    for slide in build_deck(audience, system=system).findings:
        figure = picture(slide, PHONE_IN)
        with style_context():
            figure.draw_without_rendering()
            texts = [(text.get_window_extent(), text.get_text()) for text in texts_of(figure)]
        for box, said in texts:
            assert box.x0 >= -1 and box.x1 <= figure.bbox.width + 1, f"{slide.key}: {said!r}"
            assert box.y0 >= -1 and box.y1 <= figure.bbox.height + 1, f"{slide.key}: {said!r}"
        for (one, said), (other, also) in combinations(texts, 2):
            wide = min(one.x1, other.x1) - max(one.x0, other.x0)
            high = min(one.y1, other.y1) - max(one.y0, other.y0)
            assert wide <= 1 or high <= 2, f"{slide.key}: {said!r} and {also!r} overlap"


def test_it_shows_the_example_blades_and_says_who_gave_the_clinic(page):
    assert "Kim &lt;kim@example.org&gt;" in page and "<h2>U12</h2>" in page
    assert "blade A: curve 3.05\u00a0m, groove 12.7\u00a0mm" in page
    assert page.count('class="shown"') == 1 and "Turn tighter or stand steadier: choose" in page
    assert not re.findall(r"https?://(?!www\.w3\.org/)[^\s\"'<>)]+", page)
    assert UNITS.system == "feet and inches", "the notebook's units stay as they are"


def test_a_guess_is_taken_back_with_its_question(blank_page, page, tmp_path):
    (tmp_path / "page.html").write_text(page, encoding="utf-8")
    _, settings = held(page)
    shown = blank_page(viewport={"width": 390, "height": 844}, offline=True)
    shown.goto((tmp_path / "page.html").as_uri())

    def says(number):
        shown.wait_for_function(
            """said => document.querySelector('.bladelab-sentence')
                ?.innerText.trim().split(/\\s+/).join(' ') === said""",
            arg=" ".join(settings[number]["words"].split()),
        )

    says(0)
    shown.locator('[data-dial="guess"]').select_option(index=2)
    says(2)
    shown.locator('[data-dial="pair"]').press("ArrowRight")
    says(4)
    assert shown.locator('[data-dial="guess"]').evaluate("box => box.selectedIndex") == 0
    assert shown.evaluate("document.documentElement.scrollWidth") <= 390
    # Slides' pictures: nothing to scroll, and letters of 11 px.
    wide, least = shown.evaluate(
        """() => {
          const boxes = [...document.querySelectorAll('.shown')];
          const letters = boxes.flatMap(box => [...box.querySelectorAll('text')])
            .map(text => parseFloat(getComputedStyle(text).fontSize) * text.getScreenCTM().a);
          return [Math.max(...boxes.map(box => box.scrollWidth)), Math.min(...letters)];
        }"""
    )
    assert wide <= 390 and least >= 11
