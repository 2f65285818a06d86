"""Every notebook as a plain page, and a random walk over all dials of its panels.

After every few moves the page is compared with a panel that is new and was given the numbers that the hand
meant: its sentence, its picture, and what each dial reads. Units are switched in between, right after a move
and before its answer, and settings that can't be are set and taken back. In JupyterLab the journeys of the
fitter and the trainer compare the same.

What is not tried in JupyterLab (`harness.tried_in_lab`) is tried here: on a desk, a laptop, a projector,
paper, a tablet and a phone, by keyboard and in the dark.
"""

import random
import re
from pathlib import Path

import pytest

from bladelab.show.clinic.deck import TOPICS
from bladelab.show.controls.control import Choice, Frames, Slider, Tick
from tests.browser.for_all import ON_A_PHONE, hard_to_read_in_the_dark, not_by_keyboard, violations
from tests.browser.harness import IN_LAB_ON_A_JOURNEY, notebook_names, tried_in_lab
from tests.browser.on_paper import wrong_on_paper
from tests.browser.page import until, wait_for
from tests.browser.test_jupyterlab import DESKTOP, fits_a_phone, is_seen_in_one_view, keeps_to_its_space
from tests.journeys import meant
from tests.journeys.person import Hand

#: To look for more, by hand: 20.
ROUNDS = 1
#: Which slides the clinic has follows from these; its own tests turn them.
LEFT_ALONE = {"slide", "audience", *TOPICS}
#: Panels of which a setting is tried that can't be: one blade, two, one that is measured, and a form below.
CANNOT_BE = {"starting-blade", "two-blades", "measured_edge", "trials"}
#: Moved by the panel itself when the dials before it are: the quiz takes an answer back with its question.
FOLLOWS = {"question": "guess", "pair": "guess"}


@pytest.mark.parametrize("name", notebook_names())
def test_the_page_shows_what_the_hand_meant(person, name):
    units, walker, tried = meant.US, person("voila"), not tried_in_lab(name)
    hands = walker.open(name, **DESKTOP)
    notebook = walker.page
    on_the_desktop = is_seen_in_one_view(notebook)
    assert violations(notebook.page) == []
    if tried:
        assert not_by_keyboard(notebook.page) == []
        fills_the_screen(notebook)
    for hand in hands:
        hand.units = units  # one choice for the whole notebook: it begins in what the panel before it left
        hand.reads_what_is_meant()
        if tried:
            move_every_slider(hand)
        walk(hand, random.Random(f"{name} {hand.place}"))
        units = hand.units
    shows_no_code(notebook)
    if tried:
        fits_everywhere(notebook, on_the_desktop)


def test_what_is_not_tried_in_jupyterlab_is_opened_there_on_a_journey():
    journeys = (
        Path(__file__).with_name(f"test_{who}.py").read_text("utf-8") for who in ("fitter", "trainer")
    )
    assert IN_LAB_ON_A_JOURNEY == {*re.findall(r'\.open\("(\d\d)_', "".join(journeys))}


def fits_everywhere(notebook, on_the_desktop):
    """The page can be read in the dark, in smaller windows, on paper and on a phone."""
    assert hard_to_read_in_the_dark(notebook.page) == []
    assert wrong_on_paper(notebook.page, "Letter") == []
    keeps_to_its_space(notebook, on_the_desktop)
    fits_a_phone(notebook)
    assert violations(notebook.page, *ON_A_PHONE) == []


def fills_the_screen(notebook):
    """For a projector a panel is put on the whole screen, all of it in view and its picture larger; and
    back."""
    page = notebook.page
    picture = page.locator(".bladelab-picture").first
    before = picture.bounding_box()["width"]
    page.get_by_role("button", name="full screen", exact=True).first.click()
    until(page, "document.fullscreenElement?.matches('.bladelab-panel')")
    lower = """() => [...document.querySelectorAll('.bladelab-panel:fullscreen *')].filter(
      part => part.offsetParent && part.getBoundingClientRect().bottom > innerHeight + 1).length"""
    wait_for(lambda: not page.evaluate(lower), patience_s=5)
    assert picture.bounding_box()["width"] > before
    page.get_by_role("button", name="leave full screen").first.click()
    page.get_by_role("button", name="full screen", exact=True).first.wait_for()
    assert page.evaluate("document.fullscreenElement") is None


def shows_no_code(notebook):
    """A plain page has no cells with code."""
    assert notebook.page.locator(".jp-InputArea-editor, .jp-InputArea .highlight").count() == 0


def walk(hand: Hand, chance: random.Random) -> None:
    """Move some dials and look; change the units, move at once and look. Then a setting that can't be."""
    for _ in range(ROUNDS):
        for _ in range(chance.randint(1, 3)):
            move(hand, chance)
        hand.is_true()
        change_units_and_move(hand, chance)
    if hand.fresh.panel.panel_name in CANNOT_BE:
        set_what_cannot_be(hand)


def move_every_slider(hand: Hand) -> None:
    """Move each slider that can be seen by five steps, down where it was at its right end."""
    sliders = [name for name, control in hand.fresh.controls.items() if isinstance(control, Slider | Frames)]
    names = hand.in_sight([name for name in sliders if name not in LEFT_ALONE])
    up = hand.press_each(names, "PageUp")
    at_the_end = [name for name in names if name not in up]
    assert at_the_end == hand.press_each(at_the_end, "PageDown"), f"each slider moves, of {names}"
    for name in names:
        take_back_what_follows(hand, name)


def move(hand: Hand, chance: random.Random) -> None:
    """Move one of the dials that can be seen."""
    names = [name for name in hand.fresh.controls if name not in LEFT_ALONE and hand.fresh.shown(name)]
    if not names:
        return
    name = chance.choice(names)
    control = hand.fresh.controls[name]
    before = hand.fresh.meant[name]
    if isinstance(control, Slider | Frames):
        key = chance.choice(["ArrowRight", "ArrowLeft"] * 3 + ["PageUp", "PageDown"] * 2 + ["Home", "End"])
        hand.press(name, key, 1 if key in ("Home", "End") else chance.randint(1, 4))
    elif isinstance(control, Choice):
        hand.choose(name, chance.choice([words for words, _ in control.options]))
    else:
        assert isinstance(control, Tick)
        hand.tick(name)
    if hand.fresh.meant[name] != before:
        take_back_what_follows(hand, name)


def take_back_what_follows(hand: Hand, name: str) -> None:
    """A dial was moved: what the panel moves with it is meant to be as it was at first."""
    if name in FOLLOWS:
        hand.fresh.meant[FOLLOWS[name]] = hand.fresh.controls[FOLLOWS[name]].default


def change_units(hand: Hand) -> None:
    """Choose the other units."""
    hand.choose("units", meant.METRIC if hand.units == meant.US else meant.US)
    hand.is_true()


def change_units_and_move(hand: Hand, chance: random.Random) -> None:
    """Choose the other units, and move a slider before the page knows them."""
    other = meant.METRIC if hand.units == meant.US else meant.US
    names = [
        name
        for name, control in hand.fresh.controls.items()
        if isinstance(control, Slider) and meant.differ(control.quantity) and hand.fresh.shown(name)
    ]
    if not names:
        change_units(hand)
        return
    hand.press(chance.choice(names), chance.choice(["ArrowRight", "ArrowLeft"]), chance.randint(2, 4), other)
    hand.is_true()


def set_what_cannot_be(hand: Hand) -> None:
    """Zones longer than the blade: advice in place of a picture, and so it is in other units.

    The panel of trials asks nothing of its blade until that is added to the log.
    """
    column = "present." if "present.shape" in hand.fresh.controls else ""
    hand.choose(f"{column}shape", "stepped")
    hand.press(f"{column}zones", "End")  # the walk may have left two, which fit
    hand.is_true()  # which of two settings still worked, nobody could tell
    length = f"{column}length_mm" if f"{column}length_mm" in hand.fresh.controls else "length_mm"
    hand.press(length, "Home")
    hand.is_true()
    hand.press(f"{column}zone_length_1_mm", "End")
    asked = not hand.is_true()
    assert ("must add up to at most" in hand.sentence()) is asked
    assert asked or hand.fresh.panel.panel_name == "trials"
    change_units(hand)
    hand.press(f"{column}zone_length_1_mm", "Home")
    hand.press(length, "End")
    hand.is_true()
    assert "must add up to" not in hand.sentence()
