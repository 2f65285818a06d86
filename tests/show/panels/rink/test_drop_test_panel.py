"""The panel of the drop test says what the library says, and takes over what is typed."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from bladelab import (
    Blade,
    Hollow,
    Ice,
    Rocker,
    Stance,
    hardness_from_drop,
    hardness_from_press,
    solve_friction,
)
from bladelab.rink.press_test import exponent_between
from bladelab.rink.reading import read_craters
from bladelab.show.panels.rink.drop_test import drop_test_panel
from bladelab.show.panels.rink.written import offer_more
from tests.show.engine_checks import check_panel, hand, position, set_state, units


@pytest.fixture
def craters(tmp_path):
    path = tmp_path / "own.csv"
    path.write_text("# mine\ncrater_mm;note\n9,8;\n10,1;by the boards\n12,9;cracked?\n9,9;\n10;\n9,7;\n")
    return path


@pytest.mark.slow
def test_the_drop_test_does_what_every_panel_does():
    check_panel(lambda: drop_test_panel().panel)


def test_the_drop_test_says_what_the_library_says():
    panel = drop_test_panel().panel
    test = hardness_from_drop(12.7, 1.0, panel.state().craters)
    low, high = test.interval_MPa
    assert f"{test.hardness_MPa:.1f} ± {test.standard_error_MPa:.1f} MPa" in panel.sentence_text
    assert f"anything from {low:.1f} to {high:.1f} agrees" in panel.sentence_text
    blade, stance = Blade(Rocker.single(3048.0, 280.0), Hollow(15.875, 2.9)), Stance(75 * 9.81)
    here, usual = (solve_friction(blade, stance, ice, 6.0) for ice in (test.ice(-5.0), Ice(-5.0)))
    deeper = 100 * (here.contact.depth_mm / usual.contact.depth_mm - 1)
    assert f"bites {here.contact.depth_mm:.3f} mm deep, {deeper:.0f} % more than on" in panel.sentence_text
    more = 100 * (here.total / usual.total - 1)
    ices = [test.ice(-5.0), *(test.pressed_ice(-5.0, exponent) for exponent in (0.1, 0.15, 0.2))]
    ices.append(replace(ices[2], hardness_factor=0.9 * ices[2].hardness_factor))  # each patch at its own age
    mu = [solve_friction(blade, stance, ice, 6.0).total for ice in ices]
    said = (
        f"{more:.0f} % more than there: {here.total:.4f}, between {min(mu):.4f} and {max(mu):.4f} of the load"
    )
    assert said in panel.sentence_text
    assert panel.result.here.total == pytest.approx(here.total)
    assert panel.result.usual.total == pytest.approx(usual.total)
    assert here.contact.depth_mm > usual.contact.depth_mm  # softer ice
    assert "flood the holes before anyone" in panel.sentence_text


def test_on_pressed_ice_the_hardness_found_is_the_one_that_is_said():
    panel = drop_test_panel().panel
    set_state(panel, {"hardness": "pressed"})
    test = hardness_from_drop(12.7, 1.0, panel.state().craters)
    assert f"where a dropped ball found {test.hardness_MPa:.1f}." in panel.sentence_text
    blade, stance = Blade(Rocker.single(3048.0, 280.0), Hollow(15.875, 2.9)), Stance(75 * 9.81)
    mu = solve_friction(blade, stance, test.pressed_ice(-5.0), 6.0).total
    assert f"{mu:.4f}, between " in panel.sentence_text


def test_a_slow_press_bounds_how_the_ice_softens():
    panel = drop_test_panel().panel
    hand(panel, "press_craters", "five craters (invented)")
    state = panel.state()
    drop = hardness_from_drop(12.7, 1.0, state.craters)
    press = hardness_from_press(12.7, 75 * 9.81, 10.0, state.press_craters)
    assert f"softens with the power {exponent_between(drop, press).value:.2f}" in panel.sentence_text
    hand(panel, "press_s", 19)  # 20 s
    assert "Pressed for 20 s" in panel.sentence_text


def test_a_guided_weight_presses_as_long_as_a_blade():
    panel = drop_test_panel().panel
    before = panel.sentence_text
    offer_more(panel, "craters", "mine", (16.5, 16.7, 16.4))
    set_state(panel, {"falls": "weighted", "weight_kg": 5.0, "height_m": 0.1})
    # (pi/2) sqrt(5 kg / (2 pi 12.7 mm 14.3 MPa)) = 3.3 ms.
    assert "pressed for 3.3 ms" in panel.sentence_text and "close to the blade's own" in panel.sentence_text
    test = hardness_from_drop(12.7, 0.1, (16.5, 16.7, 16.4), 5.0)
    usual = Ice.pressed(-5.0).pressed_hardness_MPa(test.loading_time_s)
    assert panel.result.usual_MPa == pytest.approx(usual) and usual < 0.75 * Ice(-5.0).hardness_MPa
    assert (
        f"usually has {usual:.1f} MPa when pressed for 3.3 ms (a published fit): this" in panel.sentence_text
    )
    assert panel.result.here.contact.hardness_MPa == pytest.approx(
        test.hardness_MPa / usual * panel.result.usual.contact.hardness_MPa, rel=0.03
    )
    assert "pressed for 0.37 ms" in before and "close to the blade's own" not in before


@pytest.mark.parametrize("system", ["feet and inches", "metric"])
def test_what_is_typed_is_taken_over_in_both_systems(system):
    with units(system):
        box = drop_test_panel()
        form = box.children[-1]
        form.fields["craters"].value = "9.8 10,1 9.9; 10"
        form.use()
        assert form.message.text == "Taken over: 4 craters."
        assert box.panel.state().craters == (9.8, 10.1, 9.9, 10.0)
        assert "These 4 craters" in box.panel.sentence_text
        assert "With so few craters" in box.panel.sentence_text
        words = {"feet and inches": "78.5", "metric": "200"}[system]
        hand(box.panel, "height_m", position(box.panel, "height_m", words))
        expected = hardness_from_drop(12.7, box.panel.state().height_m, (9.8, 10.1, 9.9, 10.0))
        assert box.panel.state().height_m == pytest.approx(2.0, abs=0.01)
        assert f"{expected.hardness_MPa:.1f} ±" in box.panel.sentence_text


def test_a_file_is_taken_over_and_an_odd_crater_named(craters):
    box = drop_test_panel()
    box.children[-1].bring("own.csv", craters)
    assert box.panel.state().craters == (9.8, 10.1, 12.9, 9.9, 10.0, 9.7)
    assert "The crater of 12.9 mm is far from the others" in box.panel.sentence_text
    assert list(box.panel.view.odd.get_xdata()) == [3]
    assert read_craters(craters)[2] == 12.9


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "craters: nothing is written"),
        ("9.8 wide", "craters is 'wide'; it must be a number"),
    ],
)
def test_what_can_not_be_read_is_said_and_nothing_is_lost(text, said):
    box = drop_test_panel()
    before = box.panel.state().craters
    form = box.children[-1]
    form.fields["craters"].value = text
    form.use()
    assert form.message.text.startswith(f"Not taken over: {said}")
    assert box.panel.state().craters == before
    assert form.fields["craters"].value == text


def test_craters_that_can_not_be_are_said_beside_the_last_picture():
    box = drop_test_panel()
    form = box.children[-1]
    for text, said in (
        ("30 31 29", "must be below the ball's diameter"),
        ("4 4 4.1", "check the ball, the height"),
    ):
        form.fields["craters"].value = text
        form.use()
        assert box.panel.fault and said in box.panel.sentence_text
        assert "The picture shows the last setting that works." in box.panel.sentence_text


def test_the_invented_craters_are_those_of_their_script():
    drop = hardness_from_drop(12.7, 1.0, drop_test_panel().panel.state().craters)
    low, high = drop.interval_MPa
    assert low < 15.5 < high  # the hardness in tools/make_demo_rink.py
    assert np.isfinite(drop.loading_time_s)


# Glide-outs ---------------------------------------------------------------------------------------------


# Timed trials -------------------------------------------------------------------------------------------
