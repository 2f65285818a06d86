"""The template at full size: the check bar and the shape measured in the files themselves."""

import io
import re
import zlib
from xml.etree import ElementTree

import numpy as np
import pytest

from bladelab import Rocker, Zone, feet
from bladelab.show.drawings.template import PAPERS_MM, paper_for, write_template

SHAPE = Rocker((Zone(feet(9), 80), Zone(feet(11), 120), Zone(feet(8), 80)), blend_mm=10)
MM_PER_POINT = 25.4 / 72


def svg_lines(data):
    """Page size in mm, and the points in mm of each named line of an SVG."""
    root = ElementTree.fromstring(data)
    assert root.get("width").endswith("pt") and root.get("height").endswith("pt")
    view = [float(v) for v in root.get("viewBox").split()]
    per_unit = float(root.get("width")[:-2]) / view[2] * MM_PER_POINT
    lines = {}
    for group in root.iter("{http://www.w3.org/2000/svg}g"):
        path = group.find("{http://www.w3.org/2000/svg}path")
        if group.get("id") in ("check-bar", "edge"):
            numbers = np.array(re.findall(r"-?\d+(?:\.\d+)?", path.get("d")), dtype=float)
            lines[group.get("id")] = numbers.reshape(-1, 2) * per_unit
    return (
        float(root.get("width")[:-2]) * MM_PER_POINT,
        float(root.get("height")[:-2]) * MM_PER_POINT,
    ), lines


def pdf_page(data):
    """Page size in mm, and every stroked path of a PDF as points in mm, read from its content stream."""
    box = [float(v) for v in re.search(rb"/MediaBox \[([^\]]*)\]", data)[1].split()]
    paths = []
    for stream in re.finditer(rb"stream\r?\n(.*?)\r?\nendstream", data, re.DOTALL):
        try:
            text = zlib.decompress(stream[1]).decode("latin-1")
        except zlib.error:
            continue
        for path in re.finditer(r"((?:-?[\d.]+ -?[\d.]+ [ml]\s+)+)S\b", text):
            points = re.findall(r"(-?[\d.]+) (-?[\d.]+) [ml]", path[1])
            paths.append(np.array(points, dtype=float) * MM_PER_POINT)
    return (box[2] * MM_PER_POINT, box[3] * MM_PER_POINT), paths


def written(form, rocker=SHAPE, paper="A4"):
    out = io.BytesIO()
    write_template(out, rocker, form, paper)
    return out.getvalue()


def test_the_svg_is_true_to_scale():
    size, lines = svg_lines(written("svg"))
    assert size == pytest.approx(PAPERS_MM["A4"], abs=0.01)
    bar, edge = lines["check-bar"], lines["edge"]
    assert np.ptp(bar[:, 0]) == pytest.approx(100.0, abs=0.01)
    assert np.ptp(edge[:, 0]) == pytest.approx(280.0, abs=0.01)
    # The edge itself, sampled along the file's path: heights as the rocker's.
    x = edge[:, 0] - (edge[:, 0].min() + edge[:, 0].max()) / 2
    height = edge[:, 1].max() - edge[:, 1]
    assert height == pytest.approx(SHAPE.height_mm(np.clip(x, -140, 140)), abs=0.01)


def test_the_pdf_is_true_to_scale():
    size, paths = pdf_page(written("pdf"))
    assert size == pytest.approx(PAPERS_MM["A4"], abs=0.01)
    level = [path for path in paths if len(path) == 2 and np.ptp(path[:, 1]) < 1e-6]
    assert any(np.ptp(path[:, 0]) == pytest.approx(100.0, abs=0.01) for path in level)
    edge = max(paths, key=len)
    assert np.ptp(edge[:, 0]) == pytest.approx(280.0, abs=0.01)
    assert np.ptp(edge[:, 1]) == pytest.approx(float(SHAPE.height_mm([-140, 140]).max()), abs=0.01)


@pytest.mark.parametrize("form", ["svg", "pdf"])
def test_the_same_shape_gives_the_same_file(form):
    assert written(form) == written(form)


def test_a_long_runner_takes_larger_paper():
    long = Rocker.single(3048, 306)
    with pytest.raises(ValueError, match=r"on A4 it must be at most 285 mm"):
        written("svg", long)
    assert paper_for(306) == "A3" and paper_for(280) == "A4"
    size, lines = svg_lines(written("svg", long, "A3"))
    assert size == pytest.approx((420.0, 297.0), abs=0.01)
    assert np.ptp(lines["check-bar"][:, 0]) == pytest.approx(100.0, abs=0.01)


def test_unknown_papers_and_forms_are_refused():
    with pytest.raises(ValueError, match=r"paper is 'B5'"):
        written("svg", paper="B5")
    with pytest.raises(ValueError, match=r"form is 'gif'; it must be svg or pdf"):
        written("gif")
