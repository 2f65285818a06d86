"""The choice of ice reaches every number of a panel, and every picture names the ice it is for."""

from __future__ import annotations

import datetime
from types import SimpleNamespace

import numpy as np
import pytest

from bladelab import (
    MOMENTS,
    Blade,
    Hollow,
    Ice,
    Rocker,
    Stance,
    match_everywhere,
    solve_contact,
    solve_friction,
)
from bladelab.advice.evaluate import evaluate
from bladelab.advice.quantities import Conditions
from bladelab.book import tested_ice
from bladelab.physics.ice import DROP_TEST_ICE, PRESSED_ICE
from bladelab.physics.possible_ices import friction_span, possible_ices
from bladelab.show.controls import blade as controls
from bladelab.show.panels.advice.compare import compare_panel, scorecard_of
from bladelab.show.panels.advice.match import match_panel
from bladelab.show.panels.advice.single_change import single_change_panel
from bladelab.show.panels.blade.main import main_panel
from bladelab.show.panels.ice.balance import balance_panel
from bladelab.show.panels.ice.bite import bite_panel
from bladelab.show.panels.ice.contact import contact_panel
from bladelab.show.panels.ice.dull import dull_panel
from bladelab.show.panels.ice.glide import glide_panel
from bladelab.show.panels.ice.push import push_panel
from bladelab.show.panels.ice.stride import stride_panel
from bladelab.show.panels.trust import trust_panel
from tests.show.engine_checks import hand, set_state, units

LOAD_N = 75 * 9.81
ICE = Ice.pressed(-5.0)


def on_pressed_ice(make, **dials):
    panel = make()
    with panel.quiet():
        panel.dials["hardness"].value = PRESSED_ICE
        for name, value in dials.items():
            panel.dials[name].value = value
    assert not panel.fault
    return panel


def test_a_hand_on_the_page_changes_the_ice():
    panel = bite_panel()
    before = panel.sentence_text
    hand(panel, "hardness", 1)
    assert panel.sentence_text != before and "where a dropped ball finds 17.7" in panel.sentence_text
    hand(panel, "hardness", 0)
    assert panel.sentence_text == before


def test_the_glide_panel_tells_friction_with_the_range_of_the_ices():
    panel = on_pressed_ice(glide_panel)
    for name, radius in (("present", 15.875), ("trial", 25.4)):
        blade = Blade(Rocker.single(3048.0, 280.0), Hollow(radius, 2.9))
        found = solve_friction(blade, Stance(LOAD_N), ICE, 6.0)
        span = friction_span(blade, Stance(LOAD_N), -5.0, 6.0)
        assert panel.result.frictions[name].total == pytest.approx(found.total, rel=1e-9)
        said = f"{name} {found.total:.4f}, between {span.low:.4f} and {span.high:.4f}"
        assert said in panel.sentence_text
        drawn = panel.view.ranges[name].get_ydata()
        assert list(drawn) == pytest.approx([span.low, span.high])
    assert "how soft is known only roughly" in panel.sentence_text
    assert not panel.dials["film"].shown
    speeds = panel.result.frictions["present"].contact.stance.speed_m_s
    assert speeds == 6.0
    panel.dials["speed_m_s"].value = 3.0
    assert panel.result.frictions["present"].contact.stance.speed_m_s == 3.0
    panel.dials["hardness"].value = DROP_TEST_ICE
    assert panel.dials["film"].shown and "two thirds" in panel.sentence_text


@pytest.mark.slow
@pytest.mark.parametrize("against", ["hollow_mm", "radius_mm", "temperature_C", "mass_kg", "speed_m_s"])
def test_the_glide_panel_draws_every_curve_on_pressed_ice(against):
    panel = on_pressed_ice(glide_panel, against=against)
    glides = panel.result
    here = glides.here["present"]
    at = float(np.interp(here, glides.x, np.asarray(glides.curves["present"].total)))
    assert at == pytest.approx(float(glides.frictions["present"].total), rel=0.01)


@pytest.mark.parametrize(
    ("make", "gliding", "stance"),
    [
        (contact_panel, False, Stance(LOAD_N, standing_s=2.0)),
        (contact_panel, True, Stance(LOAD_N, speed_m_s=6.0)),
        (push_panel, False, Stance(1.3 * LOAD_N, 15.0, 35.0, standing_s=0.3)),
        (push_panel, True, Stance(1.3 * LOAD_N, 15.0, 35.0, speed_m_s=6.0)),
        (dull_panel, False, Stance(1.3 * LOAD_N, 0.0, 35.0, standing_s=0.3)),
    ],
)
def test_one_stance_is_pressed_for_as_long_as_it_says(make, gliding, stance):
    panel = on_pressed_ice(make, gliding=gliding)
    found = panel.result
    contact = found.here if make is dull_panel else found.contacts["present"]
    blade = contact.blade
    assert contact.depth_mm == pytest.approx(solve_contact(blade, stance, ICE, gliding).depth_mm, rel=1e-9)
    if make is not dull_panel:
        said = f"gives way under {contact.hardness_MPa:.1f} N a mm²"
        assert said in panel.sentence_text
        after = f"Pressed for {contact.length_mm / 6.0:.0f} ms" if gliding else f"{stance.standing_s:g} s"
        assert after in panel.sentence_text


@pytest.mark.parametrize("moment", MOMENTS, ids=lambda moment: moment.name)
def test_two_blades_in_a_moment_are_pressed_for_its_time(moment):
    contacts = on_pressed_ice(main_panel, moment=moment).result.contacts
    for contact in contacts.values():
        found = solve_contact(contact.blade, moment.stance(75.0, 6.0), ICE, moment.gliding)
        assert contact.depth_mm == pytest.approx(found.depth_mm, rel=1e-9)


@pytest.mark.slow
def test_the_other_panels_compute_on_pressed_ice_too():
    stride = on_pressed_ice(stride_panel).result
    k = stride.frame
    load, place, lean = (np.asarray(v)[k] for v in list(stride.wholes["present"].stance.given.values())[:3])
    found = solve_contact(stride.contacts["present"].blade, Stance(load, place, lean, 6.0, 0.3), ICE)
    assert stride.contacts["present"].depth_mm == pytest.approx(found.depth_mm, rel=1e-9)

    balance = on_pressed_ice(balance_panel).result.contacts["trial"]
    found = solve_contact(balance.blade, balance.stance, ICE, balance.gliding)
    assert balance.pitch_deg == pytest.approx(found.pitch_deg, rel=1e-9, abs=1e-12)

    panel = on_pressed_ice(match_panel)
    chosen, state = panel.result.chosen, panel.state()
    present = Blade(controls.rocker_of(state.present), Hollow(state.hollow_mm, state.width_mm))
    expected = match_everywhere(present, controls.rocker_of(state.trial), 75.0, ICE)
    same = (match for match in expected if (match.moment, match.keep) == (chosen.moment, chosen.keep))
    assert chosen.target == next(same).target

    changes = on_pressed_ice(single_change_panel).result.found
    values = evaluate(changes.present, Conditions(75.0, ICE, 6.0, changes.conditions.moments))
    np.testing.assert_allclose(changes.values, [values[key] for key in changes.keys], rtol=1e-9)

    trust = on_pressed_ice(trust_panel)
    blade = controls.blade_of(trust.state().present)
    stance = Stance(LOAD_N, 15.0, 0.0)
    friction = solve_friction(blade, stance, ICE, 6.0).total
    assert trust.result.found["friction"].present.value == pytest.approx(friction, rel=1e-9)


def test_the_scorecard_is_that_of_the_ice_chosen():
    side = SimpleNamespace(radius_mm=3048.0, hollow_mm=12.7, width_mm=2.9)
    skater = {"moment": MOMENTS[1], "mass_kg": 75.0, "speed_m_s": 6.0}
    state = SimpleNamespace(present=side, trial=side, temperature_C=-5.0, hardness="pressed", **skater)
    card = scorecard_of(state)
    assert card.conditions.ice == ICE
    bite = next(line.present for line in card.lines if line.quantity.key == "bite")
    blade = Blade(Rocker.single(3048.0, 280.0), Hollow(12.7, 2.9))
    assert bite == pytest.approx(solve_contact(blade, Stance(LOAD_N, speed_m_s=6.0), ICE, True).depth_mm)


def friction_of(panel):
    """The frictions of both blades as they are to be told, and how much more the trial has on each ice."""
    ices = [one.ice for one in possible_ices(-5.0)]
    mu = {}
    for name in ("present", "trial"):
        blade, stance = controls.blade_of(getattr(panel.state(), name)), Stance(LOAD_N)
        if panel.panel_name == "trust":
            stance = Stance(LOAD_N, 15.0)
        mu[name] = np.array([solve_friction(blade, stance, ice, 6.0).total for ice in ices])
    at = 1 if panel.state().hardness == PRESSED_ICE else 0
    said = {n: f"{v[at]:.4f}, between {v.min():.4f} and {v.max():.4f}" for n, v in mu.items()}
    return said, 100 * (mu["trial"] / mu["present"] - 1)


@pytest.mark.parametrize("kind", [DROP_TEST_ICE, PRESSED_ICE])
def test_wherever_two_blades_are_compared_friction_has_the_range_of_the_ices(kind):
    panel = compare_panel().panel
    set_state(panel, {"moment": MOMENTS[1], "hardness": kind})
    said, more = friction_of(panel)
    assert f"present {said['present']}; trial {said['trial']}." in panel.sentence_text
    assert f"The trial has {-more.max():.0f} to {-more.min():.0f} % less" in panel.sentence_text
    row = panel.view.rows[0]
    assert [row[n].get_text().replace("\n", " ") for n in ("present", "trial")] == [*said.values()]
    (line,) = [line for line in panel.result.lines if line.quantity.key == "friction"]
    table = scorecard_of(panel.state()).table().set_index("quantity").loc["glide friction"]
    assert (table.percent_low, table.percent_high) == pytest.approx((more.min(), more.max()), rel=1e-6)
    # Pale until it shows on every ice, and grey as far as it doesn't.
    assert (line.verdict == "shows") == (abs(line.change) > line.day_to_day)

    panel = trust_panel()
    set_state(panel, {"hardness": kind})
    said, _ = friction_of(panel)
    cells = panel.view.cells[-1]
    assert [cells[n].get_text().replace("\n", " ") for n in ("present", "trial")] == [*said.values()]


def test_a_verdict_on_friction_holds_on_every_ice():
    # From day to day a larger rocker glides better in a wide turn on the drop test's ice; on pressed ice that
    # is lost.
    panel = compare_panel().panel
    set_state(panel, {"moment": MOMENTS[4]})
    (line,) = [line for line in panel.result.lines if line.quantity.key == "friction"]
    assert (line.verdict_here, line.verdict) == ("shows", "same day only")
    assert "drag" not in panel.sentence_text.splitlines()[0]
    assert panel.view.bars[0]["bar"].get_alpha() < 0.5
    # 5/8 in against 1 in: 3 % less friction on one ice, none on another.
    panel = glide_panel()
    assert "on some of these ices that is too small to feel or to measure" in panel.sentence_text


def test_ice_tested_at_a_rink_has_a_range_of_its_own():
    tested = tested_ice.TestedIce("R1", datetime.date(2026, 11, 3), 1.5)
    panel = glide_panel()
    with panel.quiet():
        panel.dials["hardness"].offer([("tested", tested)], tested)
    for name in ("present", "trial"):
        span = panel.result.spans[name]
        assert span.drop_test == pytest.approx(float(panel.result.frictions[name].total), rel=1e-9)
        assert span.low <= span.drop_test <= span.high


def test_the_name_of_the_ice_is_in_the_units_chosen():
    with units("metric"):
        assert bite_panel().view.ice_name.get_text() == "ice −5.0 °C, as in a drop test"
