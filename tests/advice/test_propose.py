"""What to try next: one thing, from what was rated low, keeping what was rated well."""

import datetime

import numpy as np
import pytest

from bladelab import Blade, Hollow, inches
from bladelab.advice.agreement import against_model
from bladelab.advice.evaluate import evaluate
from bladelab.advice.propose import advise, propose_next
from bladelab.advice.trial import RATINGS, Trial
from bladelab.shape.blade import differences
from tests.advice.blades import ALL, SINGLE, THREE

DAY = datetime.date(2026, 10, 5)


def trial(blade=THREE, week=0, skater="K07", **ratings) -> Trial:
    return Trial(DAY + datetime.timedelta(7 * week), skater, blade, ratings)


def test_a_low_hold_asks_for_a_deeper_hollow() -> None:
    found = propose_next([trial(hold=2, glide=4, turning=4)], ALL)
    assert found.change.label == "hollow deeper, 7/16 in" and found.rating.key == "hold"
    assert found.shows and found.expected > 10 and found.trials == 1
    assert "try hollow deeper, 7/16 in, and nothing else" in found.sentence
    assert "glide and turning) stays within a day's difference" in found.sentence
    assert "It stands on 1 trial of the present blade." in found.sentence


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
    assert len(differences(SINGLE, found.change.blade)) == 1


def test_what_was_rated_well_is_kept() -> None:
    # A tighter turn alone would take a smaller shape; that costs the steadiness, which was rated well.
    found = propose_next([trial(SINGLE, turning=1, steadiness=5)], ALL)
    assert found.change is None
    assert "without costing steadiness, which was rated well" in found.sentence


def test_what_was_tried_is_not_proposed_again() -> None:
    first = propose_next([trial(hold=2)], ALL)
    tried = trial(first.change.blade, 1, hold=2)
    back = trial(week=2, hold=2)
    again = propose_next([trial(hold=2), tried, back], ALL)
    assert again.change is None or differences(again.change.blade, first.change.blade)
    assert again.trials == 2


def test_a_gain_smaller_than_a_day_is_called_so() -> None:
    found = propose_next([trial(glide=1)], ALL)
    assert not found.shows and "less than one day differs from the next" in found.sentence


def test_ratings_of_one_blade_are_taken_together() -> None:
    # 2 and 4 come to 3: not low.
    assert propose_next([trial(hold=2), trial(week=1, hold=4)], ALL).change is None
    assert propose_next([trial(hold=2), trial(week=1, hold=3)], ALL).trials == 2


@pytest.mark.parametrize(
    ("trials", "said"),
    [
        ([], "There is no trial yet"),
        ([trial()], "has not been rated yet"),
        ([trial(hold=3, glide=4)], "Nothing was rated low: leave the blade as it is. It stands on 1 trial"),
    ],
)
def test_when_there_is_nothing_to_change_it_says_so(trials, said) -> None:
    found = propose_next(trials, ALL)
    assert found.change is None and said in found.sentence


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
    assert (proposal.sentence, proposal.change) == (alone.sentence, alone.change)
    assert proposal.expected == pytest.approx(alone.expected, rel=1e-6, nan_ok=True)
    for one, other in zip(agreements, against_model(trials, ALL), strict=True):
        assert (one.rating, one.agree, one.disagree) == (other.rating, other.agree, other.disagree)
        np.testing.assert_allclose(one.values, other.values, rtol=1e-8)
