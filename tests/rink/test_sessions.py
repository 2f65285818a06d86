"""Sessions: their order, what spoils them, and their plan, against statsmodels and published designs."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import f_oneway
from statsmodels.regression.linear_model import OLS

from bladelab import InputError, pairs_needed
from bladelab.rink.order import SCATTER, draw_order, order_of_runs
from bladelab.rink.reading import read_session
from bladelab.rink.session import TimedSession, sessions_together
from bladelab.rink.simulate import SessionPlan, looking_early, simulate_sessions


def timed(order, seed, difference=0.0, drift=0.0, carry=0.0, warm=0.0, scatter=0.05):
    rng = np.random.default_rng(seed)
    on_b = np.array([blade == "B" for blade in order.runs], dtype=float)
    runs = np.arange(len(on_b))
    times = 4 + difference * on_b + drift * runs + scatter * rng.standard_normal(len(on_b))
    times[1:] += carry * on_b[:-1]
    times[:2] += warm
    return TimedSession(order, times)


def table_of(session, *columns):
    blade = np.array([blade == "B" for blade in session.order.runs], dtype=float)
    return np.column_stack([*columns, blade, np.ones(len(blade))])


def test_orders_are_what_they_are_called():
    pairs, blocks = draw_order(200, "pairs", 4), draw_order(200, "ABBA", 4)
    assert set(pairs.blocks) == {"AB", "BA"} and set(blocks.blocks) == {"ABBA", "BAAB"}
    # Each side of the coin about half of the time.
    for order in (pairs, blocks):
        assert order.blocks.count(order.blocks[0]) == pytest.approx(100, abs=25)
        assert order.runs.count("A") == order.runs.count("B")
    assert draw_order(200, "pairs", 5).runs != pairs.runs
    assert draw_order(2, "ABBA", 1).changes <= draw_order(4, "pairs", 1).changes


def test_the_published_a_b_a_design():
    """Goaltenders, A-B-A, five trials each (Sports 2022, 10, 96, abstract): a steady drift cancels."""
    order = draw_order(5, "ABA")
    assert order.blocks == ("AAAAA", "BBBBB", "AAAAA")
    session = timed(order, 1, difference=-0.1, drift=0.02)
    line = OLS(session.time_s, table_of(session, np.arange(15.0))).fit()
    assert session.result.difference == pytest.approx(line.params[1])
    assert timed(order, 1, drift=0.02, scatter=1e-6).result.difference == pytest.approx(0.0, abs=1e-5)
    assert np.isnan(session.result.p_permutation)


@pytest.mark.parametrize("design", ["pairs", "ABBA"])
def test_differences_are_those_of_complete_units(design):
    order = draw_order(5, design, 3)
    times = (
        np.where([blade == "B" for blade in order.runs], 4.2, 4.0) + 0.001 * np.arange(len(order.runs)) ** 2
    )
    times[-1] = np.nan
    session = TimedSession(order, times)
    assert session.complete == 4
    size = len(order.blocks[0])
    for unit, block in enumerate(order.blocks[:4]):
        part = times[unit * size : (unit + 1) * size]
        b, a = (np.mean([t for t, blade in zip(part, block, strict=True) if blade == one]) for one in "BA")
        assert session.result.differences[unit] == pytest.approx(b - a)


def test_a_steady_drift_cancels_in_a_block():
    assert timed(draw_order(4, "ABBA", 2), 1, drift=0.1, scatter=1e-7).result.difference == pytest.approx(
        0, abs=1e-6
    )


def test_drift_carry_over_and_warm_up_are_those_of_statsmodels():
    session = timed(draw_order(12, "pairs", 8), 3, difference=0.05, drift=0.01, carry=0.05)
    runs = np.arange(24.0)
    line = OLS(session.time_s, table_of(session, runs)).fit()
    assert session.drift == pytest.approx((line.params[0], line.bse[0], line.pvalues[0]))
    before = np.array([0.0, *(blade == "B" for blade in session.order.runs[:-1])])
    line = OLS(session.time_s[1:], table_of(session, before, runs)[1:]).fit()
    assert session.carry_over == pytest.approx((line.params[0], line.bse[0], line.pvalues[0]))
    line = OLS(session.time_s, table_of(session, (runs < 2).astype(float))).fit()
    assert session.warm_up == pytest.approx((line.params[0], line.bse[0], line.pvalues[0]))


def test_what_spoils_a_session_is_found_and_nothing_is_found_in_a_clean_one():
    order = draw_order(12, "pairs", 8)
    assert timed(order, 1, drift=0.02).drift.p < 0.01
    assert timed(order, 1, carry=0.2).carry_over.p < 0.01
    assert timed(order, 1, warm=0.4).warm_up.p < 0.01
    clean = [timed(order, seed) for seed in range(100)]
    for name in ("drift", "carry_over", "warm_up"):
        assert np.mean([getattr(session, name).p < 0.05 for session in clean]) == pytest.approx(
            0.05, abs=0.065
        )


def test_a_session_cut_short_can_not_tell():
    order = draw_order(6, "pairs", 1)
    times = np.full(12, np.nan)
    times[:3] = 4.0, 4.1, 4.2
    session = TimedSession(order, times)
    assert np.isnan(session.drift).all()
    with pytest.raises(InputError, match="there is 1 pair; there must be at least 2"):
        _ = session.result


def test_a_slip_of_the_thumb_is_named():
    order = draw_order(4, "pairs", 1)
    assert TimedSession(order, [4.0, 4.1, 4.0, 1.2, 4.1, 6.0, 4.0, np.nan]).odd == (3, 5)


def test_several_sessions_together():
    order = draw_order(6, "pairs", 5)
    alike = [timed(order, seed, difference=0.1) for seed in (1, 2, 3)]
    found = sessions_together(alike)
    assert found.together.pairs == 18
    parts = [session.result.differences for session in alike]
    assert found.differ_p == pytest.approx(f_oneway(*parts).pvalue)
    assert found.together.difference == pytest.approx(np.mean(np.concatenate(parts)))
    unlike = [timed(order, 1, difference=0.3), timed(order, 2, difference=-0.3)]
    assert sessions_together(unlike).differ_p < 0.001
    assert np.isnan(sessions_together(alike[:1]).differ_p)
    for wrong in ([], [alike[0], timed(draw_order(3, "ABBA"), 1)]):
        with pytest.raises(InputError, match="all of one design"):
            sessions_together(wrong)


def shares(count=2000, **plan):
    *_, last = simulate_sessions(SessionPlan(**plan), count)
    return last


@pytest.mark.parametrize(("design", "difference"), [("pairs", 2.0), ("ABBA", 2.0), ("ABA", 3.0)])
def test_simulated_sessions_find_what_the_formula_says(design, difference):
    units = pairs_needed(difference, 1.4 * SCATTER[design] / np.sqrt(2))
    found = shares(800, units=units, design=design, difference_percent=difference)
    assert 0.76 < found.found < 0.93  # 80 % at least: the number of units is rounded up
    assert found.false_alarms == pytest.approx(0.05, abs=0.025)
    assert found.covered == pytest.approx(0.95, abs=0.025)
    if design != "ABA":
        assert found.false_alarms_by_flips < 0.07


def test_a_drift_costs_nothing_in_blocks_and_looking_early_costs_much():
    plan = {"units": 8, "design": "ABBA", "difference_percent": 1.5}
    calm, tired = shares(800, **plan), shares(800, **plan, drift_percent=8.0)
    assert tired.found == pytest.approx(calm.found, abs=0.02)
    looking = shares(800, units=20)
    # From the third pair on, after every pair, for 20 pairs.
    assert looking.false_alarms_by_looking > 3 * looking.false_alarms


def test_a_carry_over_shifts_what_is_found():
    # Of two blades that are alike, the run after B is slower: within pairs that looks like a quicker B.
    found = shares(400, units=20, difference_percent=0.0, carry_over_percent=3.0, cv_percent=0.5)
    assert found.covered < 0.9


def test_progress_is_told_and_the_draw_is_the_same_again():
    steps = list(simulate_sessions(SessionPlan(5), 250, seed=3))
    assert [(step.done, step.total) for step in steps] == [(100, 300), (200, 300), (300, 300)]
    assert list(simulate_sessions(SessionPlan(5), 250, seed=3)) == steps


@pytest.mark.parametrize(
    ("make", "said"),
    [
        (lambda: draw_order(1), "units is 1; it must be at least 2"),
        (lambda: draw_order(4, "AABB"), "design is 'AABB'; it must be one of pairs, ABBA, ABA"),
        (lambda: TimedSession(draw_order(2), [4.0, 4.1]), r"there must be one time for each of the 4 runs"),
        (
            lambda: TimedSession(draw_order(2), [4.0, 4.1, 0.0, 4.0]),
            "time_s is 0 s; it must be at least 0.2 s",
        ),
        (lambda: TimedSession(draw_order(2), [4, 4, 402, 4e4]), "time_s is 40000 s"),
        (lambda: TimedSession(draw_order(2), [4, "x", 4, 4]), "time_s is .*'x'.*; it must be a row"),
        (lambda: SessionPlan(300), "units is 300"),
        (lambda: list(simulate_sessions(SessionPlan(5), 10)), "count is 10"),
    ],
)
def test_what_can_not_be_is_said_in_a_sentence(make, said):
    with pytest.raises(InputError, match=said):
        make()


def test_the_order_of_runs_is_recognised():
    for design, units in (("pairs", 6), ("ABBA", 4), ("ABA", 5)):
        order = draw_order(units, design, 3)
        block = len(order.blocks[0])
        assert replace(order_of_runs(order.runs, block), seed=3) == order
    assert order_of_runs("ABBABAAB").design == "pairs"  # pairs, if they can be
    assert order_of_runs("ABBABAAB", 4).design == "ABBA"
    assert order_of_runs("ABBAAB", 2).design == "pairs" and order_of_runs("AABBAA", 2).design == "ABA"
    for wrong in ("", "AAB", "AABB", "ABAB" + "BB", "AXBA"):
        with pytest.raises(InputError, match="they must be pairs of A and B, blocks ABBA or BAAB"):
            order_of_runs(wrong)


def test_looking_early_is_what_the_simulation_says():
    found = shares(2000, units=12)
    assert looking_early(12) == pytest.approx(found.false_alarms_by_looking, abs=0.03)
    assert looking_early(3) == pytest.approx(0.05, abs=0.012)  # a single look


def test_a_session_is_read_from_a_file(tmp_path):
    path = tmp_path / "own.csv"
    path.write_text("run;block;blade;time_s\n1;1;b;4,02\n2;1;a;x\n3;1;A;4,10\n4;1;B;4,00\n")
    session = read_session(path)
    assert session.order.design == "ABBA" and session.order.runs == "BAAB"
    assert session.time_s.tolist()[::2] == [4.02, 4.1] and np.isnan(session.time_s[1])
    path.write_text("run,blade,time_s\n1,C,4\n")
    with pytest.raises(InputError, match="line 2: blade is 'C'; it must be A or B"):
        read_session(path)
    path.write_text("run,blade\n1,A\n")
    with pytest.raises(InputError, match="no column time_s"):
        read_session(path)
