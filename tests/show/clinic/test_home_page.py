"""The page to take home: the quiz with the room's own numbers, and the example blades."""

import io
import re

import pytest

from bladelab.show.clinic import home_page
from bladelab.show.clinic.deck import build_deck
from bladelab.show.clinic.home_page import DIALS, write_home_page
from bladelab.show.clinic.lesson import Examples
from bladelab.show.clinic.quiz import GUESSES, NOBODY, QUESTIONS, measure, pair, say, winner
from bladelab.show.wording.units_shown import UNITS
from tests.show.panel.test_take_home import held

EXAMPLES = Examples(mass_kg=35, length_mm=230)


@pytest.fixture(scope="module")
def page():
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(home_page, "STEPS", (5, 2, 4))
        memory = io.BytesIO()
        deck = build_deck("young players", ["turn"], EXAMPLES, "metric", "U12", "Kim <kim@example.org>")
        write_home_page(deck, memory)
    return memory.getvalue().decode()


def test_each_answer_is_that_of_the_rooms_skater(page):
    data, settings = held(page)
    lasts = [data["dials"][name]["last"] + 1 for name in DIALS]
    assert lasts == [5, 2, 4] and len(settings) == 40
    pairs = [int(text) for text in data["dials"]["pair"]["texts"]]
    for number, setting in enumerate(settings):
        question = QUESTIONS[number // 8]
        a, b = pair(pairs[number // 4 % 2], EXAMPLES.length_mm)
        guess = GUESSES[number % 4]
        if guess == NOBODY:
            assert "35 kg" in setting["words"] and "Right" not in setting["words"]
            continue
        right = winner(question, a, b, EXAMPLES.mass_kg)
        assert setting["words"].startswith("Right: " if guess == right else f"Not this time: {right}")
        with UNITS.lent("metric"):
            for blade in (a, b):
                assert say(question, measure(question.key, blade, EXAMPLES.mass_kg)) in setting["words"]


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
