"""Names that matplotlib keeps to itself do what the layer needs; where one does not, panels show PNG."""

from __future__ import annotations

import base64
import io
import logging
import re

import matplotlib as mpl
import numpy as np
import pytest
from matplotlib.backend_bases import RendererBase
from matplotlib.backends import backend_svg
from matplotlib.backends.backend_svg import RendererSVG
from PIL import Image

from bladelab.show.canvas import fallback, layer
from bladelab.show.canvas.layer import PRIVATE_NAMES, Layer
from bladelab.show.clinic.panel import clinic_panel
from tests.show.bars import Bars, heights, make
from tests.show.engine_checks import hand, position, units

RELEASE = (
    f"matplotlib {mpl.__version__}: see bladelab/show/canvas/layer.py and the bounds in requirements.txt"
)


@pytest.fixture(autouse=True)
def said_before():
    """What was said once is said again in each test."""
    fallback._say_once.cache_clear()


def drawn_with_everything() -> str:
    """A frame with a line, a text, letters that can't be placed like others, and an image."""
    view = Bars()
    view.show(heights(3.0, 4.0))
    view.moving(view.figure.text(0.5, 0.5, "two\nlines"))
    view.moving(view.axes.imshow(np.eye(3), extent=(0, 1, 0, 1), aspect="auto"))
    return view._frame_svg("")


@pytest.mark.parametrize("name", PRIVATE_NAMES)
def test_matplotlib_calls_each_name_that_the_layer_overrides(monkeypatch, name):
    assert hasattr(RendererSVG, name), f"{name} is gone from {RELEASE}"
    called, ours = [], vars(Layer)[name]

    def spy(*args, **kwargs):
        called.append(name)
        return ours(*args, **kwargs)

    monkeypatch.setattr(Layer, name, spy)
    monkeypatch.setattr(layer, "_styles", {})  # styles are kept from one frame to the next
    drawn_with_everything()
    assert called, f"{name} is called no more by {RELEASE}"


def test_all_private_names_are_listed():
    ours = {name for name in vars(Layer) if name.startswith("_") and not name.startswith("__")}
    private = {name for name in dir(RendererSVG) if name.startswith("_") and not name.startswith("__")}
    assert ours & private == set(PRIVATE_NAMES), RELEASE


def picture_in(frame: str) -> np.ndarray:
    (code,) = re.findall(r'^<img src="data:image/png;base64,([^"]+)" alt="[^"]+">$', frame)
    return np.asarray(Image.open(io.BytesIO(base64.b64decode(code))))


# What the layer overrides, and what it calls. The names that every renderer has can't go missing here alone.
NAMES = [
    *((RendererSVG, name) for name in PRIVATE_NAMES if not hasattr(RendererBase, name)),
    (RendererSVG, "_draw_text_as_text"),
    (backend_svg._path, "convert_to_string"),
]


@pytest.mark.slow
@pytest.mark.parametrize(("owner", "name"), NAMES, ids=[name for _, name in NAMES])
def test_a_panel_goes_on_with_plain_images_where_a_name_is_missing(monkeypatch, caplog, owner, name):
    monkeypatch.delattr(owner, name)
    panel = make()
    first = picture_in(panel._frame)
    assert first.shape == (300, 600, 4)
    assert f'alt="{panel.view.headline.get_text()}. Up to 6.00 &lt;high&gt; in frame 0."' in panel._frame
    hand(panel, "trial.radius_mm", position(panel, "trial.radius_mm", "7.00"))
    assert "Up to 7.00" in panel.sentence_text and not panel.fault
    second = picture_in(panel._frame)
    assert not np.array_equal(first, second)
    assert np.array_equal(second, np.asarray(Image.open(io.BytesIO(panel.view.png()))))
    with units("metric"):
        assert not np.array_equal(picture_in(panel._frame), second)
    assert any(name in record.getMessage() for record in caplog.records), "says what is missing"


def test_a_panel_goes_on_where_the_renderer_writes_its_file_another_way(monkeypatch, caplog):
    monkeypatch.setattr(RendererSVG, "_write_metadata", lambda *args: None)
    panel = make()
    picture_in(panel._frame)
    for _ in range(3):
        panel.refresh()
    assert [record.levelno for record in caplog.records] == [logging.WARNING], "said once"


@pytest.mark.slow
def test_slides_go_on_too(monkeypatch, no_overview):
    monkeypatch.delattr(RendererSVG, "_make_id")
    panel = clinic_panel()
    assert "<img" in getattr(panel, "panel", panel)._frame


def test_a_picture_that_can_not_be_drawn_at_all_is_a_fault_and_stays_one(monkeypatch):
    view = Bars()
    monkeypatch.setattr(view.line["trial"], "draw", lambda renderer: 1 / 0)
    with pytest.raises(ZeroDivisionError):
        view.frame_html()
