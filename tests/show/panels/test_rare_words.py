"""Sentences that only rare settings call for, asked of the answers and wordings without a picture."""

import datetime
from types import SimpleNamespace

import numpy as np
import pytest

from bladelab import Blade, Hollow, InputError, Rocker, Trial
from bladelab.advice.single_change import Change
from bladelab.book.entry import Entry
from bladelab.book.happenings import Circumstances, Decided
from bladelab.book.ordering import work_order
from bladelab.book.rink_happenings import GlideMeasured, IceTested
from bladelab.book.rinks import rink_cards
from bladelab.book.shape_now import ShapeNow
from bladelab.book.steel_happenings import Fitted, Stated
from bladelab.physics.possible_ices import Span
from bladelab.show.controls.dials import make_dials, read
from bladelab.show.panel.skater import SKATER
from bladelab.show.panels.advice import compare, single_change
from bladelab.show.panels.advice.card_log import CardLog
from bladelab.show.panels.advice.match import match_panel
from bladelab.show.panels.ice import stride
from bladelab.show.panels.rink.rink_card import last_change_said
from bladelab.show.panels.workshop import cut, season
from bladelab.show.panels.workshop.measure_words import level_words
from bladelab.show.papers import skater_sheet
from bladelab.show.wording.changes import as_step
from bladelab.show.wording.say import say_change, say_change_between
from bladelab.show.wording.say_rink import measured_on_ice
from bladelab.show.wording.units_shown import UNITS
from tests.show.papers.cards import card

BLADE = Blade(Rocker.single(3048.0, 280.0), Hollow(12.7, 3.0))
DAY = datetime.date(2026, 11, 3)


def said(kind, **values):
    """What a panel's answer says with these dials, ``__`` for the dot of a column."""
    dials = make_dials(kind.controls, lambda: None)
    for name, value in values.items():
        dials[name.replace("__", ".")].value = value
    return kind.answer(read(dials.values())).sentence


def test_two_rockers_that_are_the_same_are_matched_by_the_present_hollow():
    words = said(match_panel, trial__radius_mm=3048.0)
    assert words.endswith("Both rockers are the same, so every match is the present hollow.")


def test_a_step_of_the_level_point_says_which_way():
    assert as_step(Change("level point", "", 0.0, 3.0, BLADE)) == "level point 3 mm toward the toe"
    assert as_step(Change("level point", "", 0.0, -3.0, BLADE)) == "level point 3 mm toward the heel"


def test_a_change_of_nothing_has_no_sign():
    assert [say_change(size, True) for size in (7.2, -0.3, -6.8)] == ["+7 %", "0 %", "−7 %"]
    assert [say_change(size, False) for size in (-0.08, 0.001)] == ["−0.08°", "0°"]
    assert say_change_between(Span(0.0, 1.0, -2.1, 3.4)) == "−2 to +3 %"
    assert say_change_between(Span(3.0, 3.0, 2.9, 3.1)) == "+3 %"


def test_two_balls_that_press_for_other_times_are_not_compared():
    tests = [IceTested("R1", ball, 1.0, (10.0, 10.1, 9.9)) for ball in (12.7, 40.0)]
    both = rink_cards([Entry("K07", DAY, what, number=i) for i, what in enumerate(tests, 1)])["R1"]
    assert last_change_said(both).endswith(
        "Not compared with the test before, on the same day: one ball pressed much longer than the other."
    )


def test_a_glide_out_that_tells_nothing_is_said_so():
    few = GlideMeasured((0.0, 5.0, 10.0), ((0.0, 2.0, 4.1),), (1,), (0,), 75.0)
    assert measured_on_ice(card(few)) == [
        "Glide-out, 3 November 2026, 1 run: too little to tell the friction."
    ]


def test_a_blade_that_can_not_be_skated_in_a_moment_is_said_so(monkeypatch):
    monkeypatch.setattr(compare, "scorecard", lambda *_, **__: SimpleNamespace(lines=()))
    with pytest.raises(InputError, match="one of the blades can't be skated in this moment"):
        said(compare._scorecard)
    nowhere = SimpleNamespace(values=np.full((len(single_change._KEYS), 1), np.nan))
    monkeypatch.setattr(single_change, "_map", lambda *_: nowhere)
    with pytest.raises(InputError, match="the blade can't be skated in this moment: try a longer one"):
        said(single_change.single_change_panel)
    whole = SimpleNamespace(reason=["", "the load is beyond the end of the runner", ""])
    monkeypatch.setattr(stride, "named_contacts", lambda cases: dict.fromkeys(cases, whole))
    with pytest.raises(InputError, match="present blade: at one moment of the stride, the load is beyond"):
        said(stride.stride_panel)


def test_a_level_point_that_was_not_on_the_stretch_measured_is_said_so():
    found = SimpleNamespace(level_error_mm=0.5, zones=SimpleNamespace(lowest_mm=np.inf))
    words = level_words(found, BLADE.rocker, from_gauge=False, claimed=True)
    assert words == "Level point: not on the stretch that was measured; ordered at the middle."


def test_a_plan_with_a_fault_can_not_be_kept():
    assert season._plan_buttons(SimpleNamespace(result=None), card()) == []


def test_a_sheet_says_why_nothing_can_be_expected(monkeypatch):
    def fails(*_, **__):
        raise InputError("the load is beyond the end of the runner")

    monkeypatch.setattr(skater_sheet, "scorecard", fails)
    known = card(Circumstances(mass_kg=75.0), Fitted("S1"), Stated("S1", BLADE), Decided(BLADE))
    (words,) = skater_sheet._expected(known, work_order(known, "S1", DAY))
    why = "the load is beyond the end of the runner"
    assert words == f"It can't be worked out what to expect: {why}. Skate it to find out."


def test_a_cut_begins_from_what_was_ground_as_it_is():
    ground = ShapeNow(BLADE.rocker, BLADE.rocker, "ground", DAY, "ground")
    worn, words = cut._present(SimpleNamespace(present=SimpleNamespace(shape=ground), rounding_mm=0.0))
    assert worn.rocker == BLADE.rocker and words == ""


def test_no_other_units_are_lent():
    with pytest.raises(InputError, match="the system of units is 'furlongs'"), UNITS.lent("furlongs"):
        pass


def test_a_card_takes_only_its_own_skaters_trials(book_file):
    SKATER.begin("K07")
    log = CardLog(lambda: None)
    with pytest.raises(InputError, match="the code is K08; the card that is open is K07's"):
        log.append(Trial(DAY, "K08", BLADE, {"glide": 4}))
    with pytest.raises(InputError, match="the card has no such trial of 2026-11-03"):
        log.take_back(Trial(DAY, "K07", BLADE, {"glide": 4}))
