"""What to try next: one thing, from what was rated low, keeping what was rated well."""

import datetime
from dataclasses import replace

import numpy as np
import pytest

from bladelab import QUANTITIES, Blade, Hollow, Rocker, feet, inches
from bladelab.advice.agreement import against_model
from bladelab.advice.evaluate import draw, evaluate
from bladelab.advice.measured import MeasuredDifference
from bladelab.advice.propose import advise, propose_next
from bladelab.advice.trial import RATINGS, Trial
from bladelab.physics.glide import solve_friction
from bladelab.physics.possible_ices import all_possible
from bladelab.shape.blade import what_differs
from bladelab.show.wording.changes import next_to_try
from bladelab.show.wording.say import say_blade
from tests.advice.blades import ALL, NAMED, SINGLE, THREE

DAY = datetime.date(2026, 10, 5)


def trial(blade=THREE, week=0, skater="K07", **ratings) -> Trial:
    return Trial(DAY + datetime.timedelta(7 * week), skater, blade, ratings)


def test_a_low_hold_asks_for_a_deeper_hollow() -> None:
    found = propose_next([trial(hold=2, glide=4, turning=4)], ALL)
    assert (found.change.part, found.change.to_mm) == (
        "hollow",
        inches("7/16"),
    ) and found.rating.key == "hold"
    assert found.shows and found.expected > 10 and found.trials == 1
    assert [rating.key for rating in found.kept] == ["glide", "turning"]


@pytest.mark.parametrize(
    ("ratings", "part", "direction"),
    [
        ({"turning": 1}, "whole shape", -1),
        ({"steadiness": 1}, "whole shape", 1),
        ({"balance": 2}, "level point", 1),  # too far forward: the boot must tip back
        ({"balance": -2}, "level point", -1),
        ({"glide": 2}, "whole shape", 1),
    ],
)
def test_each_rating_asks_for_what_answers_to_it(ratings, part, direction) -> None:
    found = propose_next([trial(SINGLE, **ratings)], ALL)
    assert (found.change.part, found.change.direction) == (part, direction)
    assert len(what_differs(SINGLE, found.change.blade)) == 1


def test_what_was_rated_well_is_kept() -> None:
    # A tighter turn alone would take a smaller shape; that costs the steadiness, which was rated well.
    found = propose_next([trial(SINGLE, turning=1, steadiness=5)], ALL)
    assert found.change is None
    assert found.why_none == "costs too much" and [rating.key for rating in found.spoiled] == ["steadiness"]


def test_what_was_tried_is_not_proposed_again() -> None:
    first = propose_next([trial(hold=2)], ALL)
    tried = trial(first.change.blade, 1, hold=2)
    back = trial(week=2, hold=2)
    again = propose_next([trial(hold=2), tried, back], ALL)
    assert again.change is None or what_differs(again.change.blade, first.change.blade)
    assert again.trials == 2


def test_a_gain_smaller_than_a_day_is_called_so() -> None:
    found = propose_next([trial(glide=1)], ALL)
    assert found.change and not found.shows


def test_a_change_that_gains_nothing_to_speak_of_is_not_proposed() -> None:
    """Moving the level point turns the blade in the boot and leaves the rock as it is, to the solver's error:
    of the changes that spare what was rated well it was the best."""
    blade = Blade(Rocker.single(feet(8.75), 288), Hollow(inches("1/2"), 2.9))
    mass = replace(ALL, mass_kg=181 * 0.45359237)
    found = propose_next([trial(blade, glide=4, hold=4, turning=4, steadiness=2, balance=1)], mass)
    assert found.change is None and found.rating.key == "steadiness" and np.isnan(found.expected)
    assert found.why_none == "costs too much" and [rating.key for rating in found.spoiled] == ["turning"]


@pytest.mark.parametrize("blade", [SINGLE, THREE])
@pytest.mark.parametrize("key", RATINGS)
def test_whatever_is_proposed_gains_more_than_its_own_band(blade, key) -> None:
    found = propose_next([trial(blade, **{key: 2 if key == "balance" else 1})], ALL)
    if found.change is None:
        assert found.why_none in ("costs too much", "too little")
        return
    least = 1.0 if QUANTITIES[found.rating.quantity].percent else 0.05
    assert abs(found.expected) > max(found.band, least)
    # The same skater on the same ice, drawn 100 times: nearly all days see the gain.
    one = replace(ALL, moments=tuple(m for m in ALL.moments if m.name == found.rating.moment))
    before, after = (
        draw(b, one, (found.rating.quantity,))[found.rating.quantity] for b in (blade, found.change.blade)
    )
    gains = np.sign(found.expected) * (after - before)
    assert (gains > 0).mean() > 0.9


def test_ratings_of_one_blade_are_taken_together() -> None:
    # 2 and 4 come to 3: not low.
    assert propose_next([trial(hold=2), trial(week=1, hold=4)], ALL).change is None
    assert propose_next([trial(hold=2), trial(week=1, hold=3)], ALL).trials == 2


@pytest.mark.parametrize(
    ("trials", "said"),
    [
        ([], "no trial"),
        ([trial()], "not rated"),
        ([trial(hold=3, glide=4)], "nothing low"),
    ],
)
def test_when_there_is_nothing_to_change_it_says_so(trials, said) -> None:
    found = propose_next(trials, ALL)
    assert found.change is None and found.why_none == said


def test_trials_of_two_skaters_are_refused() -> None:
    with pytest.raises(ValueError, match="more than one skater"):
        propose_next([trial(), trial(skater="K08")], ALL)


def test_ratings_against_the_computed_quantities() -> None:
    hollows = [inches(f) for f in ("3/4", "5/8", "1/2")]
    blades = [Blade(THREE.rocker, Hollow(h, 2.9)) for h in hollows]
    # Rated as the model orders them, but for one pair.
    trials = [trial(b, i, hold=r) for i, (b, r) in enumerate(zip(blades, (2, 4, 3), strict=True))]
    found = {agreement.rating.key: agreement for agreement in against_model(trials, ALL)}
    hold = found["hold"]
    assert (hold.agree, hold.disagree) == (2, 1)
    assert "over 3 rated trials" in hold.sentence and "in 2 of 3 pairs" in hold.sentence
    i = [moment.name for moment in ALL.moments].index(RATINGS["hold"].moment)
    np.testing.assert_allclose(hold.values, [evaluate(b, ALL)["hold"][i] for b in blades])
    assert found["glide"].sentence == "glide: 0 rated trials, nothing to compare yet."


@pytest.mark.parametrize(
    "trials",
    [
        [trial(hold=2, glide=4, turning=4)],
        [trial(hold=2, balance=-1), trial(week=1, hold=3, steadiness=4)],
        [trial(hold=5)],
        [],
    ],
)
def test_both_in_one_call_say_what_each_says_alone(trials) -> None:
    proposal, agreements = advise(trials, ALL)
    alone = propose_next(trials, ALL)
    assert (proposal.why_none, proposal.change) == (alone.why_none, alone.change)
    assert proposal.expected == pytest.approx(alone.expected, rel=1e-6, nan_ok=True)
    for one, other in zip(agreements, against_model(trials, ALL), strict=True):
        assert (one.rating, one.agree, one.disagree) == (other.rating, other.agree, other.disagree)
        np.testing.assert_allclose(one.values, other.values, rtol=1e-8)


# What was measured --------------------------------------------------------------------------------------

BEFORE = Blade(THREE.rocker, Hollow(inches("5/8"), THREE.hollow.width_mm))


def measured(percent, half, about="time", before=BEFORE, after=THREE, week=0):
    day = DAY + datetime.timedelta(7 * week)
    return MeasuredDifference(about, before, after, percent, percent - half, percent + half, day)


def test_a_blade_measured_to_be_worse_is_given_up_however_it_was_rated() -> None:
    slower = measured(2.0, 1.0)
    for ratings in ({"hold": 2}, {"glide": 5, "hold": 5}, {}):
        found = propose_next([trial(**ratings)], ALL, [slower])
        assert (found.why_none, found.change, found.measured) == ("measured worse", None, slower)
    # Told from the other blade it is the same.
    found = propose_next([trial(hold=2)], ALL, [slower.turned()])
    assert found.why_none == "measured worse" and found.measured.before == BEFORE
    assert found.measured.percent == pytest.approx(2.0)


def test_a_difference_that_may_be_chance_leaves_the_ratings_their_say() -> None:
    unsure = measured(2.0, 3.0)
    found, plain = propose_next([trial(hold=2)], ALL, [unsure]), propose_next([trial(hold=2)], ALL)
    assert found.change == plain.change and found.measured == unsure and plain.measured is None


def test_a_glide_measured_to_be_better_is_kept_however_it_was_rated() -> None:
    plain = propose_next([trial(SINGLE, glide=2)], ALL)
    assert plain.rating.key == "glide"
    better = measured(-8.0, 3.0, "glide", after=SINGLE)
    found = propose_next([trial(SINGLE, glide=2, hold=2)], ALL, [better])
    assert found.rating.key == "hold" and "glide" in [rating.key for rating in found.kept]
    assert propose_next([trial(SINGLE, glide=2)], ALL, [better]).why_none == "nothing low"


def test_the_time_of_a_drill_counts_before_the_friction_and_the_latest_before_the_first() -> None:
    quicker, more_drag = measured(-2.0, 1.0), measured(9.0, 3.0, "glide", week=1)
    assert propose_next([trial(hold=2)], ALL, [quicker, more_drag]).measured == quicker
    assert propose_next([trial(hold=2)], ALL, [more_drag]).why_none == "measured worse"
    slower = measured(2.0, 1.0, week=2)
    assert propose_next([trial(hold=2)], ALL, [slower, quicker]).measured == slower


def preferred(share, low, high, before=BEFORE, after=THREE):
    """How many of 100 preferred `after`."""
    return MeasuredDifference(
        "preference", before, after, 100 - 2 * share, 100 - 2 * high, 100 - 2 * low, DAY
    )


def test_blind_pairs_count_before_marks_and_after_what_was_measured() -> None:
    worse = preferred(10, 0, 45)
    found = propose_next([trial(glide=5, hold=5)], ALL, [worse])
    assert (found.why_none, found.measured) == ("measured worse", worse)
    told = next_to_try(found)
    assert told == (
        f"In blind pairs on 5 October 2026 this blade was preferred to {say_blade(BEFORE)} 10 % of the time "
        "(0 to 45 %). Skate on that one: blind pairs count before what was rated."
    )
    assert worse.turned() == preferred(90, 55, 100, THREE, BEFORE) and worse.turned().turned() == worse
    unsure = preferred(30, 8, 65)
    found = propose_next([trial(hold=2)], ALL, [unsure])
    assert found.change == propose_next([trial(hold=2)], ALL).change is not None
    assert "30 % of the time (8 to 65 %), which may be chance. Hold was rated 2" in next_to_try(found)
    for more in (measured(-2.0, 1.0), measured(-9.0, 3.0, "glide")):
        assert propose_next([trial(hold=2)], ALL, [more, worse]).measured == more


def test_a_blade_that_was_found_to_be_worse_is_not_proposed_again() -> None:
    asked = propose_next([trial(hold=2)], ALL)
    again = propose_next([trial(hold=2)], ALL, [preferred(90, 55, 100, before=asked.change.blade)])
    assert again.change is None or what_differs(again.change.blade, asked.change.blade)


def test_what_was_measured_on_other_blades_does_not_count() -> None:
    other = measured(5.0, 1.0, before=SINGLE, after=BEFORE)
    assert propose_next([trial(hold=2)], ALL, [other]).measured is None
    assert advise([trial(hold=2)], ALL, [measured(2.0, 1.0)])[0].why_none == "measured worse"


def test_a_measurement_is_told_with_its_error() -> None:
    said = next_to_try(propose_next([trial(hold=5)], ALL, [measured(2.0, 1.0)]))
    assert said == (
        f"Measured on 5 October 2026: 2.0 % more time than on {say_blade(BEFORE)} (+1.0 to +3.0 %). Skate on "
        "that one: what was measured counts before what was rated."
    )
    said = next_to_try(propose_next([trial(hold=2)], ALL, [measured(-1.0, 2.0, "glide")]))
    assert said.startswith(
        f"Measured on 5 October 2026: 1.0 % less friction than on {say_blade(BEFORE)} (−3.0 to +1.0 %), "
        "which may be chance. Hold was rated 2."
    )


def test_what_a_change_may_do_to_the_glide_spans_the_ices_held_possible() -> None:
    found = propose_next([trial(glide=1)], ALL)
    assert found.change is not None
    glide = NAMED["one-foot glide"]
    mu = [
        solve_friction(blade, glide.stance(ALL.mass_kg), all_possible(-5.0), ALL.speed_m_s).total
        for blade in (THREE, found.change.blade)
    ]
    more = 100 * (mu[1] / mu[0] - 1)
    assert more[0] == pytest.approx(found.expected, rel=1e-6)
    before, after = (
        draw(blade, replace(ALL, moments=(glide,)), ["friction"]) for blade in (THREE, found.change.blade)
    )
    low, high = np.percentile(100 * (after["friction"] / before["friction"] - 1), [5, 95])
    reach = max(high, more.max()) - min(low, more.min())
    assert found.band == pytest.approx(reach / 2, rel=1e-6)
    assert reach > 1.02 * (high - low)
