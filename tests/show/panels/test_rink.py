"""The panels of the rink behave like every panel, say what the library says, and take over what is typed."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest
from pypdf import PdfReader

from bladelab import (
    Blade,
    Hollow,
    Ice,
    InputError,
    Rocker,
    Stance,
    hardness_from_drop,
    hardness_from_press,
    pairs_needed,
    solve_friction,
)
from bladelab._data import data_file
from bladelab.physics.possible_ices import all_possible
from bladelab.rink.glide_compare import compare_glide_outs
from bladelab.rink.glide_plan import GlidePlan
from bladelab.rink.order import draw_order
from bladelab.rink.press_test import exponent_between
from bladelab.rink.reading import read_craters, read_glide_times, read_session
from bladelab.rink.session import sessions_together
from bladelab.rink.simulate import SessionPlan, looking_early, simulate_sessions
from bladelab.show.panels.rink.drop_test import drop_test_panel
from bladelab.show.panels.rink.glide_out import glide_out_panel
from bladelab.show.panels.rink.timed import timed_panel
from bladelab.show.panels.rink.written import offer_more
from tests.rink.simulated_runs import run
from tests.show.engine_checks import check_panel, hand, position, set_state, units


@pytest.fixture
def craters(tmp_path):
    path = tmp_path / "own.csv"
    path.write_text("# mine\ncrater_mm;note\n9,8;\n10,1;by the boards\n12,9;cracked?\n9,9;\n10;\n9,7;\n")
    return path


@pytest.mark.slow
def test_the_drop_test_does_what_every_panel_does():
    check_panel(lambda: drop_test_panel().panel)


def test_the_drop_test_says_what_the_library_says():
    panel = drop_test_panel().panel
    test = hardness_from_drop(12.7, 1.0, panel.state().craters)
    low, high = test.interval_MPa
    assert f"{test.hardness_MPa:.1f} ± {test.standard_error_MPa:.1f} MPa" in panel.sentence_text
    assert f"anything from {low:.1f} to {high:.1f} agrees" in panel.sentence_text
    blade, stance = Blade(Rocker.single(3048.0, 280.0), Hollow(15.875, 2.9)), Stance(75 * 9.81)
    here, usual = (solve_friction(blade, stance, ice, 6.0) for ice in (test.ice(-5.0), Ice(-5.0)))
    deeper = 100 * (here.contact.depth_mm / usual.contact.depth_mm - 1)
    assert f"bites {here.contact.depth_mm:.3f} mm deep, {deeper:.0f} % more than on" in panel.sentence_text
    more = 100 * (here.total / usual.total - 1)
    ices = [test.ice(-5.0), *(test.pressed_ice(-5.0, exponent) for exponent in (0.1, 0.15, 0.2))]
    ices.append(replace(ices[2], hardness_factor=0.9 * ices[2].hardness_factor))  # each patch at its own age
    mu = [solve_friction(blade, stance, ice, 6.0).total for ice in ices]
    said = (
        f"{more:.0f} % more than there: {here.total:.4f}, between {min(mu):.4f} and {max(mu):.4f} of the load"
    )
    assert said in panel.sentence_text
    assert panel.result.here.total == pytest.approx(here.total)
    assert panel.result.usual.total == pytest.approx(usual.total)
    assert here.contact.depth_mm > usual.contact.depth_mm  # softer ice
    assert "flood the holes before anyone" in panel.sentence_text


def test_on_pressed_ice_the_hardness_found_is_the_one_that_is_said():
    panel = drop_test_panel().panel
    set_state(panel, {"hardness": "pressed"})
    test = hardness_from_drop(12.7, 1.0, panel.state().craters)
    assert f"where a dropped ball found {test.hardness_MPa:.1f}." in panel.sentence_text
    blade, stance = Blade(Rocker.single(3048.0, 280.0), Hollow(15.875, 2.9)), Stance(75 * 9.81)
    mu = solve_friction(blade, stance, test.pressed_ice(-5.0), 6.0).total
    assert f"{mu:.4f}, between " in panel.sentence_text


def test_a_slow_press_bounds_how_the_ice_softens():
    panel = drop_test_panel().panel
    hand(panel, "press_craters", "five craters (invented)")
    state = panel.state()
    drop = hardness_from_drop(12.7, 1.0, state.craters)
    press = hardness_from_press(12.7, 75 * 9.81, 10.0, state.press_craters)
    assert f"softens with the power {exponent_between(drop, press).value:.2f}" in panel.sentence_text
    hand(panel, "press_s", 19)  # 20 s
    assert "Pressed for 20 s" in panel.sentence_text


def test_a_guided_weight_presses_as_long_as_a_blade():
    panel = drop_test_panel().panel
    before = panel.sentence_text
    offer_more(panel, "craters", "mine", (16.5, 16.7, 16.4))
    set_state(panel, {"falls": "weighted", "weight_kg": 5.0, "height_m": 0.1})
    # (pi/2) sqrt(5 kg / (2 pi 12.7 mm 14.3 MPa)) = 3.3 ms.
    assert "pressed for 3.3 ms" in panel.sentence_text and "close to the blade's own" in panel.sentence_text
    test = hardness_from_drop(12.7, 0.1, (16.5, 16.7, 16.4), 5.0)
    usual = Ice.pressed(-5.0).pressed_hardness_MPa(test.loading_time_s)
    assert panel.result.usual_MPa == pytest.approx(usual) and usual < 0.75 * Ice(-5.0).hardness_MPa
    assert (
        f"usually has {usual:.1f} MPa when pressed for 3.3 ms (a published fit): this" in panel.sentence_text
    )
    assert panel.result.here.contact.hardness_MPa == pytest.approx(
        test.hardness_MPa / usual * panel.result.usual.contact.hardness_MPa, rel=0.03
    )
    assert "pressed for 0.37 ms" in before and "close to the blade's own" not in before


@pytest.mark.parametrize("system", ["feet and inches", "metric"])
def test_what_is_typed_is_taken_over_in_both_systems(system):
    with units(system):
        box = drop_test_panel()
        form = box.children[-1]
        form.fields["craters"].value = "9.8 10,1 9.9; 10"
        form.use()
        assert form.message.text == "Taken over: 4 craters."
        assert box.panel.state().craters == (9.8, 10.1, 9.9, 10.0)
        assert "These 4 craters" in box.panel.sentence_text
        assert "With so few craters" in box.panel.sentence_text
        words = {"feet and inches": "78.5", "metric": "200"}[system]
        hand(box.panel, "height_m", position(box.panel, "height_m", words))
        expected = hardness_from_drop(12.7, box.panel.state().height_m, (9.8, 10.1, 9.9, 10.0))
        assert box.panel.state().height_m == pytest.approx(2.0, abs=0.01)
        assert f"{expected.hardness_MPa:.1f} ±" in box.panel.sentence_text


def test_a_file_is_taken_over_and_an_odd_crater_named(craters):
    box = drop_test_panel()
    box.children[-1].bring("own.csv", craters)
    assert box.panel.state().craters == (9.8, 10.1, 12.9, 9.9, 10.0, 9.7)
    assert "The crater of 12.9 mm is far from the others" in box.panel.sentence_text
    assert list(box.panel.view.odd.get_xdata()) == [3]
    assert read_craters(craters)[2] == 12.9


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "craters: nothing is written"),
        ("9.8 wide", "craters is 'wide'; it must be a number"),
    ],
)
def test_what_can_not_be_read_is_said_and_nothing_is_lost(text, said):
    box = drop_test_panel()
    before = box.panel.state().craters
    form = box.children[-1]
    form.fields["craters"].value = text
    form.use()
    assert form.message.text.startswith(f"Not taken over: {said}")
    assert box.panel.state().craters == before
    assert form.fields["craters"].value == text


def test_craters_that_can_not_be_are_said_beside_the_last_picture():
    box = drop_test_panel()
    form = box.children[-1]
    for text, said in (
        ("30 31 29", "must be below the ball's diameter"),
        ("4 4 4.1", "check the ball, the height"),
    ):
        form.fields["craters"].value = text
        form.use()
        assert box.panel.fault and said in box.panel.sentence_text
        assert "The picture shows the last setting that works." in box.panel.sentence_text


def test_the_invented_craters_are_those_of_their_script():
    drop = hardness_from_drop(12.7, 1.0, drop_test_panel().panel.state().craters)
    low, high = drop.interval_MPa
    assert low < 15.5 < high  # the hardness in tools/make_demo_rink.py
    assert np.isfinite(drop.loading_time_s)


# Glide-outs ---------------------------------------------------------------------------------------------


@pytest.fixture
def glide():
    return glide_out_panel()


@pytest.mark.slow
def test_the_glide_out_does_what_every_panel_does():
    check_panel(lambda: glide_out_panel().panel)


def test_two_blades_are_compared_as_the_library_does(glide):
    runs = read_glide_times(data_file("demo/glide_outs.csv"))
    found = compare_glide_outs(runs.distance_m, runs.time_s, 75.0, runs.blade, runs.direction)
    said = glide.panel.sentence_text
    for mu, error in zip(found.mu, found.mu_error, strict=True):
        assert f"{mu:.4f} ± {error:.4f}" in said
    assert f"{-100 * found.difference / found.mu[0]:.0f} % less friction than A" in said
    assert "That is more than chance." in said
    # The truth in tools/make_demo_rink.py: 0.0068, 0.0061, a slope of half a millimetre to the metre.
    assert found.interval[0] < 0.0061 - 0.0068 < found.interval[1]
    # Half the weight on each skate, at the mean speed of the runs.
    blade, stance = Blade(Rocker.single(3048.0, 280.0), Hollow(15.875, 2.9)), Stance(75 * 9.81 / 2)
    speed = np.nanmean(np.concatenate(glide.panel.result.speeds))
    level = glide.panel.result.levels[2]
    assert level.mu == pytest.approx(solve_friction(blade, stance, Ice(), speed).total)
    # With its range over the ices held possible, and that of the difference.
    mu = [
        solve_friction(Blade(blade.rocker, Hollow(radius, 2.9)), stance, all_possible(-5.0), speed).total
        for radius in (15.875, 22.225)
    ]
    assert (level.low, level.high) == pytest.approx((mu[0].min(), mu[0].max()))
    more = 100 * (mu[1] / mu[0] - 1)
    assert more.min() < 0 < more.max()
    expects = f"expects between {-more.min():.0f} % less and {more.max():.0f} % more friction"
    assert expects in said
    set_state(glide.panel, {"hardness": "pressed"})
    pressed = solve_friction(blade, stance, Ice.pressed(), speed).total
    assert glide.panel.result.levels[2].mu == pytest.approx(pressed)


def test_what_is_computed_is_said_with_its_range_beside_what_one_blade_measured(glide):
    marks = np.arange(0.0, 16.0, 2.5)
    for mu, agrees in ((0.005, "which agrees with these runs"), (0.012, "less than these runs allow")):
        times = [run(mu, 0.4, 75.0, start, marks) for start in (2.5, 2.6, 2.7)]
        form = glide.children[-1]
        form.fields["marks"].value = " ".join(f"{mark / 0.3048:.3f}" for mark in marks)
        form.fields["times"].value = "\n".join(" ".join(f"{t + 3:.3f}" for t in row) for row in times)
        form.use()
        level = glide.panel.result.levels[-1]
        said = f"for this blade: {level.mu:.4f}, between {level.low:.4f} and {level.high:.4f} on the ices"
        assert said in glide.panel.sentence_text and agrees in glide.panel.sentence_text


@pytest.mark.parametrize("system", ["feet and inches", "metric"])
def test_runs_that_are_typed_are_fitted_in_both_systems(system):
    mu, marks = 0.006, np.arange(0.0, 31.0, 5.0)
    times = [
        run(mu + way * 0.0004, 0.4, 75.0, start, marks) for start, way in ((2.5, 1), (2.6, -1), (2.7, 1))
    ]
    with units(system):
        box = glide_out_panel()
        form = box.children[-1]
        shown = marks / 0.3048 if system == "feet and inches" else marks
        form.fields["marks"].value = " ".join(f"{mark:.3f}" for mark in shown)
        lines = [" ".join(f"{time + 3:.3f}" for time in row) for row in times]
        form.fields["times"].value = "\n".join(
            f"{way} {line}" for way, line in zip("><>", lines, strict=True)
        )
        form.use()
        assert form.message.text == "Taken over: 3 runs past 7 marks, on A."
        assert box.panel.result.measured.mu == pytest.approx(mu, abs=2e-5)
        assert box.panel.result.measured.cda_m2 == pytest.approx(0.4, abs=0.01)
        said = float(box.panel.sentence_text.split("The drag area is ")[1].split()[0])
        assert said == pytest.approx(0.4 / 0.3048**2 if system == "feet and inches" else 0.4, rel=0.03)
        assert ("ft²" in box.panel.sentence_text) == (system == "feet and inches")


def test_frames_of_a_video_are_seconds_at_their_rate(glide):
    form = glide.children[-1]
    times = run(0.006, 0.4, 75.0, 2.5, np.arange(0.0, 31.0, 5.0))
    form.fields["marks"].value = " ".join(f"{mark / 0.3048:.3f}" for mark in np.arange(0, 31, 5))
    form.fields["times"].value = " ".join(f"{120 + 60 * time:.0f}" for time in times)
    form.fields["frames"].value = "60"
    form.use()
    assert glide.panel.result.measured.mu == pytest.approx(0.006, abs=6e-4)
    assert glide.panel.result.measured.timing_error_s < 0.01
    assert "All runs went one way" in glide.panel.sentence_text
    form.fields["frames"].value = "0.1"
    form.use()
    assert form.message.text == (
        "Not taken over: frames a second is 0.1; it must be 1 to 2000, or empty for seconds."
    )


def test_a_wrong_time_is_named_and_a_missed_mark_is_none(glide):
    form = glide.children[-1]
    rows = [run(0.006, 0.4, 75.0, start, np.arange(0.0, 31.0, 5.0)) for start in (2.5, 2.6, 2.7, 2.8)]
    lines = [[f"{time + 0.005 * (at % 3):.3f}" for at, time in enumerate(row)] for row in rows]
    lines[1][3] = f"{float(lines[1][3]) + 0.6:.3f}"
    lines[2][4] = "-"
    form.fields["marks"].value = " ".join(f"{mark / 0.3048:.3f}" for mark in np.arange(0, 31, 5))
    form.fields["times"].value = "\n".join(
        f"{way} {' '.join(line)}" for way, line in zip("><><", lines, strict=True)
    )
    form.use()
    assert form.message.text == "Taken over: 4 runs past 7 marks, on A; 1 missed."
    assert (
        f"Run 2 at mark 4, {float(lines[1][3]):.2f} s, is too far off to be chance"
        in glide.panel.sentence_text
    )


@pytest.mark.parametrize(
    ("marks", "times", "said"),
    [
        ("0 5 10", "> 0 1.7", "run 1 has 2 times; there must be one for each of the 3 marks"),
        ("", "> 0 1.7", "marks: nothing is written"),
        ("0 5 10", "", "there is no run"),
        ("0 5 10", "> 0 1.7 soon", "run 1 is 'soon'; it must be a number"),
        ("0 5 10", "A 0 1 2\nB 0 1 2\nC 0 1 2", "the runs are on 3 blades, A, B, C; at most 2 are compared"),
    ],
)
def test_runs_that_can_not_be_read_are_said_and_nothing_is_lost(glide, marks, times, said):
    form, before = glide.children[-1], glide.panel.state().runs
    form.fields["marks"].value, form.fields["times"].value = marks, times
    form.use()
    assert form.message.text.startswith(f"Not taken over: {said}")
    assert glide.panel.state().runs is before


@pytest.mark.parametrize(
    ("marks", "times", "said"),
    [
        ("0 15 10 45", "> 0 1.7 3.5 6", "marks must rise"),
        ("0 15 30 45", "> 0 1.7 1.7 6", "times must rise from mark to mark"),
        ("0 15 30 45", "> 0 1.7 1.2 6", "times must rise from mark to mark"),
        ("0 15 30 45", "> 0 1.7 3.5 6", "are too few"),
        ("0 50 100 150 200", "> 0 1.0 2.0 3.1 4.3", "are the distances in the unit that was said"),
    ],
)
def test_runs_that_can_not_be_are_said_beside_the_last_picture(glide, marks, times, said):
    form = glide.children[-1]
    form.fields["marks"].value, form.fields["times"].value = marks, times
    form.use()
    assert glide.panel.fault and said in glide.panel.sentence_text
    assert "The picture shows the last setting that works." in glide.panel.sentence_text


@pytest.mark.parametrize(
    ("factor", "said"), [(1 / 0.3048, "far more friction"), (0.3048, "far less friction"), (1.0, "")]
)
def test_feet_for_metres_are_asked_about(glide, tmp_path, factor, said):
    marks, path = np.arange(0.0, 31.0, 5.0), tmp_path / "runs.csv"
    rows = [
        f"{at};{where * factor:.3f};{time:.3f}"
        for at, start in enumerate((2.3, 2.4, 2.5))
        for where, time in zip(marks, run(0.006, 0.4, 75.0, start, marks), strict=True)
    ]
    path.write_text("\n".join(["run;distance_m;time_s", *rows]).replace(".", ","))
    glide.children[-1].bring("runs.csv", path)
    asks = "than ice has: are the distances in the unit that was said?"
    assert (
        (f"{said} {asks}" in glide.panel.sentence_text) if said else (asks not in glide.panel.sentence_text)
    )


def test_what_the_fit_refuses_is_said_under_the_form_too(glide):
    form = glide.children[-1]
    form.fields["marks"].value, form.fields["times"].value = "0 15 30 45", "> 0 1.7 1.2 6"
    form.use()
    assert form.message.text == (
        "Taken over: 1 run past 4 marks, on A. But run 1 passes mark 3 at 1.2 s, after mark 2 at 1.7 s; "
        "times must rise from mark to mark. The picture shows the last setting that works."
    )
    assert "bladelab-fault" in form.message.value


def test_the_form_says_the_unit_of_the_marks(glide):
    marks = glide.children[-1].fields["marks"]
    assert marks.description == "marks, ft"
    with units("metric"):
        assert marks.description == "marks, m"


def test_the_plan_says_what_the_library_says(glide):
    panel = glide.panel
    hand(panel, "runs", "none yet: plan them")
    state = panel.state()
    plan = GlidePlan(np.arange(9) * state.apart_m, state.start_m_s, 75.0, 0.006, 0.27)
    assert f"takes {plan.runs_needed(10.0)} runs on each, half of them each way" in panel.sentence_text
    standing = replace(plan, cda_m2=0.65)
    assert f"standing it takes {standing.runs_needed(10.0)} runs" in panel.sentence_text
    assert [level.name for level in panel.result.levels] == ["2 runs", "6 runs", "12 runs", "24 runs"]
    assert panel.result.levels[1].high - 0.006 == pytest.approx(1.96 * plan.expected_errors(6)[0])
    assert panel.dials["start_m_s"].shown and not panel.dials["feet"].shown
    before = panel.sentence_text
    hand(panel, "timing_s", "a video of 60 frames/s")
    assert panel.sentence_text != before
    assert replace(plan, timing_error_s=0.01).runs_needed(10.0) < plan.runs_needed(10.0)
    panel.dials["start_m_s"].value = 1.0
    assert panel.fault and "the skater stops before the fourth mark" in panel.sentence_text


def test_a_file_of_glide_outs_may_be_in_feet_and_frames(tmp_path):
    path = tmp_path / "video.csv"
    path.write_text(
        "run;direction;distance_ft;frame\n1;1;0;30\n1;1;10;60\n1;1;20;-\n2;-1;0;10\n2;-1;10;41\n2;-1;20;75\n"
    )
    found = read_glide_times(path, 30.0)
    assert found.distance_m == pytest.approx((0.0, 3.048, 6.096))
    assert found.time_s[0][:2] == (1.0, 2.0) and np.isnan(found.time_s[0][2])
    assert found.direction == (1, -1) and found.blades == ("A",)
    with pytest.raises(InputError, match="the number of frames a second must be given"):
        read_glide_times(path)
    path.write_text("run,distance_m,time_s\n1,0,0\n1,5,1.7\n1,5,1.8\n")
    with pytest.raises(InputError, match="line 4: run 1 passes the mark at 5 twice"):
        read_glide_times(path)
    path.write_text("run,time_s\n1,0\n")
    with pytest.raises(InputError, match="0 of the columns distance_m and distance_ft"):
        read_glide_times(path)


# Timed trials -------------------------------------------------------------------------------------------


@pytest.fixture
def timed(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    return timed_panel()


@pytest.mark.slow
def test_the_timed_trial_does_what_every_panel_does(timed):
    check_panel(lambda: timed_panel().panel)


def test_the_timed_trial_says_what_the_library_says(timed):
    session = read_session(data_file("demo/timed_session.csv"))
    result, said = session.result, timed.panel.sentence_text
    percent, low, high = result.percent
    assert f"{-result.difference:.2f} s quicker, {-percent:.1f} %" in said
    assert f"anything from {-low:.1f} % quicker to {-high:.1f} % quicker" in said
    assert f"by chance in {100 * result.p:.2g} % of such sessions (counted by swapping A and B within" in said
    assert f"the pairs: {100 * result.p_permutation:.2g} %)" in said
    assert f"A single run scattered by {result.cv_percent:.1f} %; at that, 2.0 % takes " in said
    assert f"takes {pairs_needed(2.0, result.cv_percent)} pairs" in said
    assert f"The first two runs were {-session.warm_up.value:.2f} s quicker" in said
    assert timed.panel.view.headline.get_text() == f"B is {-percent:.1f} % quicker than A"
    assert timed.panel.view.each.get_ydata() == pytest.approx(result.differences)


def test_the_plan_says_openly_how_many_it_takes(timed):
    panel = timed.panel
    hand(panel, "sessions", "none yet: plan them")
    hand(panel, "drill", "the mean of seven short sprints (1.4 %)")
    set_state(panel, {"difference_percent": 1.0, "count": 10})
    takes = "takes 33 pairs; this session's 10 pairs show a difference of 2.0 %"
    assert f"(4 times in 5, where there is one) {takes}" in panel.sentence_text
    assert f"in {100 * looking_early(10):.0f} of 100 sessions, not in 5" in panel.sentence_text
    order = draw_order(10, "pairs", 6)
    assert f"The order drawn is {' '.join(order.blocks)}" in panel.sentence_text
    hand(panel, "design", "ABBA")
    assert "40 runs with" in panel.sentence_text and "a steady drift" in panel.sentence_text


def test_times_are_typed_one_after_the_other_in_an_order_that_stays(timed):
    order = draw_order(10, "pairs", 6)
    assert f"Next: run 1 of 20, on <b>{order.runs[0]}</b>. Type x for a run" in timed.line.value
    for text in ("4.02", "4,10", "x", "4.00", "4.05 4.11"):
        timed.next_time.value = text
        assert timed.next_time.value == ""
    assert f"Next: run 7 of 20, on <b>{order.runs[6]}</b>." in timed.line.value
    timed.panel.dials["seed"].value = 8  # what is skated stays skated
    timed.next_time.value = "4.01"
    session = timed.panel.dials["sessions"].value.last
    assert session.order == order
    assert session.time_s[:7].tolist()[:2] == [4.02, 4.1] and np.isnan(session.time_s[2])
    assert "You are looking early: 2 of 10 pairs are complete. Finish them" in timed.panel.sentence_text
    timed.take_back()
    assert timed.message.text == "Run 7 taken back." and "run 7 of 20" in timed.line.value


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("soon", "the time is 'soon'; it must be a number"),
        ("0.05", "time_s is 0.05 s; it must be at least 0.2 s"),
        ("4 4 4 4 4", "5 times are typed; this session has 4 runs"),
    ],
)
def test_a_time_that_can_not_be_is_said_and_stays_in_the_field(timed, text, said):
    timed.panel.dials["count"].value = 2
    before = timed.panel.dials["sessions"].value
    timed.next_time.value = text
    assert said in timed.message.text and timed.next_time.value == text
    assert timed.panel.dials["sessions"].value is before


def test_sessions_are_kept_saved_and_brought_back(timed, tmp_path):
    timed.panel.dials["count"].value = 5
    for text in "4.0 4.1 4.0 4.2 3.9 4.1 4.0 4.0 4.1 4.2".split():
        timed.next_time.value = text
    assert timed.line.value == "<p>All 10 runs are timed.</p>"
    timed.next_time.value = "4.0"
    assert "all 10 runs are timed" in timed.message.text
    timed.save_times()
    assert timed.message.text == "Saved as saved/timed_session-1.csv."
    first = timed.panel.dials["sessions"].value.last
    assert read_session(tmp_path / "saved/timed_session-1.csv").time_s.tolist() == first.time_s.tolist()
    timed.another()
    assert "run 1 of 10" in timed.line.value
    timed.next_time.value = "4.1 4.1 4.0 4.1 3.9 4.1 4.0 4.2 4.1 4.2"
    both = timed.panel.dials["sessions"].value
    assert len(both.sessions) == 2 and both.sessions[0] == first
    assert "In 2 sessions B was" in timed.panel.sentence_text
    together = sessions_together(both.sessions).together
    assert timed.panel.result.outcome.together == together and together.pairs == 10
    timed.bring("own.csv", tmp_path / "saved/timed_session-1.csv")
    assert timed.message.text == "Taken over: 10 runs, with 1 session before."
    assert timed.panel.state().sessions.last.result == first.result
    assert timed.panel.result.outcome.together.pairs == 10


def test_a_finished_session_with_a_run_that_does_not_count_is_not_called_early(timed):
    timed.panel.dials["count"].value = 3
    for text in "4.0 4.1 x 4.2 3.9".split():
        timed.next_time.value = text
    assert timed.panel.fault and timed.panel.sentence_text.startswith(
        "4 runs are timed so far, and 1 pair is complete; there must be at least 2 complete pairs"
    )
    timed.next_time.value = "4.11"
    assert not timed.panel.fault and "looking early" not in timed.panel.sentence_text
    assert "1 of the 3 pairs planned is not complete and doesn't count." in timed.panel.sentence_text
    timed.take_back()
    timed.take_back()
    timed.another()
    assert "fewer than 2 pairs" in timed.message.text


def test_so_few_pairs_are_said_to_be_few(timed):
    timed.panel.dials["count"].value = 5
    order = timed.order.runs
    for at, blade in enumerate(order):
        timed.next_time.value = f"{4.0 + 0.01 * (at % 3) + (0.2 if blade == 'B' else 0):.2f}"
    said = timed.panel.sentence_text  # all 5 one way: 2 of 32 ways to swap
    assert "within the pairs: 6.2 %, the least that 5 pairs can give)" in said


def test_sessions_of_two_files_are_taken_together(timed, tmp_path):
    first, second = tmp_path / "one.csv", tmp_path / "two.csv"
    first.write_text("blade,time_s\nA,4.0\nB,3.9\nB,3.95\nA,4.02\n")
    second.write_text("blade;time_s\nB;3,91\nA;4,03\nA;4,05\nB;3,9\n")
    timed.bring("one.csv", first)
    timed.another()
    timed.bring("two.csv", second)
    assert timed.message.text == "Taken over: 4 runs, with 1 session before."
    together = sessions_together([read_session(first), read_session(second)]).together
    assert timed.panel.result.outcome.together == together and together.pairs == 4
    blocks = [f"{blade};{at // 4};{4 + at / 50:.2f}" for at, blade in enumerate("BAABABBA")]
    second.write_text("\n".join(["blade;block;time_s", *blocks]).replace(".", ","))
    timed.bring("two.csv", second)
    assert timed.message.text.startswith("Taken over: 8 runs, with 1 session before. But the sessions have ")


def test_the_sheet_has_every_run_in_the_order_drawn(timed, tmp_path):
    timed.panel.dials["count"].value = 12
    timed.print_sheet()
    assert timed.message.text.startswith("Saved as saved/timed_sheet-1.pdf")
    pages = PdfReader(tmp_path / "saved/timed_sheet-1.pdf").pages
    text = "\n".join(page.extract_text() for page in pages)
    order = draw_order(12, "pairs", 6)
    for number, blade in enumerate(order.runs, 1):
        pair = f", pair {number // 2 + 1}" if number % 2 else ""
        assert re.search(rf"^{number}{pair}\s+{blade}$", text, re.M), (number, text)
    assert "order 6" in text and "easy laps after a change of steel" in " ".join(text.split())


def test_the_plan_is_played_through(timed):
    set_state(timed.panel, {"sessions": None, "count": 20, "difference_percent": 2.0})
    timed.play()
    *_, last = simulate_sessions(SessionPlan(20, "pairs", -2.0, 2.1), 2000)
    assert f"{100 * last.found:.0f} % found it" in timed.work.report
    looking = f"{100 * last.false_alarms_by_looking:.0f} % did where someone looked after every pair"
    assert looking in timed.work.report


def test_blind_preferences_are_counted(timed):
    set_state(timed.panel, {"prefers_a": 1, "prefers_b": 9, "prefers_neither": 2})
    assert "Blind, B was preferred 9 times and A 1; 2 undecided" in timed.panel.sentence_text
    assert (
        "tossing a coin is that uneven 2.1 % of the time, so that is a preference."
        in timed.panel.sentence_text
    )
    set_state(timed.panel, {"prefers_a": 2})
    assert "that may be the toss of a coin" in timed.panel.sentence_text


def test_on_a_phone_the_plan_and_the_pairs_have_one_place(timed):
    timed.panel.lay_out(narrow=True)
    view = timed.panel.view
    places = [axes.get_position(original=True).bounds for axes in (view.pairs, view.plan)]
    assert places[0] == pytest.approx(places[1]) and places[0][1] * view.height_px < 60
    assert view.times.get_position(original=True).y0 > places[0][1] + places[0][3]


def test_every_dial_of_the_timed_trial_is_on_the_page(timed):
    names = [control["name"] for control in timed.panel._spec["controls"]]
    assert len(set(names)) == len(names)
    hand(timed.panel, "count", 3)
    assert timed.panel.state().count == 5 and timed.panel._units.value == "feet and inches"
