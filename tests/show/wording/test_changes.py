"""Changes and proposals in words: the numbers that were meant, in the units chosen and no others."""

from __future__ import annotations

import datetime
import re
from dataclasses import replace

import pytest

from bladelab import RATINGS, Blade, Conditions, Hollow, Rocker, Trial, Zone, feet, inches, propose_next
from bladelab.advice.plan import plan_steps
from bladelab.advice.single_change import single_changes
from bladelab.advice.wishes import checked_wishes
from bladelab.show.wording.changes import as_step, in_words, next_to_try, step_reason
from tests.advice.blades import ALL, SINGLE, THREE
from tests.show.engine_checks import IMPERIAL, METRIC, units

#: The three-zone blade: 9, 12 and 8 ft, blend 20 mm, level point at 5 mm, hollow 1/2 in. By hand: a foot is
#: 0.3048 m, 9/16 in 14.29 mm and 7/16 in 11.11 mm.
SAID = {
    "feet and inches": [
        "1 ft flatter overall",
        "1 ft rounder overall",
        "heel 1 ft flatter",
        "heel 1 ft rounder",
        "middle 1 ft flatter",
        "middle 1 ft rounder",
        "toe 1 ft flatter",
        "toe 1 ft rounder",
        "blend 20 mm longer",
        "blend 20 mm shorter",
        "level point 5 mm toward the toe",
        "level point 5 mm toward the heel",
        "shallower hollow, 9/16 in",
        "deeper hollow, 7/16 in",
    ],
}
SAID["metric"] = [
    said.replace("1 ft", "0.30 m").replace("9/16 in", "14.3 mm").replace("7/16 in", "11.1 mm")
    for said in SAID["feet and inches"]
]


@pytest.mark.parametrize("system", SAID)
def test_each_single_change_is_said_in_the_units_chosen(system):
    with units(system):
        assert [in_words(change) for change in single_changes(THREE)] == SAID[system]
        assert in_words(single_changes(SINGLE)[0]) == SAID[system][0]


STEPS = {
    "feet and inches": ("middle radius from 10 to 12 ft", "hollow from 5/8 to 9/16 in"),
    "metric": ("middle radius from 3.05 to 3.66 m", "hollow from 15.9 to 14.3 mm"),
}


@pytest.mark.parametrize("system", STEPS)
def test_the_steps_of_a_plan_are_said_with_what_they_gain(system):
    shape = Rocker((Zone(feet(10), 84), Zone(feet(12), 112), Zone(feet(10), 84)))
    wishes = checked_wishes(["more glide", "more hold"])
    with units(system):
        first, second = plan_steps(SINGLE, Blade(shape, Hollow(inches("9/16"), 3.0)), ALL, wishes)
        assert (as_step(first.change), as_step(second.change)) == STEPS[system]
        start = STEPS[system][0].replace("middle", "Middle")
        assert step_reason(first, wishes) == f"{start}: 6.6 % more glide and 1.6 % more hold."
        reason = step_reason(second, wishes)
        assert "more hold, at the cost of" in reason and reason.endswith("less glide.")


def test_a_step_that_only_costs_or_does_nothing_says_so():
    deeper = Blade(SINGLE.rocker, Hollow(inches("3/8"), 3.0))
    for wish, said in (
        ("more glide", "less glide; the other changes need it"),
        ("smoother", "on its own it does nothing for the wishes"),
    ):
        wishes = checked_wishes([wish])
        (step,) = plan_steps(SINGLE, deeper, ALL, wishes)
        assert "on its own" in step_reason(step, wishes) and said in step_reason(step, wishes)


def rated(blade=THREE, **ratings: int) -> list[Trial]:
    return [Trial(datetime.date(2026, 10, 5), "K07", blade, ratings)]


def test_a_proposal_says_what_to_try_and_what_it_is_based_on():
    found = propose_next(rated(hold=2, glide=4, turning=4), ALL)
    said = next_to_try(found)
    assert said.startswith(
        "Hold was rated 2. Try this and nothing else: deeper hollow, 7/16 in. Expected: hold"
    )
    assert f"hold angle +{found.expected:.0f}" in said
    assert "(glide and turning) stays as it is. Based on 1 trial of the present blade." in said
    with units("metric"):
        assert "deeper hollow, 11.1 mm." in next_to_try(found)
    weak = next_to_try(propose_next(rated(glide=1), ALL))
    assert "within day-to-day variation: skate both on the same day" in weak


def test_a_band_that_rounds_to_nothing_is_left_out():
    """Moving the level point tips the boot by what geometry says, whatever the ice."""
    said = next_to_try(propose_next(rated(SINGLE, balance=2), ALL))
    assert "Balance was rated +2" in said and "pitch −0.09° in the one-foot glide" in said


def test_why_there_is_nothing_to_change():
    blade = Blade(Rocker.single(feet(8.75), 288), Hollow(inches("1/2"), 2.9))
    mass = replace(ALL, mass_kg=181 * 0.45359237)
    found = propose_next(rated(blade, glide=4, hold=4, turning=4, steadiness=2, balance=1), mass)
    assert next_to_try(found) == (
        "Nothing to change now: steadiness was rated 2, but every single change that would help costs "
        "turning, rated well. Based on 1 trial of the present blade."
    )
    assert next_to_try(propose_next([], ALL)).startswith("There is no trial yet")
    assert next_to_try(propose_next(rated(), ALL)).startswith("The present blade has not been rated yet")
    fine = next_to_try(propose_next(rated(hold=3), ALL))
    assert fine == "Nothing was rated low: leave the blade as it is. Based on 1 trial of the present blade."
    flat = Blade(Rocker.single(feet(1000), 280), SINGLE.hollow)
    # A foot more or less is nothing to a blade as good as straight.
    said = next_to_try(propose_next(rated(flat, turning=1, hold=4), Conditions()))
    assert (
        "improves the carve radius in the tight turn by more than 1 %, and nobody would notice less" in said
    )


@pytest.mark.parametrize("system", ["feet and inches", "metric"])
@pytest.mark.parametrize("blade", [SINGLE, THREE], ids=["single", "three zones"])
def test_no_unit_of_the_other_system(system, blade):
    wrong = METRIC if system == "feet and inches" else IMPERIAL
    with units(system):
        for key in RATINGS:
            said = next_to_try(propose_next(rated(blade, **{key: 2 if key == "balance" else 1}), ALL))
            assert not wrong.search(said), said
            assert not re.search(r"[+−-]0(\.0+)? ?[%°]|± 0(\.0+)? ?[%°]", said), said
