"""The engine: dials, units, faults, the page."""

from __future__ import annotations

import gc
import re
import weakref
from types import SimpleNamespace

import numpy as np
import pytest

from bladelab import InputError
from bladelab.show.controls.control import Slider, Tick
from bladelab.show.panel.engine import Panel
from bladelab.show.wording.units_shown import UNITS, Units
from tests.show.bars import Bars, Heights, heights, make
from tests.show.bars import answer as bars_answer
from tests.show.engine_checks import check_panel, hand, pixels, position, readout, units


def without_names(svg: str) -> str:
    """An SVG without the names that tell the parts of one picture from those of another."""
    return re.sub(r'(?<=[#"])[pmh][0-9a-f]{8,}', "name", svg)


def test_it_keeps_the_rules_of_the_house():
    check_panel(make)


def test_a_slider_moves_the_picture_and_the_sentence_once():
    panel = make()
    frames = []
    panel.observe(lambda change: frames.append(change["new"]), names="_answered")
    hand(panel, "trial.radius_mm", position(panel, "trial.radius_mm", "7.00"))
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
    panel.observe(lambda change: stills.append(change["new"]), names="_still")
    panel.dials["trial.radius_mm"].value = 2000.0
    assert not stills
    panel.dials["trial.radius_mm"].value = 6000.0  # other axis limits
    assert len(stills) == 1


def test_a_fault_is_a_sentence_and_the_last_good_picture_stays():
    panel = make()
    before = panel._frame
    hand(panel, "trial.radius_mm", position(panel, "trial.radius_mm", "39.00"))
    panel.dials["factor"].value = 2.0
    assert panel.fault and panel.sentence_text.startswith("The trial is 78; it must be at most 40.")
    assert panel._fault and panel._stale
    panel.dials["factor"].value = 1.0
    hand(panel, "trial.radius_mm", position(panel, "trial.radius_mm", "6.00"))
    assert not panel.fault and panel._frame == before


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


def test_units_change_everywhere_and_lose_nothing():
    one, two = make(), make()
    one.dials["trial.radius_mm"].value = 2000.0
    with units("metric"):
        for panel in (one, two):
            dial = panel.dials["trial.radius_mm"]
            assert readout(dial) == f"{dial.value / 1000:.2f} m"
            assert panel.view.axes.get_ylabel() == "radius, m"
            assert panel._units.value == "metric"
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
    before = gone._frame
    with units("metric"):
        for panel in shown:
            assert panel.view.axes.get_ylabel() == "radius, m"
        assert gone._frame == before and gone.view.axes.get_ylabel() == "radius, ft"
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


def test_a_plain_page_gets_no_picture_for_readers_without_a_kernel(monkeypatch):
    panel = make()
    assert "image/png" in panel._repr_mimebundle_()[0]
    monkeypatch.setenv("BLADELAB_SERVED", "notebooks")
    bundle, metadata = panel._repr_mimebundle_()
    assert "image/png" not in bundle and metadata == {}
    assert bundle["text/plain"].endswith(panel.sentence_text)
    assert "application/vnd.jupyter.widget-view+json" in bundle


def test_a_panel_that_was_closed_is_kept_alive_by_nothing():
    panel = make()
    panel._view_count = 1
    ghost = weakref.ref(panel)
    panel.close()
    del panel
    gc.collect()
    assert ghost() is None


def test_a_picture_saved_during_a_fault_is_the_last_good_one_in_the_units_chosen_now(tmp_path):
    def answer(state: SimpleNamespace) -> Heights:
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
        assert without_names(panel._still) == without_names(fresh._still)
        assert without_names(panel._frame) == without_names(fresh._frame)
        saved = panel.save("PNG", tmp_path)
        assert saved.read_bytes() == fresh.save("PNG", tmp_path).read_bytes()
    assert np.array_equal(pixels(panel), good)


def test_a_panel_that_never_had_a_picture_says_so_instead_of_saving_an_empty_file(tmp_path):
    def answer(state: SimpleNamespace) -> Heights:
        raise InputError("the trace is missing")

    panel = make(answer)
    assert panel.sentence_text == "The trace is missing."
    with pytest.raises(InputError, match="there is no picture yet: The trace is missing"):
        panel.save("PNG", tmp_path)
    assert list(tmp_path.iterdir()) == []


def test_a_fault_of_ours_is_said_to_be_one_and_raised():
    def answer(state: SimpleNamespace) -> Heights:
        if state.factor == 2.0:
            raise ValueError("operands could not be broadcast together")
        return bars_answer(state)

    panel = make(answer)
    with pytest.raises(ValueError, match="broadcast"):
        panel.dials["factor"].value = 2.0
    assert panel.fault and panel.sentence_text.startswith("This is a bug in bladelab, not something you set")
    panel.dials["factor"].value = 1.0
    assert not panel.fault and panel.sentence_text.startswith("Up to")


@pytest.mark.parametrize("form", [None, "JPG", 3])
def test_a_form_that_is_not_offered_is_refused_in_a_sentence(tmp_path, form):
    with pytest.raises(InputError, match="it must be one of PNG, SVG, PDF, GIF"):
        make().save(form, tmp_path)


def test_a_column_that_is_none_is_refused_in_a_sentence():
    with pytest.raises(InputError, match=r"the column is None; it must be one of \['present', 'trial'\]"):
        make().copy_column(None, "trial")


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


def test_a_panel_that_is_shown_after_its_dials_were_set_begins_with_them_all():
    panel = make()
    panel.dials["trial.radius_mm"].value = 2133.6
    panel.dials["factor"].value = 2.0
    panel._repr_mimebundle_()
    assert panel._dials == {
        name: dial.page() for name, dial in {**panel.dials, "units": panel._units}.items()
    }


def test_the_page_hears_of_every_dial_that_changed_and_of_no_other():
    panel = make()
    panel.dials["trial.radius_mm"].value = 2133.6
    assert list(panel._answered["dials"]) == ["trial.radius_mm"]
    hand(panel, "grid", 0)
    assert list(panel._answered["dials"]) == ["grid"]
    with units("metric"):
        assert {"trial.radius_mm", "present.radius_mm", "units"} <= set(panel._answered["dials"])
    assert panel.get_state()["_dials"] == {
        name: dial.page() for name, dial in {**panel.dials, "units": panel._units}.items()
    }, "a page that opens later begins with the dials as they are now"


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


def test_after_a_fault_of_ours_the_page_is_answered_all_the_same():
    def broken(state: SimpleNamespace) -> Heights:
        if state.hollow_mm > 20:
            raise ValueError("could not broadcast")
        return heights(1.0, 2.0)

    panel = Panel(
        "h", Bars(), [Slider("hollow_mm", "hollow", "hollow", low=6, high=30, default=12.7)], broken
    )
    with pytest.raises(ValueError, match="could not broadcast"):
        hand(panel, "hollow_mm", 20)
    assert panel._answered["seq"] == 1
    hand(panel, "hollow_mm", 2)
    assert panel._answered["seq"] == 2


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


def test_a_closed_panel_is_told_nothing():
    panel, open_one = make(), make()
    before = panel.sentence_text, panel._frame
    panel.close()
    with units("metric"):
        assert (panel.sentence_text, panel._frame) == before
        assert open_one.view.axes.get_ylabel() == "radius, m" != panel.view.axes.get_ylabel()


def test_no_control_takes_the_place_of_the_choice_of_units():
    with pytest.raises(ValueError, match="a control is called 'units'"):
        Panel("bars", Bars(), [Slider("units", "how many", "view", 0, 5, 1)], lambda _: heights(1.0, 2.0))
