"""Glide-outs: against the closed form, the equation of motion, scipy, statsmodels and drawn stopwatches."""

import numpy as np
import pytest
from scipy.optimize import curve_fit
from statsmodels.regression.linear_model import OLS

from bladelab import InputError, fit_glide_out
from bladelab.rink.coasting import passing_time, slopes, speed_after
from bladelab.rink.glide_compare import compare_glide_outs
from bladelab.rink.glide_fit import solve_runs
from bladelab.rink.glide_plan import GlidePlan
from bladelab.rink.reading import read_glide_times
from bladelab.rink.runs import checked_runs
from tests.rink.simulated_runs import AIR, GRAVITY, MARKS, held, run, run_by_steps

MU, CDA, MASS = 0.006, 0.45, 80.0
STARTS, WAYS = (2.4, 2.9, 3.3, 2.7), np.array([1, -1, 1, -1])


def runs_of(mu=MU, slope=0.0, noise=0.0, seed=1, starts=STARTS, ways=WAYS):
    rng = np.random.default_rng(seed)
    times = np.array([run(mu + way * slope, CDA, MASS, v) for v, way in zip(starts, ways, strict=True)])
    return times + noise * rng.standard_normal(times.shape)


@pytest.mark.parametrize(
    ("ice", "air", "start"),
    [(0.05, 0.003, 4), (0.0, 0.003, 4), (0.05, 0.0, 4), (-0.01, 0.003, 3), (0.05, 1e-9, 3), (1e-9, 1e-9, 2)],
)
def test_times_and_their_slopes_are_those_of_the_equation_of_motion(ice, air, start):
    times = run_by_steps(ice, air, start)
    assert passing_time(MARKS, start, ice, air) == pytest.approx(times, abs=1e-6)
    step = 1e-5
    given = np.full(len(MARKS), float(start)), np.full(len(MARKS), ice), air
    for i, slope in enumerate(slopes(MARKS, *given)):
        more, less = (
            passing_time(MARKS, *(v + s * step * (i == j) for j, v in enumerate(given))) for s in (1, -1)
        )
        assert slope == pytest.approx((more - less) / (2 * step), rel=1e-3, abs=1e-4)


def test_the_closed_form_of_the_speed():
    a, b = GRAVITY * MU, AIR * CDA / (2 * MASS)
    times = run(MU, CDA, MASS, 3.0)
    closed = np.sqrt(a / b) * np.tan(np.arctan(3.0 * np.sqrt(b / a)) - np.sqrt(a * b) * times)
    assert speed_after(MARKS, 3.0, a, b) == pytest.approx(closed)


def test_friction_drag_and_slope_come_back_from_exact_times():
    fit = fit_glide_out(MARKS, runs_of(slope=0.0012) + 17.0, MASS, WAYS)
    assert (fit.mu, fit.cda_m2, fit.slope) == pytest.approx((MU, CDA, 0.0012), rel=1e-5)
    assert fit.start_speed_m_s == pytest.approx(STARTS, rel=1e-6)
    assert fit.outliers == () and fit.timing_error_s < 1e-6
    # In one direction the slope counts as friction.
    one_way = fit_glide_out(MARKS, runs_of(slope=0.0012, ways=[1, 1, 1, 1]), MASS)
    assert one_way.mu == pytest.approx(MU + 0.0012, rel=1e-5)
    assert np.isnan(one_way.slope)


def test_errors_are_those_of_scipys_curve_fit():
    times = runs_of(noise=0.05)
    times[2, 3] = np.nan
    fit = fit_glide_out(MARKS, times, MASS, WAYS)
    seen = ~np.isnan(times)
    of_run = np.nonzero(seen)[0]

    def model(x, mu, slope, cda, *starts):
        speeds, clocks = np.array(starts[:4]), np.array(starts[4:])
        ice = GRAVITY * (mu + slope * WAYS[of_run])
        return clocks[of_run] + passing_time(x, speeds[of_run], ice, AIR * cda / (2 * MASS))

    x = np.broadcast_to(MARKS, times.shape)[seen]
    found, cov = curve_fit(model, x, times[seen], [0.005, 0, 0.3, *STARTS, 0, 0, 0, 0])
    errors = np.sqrt(np.diag(cov))
    assert (fit.mu, fit.slope, fit.cda_m2) == pytest.approx(found[:3], rel=1e-3)
    assert (fit.mu_error, fit.slope_error, fit.cda_error) == pytest.approx(errors[:3], rel=1e-3)
    assert fit.correlation == pytest.approx(cov[0, 2] / errors[0] / errors[2], rel=1e-3)


def test_outliers_are_those_of_statsmodels():
    times = runs_of(noise=0.02)
    times[1, 3] += 0.5
    fit = fit_glide_out(MARKS, times, MASS, WAYS)
    assert fit.outliers == ((1, 3),)
    runs = checked_runs(MARKS, times, MASS, WAYS, AIR)
    solved = solve_runs(runs)
    # At the solution the fit is a linear one: its derivatives, and a clock for each run.
    clocks = np.kron(np.eye(4), np.ones((len(MARKS), 1)))
    table = np.column_stack([runs.steepness(solved.unknowns).reshape(len(clocks), -1), clocks])
    influence = OLS(solved.residual_s.ravel(), table).fit().outlier_test("bonferroni")
    assert np.flatnonzero(influence[:, 2] < 0.05).tolist() == [1 * len(MARKS) + 3]
    assert fit_glide_out(MARKS, runs_of(noise=0.02), MASS, WAYS).outliers == ()


@pytest.mark.slow
def test_intervals_hold_the_truth():
    # 100 draws: three standard deviations. `python -m tests.rink.simulated_runs` draws 1,000: 94.4, 94.5 %.
    assert held(100).mean(axis=0) == pytest.approx([0.95, 0.95], abs=0.065)


def test_two_blades_are_compared_with_one_drag_area():
    ways = np.tile(WAYS, 2)
    blade = np.repeat([0, 1], 4)
    exact = np.vstack([runs_of(0.0060), runs_of(0.0066)])
    found = compare_glide_outs(MARKS, exact, MASS, blade, ways)
    assert found.difference == pytest.approx(0.0006, rel=1e-4)
    assert found.mu == pytest.approx((0.0060, 0.0066), rel=1e-4)
    drawn = [
        compare_glide_outs(
            MARKS, exact + 0.02 * np.random.default_rng(seed).standard_normal(exact.shape), MASS, blade, ways
        )
        for seed in range(60)
    ]
    assert np.std([one.difference for one in drawn]) == pytest.approx(
        np.mean([one.difference_error for one in drawn]), rel=0.25
    )
    # The difference is told far better than either friction: what the air hides is in both alike.
    assert np.mean([one.difference_error / one.mu_error[0] for one in drawn]) < 0.5


def test_runs_that_differ_among_themselves_are_noticed():
    rng = np.random.default_rng(4)
    ways = np.array([1, -1] * 4)
    starts = np.full(8, 2.8)
    steady = np.array([run(MU, CDA, MASS, v) for v in starts]) + 0.01 * rng.standard_normal((8, len(MARKS)))
    uneven = [run(MU * f, CDA, MASS, 2.8) for f in (1, 1.3, 0.8, 1.2, 0.9, 1.4, 0.7, 1.1)]
    uneven = np.array(uneven) + 0.01 * rng.standard_normal((8, len(MARKS)))
    assert fit_glide_out(MARKS, steady, MASS, ways).between_runs_p > 0.05
    assert fit_glide_out(MARKS, uneven, MASS, ways).between_runs_p < 0.001


@pytest.mark.slow
def test_the_plan_expects_the_errors_that_come_out():
    plan = GlidePlan(MARKS, 2.8, MASS, MU, CDA, timing_error_s=0.03, run_cv_percent=0.0)
    ways, starts = np.array([1, -1] * 3), np.full(6, 2.8)
    fits = [
        fit_glide_out(MARKS, runs_of(noise=0.03, seed=seed, starts=starts, ways=ways), MASS, ways)
        for seed in range(60)
    ]
    mu_error, cda_error, correlation = plan.expected_errors(6)
    assert np.std([fit.mu for fit in fits]) == pytest.approx(mu_error, rel=0.25)
    assert np.std([fit.cda_m2 for fit in fits]) == pytest.approx(cda_error, rel=0.25)
    assert np.mean([fit.correlation for fit in fits]) == pytest.approx(correlation, abs=0.01)


def test_a_slow_start_tells_the_ice_and_a_fast_one_the_air():
    slow, fast = (GlidePlan(np.arange(0, 41, 5), v, MASS) for v in (2.6, 5.0))
    assert slow.expected_errors(6)[0] < fast.expected_errors(6)[0] / 10
    assert slow.end_speed_m_s < 1 < fast.end_speed_m_s
    # At 5 m/s the air is 2.4 times the ice (derived, with a drag area of 0.65 and friction 0.0056).
    air = AIR * 0.65 * 5.0**2 / 2
    assert air / (0.0056 * GRAVITY * MASS) == pytest.approx(2.4, abs=0.1)


def test_the_number_of_runs_shows_the_difference_as_often_as_it_says():
    plan = GlidePlan(MARKS, 2.8, MASS, MU, CDA, timing_error_s=0.05, run_cv_percent=0.0)
    runs = plan.runs_needed(30.0, power=0.8)
    ways = np.tile([1, -1], runs)
    blade, starts = np.repeat([0, 1], runs), np.full(2 * runs, 2.8)
    exact = np.array([run(m, CDA, MASS, 2.8) for m in np.where(blade, 1.3 * MU, MU)])
    assert len(starts) == len(exact)
    rng = np.random.default_rng(2)
    shown = np.mean(
        [
            compare_glide_outs(MARKS, exact + 0.05 * rng.standard_normal(exact.shape), MASS, blade, ways).p
            < 0.05
            for _ in range(40)
        ]
    )
    # At least 80 %: an even number, and more degrees of freedom than one for each run.
    assert 0.7 < shown <= 1.0
    assert plan.runs_needed(15.0) > runs


@pytest.mark.parametrize(
    ("marks", "times", "said"),
    [
        ([0, 10, 5, 15], [[0, 1, 2, 3]], "mark 3 is no farther than mark 2; marks must rise"),
        ([0, 5, 10, 15], [[0, 2, 1.5, 4]], "run 1 passes mark 3 at 1.5 s, after mark 2 at 2 s"),
        ([0, 5, 10, 15], [[0, 2, 2, 4]], "run 1 passes mark 3 at 2 s, after mark 2 at 2 s"),
        (
            [0, 16, 33, 49],
            [[0, 1.7, 3.5, 5.5]],
            r"run 1 takes 1.8 s from mark 2 to mark 3, 9.4 m/s \(31 ft/s\)",
        ),
        ([0, 5, 10, 15], [[0, np.nan, np.nan, 4]], "run 1 has 2 times; it must have at least 3"),
        ([0, 5, 10, 15], [[0, 1.7, 3.5, 5.5]], "4 times in 1 run are too few; there must be at least 1 more"),
        ([0, 5, 10, 15], [[0, 1.7, 3.5]], r"time_s has the shape \(1, 3\)"),
        ([0, 5], [[0, 1.7]], "distance_m has 2 marks; it must be a row of at least 3"),
        ([0, 5, 10, 15, 20], [[0, 2.0, 3.9, 5.7, 7.4]], "on average the skater gets faster"),
        ([0, 5, 10, 15], [[0, 1.7, "x", 5]], "time_s is .* it must be a row of 4 numbers"),
    ],
)
def test_what_can_not_be_is_said_in_a_sentence(marks, times, said):
    with pytest.raises(InputError, match=said):
        fit_glide_out(marks, times, MASS)


def test_more_that_can_not_be():
    with pytest.raises(InputError, match="direction is 2; it must be 1 or -1 for each run"):
        fit_glide_out(MARKS, runs_of(), MASS, [1, -1, 2, 1])
    with pytest.raises(InputError, match="with runs on both blades"):
        compare_glide_outs(MARKS, runs_of(), MASS, [1, 1, 1, 1])
    with pytest.raises(InputError, match="the skater stops before mark 3 of 6"):
        GlidePlan(MARKS, 0.8, MASS)
    with pytest.raises(InputError, match="takes more than 200 runs on each blade"):
        GlidePlan(MARKS, 5.0, MASS).runs_needed(2.0)


@pytest.mark.slow
def test_a_run_goes_one_way(tmp_path):
    path = tmp_path / "own.csv"
    path.write_text("run,direction,distance_m,time_s\n1,1,5,1\n1,-1,10,2\n")
    with pytest.raises(InputError, match="line 3: run 1 has two directions or blades; it must have one"):
        read_glide_times(path)


def test_runs_that_tell_nothing_alone_are_fitted_together():
    """A stopwatch read to 0.1 s: one of these runs alone can't tell ice from air."""
    times = [
        [0.0, 1.5, 3.1, 4.4, 6.1, 7.8],
        [0.0, 1.5, 3.0, 4.5, 5.9, 7.7],
        [0.0, 1.4, 2.9, 4.5, 5.8, 7.7],
        [0.0, 1.7, 3.3, 4.8, 6.5, 8.3],
        [0.0, 1.5, 3.2, 4.8, 6.6, 8.3],
        [0.0, 1.2, 3.0, 4.5, 6.2, 7.6],
    ]
    fit = fit_glide_out(MARKS, times, 94.86, [1, -1] * 3)
    assert np.isnan(fit.between_runs_p) and np.isfinite([fit.mu, fit.mu_error, fit.cda_m2]).all()


def test_a_blade_for_each_way_can_not_be_told_from_a_slope():
    with pytest.raises(InputError, match=r"go one way and all on the second the other.* skated both ways"):
        compare_glide_outs(MARKS, runs_of(), MASS, [0, 1, 0, 1], WAYS)
    assert compare_glide_outs(MARKS, runs_of(), MASS, [0, 0, 0, 1], WAYS).mu[0] == pytest.approx(MU, rel=1e-4)
