"""In a browser, the still part with the moving SVG over it looks like the whole picture by matplotlib."""

from __future__ import annotations

import io

import numpy as np
import pytest
from matplotlib.figure import Figure
from PIL import Image

from bladelab.show.canvas.style import style_context
from bladelab.show.clinic.deck import build_deck
from bladelab.show.clinic.drawing import Page, draw_page
from bladelab.show.clinic.lesson import Examples
from bladelab.show.panel.page import _LOOKS
from bladelab.show.panels.blade.main import main_panel
from bladelab.show.panels.blade.rocker import rocker_panel
from bladelab.show.panels.ice.bite import bite_panel
from bladelab.show.panels.ice.contact import contact_panel
from bladelab.show.panels.workshop.measure import measure_panel
from bladelab.show.panels.workshop.photo import photo_panel

pytestmark = pytest.mark.browser

# The two are drawn by different programs: letters and edges differ by a shade, long texts by a pixel or two
# at their end. A label or a line out of place changes far more. Measured here: at most 0.5 and 50; a lost
# line: 106.
MOST_MEAN_DIFFERENCE = 1.0
MOST_BLOCK_DIFFERENCE = 70.0
HEADLINE_BLOCKS = 5  # the headline, the longest text, is left to the mean
TITLE_BLOCKS = 18  # and so is the title of a slide


@pytest.fixture(scope="module")
def page(blank_page):
    """A blank page in headless Chromium; without one the test is skipped."""
    return blank_page(viewport={"width": 1000, "height": 1100}, device_scale_factor=2)


def blocks(picture: np.ndarray) -> np.ndarray:
    """Mean of each block of 12 by 12 dots: a shift of part of a pixel hardly shows, a lost line does."""
    high, wide = (n // 12 * 12 for n in picture.shape[:2])
    return picture[:high, :wide].reshape(high // 12, 12, wide // 12, 12, 3).mean(axis=(1, 3))


def shown(page, pictures: list[list[str]], wide: int, high: int) -> list[np.ndarray]:
    """What the browser makes of pictures, each of these layers, one over the other."""
    boxes = "".join(
        f'<div class="bladelab-picture" style="width:{wide}px;height:{high}px">'
        + "".join(f"<div>{layer}</div>" for layer in layers)
        + "</div>"
        for layers in pictures
    )
    page.set_content(f'<style>{_LOOKS}</style><body style="margin:0">{boxes}')
    page.evaluate("document.fonts.ready")
    clip = {"x": 0, "y": 0, "width": wide, "height": high * len(pictures)}
    png = np.asarray(Image.open(io.BytesIO(page.screenshot(clip=clip))).convert("RGB"), dtype=float)
    return np.split(png, len(pictures))


def difference(page, view, whole: np.ndarray) -> np.ndarray:
    """Block by block, how far the two layers are from the whole picture, 0 to 255."""
    [layers] = shown(page, [[view.still_html(), view.frame_html()]], view.width_px, view.height_px)
    assert layers.shape == whole.shape
    return np.abs(blocks(layers) - blocks(whole))


def drawn_whole(view) -> np.ndarray:
    """The picture as matplotlib draws it in one piece."""
    return np.asarray(Image.open(io.BytesIO(view.png(2.0))).convert("RGB"), dtype=float)


@pytest.mark.parametrize(
    "make_panel", [main_panel, rocker_panel, bite_panel, contact_panel, measure_panel, photo_panel]
)
def test_two_layers_look_like_one_picture(page, make_panel):
    made = make_panel()
    view = getattr(made, "panel", made).view
    far = difference(page, view, drawn_whole(view))
    assert far.mean() < MOST_MEAN_DIFFERENCE
    assert far[HEADLINE_BLOCKS:].max() < MOST_BLOCK_DIFFERENCE


def test_the_comparison_would_notice_a_lost_line(page):
    view = main_panel().view
    whole = drawn_whole(view)
    view.rocker.curve["trial"].set_visible(False)
    assert difference(page, view, whole)[HEADLINE_BLOCKS:].max() > MOST_BLOCK_DIFFERENCE


def far_off(page, drawn: Page, whole: Figure) -> np.ndarray:
    """Block by block, how far a slide is from the same slide as a file by matplotlib, both in the browser.

    A file with its letters as outlines: large letters as PNG are set some pixels wider.
    """
    buffer = io.BytesIO()
    with style_context(svg_fonttype="path"):
        whole.savefig(buffer, format="svg")
    file = buffer.getvalue().decode()
    ours, wanted = shown(page, [[drawn.html("")], [file[file.index("<svg") :]]], 960, 540)
    return np.abs(blocks(ours) - blocks(wanted))


@pytest.mark.parametrize("number", range(0, 24, 2))
def test_a_slide_looks_the_same(page, number):
    """A slide redrawn on a page that showed it for other blades before, in the browser; measured: at most
    0.53 and 25."""
    drawn = Page()
    drawn.draw(build_deck(examples=Examples(radius_a_mm=4000.0, hollow_a_mm=20.0)).slides[number], 1)
    slide = build_deck().slides[number]
    drawn.draw(slide, number + 1)
    far = far_off(page, drawn, draw_page(slide, number + 1))
    assert far[TITLE_BLOCKS:].mean() < MOST_MEAN_DIFFERENCE
    assert far[TITLE_BLOCKS:].max() < MOST_BLOCK_DIFFERENCE


def test_the_comparison_would_notice_a_lost_bar(page):
    slide = next(slide for slide in build_deck().slides if slide.title.startswith("How we know"))
    drawn = Page()
    drawn.draw(slide, 5)
    drawn.figure.subfigs[0].axes[0].patches[0].set_visible(False)
    assert far_off(page, drawn, draw_page(slide, 10))[TITLE_BLOCKS:].max() > MOST_BLOCK_DIFFERENCE
