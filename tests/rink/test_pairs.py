"""Pairs: against published examples, scipy's and statsmodels' own tests, and null data."""

import numpy as np
import pytest
from scipy.stats import permutation_test, ttest_rel
from statsmodels.regression.linear_model import OLS
from statsmodels.stats.power import TTestPower
from statsmodels.stats.proportion import proportion_confint

from bladelab import InputError, paired_result, pairs_needed
from bladelab.rink.how_many_pairs import pairs_for, smallest_difference_percent
from bladelab.rink.paired import sign_flip_p
from bladelab.rink.preference import preference_result

# Extra sleep, h, of ten patients: by one drug less by the other (Cushny & Peebles 1905; from robustbase).
CUSHNY_PEEBLES = np.array([0, 0.8, 1, 1.2, 1.3, 1.3, 1.4, 1.8, 2.4, 4.6])


def test_cushny_and_peebles():
    found = paired_result(np.ones(10), 1 + CUSHNY_PEEBLES)
    # t 4.0621 with 9 degrees of freedom, p 0.002833 (derived from those data; printed by R's t.test).
    t = found.difference / (CUSHNY_PEEBLES.std(ddof=1) / np.sqrt(10))
    assert (found.pairs, t) == (10, pytest.approx(4.0621, abs=5e-5))
    assert found.p == pytest.approx(0.002833, abs=5e-7)


@pytest.mark.parametrize("count", [3, 8, 14])
def test_a_result_is_that_of_scipy_and_statsmodels(count):
    rng = np.random.default_rng(count)
    a = rng.normal(4.0, 0.05, count)
    b = a + rng.normal(0.03, 0.05, count)
    found, theirs = paired_result(a, b), ttest_rel(b, a)
    assert found.p == pytest.approx(theirs.pvalue)
    ends = theirs.confidence_interval()
    assert (found.low, found.high) == pytest.approx((ends.low, ends.high))
    line = OLS(b - a, np.ones(count)).fit()
    assert (found.difference, found.low, found.high) == pytest.approx((line.params[0], *line.conf_int()[0]))
    flips = permutation_test(
        (b - a,), np.mean, permutation_type="samples", n_resamples=2**count, vectorized=False
    )
    assert found.p_permutation == pytest.approx(flips.pvalue)
    assert found.cv_percent == pytest.approx(100 * (b - a).std(ddof=1) / np.sqrt(2) / a.mean())
    assert found.percent[0] == pytest.approx(100 * (b - a).mean() / a.mean())


def test_many_pairs_are_flipped_at_random():
    d = np.random.default_rng(2).normal(0.4, 1.0, 15)
    exact = permutation_test(
        (d,), lambda x, axis: x.mean(axis), permutation_type="samples", n_resamples=2**15
    )
    assert sign_flip_p(d[None])[0] == pytest.approx(exact.pvalue, abs=0.01)


def test_both_tests_keep_their_level_on_null_data():
    rng = np.random.default_rng(11)
    for draw in (rng.standard_normal, lambda size: rng.standard_t(3, size)):
        rows = draw((4000, 8))
        share = np.mean(sign_flip_p(rows) < 0.05)
        # Of the 128 different flips 6 are 4.7 %: the level an exact test of 8 pairs can have.
        assert share == pytest.approx(6 / 128, abs=0.011)
    normal = rng.standard_normal((400, 6))
    assert np.mean([paired_result(np.zeros(6), row).p < 0.05 for row in normal]) == pytest.approx(
        0.05, abs=0.035
    )


def test_sums_that_are_equal_are_not_told_apart_by_rounding():
    # 0.1 + 0.2 - 0.3 and 0: as far from 0 as each other, whatever the last digit says.
    assert sign_flip_p(np.array([[0.1, 0.2, 0.3]]))[0] == 0.25
    assert sign_flip_p(np.array([[0.1, 0.2, -0.3]]))[0] == 1.0


@pytest.mark.parametrize(
    ("effect", "power", "pairs"),
    [
        (0.25, 0.75, 112.98),  # R's package pwr, pwr.t.test(type = "paired") (read)
        (0.5, 0.75, 29.74),  # the same
    ],
)
def test_published_numbers_of_pairs(effect, power, pairs):
    assert pairs_for(effect, power) == pytest.approx(pairs, abs=0.005)


def test_another_published_number_of_pairs():
    # R's package statpsych: size.test.mean.ps(.05, .80, 1.25, .5, .75) gives 22 (read). Variance 1.25,
    # difference 0.5, correlation 0.75.
    assert int(np.ceil(pairs_for(0.5 / np.sqrt(2 * 1.25 * (1 - 0.75))))) == 22


@pytest.mark.parametrize(("difference", "pairs"), [(1.0, (33, 72, 109)), (2.0, (10, 20, 29))])
def test_pairs_for_published_scatter(difference, pairs):
    # CV 1.4 and 2.1 % of a 15 m sprint (Wilson 2021), 2.6 % (Bond 2018); pairs derived, noncentral t.
    assert tuple(pairs_needed(difference, cv) for cv in (1.4, 2.1, 2.6)) == pairs


@pytest.mark.parametrize("effect", [0.1, 0.3, 1.0, 2.5])
@pytest.mark.parametrize("power", [0.6, 0.8, 0.95])
def test_pairs_are_those_of_statsmodels(effect, power):
    theirs = TTestPower().solve_power(effect, alpha=0.05, power=power)
    assert pairs_for(effect, power) == pytest.approx(theirs, rel=1e-4)


def test_the_smallest_difference_undoes_the_number_of_pairs():
    for pairs in (5, 10, 33):
        smallest = smallest_difference_percent(pairs, 1.4)
        assert pairs_needed(smallest * 1.0001, 1.4) == pairs
        assert pairs_needed(smallest * 0.97, 1.4) > pairs


def test_blind_pairs():
    # The toss of a coin: 5 of 5 has 2/32; 9 of 10 has 22/1024.
    assert preference_result(0, 5).p == pytest.approx(2 / 32)
    found = preference_result(1, 9, 3)
    assert found.p == pytest.approx(22 / 1024)
    assert (found.low, found.high) == pytest.approx(proportion_confint(9, 10, method="beta"))
    for wrong, said in (
        ((0, 0, 4), "at least one preference"),
        ((-1, 2), "for_a is -1"),
        ((1.5, 2), "whole"),
    ):
        with pytest.raises(InputError, match=said):
            preference_result(*wrong)


@pytest.mark.parametrize(
    ("a", "b", "said"),
    [
        ([4.0], [4.1], "there is 1 pair; there must be at least 2"),
        ([4.0, 4.1], [4.1], r"a has the shape \(2,\) and b \(1,\)"),
        ([4.0, 4.1, 4.2], [3.9, 4.0, 4.1], "all 3 differences are -0.1; they must differ"),
        ([4.0, 4.0], [4.0, 4.0], "all 2 differences are 0; they must differ"),
        ([4.0, np.nan], [4.1, 4.2], "a is nan"),
    ],
)
def test_what_can_not_be_is_said_in_a_sentence(a, b, said):
    with pytest.raises(InputError, match=said):
        paired_result(a, b)


def test_plans_that_can_not_be():
    with pytest.raises(InputError, match="cv_percent is 0 %"):
        pairs_needed(1.0, 0.0)
    with pytest.raises(InputError, match="takes more than 5000 pairs with a scatter of 50 %"):
        pairs_needed(0.5, 50.0)
    with pytest.raises(InputError, match="power is 1"):
        pairs_needed(1.0, 1.4, power=1.0)
