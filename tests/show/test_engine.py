"""The engine: dials, units, faults, the page."""

from __future__ import annotations

import gc
import re
import weakref
from types import SimpleNamespace

import numpy as np
import pytest

from bladelab import InputError
from bladelab.show.controls import Slider, Tick
from bladelab.show.engine import Answer, Panel
from bladelab.show.panels_rocker import rocker_panel
from bladelab.show.preference import UNITS, Units
from tests.show.bars import Bars, make
from tests.show.bars import answer as bars_answer
from tests.show.engine_checks import check_panel, pixels, readout, units


def without_names(svg: str) -> str:
    """An SVG without the names that tell the parts of one picture from those of another."""
    return re.sub(r'(?<=[#"])[pmh][0-9a-f]{8,}', "name", svg)


def test_it_keeps_the_rules_of_the_house():
    check_panel(make)


def test_dials_share_their_looks_but_one_that_may_be_hidden_has_its_place_alone():
    dials = rocker_panel().dials.values()
    of_kind = {type(dial.widget): dial.widget for dial in dials}
    assert len(of_kind) < len(dials)
    for dial in dials:
        assert dial.widget.layout is of_kind[type(dial.widget)].layout
        assert dial.widget.style is of_kind[type(dial.widget)].style
        alike = [other for other in dials if other.box.layout is dial.box.layout]
        assert (len(alike) == 1) == bool(dial.control.when)


def test_the_player_stands_where_the_slider_was_moved_to():
    dial = make().dials["frame"]
    dial.widget.value = 2  # as the reader does
    assert dial.player.value == 2
    dial.value = 1
    assert (dial.widget.value, dial.player.value) == (1, 1)


def test_the_slider_is_linked_back_to_its_player_only_while_that_plays():
    dial = make().dials["frame"]

    def linked_back() -> bool:
        link = dial._link_back
        return bool(link and link.source[0] is dial.widget and link.target[0] is dial.player)

    assert not linked_back()
    dial.player.playing = True
    assert linked_back()
    dial.widget.value = 2
    assert dial.player.value == 0, "the page moves it; the kernel, which hears of it later, does not"
    link = dial._link_back
    dial.player.playing = False
    assert not linked_back() and link.comm is None  # closed, on the page too


def test_a_slider_moves_the_picture_and_the_sentence_once():
    panel = make()
    frames = []
    panel._frame.observe(lambda change: frames.append(change["new"]), names="value")
    panel.dials["trial.radius_mm"].widget.value = 7.0  # as the reader does, in feet
    assert panel.state().trial.radius_mm == pytest.approx(2133.6)
    assert "Up to 7.00" in panel.sentence_text
    assert len(frames) == 1
    with panel.quiet():
        panel.dials["trial.radius_mm"].value = 3048.0
        panel.dials["present.radius_mm"].value = 2743.2
    assert len(frames) == 2
    assert "Up to 10.00" in panel.sentence_text


def test_the_still_part_travels_only_when_it_changed():
    panel = make()
    stills = []
    panel._still.observe(lambda change: stills.append(change["new"]), names="value")
    panel.dials["trial.radius_mm"].value = 2000.0
    assert not stills
    panel.dials["trial.radius_mm"].value = 6000.0  # other axis limits
    assert len(stills) == 1


def test_a_sentence_is_escaped_for_the_page():
    panel = make()
    assert "&lt;high&gt;" in panel._sentence.value
    assert "<high>" in panel.sentence_text


def test_a_fault_is_a_sentence_and_the_last_good_picture_stays():
    panel = make()
    before = panel._frame.value
    panel.dials["trial.radius_mm"].widget.value = 39.0
    panel.dials["factor"].value = 2.0
    assert panel.fault and panel.sentence_text.startswith("The trial is 78; it must be at most 40.")
    assert 'class="bladelab-fault"' in panel._sentence.value
    panel.dials["factor"].value = 1.0
    panel.dials["trial.radius_mm"].widget.value = 6.0
    assert not panel.fault and panel._frame.value == before


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
        ("factor", 3.0, "times is 3.0; it must be one of those offered: one, two"),
        ("factor", None, "times is None; it must be one of those offered: one, two"),
        ("grid", "no", "grid is 'no'; it must be True or False"),
        ("frame", 1.5, "stride is 1.5; it must be a whole number from 0 to 2"),
        ("frame", 3, "stride is 3; it must be a whole number from 0 to 2"),
    ],
)
def test_dials_refuse_what_is_no_value_of_theirs(name, value, said):
    panel = make()
    before = panel.state(), panel.dials[name].widget.value
    with pytest.raises(InputError, match=re.escape(said)):
        panel.dials[name].value = value
    assert (panel.state(), panel.dials[name].widget.value) == before


def test_groups_stand_in_the_order_of_the_house():
    assert [dial.control.group for dial in make().dials.values()] == ["rocker"] * 2 + ["skater"] + [
        "view"
    ] * 2
    with pytest.raises(ValueError, match="group of 'x' is 'blade'"):
        Tick("x", "x", "blade")


def test_units_change_everywhere_and_lose_nothing():
    one, two = make(), make()
    one.dials["trial.radius_mm"].value = 2000.0
    with units("metric"):
        for panel in (one, two):
            dial = panel.dials["trial.radius_mm"]
            assert dial.widget.description == "radius, m"
            assert readout(dial) == f"{dial.value / 1000:.2f} m"
            assert panel.view.axes.get_ylabel() == "radius, m"
            assert panel._units_choice.value == "metric"
        assert one.state().trial.radius_mm == 2000.0
    assert one.state().trial.radius_mm == 2000.0
    assert readout(one.dials["trial.radius_mm"]) == "6.56 ft"
    with pytest.raises(ValueError, match="'furlongs'"):
        UNITS.system = "furlongs"


def test_every_panel_on_the_page_follows_the_units_and_those_that_are_gone_do_not():
    shown = [make() for _ in range(8)]
    for panel in shown:
        panel._view_count = 1  # as the page tells
    gone = shown.pop(3)
    gone._view_count = 0  # its cell was run again
    before = gone._frame.value
    with units("metric"):
        for panel in shown:
            assert panel.dials["trial.radius_mm"].widget.description == "radius, m"
            assert panel.view.axes.get_ylabel() == "radius, m"
        assert gone._frame.value == before and gone.view.axes.get_ylabel() == "radius, ft"
        gone._view_count = 1  # shown once more
        assert gone.view.axes.get_ylabel() == "radius, m" and "Up to 1.83" in gone.sentence_text


def test_a_panel_that_is_gone_follows_the_units_when_it_is_moved_or_shown():
    moved, displayed = make(), make()
    for panel in (moved, displayed):
        panel._view_count = 1
        panel._view_count = 0
    with units("metric"):
        moved.dials["trial.radius_mm"].value = 3000.0
        assert readout(moved.dials["present.radius_mm"]) == "1.52 m"
        assert moved.view.axes.get_ylabel() == "radius, m" and "Up to 3.00" in moved.sentence_text
        bundle, _ = displayed._repr_mimebundle_()
        assert "Up to 1.83" in bundle["text/plain"]


def test_a_panel_that_was_closed_is_kept_alive_by_nothing():
    panel = make()
    panel.dials["frame"].player.playing = True
    panel._view_count = 1
    ghost = weakref.ref(panel)
    panel.close()
    del panel
    gc.collect()
    assert ghost() is None


def test_a_picture_saved_during_a_fault_is_the_last_good_one_in_the_units_chosen_now(tmp_path):
    def answer(state: SimpleNamespace) -> Answer:
        if state.factor == 2.0:
            raise InputError("the factor is 2; it must be 1")
        return bars_answer(state)

    panel = make(answer)
    good = pixels(make(answer))
    panel.dials["factor"].value = 2.0
    assert np.array_equal(pixels(panel), good)
    with units("metric"):
        assert panel.fault and panel.sentence_text.startswith("The factor is 2; it must be 1.")
        fresh = make(answer)
        assert np.array_equal(pixels(panel), pixels(fresh))
        assert without_names(panel._still.value) == without_names(fresh._still.value)
        assert without_names(panel._frame.value) == without_names(fresh._frame.value)
        saved = panel.save("PNG", tmp_path)
        assert saved.read_bytes() == fresh.save("PNG", tmp_path).read_bytes()
    assert np.array_equal(pixels(panel), good)


def test_a_panel_that_never_had_a_picture_says_so_instead_of_saving_an_empty_file(tmp_path):
    def answer(state: SimpleNamespace) -> Answer:
        raise InputError("the trace is missing")

    panel = make(answer)
    assert panel.sentence_text == "The trace is missing."
    with pytest.raises(InputError, match="there is no picture yet: The trace is missing"):
        panel.save("PNG", tmp_path)
    assert list(tmp_path.iterdir()) == []


def test_a_fault_of_ours_is_said_to_be_one_and_raised():
    def answer(state: SimpleNamespace) -> Answer:
        if state.factor == 2.0:
            raise ValueError("operands could not be broadcast together")
        return bars_answer(state)

    panel = make(answer)
    with pytest.raises(ValueError, match="broadcast"):
        panel.dials["factor"].value = 2.0
    assert panel.fault and panel.sentence_text.startswith("This is a fault of bladelab, not of what you set")
    panel.dials["factor"].value = 1.0
    assert not panel.fault and panel.sentence_text.startswith("Up to")


@pytest.mark.parametrize("form", [None, "JPG", 3])
def test_a_form_that_is_not_offered_is_refused_in_a_sentence(tmp_path, form):
    with pytest.raises(InputError, match="it must be one of PNG, SVG, PDF, GIF"):
        make().save(form, tmp_path)


def test_a_column_that_is_none_is_refused_in_a_sentence():
    with pytest.raises(InputError, match=r"the column is None; it must be one of \['present', 'trial'\]"):
        make().copy_column(None, "trial")


def test_a_value_between_two_steps_is_one_more_step():
    panel = make()
    dial = panel.dials["trial.radius_mm"]
    assert dial.widget.step == 0.25
    dial.value = 2000.0  # 6.56 ft
    assert readout(dial) == "6.56 ft" and dial.value == 2000.0
    dial.widget.index += 1  # as the reader does
    assert readout(dial) == "6.75 ft" and dial.value == pytest.approx(6.75 * 304.8)
    dial.widget.index -= 2
    assert readout(dial) == "6.50 ft" and dial.value == pytest.approx(6.5 * 304.8)


def test_a_number_that_reads_the_same_is_no_move():
    dial = make().dials["trial.radius_mm"]
    dial.value = 3048.0
    with units("metric"):
        assert readout(dial) == "3.05 m"
        dial.widget.value = 3.0499999999  # as a browser reckons
        assert dial.value == 3048.0
        dial.widget.value = 3.1
        assert dial.value == pytest.approx(3100)
        dial.widget.value = 3.05
        assert dial.value == pytest.approx(3050)


def test_hollows_are_fractions_in_feet_and_free_in_metric():
    hollow = Slider("hollow_mm", "hollow", "hollow", low=6, high=30, default=12.7, quantity="hollow")

    def tell(state: SimpleNamespace) -> Answer:
        return Answer(f"Hollow of {state.hollow_mm:.2f} mm.", {"heights": {"present": 1.0, "trial": 2.0}})

    panel = Panel("h", Bars(), [hollow], tell)
    dial = panel.dials["hollow_mm"]
    assert ("1/2 in", 12.7) in dial.widget.options
    assert [text for text, _ in dial.widget.options][:3] == ["1/4 in", "5/16 in", "3/8 in"]
    with units("metric"):
        dial.widget.value = 13.0
        assert "13.00 mm" in panel.sentence_text
    assert dial.widget.label == "0.512 in" and dial.value == 13.0  # a free one stays what it is
    dial.value = 9.525
    assert dial.widget.label == "3/8 in"
    assert len({text for text, _ in dial.widget.options}) == len(dial.widget.options)


def test_panels_are_let_go():
    units_of_test = Units()
    view = Bars()
    watcher = SimpleNamespace()

    class Listener:
        def hear(self) -> None:
            watcher.heard = True

    listener = Listener()
    units_of_test.listen(listener.hear)
    units_of_test.system = "metric"
    assert watcher.heard
    ghost = weakref.ref(listener)
    del listener, view
    gc.collect()
    assert ghost() is None
    units_of_test.system = "feet and inches"  # nobody left to tell, no error


def test_the_player_and_its_slider_are_one():
    panel = make()
    play, slider = panel.dials["frame"].box.children
    assert (play.min, play.max, play.interval, slider.max) == (0, 2, 40, 2)
    slider.value = 2
    assert panel.sentence_text.endswith("in frame 2.")


def test_a_closed_panel_is_told_nothing():
    panel, open_one = make(), make()
    before = panel.sentence_text, panel._frame.value
    panel.close()
    with units("metric"):
        assert (panel.sentence_text, panel._frame.value) == before
        assert open_one.view.axes.get_ylabel() == "radius, m" != panel.view.axes.get_ylabel()
