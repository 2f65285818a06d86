"""The panels of balance, push, stride and glide behave like every panel, and say what the model says."""

from __future__ import annotations

import numpy as np
import pytest

from bladelab import Blade, Hollow, Ice, Rocker, Stance, glide_out, read_stride, solve_contact, solve_friction
from bladelab.physics import solving
from bladelab.show.drawings.trust import checks_table, explanations_table
from bladelab.show.panels.ice.balance import balance_panel
from bladelab.show.panels.ice.glide import glide_panel
from bladelab.show.panels.ice.push import push_panel
from bladelab.show.panels.ice.stride import stride_panel
from bladelab.show.panels.trust import trust_panel
from bladelab.trust.published import published_checks
from tests.show.engine_checks import check_panel, set_state, units

PANELS = [balance_panel, push_panel, stride_panel, glide_panel, trust_panel]
G = 9.81


@pytest.mark.slow
@pytest.mark.parametrize("make_panel", PANELS)
def test_it_does_what_every_panel_does(make_panel):
    check_panel(make_panel)


def test_the_balance_panel_says_what_the_model_says():
    panel = balance_panel()
    with panel.quiet():
        panel.dials["trial.shape"].value = "single"
        panel.dials["trial.pivot_mm"].value = -20.0
        panel.dials["position_mm"].value = 0.0
    # The same circle, level 20 mm nearer the heel: the boot tips forward by asin(20/3048) = 0.376 degrees.
    assert "tips 0.38° further forward" in panel.sentence_text
    assert "1.9 mm under the heel" in panel.sentence_text  # 290 mm * sin
    assert panel.view.headline.get_text() == "The trial tips the boot 0.4° forward"
    panel.copy_column("present", "trial")
    assert "the same on both blades" in panel.sentence_text


def test_the_balance_panel_says_when_the_contact_leaves_a_zone():
    panel = balance_panel()
    before = panel.sentence_text
    panel.dials["position_mm"].value = panel.dials["position_mm"].value - 5
    shift = [int(text.split("you leave it ")[1].split(" mm")[0]) for text in (before, panel.sentence_text)]
    assert shift[1] == shift[0] + 5


def test_upright_the_push_panel_draws_no_turn_along_the_blade():
    panel = push_panel()
    set_state(panel, {"lean_deg": 0.0, "across": "place"})
    assert not panel.fault and "Upright, the blade runs straight" in panel.sentence_text
    radii = panel.view.parts[4]
    radius = radii.curve["present"].get_ydata()
    assert len(radius) and not np.isfinite(radius).any()
    low, high = radii.axes.get_ylim()
    assert low == 0 < high < np.inf


@pytest.mark.slow
@pytest.mark.parametrize("lean", [0.0, 20.0, 45.0])
def test_the_push_panel_says_what_the_model_says(lean):
    panel = push_panel()
    panel.dials["lean_deg"].value = lean
    blade = Blade(Rocker.single(3048, 280), Hollow(12.7, 2.9))
    contact = solve_contact(blade, Stance(1.3 * 75 * G, 15, lean), Ice(-5))
    assert f"trial edge bites {contact.depth_mm:.3f} mm deep" in panel.sentence_text
    assert f"takes {contact.yaw_hold_Nm:.1f} N m to spin out" in panel.sentence_text
    if lean:
        with units("metric"):
            turn = f"{contact.carve_radius_m:.1f} m radius, balanced at {contact.balanced_speed_m_s:.1f} m/s"
            assert turn in panel.sentence_text


@pytest.mark.parametrize("frame", [0, 20, 40])
def test_the_stride_panel_shows_the_moment_of_the_stride(frame):
    panel = stride_panel()
    panel.dials["frame"].value = frame
    stride = read_stride().at_times(41)
    blade = Blade(Rocker.single(3048, 280), Hollow(15.875, 2.9))
    load = stride.load_share[frame] * 75 * G
    contact = solve_contact(blade, Stance(load, stride.position_mm[frame], stride.lean_deg[frame]), Ice(-5))
    assert f"present blade bites {contact.depth_mm:.3f} mm" in panel.sentence_text
    assert panel.view.lines.lines["present"][0].get_xdata()[0] == pytest.approx(contact.heel_end_mm, abs=1e-6)


@pytest.mark.slow
@pytest.mark.parametrize(("film", "factor"), [(1.0, 1.0), (3.0, 3.0)])
def test_the_glide_panel_says_what_the_model_says(film, factor):
    panel = glide_panel()
    panel.dials["film"].value = film
    blade, stance = Blade(Rocker.single(3048, 280), Hollow(25.4, 2.9)), Stance(75 * G)
    ice = Ice(-5, viscosity_factor=factor)
    friction = solve_friction(blade, stance, ice, 6.0)
    assert f"trial {friction.total:.4f}, between " in panel.sentence_text
    with units("metric"):
        far = glide_out(blade, stance, ice, 6.0)
        assert f"{far:.0f} m on the trial" in panel.sentence_text
    assert ("option, not the default" in panel.sentence_text) == (film == 3.0)


def test_the_trust_panel_tells_large_differences_from_small_ones():
    panel = trust_panel()
    panel.dials["trial.hollow_mm"].value = 38.1
    assert "hold angle" in panel.sentence_text.split("\n")[0]
    panel.copy_column("present", "trial")
    assert panel.view.headline.get_text() == "Both blades are the same: nothing differs"
    assert panel.sentence_text.startswith("Too small to feel or to measure: contact length")


def test_the_tables_of_trust_hold_every_check_and_none_has_changed():
    rows = checks_table().rows
    assert len(rows) == len(published_checks())
    assert {row[-1].split(";")[0] for row in rows} == {"agrees", "differs, as known"}
    assert all(row[1] for row in rows)
    assert explanations_table().rows[0][-1] == "1 of 4"


def test_a_contact_is_not_solved_again_for_another_speed(monkeypatch):
    panel, solved = glide_panel(), []
    panel.dials["mass_kg"].value = 80.7  # as no other test has it, whose frictions may outlive their contacts
    solve = solving._contacts._solve
    monkeypatch.setattr(solving._contacts, "_solve", lambda cases: solved.extend(cases) or solve(cases))
    before = panel.sentence_text
    panel.dials["speed_m_s"].value = 4.3
    assert panel.sentence_text != before
    # Only how soft pressed ice gets depends on it: the range over the ices held possible.
    assert len(solved) == 2 and all(ice.is_pressed for _, _, ice, _ in solved)
    panel.dials["mass_kg"].value = 81.3
    assert solved
