"""Draws and bands against the distributions they claim, and against linear error propagation."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from bladelab import Blade, Hollow, Ice, Rocker, Spread, Stance, band, difference, sample, solve_contact
from bladelab.physics.uncertainty import band_of

BLADE = Blade(Rocker.single(3048, 280), Hollow(12.7, 3.0))
STANCE, ICE = Stance(736.0, 10.0), Ice(-5.0)


def depth(blade: Blade):
    return lambda stance, ice: solve_contact(blade, stance, ice).depth_mm


def test_draws_follow_the_normal_law_that_they_claim() -> None:
    stance, ice = sample(STANCE, ICE, Spread(1.0, 0.05, 5.0, 0.1), n=4000)
    normal = stats.truncnorm(-2.5, 2.5)
    for draws in (
        (stance.load_N / 736 - 1) / 0.05,
        (stance.position_mm - 10) / 5,
        ice.temperature_C + 5,
        (ice.hardness_factor - 1) / 0.1,
    ):
        assert stats.kstest(draws, normal.cdf).pvalue > 0.2
    drawn = np.array([stance.load_N, stance.position_mm, ice.temperature_C, ice.hardness_factor])
    assert np.abs(np.corrcoef(drawn) - np.eye(4)).max() < 0.06


def test_the_seed_fixes_the_draws() -> None:
    first, again, other = (sample(STANCE, ICE, seed=seed)[0].load_N for seed in (3, 3, 4))
    assert np.array_equal(first, again)
    assert not np.array_equal(first, other)


def test_draws_stand_in_front_of_the_shape_and_move_it_together() -> None:
    stance, ice = sample(Stance([400.0, 800.0], 0.0, [[0.0], [20.0], [40.0]]), ICE, n=50)
    assert stance.load_N.shape == (50, 3, 2)
    assert stance.load_N[:, 0, 1] == pytest.approx(2 * stance.load_N[:, 2, 0])
    assert ice.temperature_C.shape == (50, 3, 2)
    assert np.ptp(ice.temperature_C, axis=(1, 2)).max() == 0


def test_no_spread_gives_no_band() -> None:
    found = band(depth(BLADE), STANCE, ICE, Spread(0, 0, 0, 0), n=8)
    assert found.low == found.high == pytest.approx(found.value, rel=1e-9)


def test_draws_never_melt_the_ice() -> None:
    assert sample(STANCE, Ice(0.0), Spread(temperature_C=3.0))[1].temperature_C.max() == 0.0


def test_small_spread_agrees_with_linear_error_propagation() -> None:
    spread = Spread(0.2, 0.01, 1.0, 0.02)
    found = band(depth(BLADE), STANCE, ICE, spread, n=4000)

    def slope(stance: Stance, ice: Ice) -> float:
        return float(depth(BLADE)(stance, ice) - found.value)

    parts = [
        slope(Stance(736.0 * 1.01, 10.0), ICE),
        slope(Stance(736.0, 11.0), ICE),
        slope(STANCE, Ice(-4.8)),
        slope(STANCE, Ice(-5.0, 1.02)),
    ]
    assert np.std(found.draws) == pytest.approx(
        np.hypot.reduce(parts), rel=0.07
    )  # cutting at 2.5 takes 4.5 %
    assert found.half_width == pytest.approx(1.645 * np.hypot.reduce(parts), rel=0.07)


def test_the_default_number_of_draws_is_enough_for_a_band() -> None:
    few, many = (band(depth(BLADE), STANCE, ICE, n=n) for n in (200, 20_000))
    assert few.half_width == pytest.approx(many.half_width, rel=0.08)


def test_draws_without_a_number_are_left_out_of_a_band() -> None:
    draws = np.random.default_rng(4).normal(size=(40, 3))
    draws[::3, 1], draws[:, 2] = np.nan, np.nan
    found = band_of(np.zeros(3), draws)
    kept = draws[~np.isnan(draws[:, 1]), 1]
    for i, of in enumerate((draws[:, 0], kept)):
        assert (found.low[i], found.high[i]) == pytest.approx(np.quantile(of, [0.05, 0.95]), rel=1e-12)
    assert np.isnan([found.low[2], found.high[2]]).all()
    one = band_of(0.0, draws[:, 1])
    assert (one.low, one.high) == (found.low[1], found.high[1])


def test_differences_are_told_apart_by_size() -> None:
    def trial(hollow_mm: float = 12.7, radius_mm: float = 3048.0) -> Blade:
        return Blade(Rocker.single(radius_mm, 280), Hollow(hollow_mm, 3.0))

    large = difference(depth(BLADE), depth(trial(25.4)), STANCE, ICE)
    small = difference(depth(BLADE), depth(trial(radius_mm=3200.0)), STANCE, ICE)
    none = difference(depth(BLADE), depth(BLADE), STANCE, ICE)
    assert (large.shows, large.sure) == (True, True) and "should show" in large.sentence
    assert (small.shows, small.sure) == (False, True) and "same day" in small.sentence
    assert (none.shows, none.sure) == (False, False) and "too small to feel or to measure" in none.sentence
    # The same skater on the same ice: far less spread than on two different days.
    assert small.same_day.half_width < 0.2 * small.other_day.half_width
    assert large.same_day.value == pytest.approx(large.trial.value - large.present.value)
    with pytest.raises(ValueError, match="arrays"):
        difference(depth(BLADE), depth(BLADE), Stance([700.0, 800.0]), ICE)


def test_bad_spreads_are_refused() -> None:
    with pytest.raises(ValueError, match=r"spread load is -0\.1; it must be at least 0 and at most 0\.3"):
        Spread(load=-0.1)
    with pytest.raises(ValueError, match="n is 2 draws"):
        sample(STANCE, ICE, n=2)


def test_a_difference_below_what_anybody_feels_is_too_small() -> None:
    def pitch(blade: Blade):
        return lambda stance, ice: solve_contact(blade, stance, ice).pitch_deg

    moved = Blade(
        Rocker.single(3048, 280, -4.0), Hollow(12.7, 3.0)
    )  # tips the boot by asin(4/3048) = 0.075 degrees
    known = {"stance": STANCE, "ice": ICE, "n": 60}
    assert difference(pitch(BLADE), pitch(moved), **known).sure
    small = difference(pitch(BLADE), pitch(moved), **known, smallest=0.1)
    assert not small.sure and not small.shows
    far = Blade(Rocker.single(3048, 280, -30.0), Hollow(12.7, 3.0))
    assert difference(pitch(BLADE), pitch(far), **known, smallest=0.1).shows


def test_a_difference_below_one_percent_is_too_small() -> None:
    almost = Blade(Rocker.single(3060.0, 280), Hollow(12.7, 3.0))
    assert not difference(depth(BLADE), depth(almost), STANCE, ICE, n=60).sure
