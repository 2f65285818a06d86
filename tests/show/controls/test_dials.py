"""Dials: what they take and refuse, and how they are moved and typed in the units shown."""

from __future__ import annotations

import re
from types import SimpleNamespace

import pytest

from bladelab import InputError
from bladelab.show.controls.control import Slider, Tick
from bladelab.show.controls.dials import make_dials
from bladelab.show.panel.engine import Panel
from tests.show.bars import Bars, Heights, heights, make
from tests.show.engine_checks import hand, position, readout, units


def test_dials_refuse_values_out_of_range():
    panel = make()
    with pytest.raises(ValueError, match=r"radius is 20\.0; it must be a number from 600 to 12200"):
        panel.dials["trial.radius_mm"].value = 20.0
    assert panel.state().trial.radius_mm == 1828.8


@pytest.mark.parametrize(
    ("name", "value", "said"),
    [
        ("trial.radius_mm", None, "radius is None; it must be a number from 600 to 12200"),
        ("trial.radius_mm", "x", "radius is 'x'; it must be a number from 600 to 12200"),
        ("trial.radius_mm", [900.0], "radius is [900.0]; it must be a number from 600 to 12200"),
        ("factor", 3.0, "times is 3.0; it must be one of: one, two"),
        ("factor", None, "times is None; it must be one of: one, two"),
        ("grid", "no", "grid is 'no'; it must be True or False"),
        ("frame", 1.5, "stride is 1.5; it must be a whole number from 0 to 2"),
        ("frame", 3, "stride is 3; it must be a whole number from 0 to 2"),
    ],
)
def test_dials_refuse_what_is_no_value_of_theirs(name, value, said):
    panel = make()
    before = panel.state(), panel.dials[name].page()
    with pytest.raises(InputError, match=re.escape(said)):
        panel.dials[name].value = value
    assert (panel.state(), panel.dials[name].page()) == before


def test_groups_stand_in_the_order_of_the_house():
    assert [dial.control.group for dial in make().dials.values()] == ["rocker"] * 2 + ["skater"] + [
        "view"
    ] * 2
    with pytest.raises(ValueError, match="group of 'x' is 'blade'"):
        Tick("x", "x", "blade")


def test_a_value_between_two_steps_stays_until_it_is_moved():
    panel = make()
    name, dial = "trial.radius_mm", panel.dials["trial.radius_mm"]
    dial.value = 2000.0  # 6.56 ft
    assert readout(dial) == "6.56 ft" and dial.page()["at"] == position(panel, name, "6.50")
    hand(panel, "grid", 0)
    hand(panel, "units", "metric")
    hand(panel, "units", "feet and inches")
    assert dial.value == 2000.0
    hand(panel, name, dial.page()["at"] + 1)
    assert readout(dial) == "6.75 ft" and dial.value == pytest.approx(6.75 * 304.8)


def test_a_move_means_what_it_meant_in_the_scale_in_which_it_was_made():
    panel = make()
    dial = panel.dials["trial.radius_mm"]
    feet = dial.page()["edition"]
    place = position(panel, "trial.radius_mm", "7.00")
    with units("metric"):
        move = {"do": "move", "seq": 1, "values": {"trial.radius_mm": [feet, place]}}
        panel._from_page(panel, move, [])  # it was on its way when the units changed
        assert dial.value == pytest.approx(7 * 304.8) and readout(dial) == "2.13 m"
        for edition, at in ((feet + 99, 0), (feet, 10**6), (feet, -1)):
            panel._from_page(
                panel, {"do": "move", "seq": 2, "values": {"trial.radius_mm": [edition, at]}}, []
            )
            assert dial.value == pytest.approx(7 * 304.8), "what no scale knows moves nothing"


@pytest.mark.parametrize(
    ("text", "value"),
    [("7", 7 * 304.8), ("7.25 ft", 7.25 * 304.8), (" 8,5 ", 8.5 * 304.8), ("39.9", 39.9 * 304.8)],
)
def test_a_value_can_be_typed_in_the_units_shown(text, value):
    panel = make()
    panel._from_page(panel, {"do": "type", "name": "present.radius_mm", "text": text}, [])
    assert panel.dials["present.radius_mm"].value == pytest.approx(value)


@pytest.mark.parametrize("text", ["", "seven", "1e9", "-3", "nan", "41"])
def test_what_can_not_be_a_value_is_refused_in_the_units_shown(text):
    panel = make()
    before = panel.state()
    panel._from_page(panel, {"do": "type", "name": "present.radius_mm", "text": text}, [])
    assert panel.state() == before and panel._report["fault"]
    assert "at least 1.97 ft and at most 40.03 ft" in panel._report["text"], panel._report


def test_hollows_are_fractions_in_feet_and_free_in_metric():
    hollow = Slider("hollow_mm", "hollow", "hollow", low=6, high=30, default=12.7, quantity="hollow")

    def tell(state: SimpleNamespace) -> Heights:
        return heights(1.0, 2.0, f"Hollow of {state.hollow_mm:.2f} mm.")

    panel = Panel("h", Bars(), [hollow], tell)
    dial = panel.dials["hollow_mm"]
    assert dial.page()["texts"][:3] == ("1/4 in", "5/16 in", "3/8 in") and readout(dial) == "1/2 in"
    with units("metric"):
        hand(panel, "hollow_mm", position(panel, "hollow_mm", "13.0"))
        assert "13.00 mm" in panel.sentence_text
    assert readout(dial) == "0.512 in" and dial.value == 13.0  # a free one stays what it is
    dial.value = 9.525
    assert readout(dial) == "3/8 in"
    assert len(set(dial.page()["texts"])) == len(dial.page()["texts"])
    panel._from_page(panel, {"do": "type", "name": "hollow_mm", "text": "1 1/8"}, [])
    assert dial.value == pytest.approx(28.575)


def test_two_controls_of_one_name_are_a_fault():
    grid = Tick("grid", "grid", "view")
    with pytest.raises(ValueError, match="two controls of one panel have the same name"):
        make_dials([grid, grid], lambda: None)


def test_no_control_takes_the_place_of_the_choice_of_units():
    with pytest.raises(ValueError, match="a control is called 'units'"):
        Panel("bars", Bars(), [Slider("units", "how many", "view", 0, 5, 1)], lambda _: heights(1.0, 2.0))
