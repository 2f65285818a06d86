"""The panel of glide-outs says what the library says, and takes over runs typed in or from a file."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from bladelab import (
    Blade,
    Hollow,
    Ice,
    InputError,
    Rocker,
    Stance,
    solve_friction,
)
from bladelab._data import data_file
from bladelab.physics.possible_ices import all_possible
from bladelab.rink.glide_compare import compare_glide_outs
from bladelab.rink.glide_fit import fit_glide_out
from bladelab.rink.glide_plan import GlidePlan
from bladelab.rink.reading import GlideTimes, read_glide_times
from bladelab.show.panels.rink.glide_out import glide_out_panel
from bladelab.show.panels.rink.glide_out_answer import _doubts
from tests.rink.simulated_runs import run
from tests.show.engine_checks import check_panel, hand, set_state, units


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
    between = f"between {-more.min():.0f} % less and {more.max():.0f} % more friction than the present one."
    assert f"the model gives the trial blade on the sliders {between}" in said
    set_state(glide.panel, {"hardness": "pressed"})
    pressed = solve_friction(blade, stance, Ice.pressed(), speed).total
    assert glide.panel.result.levels[2].mu == pytest.approx(pressed)
    set_state(glide.panel, {"trial.hollow_mm": 15.875})
    assert "on the sliders as much friction as the present one." in glide.panel.sentence_text


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
    form.fields["frames"].value = "many"
    form.use()
    assert form.message.text.startswith("Not taken over: frames a second is 'many'; it must be a number")
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


def test_runs_that_differ_more_than_the_timing_explains_are_asked_about():
    marks = np.arange(0.0, 31.0, 5.0)
    times = [run(mu, 0.4, 75.0, 2.5, marks) for mu in (0.005, 0.009, 0.005, 0.009)]
    runs = GlideTimes(tuple(marks), tuple(map(tuple, times)), (1, -1, 1, -1), (0,) * 4, ("A",))
    found = fit_glide_out(marks, times, 75.0, [1, -1, 1, -1])
    words = _doubts(replace(found, slope=0.0, between_runs_p=0.001), runs, np.array(times))
    assert words.startswith("The runs differ from each other by more than the timing explains")
    assert "the ice rises" not in words
    uphill = _doubts(replace(found, slope=0.002, between_runs_p=0.5), runs, np.array(times))
    assert uphill.startswith("In the > direction the ice rises by 0.20 %")


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
