"""Pressed ice goes through all advice unharmed: each number is that of `solve_contact`, one at a time."""

from __future__ import annotations

import datetime
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from scipy.integrate import quad

from bladelab import (
    MOMENTS,
    Blade,
    Conditions,
    EdgeLevel,
    Family,
    Hollow,
    Ice,
    Rocker,
    Stance,
    Trial,
    against_model,
    boot_tip,
    differences,
    evaluate,
    frontier,
    glide_out,
    groove_from_depth,
    hollow_difference,
    match_everywhere,
    match_hollow,
    plan_steps,
    propose_next,
    sample,
    score_family,
    scorecard,
    single_change_map,
    solve_contact,
    solve_friction,
    zone_reach,
)
from bladelab.advice.evaluate import day_to_day, draw
from bladelab.advice.quantities import QUANTITIES, change
from bladelab.advice.wishes import WISHES
from tests.advice.blades import NAMED, SINGLE, THREE

ICE = Ice.pressed(-6.0, 10.0, 0.17)
PRESSED = Conditions(70.0, ICE, 4.0)
OF_CONTACT = {
    "length": "length_mm",
    "bite": "depth_mm",
    "hold": "hold_deg",
    "yaw_hold": "yaw_hold_Nm",
    "carve": "carve_radius_m",
    "rock": "rock_deg",
    "pitch": "pitch_deg",
}


def one_at_a_time(blade: Blade, conditions: Conditions, ice: Ice | None = None) -> dict[str, np.ndarray]:
    """Every quantity in every moment, from a stance written out by hand."""
    found = {key: np.full(len(conditions.moments), np.nan) for key in QUANTITIES}
    ice = ice or conditions.ice
    for i, m in enumerate(conditions.moments):
        load = conditions.mass_kg * 9.81 * m.load_share
        how = {"speed_m_s": conditions.speed_m_s} if m.gliding else {"standing_s": m.pressed_s}
        contact = solve_contact(blade, Stance(load, m.position_mm, m.lean_deg, **how), ice, m.gliding)
        for key, name in OF_CONTACT.items():
            if key not in ("hold", "carve") or m.lean_deg > 0:
                found[key][i] = getattr(contact, name)
        if m.gliding:
            stance = Stance(load, m.position_mm, m.lean_deg)
            found["friction"][i] = solve_friction(blade, stance, ice, conditions.speed_m_s).total
    return found


@cache
def of(blade: Blade) -> dict[str, np.ndarray]:
    return one_at_a_time(blade, PRESSED)


def same(found: dict[str, np.ndarray], expected: dict[str, np.ndarray]) -> None:
    for key, values in expected.items():
        np.testing.assert_allclose(found[key], values, rtol=1e-5, atol=1e-9, err_msg=key)


def test_values() -> None:
    same(evaluate(THREE, PRESSED), of(THREE))
    plain = evaluate(THREE, replace(PRESSED, ice=Ice(-6.0)))
    assert np.all(plain["bite"] < of(THREE)["bite"] / 1.1)


def test_draws_of_other_days() -> None:
    drawn = draw(SINGLE, PRESSED, n=8, seed=3)
    for i, moment in enumerate(MOMENTS):
        stances, ices = sample(moment.stance(70.0, 4.0), ICE, n=8, seed=3)
        assert (ices.rate_exponent, ices.ball_radius_mm, stances.speed_m_s or 4.0) == (0.17, 10.0, 4.0)
        for k in (0, 5):
            ice = Ice(ices.temperature_C[k], ices.hardness_factor[k], 1.0, 0.17, 10.0)
            stance = stances.changed(lambda v, k=k: np.broadcast_to(v, 8)[k])
            contact = solve_contact(SINGLE, stance, ice, moment.gliding)
            assert drawn["bite"][k, i] == pytest.approx(contact.depth_mm, rel=1e-8)
    spread = day_to_day(SINGLE, PRESSED, ["bite"], n=8)["bite"]
    assert np.all((spread > 5) & (spread < 60))


def test_scorecard() -> None:
    card = scorecard(SINGLE, THREE, PRESSED, n=8)
    assert len(card.lines) > 30
    for line in card.lines:
        i = MOMENTS.index(line.moment)
        key = line.quantity.key
        assert line.present == pytest.approx(of(SINGLE)[key][i], rel=1e-7, abs=1e-9)
        assert line.trial == pytest.approx(of(THREE)[key][i], rel=1e-7, abs=1e-9)


def test_single_changes() -> None:
    found = single_change_map(SINGLE, PRESSED, ["bite", "friction", "yaw_hold"])
    for i in (0, len(found.changes) - 1):
        trial = one_at_a_time(found.changes[i].blade, PRESSED)
        for q, key in enumerate(found.keys):
            expected = change(of(SINGLE)[key], trial[key], key)
            np.testing.assert_allclose(found.effects[i, q], expected, atol=1e-5)


@pytest.mark.slow
def test_family_frontier_and_plan() -> None:
    scores = score_family(Family(SINGLE, 1, 0, 1), PRESSED)
    same(scores.present, of(SINGLE))
    last = len(scores.family) - 1
    expected = one_at_a_time(scores.family.blade(last), PRESSED)
    same({key: values[last] for key, values in scores.values.items()}, expected)
    words = list(WISHES)[:2]
    found = frontier(scores, words)
    wish = found.wishes[0]
    i = [m.name for m in MOMENTS].index(wish.moment)
    gain = wish.sign * change(of(SINGLE)[wish.quantity][i], expected[wish.quantity][i], wish.quantity)
    assert found.all_gains[last, 0] == pytest.approx(gain, abs=1e-5)
    goal = Blade(Rocker.single(SINGLE.rocker.zones[0].radius_mm * 1.2, 280), Hollow(12.7, 3.0))
    steps = plan_steps(SINGLE, goal, PRESSED, found.wishes)
    after = one_at_a_time(steps[0].blade, PRESSED)[wish.quantity][i]
    gain = wish.sign * change(of(SINGLE)[wish.quantity][i], after, wish.quantity)
    assert steps[0].gains[0] == pytest.approx(gain, abs=1e-5)


def test_trials() -> None:
    day = datetime.date(2026, 10, 5)
    trials = [Trial(day, "K07", SINGLE, {"glide": 2}), Trial(day, "K07", THREE, {"glide": 4})]
    glide = next(a for a in against_model(trials, PRESSED) if a.rating.key == "glide")
    i = [m.name for m in MOMENTS].index(glide.rating.moment)
    expected = [of(blade)[glide.rating.quantity][i] for blade in (SINGLE, THREE)]
    np.testing.assert_allclose(glide.values, expected, rtol=1e-7)
    proposal = propose_next(trials[:1], PRESSED)
    assert proposal.change is not None and proposal.rating is not None
    after = one_at_a_time(proposal.change.blade, PRESSED)[proposal.rating.quantity][i]
    gain = change(expected[0], after, proposal.rating.quantity)
    assert abs(proposal.expected) == pytest.approx(abs(gain), abs=1e-5)


def test_matches() -> None:
    rocker = Rocker.single(SINGLE.rocker.zones[0].radius_mm * 1.15, 280)
    found = match_everywhere(SINGLE, rocker, 70.0, ICE, speed_m_s=4.0)
    names = {"bite": "depth_mm", "hold": "hold_deg", "yaw_hold": "yaw_hold_Nm"}
    for match in found:
        stance = match.moment.stance(70.0, 4.0)
        now = solve_contact(SINGLE, stance, ICE, match.moment.gliding)
        assert match.target == pytest.approx(getattr(now, names[match.keep]), rel=1e-8, abs=1e-12)
        if match.hollow is not None:
            then = solve_contact(Blade(rocker, match.hollow), stance, ICE, match.moment.gliding)
            assert getattr(then, names[match.keep]) == pytest.approx(match.target, rel=1e-6)
    assert sum(match.hollow is not None for match in found) > 10
    stance = Stance(686.0, 0.0, 20.0, 4.0)
    hollow = match_hollow(SINGLE, rocker, stance, ICE, keep="hold")
    before, after = (solve_contact(b, stance, ICE, True).hold_deg for b in (SINGLE, Blade(rocker, hollow)))
    assert after == pytest.approx(before, rel=1e-6)


def test_differences_boot_tip_and_reach() -> None:
    stance = NAMED["tight turn"].stance(70.0, 4.0)

    def depth_on(blade: Blade):
        return lambda s, i: {"depth": solve_contact(blade, s, i, gliding=True).depth_mm}

    found = differences(depth_on(SINGLE), depth_on(THREE), stance, ICE, n=8)["depth"]
    one, other = (solve_contact(blade, stance, ICE, gliding=True) for blade in (SINGLE, THREE))
    assert found.same_day.value == pytest.approx(other.depth_mm - one.depth_mm, rel=1e-8)
    assert boot_tip(SINGLE, THREE, stance, ICE, gliding=True).change_deg == other.pitch_deg - one.pitch_deg
    upright = Stance(686.0, 0.0, 0.0, 4.0)
    reach = zone_reach(THREE, upright, ICE, gliding=True)
    k = reach.zone
    assert k is not None
    there = replace(upright, position_mm=float(reach.high_mm[k]))
    toe_end = solve_contact(THREE, there, ICE, True).toe_end_mm
    assert toe_end == pytest.approx(THREE.rocker.junctions_mm[k], abs=0.02)


def test_glide_out() -> None:
    stance = Stance(686.0)

    def slows(speed: float) -> float:
        return speed / (solve_friction(SINGLE, stance, ICE, speed).total * 9.81)

    metres = glide_out(SINGLE, replace(stance, speed_m_s=9.0), ICE, 4.0)
    assert metres == pytest.approx(quad(slows, 1.0, 4.0, epsabs=1e-3, limit=20)[0], rel=1e-4)
    assert metres < glide_out(SINGLE, stance, Ice(-6.0), 4.0)
    np.testing.assert_allclose(glide_out(SINGLE, stance, ICE, [3.0, 4.0])[1], metres, rtol=1e-9)


def test_a_groove_as_ground_and_edges_out_of_level() -> None:
    stance = Stance(686.0, 0.0, 30.0, 4.0)
    rocker = SINGLE.rocker
    said = hollow_difference(groove_from_depth(0.080, 3.0), 12.7, rocker, stance, ICE)["asked"]
    contact = solve_contact(Blade(rocker, Hollow(12.7, 3.0)), stance, ICE, gliding=True)
    assert said["bite_mm"] == pytest.approx(contact.depth_mm)
    level = EdgeLevel(0.1, 20.0)
    high, _ = level.hold_deg(SINGLE, stance, ICE)
    leaned = replace(stance, lean_deg=30.0 + level.tilt_deg)
    assert high == pytest.approx(solve_contact(SINGLE, leaned, ICE, True).hold_deg + level.tilt_deg)
