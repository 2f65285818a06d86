"""Dull edges through all functions of advice: each number is that of a contact solved for that very blade."""

from dataclasses import replace

import numpy as np
import pytest

from bladelab import Blade, Hollow, InputError, Rocker, feet, solve_contact, solve_friction
from bladelab.advice.change_map import single_change_map
from bladelab.advice.evaluate import draw, evaluate
from bladelab.advice.family import Family
from bladelab.advice.family_scores import score_family
from bladelab.advice.match import match_everywhere, match_hollow, nearest_usual, to_order
from bladelab.advice.plan import plan_steps
from bladelab.advice.quantities import QUANTITIES, Conditions, change
from bladelab.advice.scorecard import scorecard
from bladelab.advice.single_change import hollow_step, single_changes
from bladelab.advice.starting import frontier
from bladelab.advice.wishes import WISHES, direct_gains
from bladelab.physics.balance import boot_tip, rock_deg, zone_reach
from bladelab.physics.glide_out import glide_out
from bladelab.physics.ice import Ice
from bladelab.physics.stance import Stance
from bladelab.physics.uncertainty import band, sample
from tests.advice.blades import NAMED, THREE

EDGE_MM = 0.02
DULL = replace(THREE, hollow=replace(THREE.hollow, edge_radius_mm=EDGE_MM))
PUSH, GLIDE = NAMED["stride push"], NAMED["one-foot glide"]
HERE = Conditions(moments=(PUSH, GLIDE))
OF_CONTACT = {"bite": "depth_mm", "length": "length_mm", "yaw_hold": "yaw_hold_Nm", "hold": "hold_deg"}


def direct(blade: Blade, moment, key: str) -> float:
    """The number of one blade in one moment, from one contact solved alone."""
    stance = moment.stance(HERE.mass_kg)
    if key == "friction":
        return solve_friction(blade, stance, HERE.ice, HERE.speed_m_s).total
    return getattr(solve_contact(blade, stance, HERE.ice, moment.gliding), OF_CONTACT[key])


def test_the_edges_matter_here() -> None:
    # Otherwise nothing below would tell that they were lost.
    for key, least in (("bite", 0.005), ("hold", 0.2), ("yaw_hold", 0.01)):
        sharp, dull = direct(THREE, PUSH, key), direct(DULL, PUSH, key)
        assert abs(dull / sharp - 1) > least, key


def test_evaluate_is_that_of_each_contact() -> None:
    values = evaluate(DULL, HERE)
    for key in OF_CONTACT:
        assert values[key][0] == pytest.approx(direct(DULL, PUSH, key), rel=1e-9), key
    assert values["friction"][1] == pytest.approx(direct(DULL, GLIDE, "friction"), rel=1e-9)
    family = replace(
        DULL.hollow, radius_mm=np.array([9.525, 12.7]), edge_radius_mm=np.array([[0.01], [0.05]])
    )
    table = evaluate(Blade(DULL.rocker, family), HERE, ["hold"])["hold"]
    assert table.shape == (2, 2, 2)
    alone = Blade(DULL.rocker, Hollow(9.525, 2.9, 0.05))
    assert table[1, 0, 0] == pytest.approx(direct(alone, PUSH, "hold"), rel=1e-9)


def test_draws_keep_the_edges() -> None:
    drawn = draw(DULL, HERE, ["hold"], n=8)["hold"][:, 0]
    stance, ice = sample(PUSH.stance(HERE.mass_kg), HERE.ice, n=8)
    alone = solve_contact(DULL, stance, ice, PUSH.gliding)
    np.testing.assert_allclose(drawn, alone.hold_deg, rtol=1e-9)
    spread = band(lambda s, i: solve_contact(DULL, s, i).hold_deg, PUSH.stance(75.0), Ice(), n=8)
    assert spread.value == solve_contact(DULL, PUSH.stance(75.0), Ice()).hold_deg


def test_the_scorecard_compares_sharp_with_dull() -> None:
    card = scorecard(THREE, DULL, HERE, ["bite", "hold", "yaw_hold"], n=16)
    (hold,) = [x for x in card.lines if x.quantity.key == "hold"]
    assert hold.present == pytest.approx(direct(THREE, PUSH, "hold"), rel=1e-9)
    assert hold.trial == pytest.approx(direct(DULL, PUSH, "hold"), rel=1e-9)
    assert hold.change < -20 and hold.verdict == "shows"
    assert "edges 0.02 mm" in card.as_csv().decode()


def test_a_match_has_the_same_edges_and_the_same_score() -> None:
    rocker, stance = Rocker.single(feet(11), 280.0), PUSH.stance(HERE.mass_kg)
    for keep in ("bite", "hold", "yaw_hold"):
        found = match_hollow(DULL, rocker, stance, HERE.ice, keep, gliding=False)
        assert found.edge_radius_mm == EDGE_MM
        score = getattr(solve_contact(Blade(rocker, found), stance, HERE.ice), OF_CONTACT[keep])
        assert score == pytest.approx(direct(DULL, PUSH, keep), rel=1e-6), keep
    for match in match_everywhere(DULL, rocker, HERE.mass_kg, HERE.ice, [PUSH]):
        assert match.hollow.edge_radius_mm == match.usual.edge_radius_mm == EDGE_MM
        of_usual = direct(Blade(rocker, match.usual), PUSH, match.keep)
        assert match.remains_percent == pytest.approx(100 * (of_usual / match.target - 1), abs=1e-6)
        assert to_order(match.hollow, DULL.hollow).edge_radius_mm == EDGE_MM
    assert nearest_usual(DULL.hollow).edge_radius_mm == EDGE_MM


def test_there_is_no_hold_to_keep_where_edges_do_not_hold() -> None:
    blunt = replace(THREE, hollow=replace(THREE.hollow, edge_radius_mm=0.06))
    assert direct(blunt, PUSH, "hold") < 0
    found = {m.keep: m for m in match_everywhere(blunt, Rocker.single(feet(11), 280.0), 75.0, Ice(), [PUSH])}
    assert found["hold"].hollow is None and found["hold"].verdict == "none"
    assert f"hold angle is {found['hold'].target:.2g} deg; it must be above 0 deg" in found["hold"].reason
    assert found["bite"].hollow is not None and found["yaw_hold"].hollow is not None


def test_single_changes_leave_the_edges_alone() -> None:
    assert hollow_step(DULL.hollow, 1).edge_radius_mm == EDGE_MM
    assert {one.blade.hollow.edge_radius_mm for one in single_changes(DULL)} == {EDGE_MM}
    found = single_change_map(DULL, HERE, ["hold"])
    for one, effect in zip(found.changes, found.effects[:, 0, 0], strict=True):
        expected = change(direct(DULL, PUSH, "hold"), direct(one.blade, PUSH, "hold"), "hold")
        assert effect == pytest.approx(expected, rel=1e-6, abs=1e-6), one


def test_a_family_and_its_frontier_keep_the_edges() -> None:
    family = Family(DULL, feet=0, pivots=0, hollows=1)
    assert {family.blade(i).hollow.edge_radius_mm for i in range(len(family))} == {EDGE_MM}
    scores = score_family(family, HERE)
    for i in range(len(family)):
        assert scores.values["hold"][i, 0] == pytest.approx(direct(family.blade(i), PUSH, "hold"), rel=1e-9)
    wish = next(w for w in WISHES.values() if w.quantity == "hold" and w.sign > 0)
    here = replace(HERE, moments=(NAMED[wish.moment],))
    best = frontier(score_family(family, here), [wish.word])
    assert best.blade(0).hollow.edge_radius_mm == EDGE_MM
    (gain,) = direct_gains(best.blade(0), DULL, here, [wish])
    assert best.gains[0, 0] == pytest.approx(gain, rel=1e-6, abs=1e-6)


def test_a_plan_does_not_sharpen() -> None:
    with pytest.raises(InputError, match=r"edge_radius_mm is 0 mm; .* the present blade, 0.02 mm"):
        plan_steps(DULL, Blade(DULL.rocker, Hollow(15.875, 2.9)), HERE, [])
    goal = Blade(DULL.rocker, replace(DULL.hollow, radius_mm=15.875))
    assert plan_steps(DULL, goal, HERE, [])[-1].change.blade == goal


def test_balance_and_glide_out_have_them_too() -> None:
    stance, ice = Stance(736.0), Ice()
    assert rock_deg(DULL, stance, ice) == solve_contact(DULL, stance, ice).rock_deg
    tip = boot_tip(THREE, DULL, stance, ice)
    assert tip.trial_deg == solve_contact(DULL, stance, ice).pitch_deg
    sharp, dull = (zone_reach(blade, replace(stance, position_mm=10.0), ice) for blade in (THREE, DULL))
    assert not np.allclose(sharp.high_mm, dull.high_mm, equal_nan=True)
    run = [glide_out(blade, stance, ice, 4.0) for blade in (THREE, DULL)]
    assert run[0] != run[1]
    edges = replace(DULL.hollow, edge_radius_mm=np.array([0.0, EDGE_MM]))
    np.testing.assert_allclose(glide_out(Blade(DULL.rocker, edges), stance, ice, 4.0), run, rtol=1e-9)


@pytest.mark.parametrize("edge", [0.05, 0.2])
def test_a_hold_below_nothing_still_compares_the_right_way_round(edge: float) -> None:
    gone = Blade(THREE.rocker, replace(THREE.hollow, edge_radius_mm=edge))
    assert direct(gone, PUSH, "hold") < 0
    card = scorecard(gone, THREE, HERE, ["hold"], n=16)
    (line,) = [x for x in card.lines if x.moment is PUSH or x.moment == PUSH]
    assert line.change > 0 and line.verdict == "shows"
    assert change(-2.0, -1.0, "hold") == 50.0 and change(-2.0, -3.0, "hold") == -50.0
    assert set(QUANTITIES) >= {"hold"}
