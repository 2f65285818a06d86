"""The demo measurements: the script writes the same again, and they say what their README says."""

import importlib.util
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from bladelab import GaugeReadings, Trace, deviation, feet, fit_zones, left_against_right, read_trace

ROOT = Path(__file__).resolve().parents[2]
DEMO = ROOT / "data" / "demo"


@pytest.fixture(scope="module")
def maker():
    spec = importlib.util.spec_from_file_location("make_demo_traces", ROOT / "tools" / "make_demo_traces.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.mark.slow
def test_the_script_writes_the_same_files_again(maker, tmp_path, monkeypatch):
    monkeypatch.setattr(maker, "HOME", tmp_path)
    maker.traces()
    maker.versines()
    maker.photograph()
    for name in ("left_edge.csv", "right_edge.csv", "left_gauge.csv"):
        assert (tmp_path / name).read_bytes() == (DEMO / name).read_bytes()
    with Image.open(tmp_path / "blade_photo.png") as new, Image.open(DEMO / "blade_photo.png") as old:
        assert np.array_equal(np.asarray(new), np.asarray(old))


def test_the_left_edge_has_the_zones_that_were_asked_for(maker):
    trace = read_trace(DEMO / "left_edge.csv")
    assert isinstance(trace, Trace)
    fit = fit_zones(trace.x_mm, trace.y_mm)
    assert [z.radius_mm for z in fit.zones] == pytest.approx([feet(9), feet(11), feet(8)], rel=0.03)
    assert fit.junctions_mm == pytest.approx([-60, 60], abs=4)
    assert deviation(trace, maker.ASKED, tolerance_mm=0.03).verdict == "within"


def test_the_gauge_says_the_same_of_the_left_edge():
    readings = read_trace(DEMO / "left_gauge.csv")
    assert isinstance(readings, GaugeReadings)
    fit = readings.fit_zones()
    assert [z.radius_mm for z in fit.zones] == pytest.approx([feet(9), feet(11), feet(8)], rel=0.03)
    assert fit.junctions_mm == pytest.approx([-60, 60], abs=3)


def test_the_right_edge_differs_at_its_bad_spot():
    left, right = (read_trace(DEMO / f"{side}_edge.csv") for side in ("left", "right"))
    assert isinstance(left, Trace) and isinstance(right, Trace)
    seen = left_against_right(left, right)
    assert seen.largest_at_mm == pytest.approx(58, abs=6) and seen.largest_mm < -0.03
    assert any(a <= 58 <= b for a, b in seen.stretches_mm)


def test_the_readme_names_each_file():
    text = (DEMO / "README.md").read_text(encoding="utf-8")
    for name in ("left_edge.csv", "right_edge.csv", "left_gauge.csv", "blade_photo.png"):
        assert name in text
