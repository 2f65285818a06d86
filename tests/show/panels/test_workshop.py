"""The panels of the workshop behave like every panel, and say what the library says."""

from __future__ import annotations

import io
import re
from types import SimpleNamespace

import ipywidgets
import numpy as np
import pytest

from bladelab import (
    GaugePlan,
    Rocker,
    feet,
    fit_zones,
    groove_from_depth,
    inches,
    left_against_right,
    read_trace,
    steel_to_remove,
)
from bladelab.show.panels.workshop.cut import _shape, cut_panel
from bladelab.show.panels.workshop.gauge_plan import gauge_plan_panel
from bladelab.show.panels.workshop.groove import groove_panel
from bladelab.show.panels.workshop.measure import measure_answer, measure_panel
from bladelab.show.panels.workshop.measured_files import DEMO, offered
from bladelab.show.panels.workshop.photo import PhotoPanel, photo_panel
from bladelab.show.panels.workshop.season import _plan, season_panel, weeks_of
from bladelab.show.panels.workshop.sides import sides_answer, sides_panel
from bladelab.workshop.season import simulate_season
from tests.show.engine_checks import check_panel, click


def photograph() -> PhotoPanel:
    return photo_panel().panel


PANELS = [measure_panel, gauge_plan_panel, groove_panel, photograph, sides_panel, cut_panel, season_panel]


@pytest.fixture(autouse=True)
def _close_panels():
    """Forget the panels of a test: else each change of units would redraw them all."""
    yield
    ipywidgets.Widget.close_all()


@pytest.mark.slow
@pytest.mark.parametrize("make_panel", PANELS)
def test_it_does_what_every_panel_does(make_panel):
    check_panel(make_panel)


@pytest.mark.slow
def test_the_measuring_panel_says_what_the_fit_says():
    panel = measure_panel()
    trace = read_trace(DEMO / "left_edge.csv").level()
    fit = fit_zones(trace.x_mm, trace.y_mm)
    for zone in fit.zones:
        assert f"{zone.radius_mm / 304.8:.2f} ±" in panel.sentence_text
    assert "Three zones (found automatically)" in panel.sentence_text
    panel.dials["count"].value = 2
    assert "Two zones (as you set)" in panel.sentence_text
    panel.dials["file"].value = str(DEMO / "left_gauge.csv")
    panel.dials["count"].value = 0
    assert "Three zones" in panel.sentence_text and not panel.fault


def test_a_bad_spot_is_told_beside_the_zones():
    panel = measure_panel()
    panel.dials["file"].value = str(DEMO / "right_edge.csv")
    assert "Three zones (found automatically)" in panel.sentence_text
    assert re.search(r"with a low spot of 0\.04\d ± 0\.00\d mm at 2\d to 9\d mm", panel.sentence_text)
    assert re.search(
        r"Not the shape you ordered: ground 0\.0\d\d mm too deep", panel.view.headline.get_text()
    )
    assert "trained for it" in panel.sentence_text


def single_edge(tmp_path, monkeypatch, pivot_mm, reach_mm=138.0):
    """The measuring panel for 10 ft that were ordered level at the middle and are level at `pivot_mm`."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "measured").mkdir()
    x = np.arange(-reach_mm, reach_mm + 1, 2.0)
    y = Rocker.single(3048, 280, pivot_mm).height_mm(x) + 0.001 * np.random.default_rng(1).standard_normal(
        len(x)
    )
    lines = "".join(f"{a:.1f},{b:.4f}\n" for a, b in zip(x, y, strict=True))
    (tmp_path / "measured" / "mine.csv").write_text("position_mm,height_mm\n" + lines)
    panel = measure_panel()
    with panel.quiet():
        panel.dials["file"].value = "measured/mine.csv"
        panel.dials["shape"].value = "single"
    assert not panel.fault
    return panel


def test_a_level_point_that_was_not_measured_is_not_passed(tmp_path, monkeypatch):
    panel = single_edge(tmp_path, monkeypatch, 5.0)
    assert panel.view.headline.get_text().endswith("the level point was not measured")
    assert "everywhere" not in panel.sentence_text
    assert "Not checked: the level point, ordered at the middle. A trace can't show it" in panel.sentence_text
    assert "a single radius of 10 ft ground 5 mm further forward would read the same" in panel.sentence_text
    panel.dials["pivot_mm"].value = 20.0
    assert "the level point, ordered 20 mm ahead of the middle" in panel.sentence_text
    panel.dials["file"].value = str(DEMO / "left_gauge.csv")
    panel.dials["level_error_deg"].value = 0.05
    assert "A gauge with two feet can't show it, even on a rail that is level" in panel.sentence_text


def test_a_level_rail_shows_where_the_level_point_is(tmp_path, monkeypatch):
    panel = single_edge(tmp_path, monkeypatch, 5.0)
    panel.dials["level_error_deg"].value = 0.02
    assert "Not the shape you ordered" in panel.view.headline.get_text()
    # 0.02 deg of 3048 mm is 1.06 mm.
    assert "5 mm ahead of the middle, ± 1.1 mm; ordered at the middle: 5 mm off" in panel.sentence_text
    panel.dials["pivot_mm"].value = 5.0
    assert "ordered 5 mm ahead of the middle: that agrees" in panel.sentence_text
    panel.dials["tolerance_mm"].value = 0.2
    assert panel.view.headline.get_text() == "Shape and level point are as ordered, within the tolerance"


def test_what_the_trace_leaves_out_is_named(tmp_path, monkeypatch):
    panel = single_edge(tmp_path, monkeypatch, 0.0, reach_mm=100.0)
    assert "within the tolerance, where it was measured" in panel.view.headline.get_text()
    assert "over the 200 mm measured. 80 mm of the runner were not measured." in panel.sentence_text


def test_the_sides_panel_names_one_stretch_and_what_it_cannot_see():
    panel = sides_panel()
    assert re.search(r"along 3\d to 8\d mm from the middle", panel.sentence_text)
    assert "can't show whether one has its level point further forward" in panel.sentence_text


def test_a_file_that_cannot_be_read_is_a_sentence(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "measured").mkdir()
    (tmp_path / "measured" / "mine.csv").write_text("position_mm;height_mm\n1;2\n")
    panel = measure_panel()
    assert ("mine.csv", "measured/mine.csv") in offered(".csv")
    panel.dials["file"].value = "measured/mine.csv"
    assert panel.fault and panel.sentence_text.startswith("mine.csv: there are 1 points; a trace needs at")
    panel.dials["file"].value = str(DEMO / "right_edge.csv")
    assert not panel.fault


def test_the_gauge_panel_says_what_the_plan_says():
    panel = gauge_plan_panel()
    plan = GaugePlan(0.005, 50.0)
    assert f"{100 * plan.wrong_share(feet(9), feet(10)):.0f} in 100" in panel.sentence_text
    assert f"{plan.error_needed_mm(feet(9), feet(10)):.4f} mm" in panel.sentence_text
    assert panel.view.headline.get_text() == "This gauge cannot tell 9 ft from 10 ft"
    panel.dials["chord_mm"].value = 100
    assert panel.view.headline.get_text() == "This gauge can tell 9 ft from 10 ft"
    panel.lay_out(narrow=True)  # on a phone the two names are wider than the radii are apart
    panel.view.png()
    one, other = (name.get_window_extent() for name in panel.view.names)
    assert not one.overlaps(other)


def test_the_groove_panel_says_what_the_reading_says():
    panel = groove_panel()
    reading = groove_from_depth(0.075, 2.9, 0.003)
    assert f"{reading.radius_mm / 25.4:.3f} in" in panel.sentence_text
    assert not reading.agrees_with(inches("5/8")) and "does not agree" in panel.sentence_text
    panel.dials["square_mm"].value = 1.0
    assert "edge A is 0.029 mm high (0.57°)" in panel.sentence_text
    panel.dials["how"].value = "edges"
    assert "By these depths edge A is 0.010 mm higher than edge B" in panel.sentence_text


def test_the_sides_panel_says_what_the_comparison_says():
    panel = sides_panel()
    seen = left_against_right(read_trace(DEMO / "left_edge.csv"), read_trace(DEMO / "right_edge.csv"))
    assert (
        f"{abs(seen.largest_mm):.3f} mm" in panel.sentence_text
        and "right has lost" in panel.view.headline.get_text()
    )
    panel.dials["right"].value = panel.dials["left"].value
    assert "no difference" in panel.view.headline.get_text()


def test_the_cut_panel_says_what_the_cut_says(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    panel = cut_panel()
    trial = _shape(panel.state(), "trial")
    cut = steel_to_remove(Rocker.single(3048, 280), trial)
    assert (
        f"{cut.largest_mm:.3f} mm comes off" in panel.sentence_text
        and f"{cut.area_mm2:.1f} mm²" in panel.sentence_text
    )
    panel.dials["least_mm"].value = 13.95
    assert "don't grind it" in panel.sentence_text
    panel.dials["least_mm"].value = 15
    assert panel.fault and "this runner is used up" in panel.sentence_text
    panel.dials["least_mm"].value = 9
    for text in panel._spec["buttons"]:
        click(panel, text)
        assert not panel.fault
    assert sorted(file.name for file in (tmp_path / "saved").iterdir()) == [
        "template-1.pdf",
        "template-1.svg",
    ]
    # The touch-up button leaves one shape, worn at the ends: that much has to go, and no more.
    assert "At its deepest, 0.050 mm comes off" in panel.sentence_text


def shifted_cut(**dials):
    """The cut panel for a 10 ft single radius in one that is level 10 mm further forward."""
    panel = cut_panel()
    single = {"trial.shape": "single", "trial.radius_mm": 3048.0, "trial.pivot_mm": 10.0}
    with panel.quiet():
        for name, value in {**single, **dials}.items():
            panel.dials[name].value = value
    assert not panel.fault
    return panel


@pytest.mark.slow
def test_a_worn_edge_does_not_hide_that_the_level_point_moves():
    assert "0.920 mm comes off, 140 mm behind the middle" in shifted_cut().sentence_text
    for worn in (0.001, 0.01, 0.05):
        assert "At its deepest, 0.920 mm comes off" in shifted_cut(rounding_mm=worn).sentence_text


@pytest.mark.parametrize("worn", [0.0, 0.05])
def test_a_shape_that_may_tip_is_not_called_the_same(worn):
    panel = shifted_cut(tilt_limit_deg=0.3, rounding_mm=worn)
    assert "two shapes are the same" not in panel.sentence_text
    tips = "the boot tips 0.19° further forward than the trial's level point calls for"
    assert tips in panel.sentence_text
    if not worn:
        assert panel.sentence_text.startswith("The same shape, tipped by 0.19°: no steel comes off, but")
    back = shifted_cut(**{"tilt_limit_deg": 0.3, "trial.pivot_mm": -10.0})
    assert "0.19° further back" in back.sentence_text


def test_the_same_shape_is_called_the_same():
    panel = shifted_cut(**{"trial.pivot_mm": 0.0, "tilt_limit_deg": 0.3})
    assert "The two shapes are the same, level point and all: no steel comes off." in panel.sentence_text


def test_swapping_twice_changes_nothing():
    panel = cut_panel()
    before = panel.sentence_text
    swap = "swap present and trial"
    click(panel, swap)
    assert panel.state().present.shape == "blended" and panel.state().trial.shape == "single"
    assert panel.sentence_text != before
    click(panel, swap)
    assert panel.sentence_text == before


def test_the_season_panel_says_what_the_seasons_say():
    panel = season_panel()
    for name in ("present", "trial"):
        season = simulate_season(_plan(panel.state(), name), 400)
        used = season.plan.height_mm - season.band()[1, -1]
        assert f"The {name} plan takes {used:.1f} mm" in panel.sentence_text
    with panel.quiet():
        panel.dials["present.hours_per_sharpening"].value = 2
        panel.dials["present.steel_mm"].value = 0.2
    week = np.median(simulate_season(_plan(panel.state(), "present"), 400).spent_week)
    assert f"In week {week:.0f} the runner reaches its minimum: stop" in panel.sentence_text
    assert panel.view.headline.get_text().endswith(f"the present plan in week {week:.0f}: stop there")
    shares = [int(share) for share in re.findall(r"(\d+) % of what is left", panel.sentence_text)]
    assert len(shares) == 2 and max(shares) <= 100
    panel.dials["height_mm"].value = 8
    assert panel.fault and "above the maker's minimum" in panel.sentence_text


def test_habits_of_re_profiling():
    assert weeks_of("never", 36) == () and weeks_of("start", 36) == (0.0,)
    assert weeks_of("usual", 36) == (0.0, 18.0, 32.0)
    assert weeks_of("usual", 8) == (0.0, 4.0)
    assert weeks_of("often", 20) == (0.0, 6.0, 12.0, 18.0)


def test_pictures_are_drawn_from_the_same_numbers():
    panel = cut_panel()
    x, depth = panel.view.depth_line.get_data()
    state: SimpleNamespace = panel.state()
    cut = steel_to_remove(_shape(state, "present"), _shape(state, "trial"))
    assert depth == pytest.approx(cut.depth_mm(np.clip(x, -140, 140)), abs=1e-6)
    out = io.BytesIO()
    panel.view.write(out, "svg")
    assert b"<svg" in out.getvalue()


def test_the_page_says_that_positions_were_read_from_the_heel(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    own = tmp_path / "measured"
    own.mkdir()
    rows = (DEMO / "left_edge.csv").read_text(encoding="utf-8").splitlines()[3:]
    moved = [(float(x) + 138, y) for x, y in (row.split(",") for row in rows)]
    text = "position_mm;height_mm\n" + "".join(f"{x:.1f};{y}\n".replace(".", ",") for x, y in moved)
    (own / "mine.csv").write_text(text, encoding="utf-8")
    note = "mine.csv: The positions, 0 to 276 mm, are taken as counted from the heel"
    panel, fresh = measure_panel(), measure_panel()
    panel.dials["file"].value = "measured/mine.csv"
    answer = measure_answer(panel.state())
    assert note in answer.sentence
    assert answer.sentence.split("\nmine.csv")[0] == measure_answer(fresh.state()).sentence
    sides = sides_panel()
    sides.dials["left"].value = "measured/mine.csv"
    assert sides_answer(sides.state()).sentence.count(note) == 1
