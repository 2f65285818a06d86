"""The season against hand arithmetic without spread, and its statistics with it."""

from dataclasses import replace
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


@pytest.mark.parametrize("spread", [0.05, 0.3, 1.0, 2.0])
def test_at_any_spread_the_steel_keeps_its_mean_and_is_never_nothing(spread):
    """Log-normal by its definition: the logarithm is normal, with the variance log(1 + cv^2)."""
    plan = replace(STILL, weeks=1, steel_spread=spread, rounding=0, reprofile_weeks=(), height_mm=100)
    one = replace(plan, ice_hours_per_week=3, steel_per_sharpening_mm=0.05)
    used = 100 - simulate_season(one, seasons=100_000).steel_left_mm[:, -1]
    assert used.min() > 1e-4 * 0.05  # even the least of 100,000 takes something
    assert used.mean() == pytest.approx(0.05, rel=4 * spread / np.sqrt(100_000))
    assert used.std() == pytest.approx(0.05 * spread, rel=0.03 if spread < 2 else 0.15)
    assert np.log(used).var() == pytest.approx(np.log(1 + spread**2), rel=0.02)
    # Five in one week: the sum has the same mean each, and the root of five of the spread.
    five = replace(plan, ice_hours_per_week=15, steel_per_sharpening_mm=0.05)
    used = 100 - simulate_season(five, seasons=100_000).steel_left_mm[:, -1]
    assert used.mean() == pytest.approx(0.25, rel=4 * spread / np.sqrt(500_000))
    assert used.std() == pytest.approx(0.05 * spread * np.sqrt(5), rel=0.05)


def test_the_hours_keep_their_mean():
    plan = SeasonPlan(hours_spread=1.0, hours_per_sharpening=1.0, ice_hours_per_week=6.0, height_mm=100)
    assert simulate_season(plan, 4000).sharpenings.sum(axis=1).mean() == pytest.approx(36 * 6, rel=0.01)


def test_a_sharpening_falls_due_in_its_week_whatever_the_last_digit():
    """0.3 h a week and one every 0.9 h: every third week."""
    plan = replace(STILL, weeks=12, ice_hours_per_week=0.3, hours_per_sharpening=0.9, reprofile_weeks=())
    for factor in (1, 2, 3, 7):  # and in other units of time
        same = replace(plan, ice_hours_per_week=0.3 * factor, hours_per_sharpening=0.9 * factor)
        assert simulate_season(same, 2).sharpenings.tolist() == [[0, 0, 1] * 4] * 2


SPENT = replace(
    STILL,
    steel_per_sharpening_mm=0.2,
    hours_per_sharpening=2.0,
    rounding=0.08,
    reprofile_weeks=(),
    height_mm=14.0,
    least_height_mm=9.0,
)


def test_a_season_stops_at_the_minimum():
    """By hand: 0.2 mm and 8 % more at the ends are 0.216 mm; of these 23 go into 5 mm, 3 a week."""
    season = simulate_season(SPENT, 3)
    assert season.sharpenings[0].tolist() == [3] * 7 + [2] + [0] * 12
    assert season.steel_left_mm[0, 7:] == pytest.approx([14 - 21 * 0.216] + [14 - 23 * 0.216] * 13)
    assert season.spent_week.tolist() == [8, 8, 8] and season.spent_share == 1.0
    assert (season.drift_mm[:, 8:] == season.drift_mm[:, 8:9]).all()
    assert (season.weeks_beyond <= 8).all()
    assert compare_plans([SPENT]).loc["plan", "share_of_usable_steel"] == pytest.approx(23 * 0.216 / 5)


def test_a_re_profile_that_would_go_below_the_minimum_is_not_ground():
    # 7 weeks take 21 x 0.216 mm, of which 21 x 0.016 mm at the ends; 0.464 mm are left.
    plan = replace(SPENT, reprofile_weeks=(7,), reprofile_extra_mm=0.5)
    season = simulate_season(plan, 2)
    assert season.spent_week.tolist() == [8, 8]
    assert season.steel_left_mm[0, 8:] == pytest.approx(14 - 21 * 0.216)
    assert simulate_season(replace(plan, reprofile_extra_mm=0.4), 2).drift_mm[0, 8] < season.drift_mm[0, 8]


@pytest.mark.parametrize("seed", range(4))
def test_with_any_luck_nothing_is_ground_below_the_minimum(seed):
    plan = SeasonPlan(steel_per_sharpening_mm=0.2, hours_per_sharpening=2, steel_spread=1.5, unevenness=0.5)
    season = simulate_season(plan, 500, seed)
    assert season.spent_share == 1.0
    assert (season.steel_left_mm >= plan.least_height_mm - 1e-9).all()
    for i, week in enumerate(season.spent_week.astype(int)):
        assert not season.sharpenings[i, week:].any()
        assert np.ptp(season.steel_left_mm[i, week:]) == 0


def test_the_steel_that_lasts_is_never_called_spent():
    season = simulate_season(SeasonPlan())
    assert season.spent_share == 0 and np.isinf(season.spent_week).all()


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
            "reprofile_weeks is 50 weeks; it must be at least 0 weeks and at most 35 weeks",
        ),
        # At the end of the last week there is nothing left to skate on it.
        ({"reprofile_weeks": (0, 36)}, "reprofile_weeks is 36 weeks; .* at most 35 weeks"),
        ({"height_mm": 9.5, "first_cut_mm": 0.6}, "at most the 0.5 mm that the runner has above"),
    ],
)
def test_plans_that_cannot_be_are_refused(change, words):
    with pytest.raises(ValueError, match=words):
        SeasonPlan(**change)


def test_names_must_differ_and_counts_must_be_in_range():
    with pytest.raises(ValueError, match="each with its own name"):
        compare_plans([SeasonPlan(), SeasonPlan()])
    with pytest.raises(ValueError, match="seasons is 0"):
        simulate_season(SeasonPlan(), 0)


def test_the_start_sets_the_date():
    plan = SeasonPlan(rounding=0.3, start=date(2027, 1, 4))
    passing = simulate_season(plan).passing_date
    assert passing is not None and passing >= date(2027, 1, 4)
