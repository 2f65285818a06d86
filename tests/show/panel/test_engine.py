"""The engine: pictures, sentences, faults, units, the page."""

from __future__ import annotations

import gc
import re
import weakref
from types import SimpleNamespace

import numpy as np
import pytest

from bladelab import InputError
from bladelab.show.controls.control import Slider
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


@pytest.mark.slow
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


def test_a_page_that_becomes_narrow_gets_a_narrow_picture():
    panel = make()
    panel._from_page(panel, {"do": "narrow", "on": True}, [])
    assert panel.view.narrow and panel._size["narrow"] and panel._size["width"] < 400
    panel._from_page(panel, {"do": "narrow", "on": False}, [])
    assert panel._size["width"] == 400


def test_a_message_that_no_page_sends_is_a_fault():
    panel = make()
    with pytest.raises(ValueError, match=r"the page says .*dance"):
        panel._from_page(panel, {"do": "dance"}, [])


@pytest.mark.parametrize("form", [None, "JPG", 3])
def test_a_form_that_is_not_offered_is_refused_in_a_sentence(tmp_path, form):
    with pytest.raises(InputError, match="it must be one of PNG, SVG, PDF, GIF"):
        make().save(form, tmp_path)


def test_a_column_that_is_none_is_refused_in_a_sentence():
    with pytest.raises(InputError, match=r"the column is None; it must be one of present, trial"):
        make().copy_column(None, "trial")


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
