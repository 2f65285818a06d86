"""The quiz: the house checks, and every answer against the model's closed forms and its directions."""

import itertools
import re
from types import SimpleNamespace

import numpy as np
import pytest

from bladelab import Ice, solve_friction
from bladelab.show.clinic.lesson import moment
from bladelab.show.clinic.page import SMALLEST_PT
from bladelab.show.clinic.quiz import (
    GUESSES,
    ICE_C,
    MASS_KG,
    PAIRS,
    QUESTIONS,
    QUIZ_SPEED_M_S,
    SAME_PERCENT,
    measure,
    pair,
    reason,
    say,
    winner,
)
from bladelab.show.clinic.quiz_panel import QuizView, answer, quiz_panel
from bladelab.show.wording.units_shown import UNITS
from tests.show.engine_checks import check_panel, click, units

ASK = {question.key: question for question in QUESTIONS}
EVERY = range(1, PAIRS + 1)


@pytest.mark.slow
def test_house_checks():
    check_panel(quiz_panel)


def test_pairs_stay_the_same_and_differ_as_said():
    for n in EVERY:
        a, b = pair(n)
        rockers, hollows = a.rocker != b.rocker, a.hollow != b.hollow
        assert (rockers, hollows) == ((True, False), (False, True), (True, True))[(n - 1) % 3]
        assert (a, b) == pair.__wrapped__(n)


def test_turns_tighter():
    """A single radius turns on R / sin(lean): the smaller R wins, whatever the hollow."""
    lean = np.radians(moment("tight turn").lean_deg)
    for n in EVERY:
        radii = [blade.rocker.zones[0].radius_mm for blade in pair(n)]
        for blade, radius in zip(pair(n), radii, strict=True):
            assert measure("turn", blade) == pytest.approx(radius / 1000 / np.sin(lean), rel=1e-6)
        right = "both the same" if radii[0] == radii[1] else f"blade {'AB'[int(np.argmin(radii))]}"
        assert winner(ASK["turn"], *pair(n)) == right


def test_stands_steadier():
    """Upright, a single radius R tips by 1° for a shift of close to R times 1° in radians: larger wins."""
    for n in EVERY:
        radii = [blade.rocker.zones[0].radius_mm for blade in pair(n)]
        for blade, radius in zip(pair(n), radii, strict=True):
            assert measure("steady", blade) == pytest.approx(radius * np.pi / 180, rel=0.01)
        right = "both the same" if radii[0] == radii[1] else f"blade {'AB'[int(np.argmax(radii))]}"
        assert winner(ASK["steady"], *pair(n)) == right


@pytest.mark.slow
def test_glides_further():
    """What has less friction halfway glides further; and, as published (Redmond & Federolf 2010), friction
    rises as the hollow radius falls."""
    for n in EVERY:
        a, b = pair(n)
        stance = moment("one-foot glide").stance(MASS_KG)
        mu = [solve_friction(blade, stance, Ice(ICE_C), QUIZ_SPEED_M_S * 0.7).total for blade in (a, b)]
        right = winner(ASK["glide"], a, b)
        if right != "both the same":
            assert right == f"blade {'AB'[int(np.argmin(mu))]}"
        if a.rocker == b.rocker and right != "both the same":
            assert right == f"blade {'AB'[int(np.argmax([a.hollow.radius_mm, b.hollow.radius_mm]))]}"


@pytest.mark.parametrize("key", ["bite", "steel"])
def test_bite_and_steel(key):
    """At the same hollow a longer radius touches longer and bites shallower; at the same rocker a deeper
    groove bites deeper (DESIGN: directions that the closed forms give too)."""
    for n in EVERY:
        a, b = pair(n)
        right = winner(ASK[key], a, b)
        if right == "both the same":
            continue
        best, other = (a, b) if right == "blade A" else (b, a)
        if a.hollow == b.hollow:
            longer = best.rocker.zones[0].radius_mm > other.rocker.zones[0].radius_mm
            assert longer is (key == "steel")
        if a.rocker == b.rocker and key == "bite":
            assert best.hollow.radius_mm < other.hollow.radius_mm


@pytest.mark.slow
def test_the_same_is_within_its_limit():
    for n in EVERY:
        for question in QUESTIONS:
            values = [measure(question.key, blade) for blade in pair(n)]
            apart = abs(values[0] / values[1] - 1) * 100
            assert (winner(question, *pair(n)) == "both the same") is (apart < SAME_PERCENT)


def test_every_answer_has_a_reason():
    for n in EVERY:
        for question in QUESTIONS:
            said = reason(question, *pair(n))
            assert said.endswith(".") and len(said) > 15, (n, question.key)
            assert "nan" not in said
            if winner(question, *pair(n)) == "both the same":
                a, b = pair(n)
                assert ("Only the groove" in said or "not the groove" in said) is (a.rocker == b.rocker)
                assert ("Only the curve" in said) is (a.hollow == b.hollow)


def test_a_room_can_read_it_on_the_whole_screen():
    """On 1366 x 768 px, beside its controls, the picture is 946 px wide. A slide is 540 points high."""
    panel = quiz_panel()
    view, dials = panel.view, panel.dials
    dials["length_mm"].value = 340
    for question in QUESTIONS:
        dials["question"].value, dials["pair"].value, dials["guess"].value = question, 8, GUESSES[0]
        dials["guess"].value = GUESSES[1]
        texts = [view.headline, *(text for *_, text in view.blades.values())]
        texts += [text for _, _, *both in view.rows.values() for text in both]
        for text in texts:
            assert text.get_fontsize() * 946 / view.width_px >= SMALLEST_PT * 768 / 540
            box = text.get_window_extent()
            assert box.x0 >= 0 and box.x1 <= view.figure.bbox.width, text.get_text()
            assert box.y0 >= 0 and box.y1 <= view.figure.bbox.height, text.get_text()


def test_a_phone_shows_the_whole_answer():
    """Stacked, as children are told it and as others are: inside the picture, and clear of each other."""
    view = QuizView()
    view.lay_out(True)
    for question, number, plain in itertools.product(QUESTIONS, (4, 9, 10), (False, True)):
        state = SimpleNamespace(length_mm=280, mass_kg=110, question=question, pair=number, guess=GUESSES[1])
        view.show(answer(state, plain))
        boxes = [(row[-1].get_window_extent(), row[-1].get_text()) for row in view.rows.values()]
        for box, said in boxes:
            assert box.x0 >= 0 and box.x1 <= view.figure.bbox.width and box.y0 >= 0, said
        assert boxes[1][0].y1 < boxes[0][0].y0, boxes


@pytest.mark.parametrize(("dial", "other"), [("question", QUESTIONS[1]), ("pair", 7)])
def test_another_question_or_pair_shows_no_answer_yet(dial, other):
    panel, shown = quiz_panel(), []
    panel.dials["guess"].value = GUESSES[1]
    assert panel.view.rows["A"][1].get_visible()
    panel.observe(lambda change: shown.append(change["new"]), names="_words")
    panel.dials[dial].value = other
    panel.moving.catch_up()
    assert panel.dials["guess"].value == GUESSES[0]
    assert "show of hands" in panel.sentence_text and not panel.view.rows["A"][1].get_visible()
    assert not any("Right" in text or "Not this time" in text for text in shown), "not for a moment"
    panel.dials["guess"].value = GUESSES[2]
    assert panel.view.rows["A"][1].get_visible()


@pytest.mark.parametrize("narrow", [False, True])
def test_each_blade_says_how_much_taller_it_is_drawn(narrow):
    panel = quiz_panel()
    panel.lay_out(narrow=narrow)
    panel.dials["guess"].value = GUESSES[1]
    for axes, text in panel.view.heights:
        box = axes.get_window_extent()
        (left, right), (low, high) = axes.get_xlim(), axes.get_ylim()
        taller = (box.height / (high - low)) / (box.width / (right - left))
        assert float(re.search(r"[\d.]+", text.get_text())[0]) == pytest.approx(taller, abs=0.5)
        assert text.axes is axes and low < text.get_position()[1] < 0, "in the ice, clear of the steel"


def test_units_leave_the_answer_as_it_is():
    panel = quiz_panel()
    panel.dials["guess"].value = GUESSES[1]
    with units("metric"):
        assert panel.dials["guess"].value == GUESSES[1] and panel.view.rows["A"][1].get_visible()


def test_a_round_of_the_quiz():
    panel = quiz_panel()
    before = panel.sentence_text
    assert "Right" not in before and panel.view.headline.get_text() == "Which turns tighter?"
    assert not panel.view.rows["A"][1].get_visible(), "no number before the room has answered"
    right = winner(ASK["turn"], *pair(1))
    for guess in GUESSES[1:]:
        panel.dials["guess"].value = guess
        assert panel.sentence_text.startswith(("Right: " if guess == right else "Not this time: ") + right)
        assert panel.view.rows["A"][1].get_visible()
    bars = [panel.view.rows[name][1].get_xy()[:, 0].max() for name in "AB"]
    values = [measure("turn", blade) for blade in pair(1)]
    assert bars[0] / bars[1] == pytest.approx(values[0] / values[1])
    click(panel, "next pair")
    assert panel.dials["pair"].value == 2 and panel.dials["guess"].value == GUESSES[0]
    panel.dials["pair"].value = PAIRS
    click(panel, "next pair")
    assert panel.dials["pair"].value == 1


@pytest.mark.parametrize("system", ["feet and inches", "metric"])
@pytest.mark.parametrize("key", ["turn", "glide"])
def test_a_rounded_number_still_tells_the_blades_apart(key, system):
    """A glide is said to about a hundredth, which is what counts as a difference; a turn by its width."""
    with units(system):
        for n in EVERY:
            values = [measure(key, blade) for blade in pair(n)]
            said = [say(ASK[key], value) for value in values]
            for words, value in zip(said, values, strict=True):
                shown = UNITS.shown("distance", 2 * value if key == "turn" else value)
                assert float(words.split()[0]) == pytest.approx(shown, rel=0.006), n
            assert (said[0] != said[1]) or winner(ASK[key], *pair(n)) == "both the same", n


def test_the_rooms_own_skater_and_runner_count():
    panel = quiz_panel()
    panel.dials["question"].value = ASK["bite"]
    panel.dials["guess"].value = GUESSES[1]
    before = panel.sentence_text
    panel.dials["mass_kg"].value = 30
    assert panel.sentence_text != before and panel.dials["guess"].value == GUESSES[1]
    blade = pair(1, 210)[0]
    assert blade.rocker.length_mm == 210 and blade.hollow == pair(1)[0].hollow
    said = say(ASK["bite"], measure("bite", blade, 30))
    panel.dials["length_mm"].value = 210
    assert said in panel.sentence_text
