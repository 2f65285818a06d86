"""How fast the tests on the rink are computed, beside scipy's own calls for the same, in one run.

python -m tests.benchmarks.rink
"""

from __future__ import annotations

import numpy as np
from scipy.optimize import curve_fit
from scipy.stats import permutation_test, ttest_1samp

from bladelab import fit_glide_out, paired_result
from bladelab.rink.coasting import passing_time
from bladelab.rink.order import draw_order
from bladelab.rink.simulate import SessionPlan, simulate_sessions
from tests.benchmarks.timing import Timing, command_line

MARKS, MASS_KG, WAYS = np.arange(0.0, 33.0, 4.0), 80.0, np.tile([1, -1], 6)
RUNS = len(WAYS)


def glide_outs() -> np.ndarray:
    """Twelve runs, timed to 0.05 s."""
    rng = np.random.default_rng(1)
    starts = 2.8 + 0.2 * rng.standard_normal(RUNS)
    ice = 9.81 * (0.006 + 0.0005 * WAYS)
    times = passing_time(MARKS, starts[:, None], ice[:, None], 1.29 * 0.4 / (2 * MASS_KG))
    return times + 0.05 * rng.standard_normal(times.shape)


def fit_plainly(times: np.ndarray) -> np.ndarray:
    """The same fit by scipy.optimize.curve_fit, with slopes by differences and a clock for each run."""
    of_run = np.repeat(np.arange(RUNS), len(MARKS))
    x = np.tile(MARKS, RUNS)

    def model(x: np.ndarray, mu: float, cda: float, slope: float, *each: float) -> np.ndarray:
        start, clock = np.array(each[:RUNS]), np.array(each[RUNS:])
        ice = 9.81 * (mu + slope * WAYS)
        return clock[of_run] + passing_time(x, start[of_run], ice[of_run], 1.29 * cda / (2 * MASS_KG))

    guess = [0.006, 0.3, 0.0, *[2.8] * RUNS, *[0.0] * RUNS]
    return curve_fit(model, x, times.ravel(), guess)[0]


def sessions_plainly(plan: SessionPlan, count: int) -> float:
    """Sessions played one by one, with scipy's t test and its permutation test, as often as 2,000 takes."""
    rng = np.random.default_rng(1)
    found = 0
    for _ in range(count):
        order = draw_order(plan.units, plan.design, int(rng.integers(0, 2**31)))
        on_b = np.array([blade == "B" for blade in order.runs])
        times = plan.time_s * (1 + (plan.cv_percent * rng.standard_normal(len(on_b)) + on_b) / 100)
        a, b = order.means(times)
        found += ttest_1samp(b - a, 0).pvalue < 0.05
        permutation_test(
            (b - a,),
            lambda d, axis: d.mean(axis),
            permutation_type="samples",
            n_resamples=999,
            vectorized=True,
        )
    return found / count


def main() -> None:
    """Print what each takes, and the ratio to scipy's own."""
    quick = command_line(__doc__).parse_args().quick
    timing = Timing(quick)
    times = glide_outs()
    ours, theirs = (
        timing.best(lambda: fit_glide_out(MARKS, times, MASS_KG, WAYS)),
        timing.best(lambda: fit_plainly(times)),
    )
    fit = fit_glide_out(MARKS, times, MASS_KG, WAYS)
    assert np.allclose(fit_plainly(times)[:2], (fit.mu, fit.cda_m2), rtol=1e-2)
    print(f"a glide-out of {RUNS} runs: {1000 * ours:.0f} ms, {theirs / ours:.1f} times as fast as curve_fit")

    plan, count = SessionPlan(33), 100 if quick else 2000
    ours = timing.best(lambda: list(simulate_sessions(plan, count)), 3)
    few = 3 if quick else 40
    theirs = timing.best(lambda: sessions_plainly(plan, few), 1) * count / few * 2  # with and without
    print(
        f"{count} sessions of {plan.units} pairs: {ours:.1f} s, {theirs / ours:.0f} times as fast as scipy's "
        "tests one by one (with a tenth of the sign flips)"
    )

    rng = np.random.default_rng(2)
    a, b = rng.normal(4.0, 0.05, (2, 12))
    ours = timing.best(lambda: paired_result(a, b))
    theirs = timing.best(
        lambda: permutation_test(
            (b - a,), lambda d, axis: d.mean(axis), permutation_type="samples", vectorized=True
        )
    )
    print(f"a result of 12 pairs: {1000 * ours:.1f} ms, {theirs / ours:.1f} times as fast as scipy's alone")


if __name__ == "__main__":
    main()
