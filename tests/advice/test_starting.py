"""The family and its frontier: nothing beaten is left in, nothing unbeaten is left out, conflicts are
said."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from bladelab import Blade, Hollow, Rocker, Zone, feet, inches
from bladelab.advice.evaluate import evaluate
from bladelab.advice.family import Family
from bladelab.advice.family_scores import score_family, score_steps
from bladelab.advice.plan import plan_steps
from bladelab.advice.quantities import QUANTITIES
from bladelab.advice.starting import frontier, unbeaten
from bladelab.advice.wishes import POSITIONS, WISHES, checked_wishes, direct_gains, step_deg
from bladelab.shape.blade import what_differs
from tests.advice.blades import ALL, SINGLE, THREE


@pytest.fixture(scope="module")
def scores():
    return score_family(Family(SINGLE, feet=1, pivots=1, hollows=2), ALL)


def test_a_family_is_built_around_one_blade() -> None:
    with pytest.raises(ValueError, match="the present hollow holds an array"):
        Family(Blade(SINGLE.rocker, Hollow(np.array([12.7, 15.9]), 3.0)))


def test_the_family_is_what_it_says() -> None:
    family = Family(SINGLE)
    # 5 x 5 x 5 radii, of which 5 are all alike and need no blend, with 3 blends, 5 pivots and 11 hollows.
    assert len(family) == (120 * 3 + 5) * 5 * 11 == 20_075
    assert (family.steps_away == 0).sum() == 1
    start = int(np.nonzero(family.steps_away == 0)[0][0])
    assert family.blade(start) == SINGLE
    assert family.hollows_mm[5] == SINGLE.hollow.radius_mm
    # One step: 3 zones and the whole shape, the pivot and the hollow, each either way.
    assert (family.steps_away == 1).sum() == 2 * (3 + 1 + 1 + 1)


def test_blades_one_step_away_differ_in_one_thing() -> None:
    for present in (SINGLE, THREE):
        family = Family(present, feet=1, pivots=1, hollows=1)
        base = Blade(family.base, present.hollow)
        for i in np.nonzero(family.steps_away == 1)[0]:
            after = family.blade(int(i))
            if len(after.rocker.zones) == len(present.rocker.zones):
                assert len(what_differs(present, after)) == 1
            else:
                assert len(what_differs(base, after)) == 1


@pytest.mark.parametrize(
    "rocker",
    [
        Rocker((Zone(feet(9), 140), Zone(feet(11), 140))),
        Rocker((Zone(feet(9), 70), Zone(feet(11), 60), Zone(feet(12), 60), Zone(feet(8), 90)), 10, -3),
    ],
)
def test_two_zones_and_four(rocker) -> None:
    family = Family(Blade(rocker, SINGLE.hollow), feet=1, pivots=0, hollows=0)
    zero = int(np.nonzero(family.steps_away == 0)[0][0])
    assert family.blade(zero).rocker == rocker
    assert all(len(shape.rocker.zones) == len(rocker.zones) for shape in family.shapes)


@pytest.mark.slow
def test_scores_are_those_of_each_blade_by_itself(scores) -> None:
    for i in np.random.default_rng(3).integers(0, len(scores.family), 25):
        alone = evaluate(scores.family.blade(int(i)), ALL)
        for key in QUANTITIES:
            # A move of the pivot is taken as a plain tip of the boot; the rock jumps at a step.
            tolerance = {"pitch": {"atol": 5e-4}, "rock": {"rtol": 5e-3}}.get(key, {"rtol": 2e-4})
            np.testing.assert_allclose(scores.values[key][i], alone[key], err_msg=key, **tolerance)


@pytest.mark.slow
def test_processes_give_the_same_and_tell_their_progress() -> None:
    family, told = Family(SINGLE, feet=1, pivots=0, hollows=0), []
    steps = score_steps(family, ALL, workers=2)
    while True:
        try:
            told.append(next(steps))
        except StopIteration as end:
            apart = end.value
            break
    here = score_family(family, ALL)
    for key in QUANTITIES:
        np.testing.assert_array_equal(apart.values[key], here.values[key])
    assert told == sorted(told) and told[-1] == len(family.shapes) and len(set(told)) > 5


@pytest.mark.parametrize("workers", [1, 2])
def test_a_search_can_be_stopped(workers) -> None:
    family = Family(SINGLE)
    steps = score_steps(family, ALL, workers)
    told = next(steps)
    while not told:
        told = next(steps)
    assert told < len(family.shapes) / 2
    steps.close()  # ends, and does not first do the rest
    assert next(steps, None) is None


def beats(one: np.ndarray, other: np.ndarray) -> bool:
    return bool((one <= other).all() and (one < other).any())


@given(arrays(np.int64, st.tuples(st.integers(1, 60), st.integers(1, 4)), elements=st.integers(-4, 4)))
def test_unbeaten_is_what_brute_force_finds(costs) -> None:
    expected = [i for i, row in enumerate(costs) if not any(beats(other, row) for other in costs)]
    assert unbeaten(costs).tolist() == expected


@pytest.mark.slow
@pytest.mark.parametrize(
    "words",
    [
        ("quicker",),
        ("more glide", "more hold"),
        ("quicker", "steadier", "more forward"),
        ("smoother", "more back", "more hold", "steadier"),
    ],
)
def test_no_blade_of_the_frontier_is_beaten_and_none_is_missing(scores, words) -> None:
    found = frontier(scores, words)
    step = np.array([0.01 if w.quantity in ("pitch", "step") else 0.25 for w in found.wishes])
    levels = np.round(found.all_gains / step)
    costs = np.column_stack([-levels, scores.family.steps_away])
    expected = {
        i for i in range(len(costs)) if not ((costs <= costs[i]).all(1) & (costs < costs[i]).any(1)).any()
    }
    assert set(found.members.tolist()) == expected
    assert (np.diff(found.steps) >= 0).all()
    for place in (0, len(found.members) // 2, len(found.members) - 1):
        direct = direct_gains(found.blade(place), SINGLE, ALL, found.wishes)
        np.testing.assert_allclose(found.gains[place], direct, atol=0.1)


def test_the_present_blade_is_always_on_the_frontier(scores) -> None:
    for word in WISHES:
        assert frontier(scores, [word]).blade(0) == SINGLE


def test_wishes_that_pull_against_each_other_are_answered_so(scores) -> None:
    found = frontier(scores, ["quicker", "more glide"])
    assert not found.grants_all.any()
    assert '"Quicker" and "more glide" pull against each other' in found.sentence
    # With a flatter middle and a deeper hollow a blade glides and holds: no conflict.
    found = frontier(scores, ["more glide", "more hold"])
    assert found.grants_all.any() and not found.conflicts
    assert (found.gains[found.grants_all] > 0).all()


def test_what_is_not_to_be_had_is_said(scores) -> None:
    found = frontier(scores, ["smoother", "steadier"])
    assert "can't be met in this family" in found.sentence  # nothing is smoother than a single radius


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        ([], "nothing is wished for"),
        (["faster"], "no wish is called 'faster'; there are quicker"),
        (["more back", "more forward"], "more back and more forward are opposites"),
        (["smoother", "sharper change between zones"], "opposites"),
    ],
)
def test_wishes_that_make_no_sense_are_refused(words, sentence) -> None:
    with pytest.raises(ValueError, match=sentence):
        checked_wishes(words)


def test_positions_are_wishes_that_can_be_had_together() -> None:
    for words in POSITIONS.values():
        checked_wishes(words)


def test_how_distinct_steps_are() -> None:
    assert step_deg(SINGLE.rocker) == 0
    zones = (Zone(feet(9), 140), Zone(feet(12), 140))
    jump = np.degrees((1 / feet(9) - 1 / feet(12)) * 10)
    assert step_deg(Rocker(zones)) == pytest.approx(jump, rel=1e-9)
    assert step_deg(Rocker(zones, blend_mm=20)) == pytest.approx(jump, rel=1e-6)
    # A blend of 40 mm lets half of the step happen within 20 mm.
    assert step_deg(Rocker(zones, blend_mm=40)) == pytest.approx(jump / 2, rel=1e-6)


# The way there ----------------------------------------------------------------------------------


def test_the_steps_lead_from_the_present_blade_to_the_chosen_one(scores) -> None:
    found = frontier(scores, ["more glide", "more hold", "quicker"])
    for place in range(0, len(found.members), 7):
        goal = found.blade(place)
        steps = plan_steps(SINGLE, goal, ALL, found.wishes)
        if not steps:
            assert goal == SINGLE
            continue
        assert not what_differs(steps[-1].blade, goal) or len(goal.rocker.zones) == 1
        before = Blade(scores.family.base, SINGLE.hollow) if len(goal.rocker.zones) > 1 else SINGLE
        for step in steps:
            assert len(what_differs(before, step.blade)) == 1, step.change
            before = step.blade
        hollows = [step for step in steps if step.change.part == "hollow"]
        assert hollows in ([], list(steps[-1:]))  # the shape first, the hollow last
        # Each step's gain is in per cent of the blade before it; together they come to about the whole.
        total = np.prod([1 + step.gains / 100 for step in steps], axis=0) - 1
        np.testing.assert_allclose(100 * total, found.gains[place], atol=6)


def test_each_step_tells_what_it_gains() -> None:
    goal = Blade(
        Rocker((Zone(feet(10), 84), Zone(feet(12), 112), Zone(feet(10), 84))), Hollow(inches("9/16"), 3.0)
    )
    steps = plan_steps(SINGLE, goal, ALL, checked_wishes(["more glide", "more hold"]))
    assert [(step.change.part, step.change.zone) for step in steps] == [("radius", "middle"), ("hollow", "")]
    assert [step.change.from_mm for step in steps] == [feet(10), inches("5/8")]
    assert [step.change.to_mm for step in steps] == [feet(12), inches("9/16")]
    np.testing.assert_allclose(steps[0].gains, [6.6, 1.6], atol=0.05)  # per cent more glide, more hold
    assert steps[1].gains[0] < 0 < steps[1].gains[1]


def test_a_whole_shape_is_one_step() -> None:
    zones = tuple(Zone(z.radius_mm + feet(1), z.length_mm) for z in THREE.rocker.zones)
    larger = Blade(Rocker((zones[0], zones[1], Zone(feet(8), 90)), 20, 5), THREE.hollow)
    wishes = checked_wishes(["steadier"])
    changes = [step.change for step in plan_steps(THREE, larger, ALL, wishes)]
    assert [(c.part, c.zone, round(c.to_mm, 6)) for c in changes] == [
        ("radius", "heel", feet(10)),
        ("radius", "middle", feet(13)),
    ]
    whole = Blade(Rocker(zones, 20, 5), THREE.hollow)
    (step,) = plan_steps(THREE, whole, ALL, wishes)
    assert step.change.part == "whole shape" and step.change.to_mm - step.change.from_mm == pytest.approx(
        feet(1)
    )


def test_a_goal_of_other_zones_is_refused() -> None:
    other = Blade(Rocker((Zone(feet(9), 100), Zone(feet(12), 90), Zone(feet(8), 90)), 20, 5), THREE.hollow)
    with pytest.raises(ValueError, match="zones of different lengths"):
        plan_steps(THREE, other, ALL, checked_wishes(["steadier"]))
    wide = Blade(THREE.rocker, Hollow(THREE.hollow.radius_mm, 3.4))
    with pytest.raises(ValueError, match=r"width_mm is 3.4 mm; it must be that of the present blade, 2.9 mm"):
        plan_steps(THREE, wide, ALL, checked_wishes(["steadier"]))


def test_of_blades_that_gain_the_same_the_one_with_the_fewest_radii_goes_first(scores) -> None:
    # Upright and balanced, the contact lies in the middle zone: the zones at the ends gain nothing.
    found = frontier(scores, ["more glide"])
    shapes = [scores.family.shapes[i] for i in np.unravel_index(found.members, scores.family.dimensions)[0]]
    same = [
        (len(set(one.feet)), len(set(other.feet)))
        for one, other, a, b, x, y in zip(
            shapes, shapes[1:], found.gains, found.gains[1:], found.steps, found.steps[1:], strict=False
        )
        if x == y and np.abs(a - b).max() < 1e-5
    ]
    assert same
    assert all(one <= other for one, other in same)
