"""Random walks over the dials of every panel, as plain pages and in JupyterLab by turns.

After every few moves the page is compared with a panel that is new and was given the numbers that the hand
meant: its sentence, its picture, and what each dial reads. Units are switched in between, right after a move
and before its answer, and settings that can't be are set and taken back.
"""

import random

import pytest

from bladelab.show.clinic.deck import TOPICS
from bladelab.show.controls.control import Choice, Frames, Slider, Tick
from tests.browser.for_all import hard_to_read_in_the_dark, violations
from tests.browser.harness import notebook_names, walked_in
from tests.browser.test_jupyterlab import DESKTOP, is_seen_in_one_view, keeps_to_its_space
from tests.browser.test_voila import shows_no_code
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
    units, walker = meant.US, person(walked_in(name))
    hands = walker.open(name, **DESKTOP)
    on_the_desktop = is_seen_in_one_view(walker.page)
    assert violations(walker.page.page) == []
    for hand in hands:
        hand.units = units  # one choice for the whole notebook: it begins in what the panel before it left
        hand.is_true()
        walk(hand, random.Random(f"{name} {hand.place}"))
        units = hand.units
    if walked_in(name) == "lab":
        assert hard_to_read_in_the_dark(walker.page.page) == []
        assert walker.page.dialogs() == []
        keeps_to_its_space(walker.page, on_the_desktop)
    else:
        shows_no_code(walker.page)


def walk(hand: Hand, chance: random.Random) -> None:
    """Move some dials and look; change the units, move at once and look. Then a setting that can't be."""
    for _ in range(ROUNDS):
        for _ in range(chance.randint(1, 3)):
            move(hand, chance)
        hand.is_true()
        change_units_and_move(hand, chance)
    if hand.fresh.panel.panel_name in CANNOT_BE:
        set_what_cannot_be(hand)


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
    if name in FOLLOWS and hand.fresh.meant[name] != before:
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
    hand.press(f"{column}length_mm" if f"{column}length_mm" in hand.fresh.controls else "length_mm", "Home")
    hand.is_true()
    hand.press(f"{column}zone_length_1_mm", "End")
    asked = not hand.is_true()
    assert ("must add up to at most" in hand.sentence()) is asked
    assert asked or hand.fresh.panel.panel_name == "trials"
    change_units(hand)
    hand.press(f"{column}zone_length_1_mm", "Home")
    hand.is_true()
    assert "must add up to" not in hand.sentence()
