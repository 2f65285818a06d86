"""The slider *edges* and the panel about dull edges say what the library says."""

from __future__ import annotations

import importlib
import json
import pkgutil

import numpy as np
import pytest
from scipy.optimize import brentq

from bladelab import Blade, Hollow, Ice, Rocker, Stance, solve_contact, solve_friction
from bladelab.advice.blade_file import save_blade
from bladelab.advice.dulling import EDGES_MM, duller_than
from bladelab.show import panels
from bladelab.show.controls import blade as controls
from bladelab.show.controls.positions import positions_of
from bladelab.show.panel.blade_shelf import show_blade
from bladelab.show.panel.declare import PanelKind
from bladelab.show.panels.advice.compare import compare_panel
from bladelab.show.panels.advice.match import match_panel
from bladelab.show.panels.advice.single_change import single_change_panel
from bladelab.show.panels.blade.main import main_panel
from bladelab.show.panels.ice.bite import bite_panel
from bladelab.show.panels.ice.dull import dull_panel
from bladelab.show.panels.ice.glide import glide_panel
from bladelab.show.panels.ice.push import push_panel
from bladelab.show.panels.ice.stride import stride_panel
from bladelab.show.panels.trust import trust_panel
from bladelab.show.wording.say import say_blade, say_edges, say_hold
from bladelab.units import SYSTEMS
from tests.show.engine_checks import check_panel, hand, set_state, units

TEN = Rocker.single(3048.0, 280.0)
PUSH = Stance(1.3 * 75 * 9.81, 0.0, 35.0)


def hold(radius_mm: float, edge_mm: float, lean_deg: float = 35.0) -> float:
    stance = Stance(PUSH.load_N, 0.0, lean_deg)
    return solve_contact(Blade(TEN, Hollow(radius_mm, 2.9, edge_mm)), stance, Ice(-5.0)).hold_deg


@pytest.mark.slow
def test_it_does_what_every_panel_does() -> None:
    check_panel(dull_panel)


@pytest.mark.parametrize("system", SYSTEMS)
def test_the_slider_goes_from_sharp_to_a_tenth_of_a_millimetre(system: str) -> None:
    with units(system):
        texts = positions_of(controls.hollow_controls()[2], 0.0).page()["texts"]
        assert (texts[0], texts[4], texts[-1], len(texts)) == ("sharp", "0.02 mm", "0.1 mm", 21)
        # A card may say another radius: it has a position of its own, and is not taken for a sharp one.
        between = positions_of(controls.hollow_controls()[2], 0.0234)
        assert between.say(0.0234) == "0.0234 mm" and between.value(between.nearest(0.0234)) == 0.0234


def test_edges_and_their_hold_in_words() -> None:
    assert (say_edges(0.0), say_edges(0.05)) == ("sharp", "0.05 mm round")
    assert say_blade(Blade(TEN, Hollow(15.875, 2.9))) == "single 10 ft, hollow 5/8 in"
    dull = Blade(TEN, Hollow(15.875, 2.9, 0.02))
    assert say_blade(dull) == "single 10 ft, hollow 5/8 in, edges 0.02 mm round"
    assert say_hold(5.31) == "holds a push up to 5.3° off the plane of the blade"
    assert say_hold(-1.44) == "slips even under a push in the plane of the blade (hold angle −1.4°)"


def test_the_panel_says_when_the_hold_is_gone() -> None:
    panel = dull_panel()
    set_state(panel, {"hollow_mm": 12.7, "edge_radius_mm": 0.02})
    gone = brentq(lambda edge: hold(12.7, edge), 0.0, 0.1)
    half = brentq(lambda edge: hold(12.7, edge) - hold(12.7, 0.0) / 2, 0.0, 0.1)
    step = brentq(lambda edge: hold(12.7, edge) - hold(14.2875, 0.0), 0.0, 0.1)
    most = brentq(lambda edge: hold(12.7, edge) - hold(38.1, 0.0), 0.0, 0.1)
    said = panel.sentence_text
    assert panel.view.headline.get_text() == f"A 1/2 in hollow: its hold is gone at edges of {gone:.3f} mm"
    assert f"holds a push up to {hold(12.7, 0.02):.1f}° off" in said
    assert f"sharp, up to {hold(12.7, 0.0):.1f}°" in said
    assert f"half of its hold is gone at {half:.3f} mm, all of it at {gone:.3f} mm" in said
    assert f"At {step:.3f} mm it holds no more than a sharp hollow of 9/16 in" in said
    assert (
        f"at {most:.3f} mm no more than a sharp hollow of 1 1/2 in: from there on, sharpening does more"
        in said
    )
    x, y = panel.view.dot.get_data()
    assert (x[0], y[0]) == (0.02, pytest.approx(hold(12.7, 0.02), rel=1e-9))
    # A deeper hollow forgives more: the curve of what each may bear falls all the way.
    curve = np.asarray(panel.view.gone.get_ydata())
    assert np.all(np.diff(curve) < 0)
    assert curve[4] == pytest.approx(gone, abs=1e-4)


@pytest.mark.parametrize("narrow", [True, False])
@pytest.mark.parametrize("system", SYSTEMS)
def test_the_number_of_a_sharp_edge_keeps_clear_of_the_names_of_hollows(system: str, narrow: bool) -> None:
    with units(system):
        panel = dull_panel()
        panel.lay_out(narrow=narrow)
        view = panel.view
        view.figure.draw_without_rendering()
        own = view.own_tag.get_window_extent()
        for tag in view.tags:
            assert not tag.get_text() or not own.overlaps(tag.get_window_extent()), tag.get_text()


def test_at_the_shallowest_hollow_there_is_none_to_compare_with() -> None:
    panel = dull_panel()
    set_state(panel, {"hollow_mm": 38.1})
    assert "choice of hollow" not in panel.sentence_text and "is gone at" in panel.sentence_text
    assert np.isnan(duller_than(np.full(len(EDGES_MM), 3.0), 1.0))


def test_the_bite_and_the_push_are_those_of_dull_edges() -> None:
    panel = bite_panel()
    hand(panel, "trial.edge_radius_mm", "0.05 mm")
    set_state(panel, {"lean_deg": 35.0})
    trial = solve_contact(Blade(TEN, Hollow(9.525, 2.9, 0.05)), Stance(75 * 9.81, 0.0, 35.0), Ice(-5.0))
    assert f"edges 0.05 mm round: the groove is {Hollow(9.525, 2.9, 0.05).depth_mm:.3f} mm deep" in (
        panel.sentence_text
    )
    assert f"bites {trial.depth_mm:.3f} mm" in panel.sentence_text
    assert say_hold(trial.hold_deg) in panel.sentence_text
    assert "edges" not in panel.sentence_text.splitlines()[0]
    # The steel is drawn round: at the sides an edge's radius above its lowest point.
    corners = panel.view.part["trial"].steel.get_xy()
    assert corners[0] == pytest.approx((0.0, 0.05))
    assert corners[:, 1].min() == pytest.approx(0.0, abs=1e-4)
    # The ice line lies the bite above the lowest point of the leaned steel.
    lean, bottom = np.radians(35.0), corners[corners[:, 1] < 1.0]
    lowest = (bottom[:, 0] * np.sin(lean) + bottom[:, 1] * np.cos(lean)).min()
    x, y = panel.view.part["trial"].ice_line.get_data()
    level = np.asarray(x) * np.sin(lean) + np.asarray(y) * np.cos(lean)
    assert level - lowest == pytest.approx(trial.depth_mm, abs=2e-4)

    panel = push_panel()
    hand(panel, "present.edge_radius_mm", "0.05 mm")
    present = solve_contact(
        Blade(TEN, Hollow(15.875, 2.9, 0.05)), Stance(1.3 * 75 * 9.81, 15.0, 35.0), Ice(-5.0)
    )
    assert present.hold_deg < 0 and say_hold(present.hold_deg) in panel.sentence_text
    assert "the present edge has lost its hold" in panel.view.headline.get_text()
    low, high = panel.view.parts[2].axes.get_ylim()
    assert low < present.hold_deg < high
    hand(panel, "present.edge_radius_mm", "sharp")
    assert panel.view.parts[2].axes.get_ylim()[0] == 0.0


def test_the_scorecard_compares_sharp_with_dull_and_the_shelf_keeps_the_edges(tmp_path) -> None:
    box = compare_panel(tmp_path)
    panel = box.shelf._panel
    set_state(panel, {"trial.radius_mm": 3048.0, "trial.edge_radius_mm": 0.05})
    assert "has lost its hold" in panel.sentence_text
    assert "One thing differs: edges." in panel.sentence_text
    box.shelf.name.value = "worn"
    box.shelf.save("trial")
    (file,) = tmp_path.glob("*.json")
    assert json.loads(file.read_text())["hollow"]["edge_radius_mm"] == 0.05
    box.shelf.take("present")
    assert panel.dials["present.edge_radius_mm"].value == 0.05
    save_blade(tmp_path / "sharp.json", Blade(TEN, Hollow(15.875, 2.9)), "sharp")
    show_blade(panel, "present", Blade(TEN, Hollow(15.875, 2.9)))
    assert panel.dials["present.edge_radius_mm"].value == 0.0


def test_wherever_a_hollow_is_chosen_the_edges_are_too() -> None:
    declared = {}
    for module in pkgutil.walk_packages(panels.__path__, "bladelab.show.panels."):
        things = vars(importlib.import_module(module.name)).values()
        declared |= {thing.name: thing.controls for thing in things if isinstance(thing, PanelKind)}
    assert {"two-blades", "glide", "stride", "glide_out"} <= set(declared)
    del declared["drop_test"]  # its numbers are for one glide on a fresh blade
    for name, controls_of in declared.items():
        keys = [control.key for control in controls_of]
        assert ("hollow_mm" in keys) == ("edge_radius_mm" in keys), name


def test_dull_edges_reach_the_numbers_of_every_panel() -> None:
    dull, sharp = Hollow(15.875, 2.9, 0.05), Hollow(15.875, 2.9)
    eleven = Rocker.single(3352.8, 280.0)
    panel = main_panel()
    hand(panel, "trial.edge_radius_mm", "0.05 mm")
    trial = solve_contact(Blade(eleven, dull), Stance(75 * 9.81), Ice(-5.0), gliding=True)
    assert panel.result.contacts["trial"].depth_mm == pytest.approx(trial.depth_mm, rel=1e-9)
    assert panel.sentence_text.count("2 things differ: radius of the rocker, edges") == 1

    panel = glide_panel()
    hand(panel, "present.edge_radius_mm", "0.05 mm")
    for hollow, blade in ((dull, "present"), (Hollow(25.4, 2.9), "trial")):
        mu = solve_friction(Blade(TEN, hollow), Stance(75 * 9.81), Ice(-5.0), 6.0).total
        assert panel.result.frictions[blade].total == pytest.approx(mu, rel=1e-9)
    at = float(np.interp(15.875, panel.result.x, panel.result.curves["present"].total))
    assert at == pytest.approx(float(panel.result.frictions["present"].total), rel=1e-3)

    panel = single_change_panel()
    hand(panel, "edge_radius_mm", "0.05 mm")
    assert panel.result.found.present.hollow.edge_radius_mm == 0.05

    panel = trust_panel()
    hand(panel, "present.edge_radius_mm", "0.05 mm")
    stance = Stance(75 * 9.81, 15.0, 20.0)
    for hollow, rocker, band in (
        (dull, TEN, panel.result.found["hold_deg"].present),
        (sharp, eleven, panel.result.found["hold_deg"].trial),
    ):
        held = solve_contact(Blade(rocker, hollow), stance, Ice(-5.0)).hold_deg
        assert band.value == pytest.approx(held, abs=1e-9)


def test_a_stride_on_dull_edges_says_that_they_slip() -> None:
    panel = stride_panel()
    hand(panel, "present.edge_radius_mm", "0.1 mm")
    held = panel.result.wholes["present"].hold_deg
    assert panel.result.wholes["present"].blade.hollow == Hollow(15.875, 2.9, 0.1)
    assert "the present edge slips even under a push in the plane of the blade" in panel.sentence_text
    assert panel.view.limits["hold_deg"]._axes.get_ylim()[0] < held.min() < 0
    hand(panel, "present.edge_radius_mm", "sharp")
    assert panel.view.limits["hold_deg"]._axes.get_ylim()[0] == 0.0


def test_a_match_has_no_hold_to_keep_with_edges_that_slip() -> None:
    panel = match_panel()
    hand(panel, "edge_radius_mm", "0.02 mm")
    assert panel.result.chosen.hollow.edge_radius_mm == 0.02
    assert panel.result.makes.hollow.edge_radius_mm == 0.02
    hand(panel, "edge_radius_mm", "0.05 mm")
    target = panel.result.chosen.target
    assert target < 0 and f"The present blade's hold angle is {target:.2g}" in panel.sentence_text
    assert "sharpen the blade before matching it" in panel.sentence_text
    assert panel.view.axes.get_ylim()[0] < target and panel.result.makes is None
