"""Two drop tests of one rink: against scipy's t interval for two samples of unlike scatter (Welch's)."""

import numpy as np
import pytest
from scipy.stats import ttest_ind

from bladelab import InputError, hardness_from_drop
from bladelab.rink.hardness_change import hardness_change

FIRST, LATER = [9.9, 10.2, 10.0, 10.1, 9.7, 10.0], [9.6, 9.5, 9.7, 9.55, 9.6, 9.62, 9.58, 9.5]


def drop(craters, **how):
    return hardness_from_drop(12.7, 1.0, craters, **{"height_error_m": 0.0, **how})


def test_the_interval_is_that_of_welch_where_only_the_craters_scatter():
    before, after = drop(FIRST), drop(LATER)
    logs = [np.log(test.craters.each_MPa) for test in (after, before)]
    found = ttest_ind(*logs, equal_var=False)
    interval = found.confidence_interval()
    change = hardness_change(before, after)
    assert change.percent[1:] == pytest.approx(100 * np.expm1([interval.low, interval.high]), rel=1e-9)
    assert change.percent[0] == pytest.approx(100 * np.expm1(logs[0].mean() - logs[1].mean()), rel=1e-9)
    assert change.shown == (found.pvalue < 0.05) and change.shown
    assert change.difference_MPa == pytest.approx(after.hardness_MPa - before.hardness_MPa)
    assert change.standard_error_MPa == pytest.approx(
        np.hypot(before.standard_error_MPa, after.standard_error_MPa)
    )


def test_what_is_within_the_error_is_not_shown_and_a_doubtful_height_hides_more():
    assert not hardness_change(drop(FIRST), drop([9.9, 10.0, 9.9, 10.3, 9.8])).shown
    known, doubtful = (
        hardness_change(*(drop(one, height_error_m=error) for one in (FIRST, LATER))) for error in (0.0, 0.1)
    )
    assert known.shown and not doubtful.shown


def test_few_craters_take_the_usual_error_of_a_diameter():
    """Three craters each: 12 % of hardness a crater, so 1.96 sqrt(2) 12 % / sqrt(3) = 19.2 % of change."""
    change = hardness_change(drop([10.0] * 3), drop([10.0] * 3))
    assert np.log1p(change.percent[2] / 100) == pytest.approx(1.96 * np.sqrt(2) * 0.12 / np.sqrt(3), rel=1e-3)


def test_a_guided_weight_is_not_compared_with_a_free_ball():
    heavy = drop([18.0, 18.2, 17.9], mass_kg=5.0)
    with pytest.raises(InputError, match="they must press alike"):
        hardness_change(drop(FIRST), heavy)
