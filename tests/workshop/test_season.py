"""The season against hand arithmetic without spread, and its statistics with it."""

from datetime import date, timedelta

import numpy as np
import pytest

from bladelab import SeasonPlan, compare_plans, simulate_season

STILL = SeasonPlan(
    weeks=20,
    ice_hours_per_week=6,
    hours_per_sharpening=3,
    steel_per_sharpening_mm=0.05,
    steel_spread=0,
    rounding=0.1,
    rounding_habit=0,
    unevenness=0,
    hours_spread=0,
    reprofile_weeks=(0, 10),
    reprofile_extra_mm=0.02,
    first_cut_mm=0.3,
    tolerance_mm=0.0401,
    height_mm=12,
    least_height_mm=8,
)


def test_without_spread_it_is_arithmetic():
    season = simulate_season(STILL, seasons=3)
    assert (season.sharpenings == 2).all()
    # First profiling 0.3 + 0.02; each week 2 x 0.05 at mid-length and 10 % of that more at the ends.
    assert season.steel_left_mm[0, 0] == pytest.approx(12 - 0.32)
    assert season.steel_left_mm[0, 5] == pytest.approx(12 - 0.32 - 5 * 0.1 * 1.1)
    assert season.drift_mm[0, 5] == pytest.approx(5 * 0.1 * 0.1 / 2)
    # The re-profile at week 10 takes what the ends had lost everywhere, and 0.02 beyond.
    assert season.steel_left_mm[0, 11] == pytest.approx(12 - 0.32 - 10 * 0.11 - 0.02 - 0.11)
    assert season.drift_mm[0, 11] == pytest.approx(0.005)
    assert season.steel_left_mm[0, 20] == pytest.approx(12 - 0.32 - 20 * 0.11 - 0.02)
    assert season.tilt_mm == pytest.approx(0.0)
    # Drift reaches 0.045 at the end of week 9.
    assert (season.passing_week == 9).all()
    assert season.passing_date == STILL.start + timedelta(weeks=9)
    assert season.weeks_beyond.tolist() == [4, 4, 4]  # weeks 9, 10, 19, 20


def test_the_mean_and_spread_of_the_steel_are_those_of_the_plan():
    plan = SeasonPlan(
        weeks=30,
        steel_spread=0.4,
        rounding=0,
        rounding_habit=0,
        unevenness=0,
        hours_spread=0,
        reprofile_weeks=(),
        hours_per_sharpening=6,
        ice_hours_per_week=6,
        steel_per_sharpening_mm=0.05,
    )
    used = plan.height_mm - simulate_season(plan, seasons=20_000).steel_left_mm[:, -1]
    assert used.mean() == pytest.approx(30 * 0.05, rel=0.003)
    assert used.std() == pytest.approx(np.sqrt(30) * 0.05 * 0.4, rel=0.03)


def test_drift_is_half_the_span_of_what_was_lost():
    plan = SeasonPlan(weeks=12, reprofile_weeks=(), rounding=-0.1, rounding_habit=0.1, unevenness=0.3)
    season = simulate_season(plan, seasons=500)
    # From the losses of one week, rebuilt on a grid along the blade: tilt A is reported, so B follows from
    # the span.
    s = np.linspace(-1, 1, 2001)
    for i in range(0, 500, 50):
        a, span = season.tilt_mm[i, 6], 2 * season.drift_mm[i, 6]
        b = np.linspace(-1, 1, 8001)
        spans = np.ptp(a * s[::20, None] + b[None, ::4] * s[::20, None] ** 2, axis=0)
        assert spans.min() - 1e-3 <= span <= spans.max()


def test_uneven_hands_drift_sooner_and_cost_more_steel():
    steady = SeasonPlan(name="steady", rounding=0.02, rounding_habit=0.01, unevenness=0.03)
    uneven = SeasonPlan(name="uneven", rounding=0.15, rounding_habit=0.08, unevenness=0.3)
    a, b = simulate_season(steady), simulate_season(uneven)
    assert a.passing_share < 0.02 < 0.8 < b.passing_share
    assert b.passing_date is not None and a.passing_date is None
    assert np.median(b.steel_left_mm[:, -1]) < np.median(a.steel_left_mm[:, -1])


def test_the_band_and_the_seed():
    plan = SeasonPlan()
    season = simulate_season(plan, 400)
    low, middle, high = season.band()
    assert low.shape == (plan.weeks + 1,) and (low <= middle).all() and (middle <= high).all()
    assert (season.steel_left_mm[:, 0:1] >= season.steel_left_mm[:, 1:]).all()
    assert np.array_equal(season.steel_left_mm, simulate_season(plan, 400).steel_left_mm)
    assert not np.array_equal(season.steel_left_mm, simulate_season(plan, 400, seed=1).steel_left_mm)


def test_plans_side_by_side_share_their_luck():
    one = SeasonPlan(name="one")
    table = compare_plans([one, SeasonPlan(name="same")])
    assert table.loc["one"].equals(table.loc["same"])
    more = compare_plans([one, SeasonPlan(name="often", hours_per_sharpening=3)])
    assert more.loc["often", "sharpenings"] > 1.9 * more.loc["one", "sharpenings"]
    assert more.loc["often", "steel_used_mm"] > more.loc["one", "steel_used_mm"]
    season = simulate_season(one)
    assert table.loc["one", "steel_used_mm"] == pytest.approx(one.height_mm - season.band()[1, -1])
    assert table.loc["one", "seasons_beyond_tolerance"] == season.passing_share


def test_a_thin_runner_ends_below_the_minimum():
    assert simulate_season(SeasonPlan(height_mm=9.5, least_height_mm=9.0)).below_minimum_share == 1.0


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"weeks": 0}, "weeks is 0 weeks; it must be at least 1"),
        ({"weeks": 3.5}, "whole number"),
        ({"ice_hours_per_week": -1}, "ice_hours_per_week is -1 h"),
        ({"hours_per_sharpening": 0}, "hours_per_sharpening is 0 h"),
        ({"steel_per_sharpening_mm": float("nan")}, "steel_per_sharpening_mm is nan"),
        ({"tolerance_mm": 0}, "tolerance_mm is 0 mm"),
        ({"height_mm": 8.0}, "above the maker's minimum, 9 mm"),
        (
            {"reprofile_weeks": (0, 50)},
            "reprofile_weeks is 50 weeks; it must be at least 0 weeks and at most 36 weeks",
        ),
    ],
)
def test_plans_that_cannot_be_are_refused(change, words):
    with pytest.raises(ValueError, match=words):
        SeasonPlan(**change)


def test_names_must_differ_and_counts_must_be_in_range():
    with pytest.raises(ValueError, match="each with a name of its own"):
        compare_plans([SeasonPlan(), SeasonPlan()])
    with pytest.raises(ValueError, match="seasons is 0"):
        simulate_season(SeasonPlan(), 0)


def test_the_start_sets_the_date():
    plan = SeasonPlan(rounding=0.3, start=date(2027, 1, 4))
    passing = simulate_season(plan).passing_date
    assert passing is not None and passing >= date(2027, 1, 4)
