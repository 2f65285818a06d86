"""Random walks over all dials of a panel, as plain pages and in JupyterLab by turns.

After every few moves the page is compared with a panel that is new and was given the numbers that the hand
meant: its sentence, its picture, and what each dial reads. Units are switched in between, and settings that
can't be are set and taken back.
"""

import random

import pytest

from bladelab.show.controls.control import Choice, Frames, Slider, Tick
from tests.browser.harness import notebook_names
from tests.journeys import meant
from tests.journeys.person import Hand

ROUNDS = 3
#: Notebooks whose panels are walked over: the quick ones with one panel each.
WALKED = [name for name in notebook_names() if name[:2] in "00 01 02 03 04 06 08 12 13 16".split()]


@pytest.mark.parametrize("name", WALKED)
def test_the_page_shows_what_the_hand_meant(person, name):
    for hand in person(("voila", "lab")[WALKED.index(name) % 2]).open(name):
        hand.is_true()
        walk(hand, random.Random(f"{name} {hand.place}"))


def walk(hand: Hand, chance: random.Random) -> None:
    """Move some dials, look, change the units, look; then a setting that can't be, in both units."""
    for _ in range(ROUNDS):
        for _ in range(chance.randint(1, 3)):
            move(hand, chance)
        hand.is_true()
        change_units(hand)
    if hand.units == meant.METRIC:
        change_units(hand)
    if any(name.endswith("zone_length_1_mm") for name in hand.fresh.controls):
        set_what_cannot_be(hand)
        change_units(hand)  # back: the next panel of the notebook begins in feet


def move(hand: Hand, chance: random.Random) -> None:
    """Move one of the dials that can be seen."""
    name = chance.choice([name for name in hand.fresh.controls if hand.fresh.shown(name)])
    control = hand.fresh.controls[name]
    if isinstance(control, Slider | Frames):
        key = chance.choice(["ArrowRight", "ArrowLeft"] * 3 + ["PageUp", "PageDown"] * 2 + ["Home", "End"])
        hand.press(name, key, 1 if key in ("Home", "End") else chance.randint(1, 4))
    elif isinstance(control, Choice):
        hand.choose(name, chance.choice([words for words, _ in control.options]))
    else:
        assert isinstance(control, Tick)
        hand.tick(name)


def change_units(hand: Hand) -> None:
    """Choose the other units."""
    hand.choose("units", meant.METRIC if hand.units == meant.US else meant.US)
    hand.is_true()


def set_what_cannot_be(hand: Hand) -> None:
    """Zones longer than the blade: advice in place of a picture, and so it is in other units."""
    column = "present." if "present.shape" in hand.fresh.controls else ""
    hand.choose(f"{column}shape", "stepped")
    hand.press(f"{column}length_mm" if f"{column}length_mm" in hand.fresh.controls else "length_mm", "Home")
    hand.is_true()
    hand.press(f"{column}zone_length_1_mm", "End")
    hand.is_true()
    assert "must add up to at most" in hand.sentence()
    change_units(hand)
    hand.press(f"{column}zone_length_1_mm", "Home")
    hand.is_true()
    assert "must add up to" not in hand.sentence()
