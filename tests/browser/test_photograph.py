"""A reader brings a photograph, in JupyterLab and on a phone, and sets its crosses with the sliders there."""

import re

import numpy as np
import pytest
from PIL import Image

from bladelab import feet
from tests.browser import samples
from tests.workshop.drawn_photo import drawn_photo


def bring(page, panel, file):
    """Choose a file as a reader does."""
    with page.expect_file_chooser() as chooser:
        panel.get_by_role("button", name="add a picture", exact=True).click()
    chooser.value.set_files(str(file))


@pytest.fixture
def open_panel(sample, open_notebook):
    """Call with a server and a width: opens the panel for photographs. Returns its notebook, itself, its
    sentence and its report."""

    def open_one(server, width):
        path = sample("notebooks/photo.ipynb", run_on_open=True, code=samples.PHOTO)
        notebook = open_notebook(server, path.name, width=width, height=768)
        notebook.wait_until_run()
        page = notebook.page
        panel = page.locator(".widget-vbox", has=page.get_by_role("button", name="add a picture")).last
        sentence, report = panel.locator(".bladelab-sentence"), panel.locator(".bladelab-report").first
        sentence.get_by_text("Step 1 of 5").wait_for()
        assert "±" not in sentence.inner_text()
        return notebook, panel, sentence, report

    return open_one


@pytest.fixture
def large(tmp_path):
    """A picture of 12 MB: more than a message may hold."""
    grain = np.random.default_rng(1).integers(0, 256, (2000, 2000, 3), dtype=np.uint8)
    Image.fromarray(grain).save(tmp_path / "large.png", compress_level=0)
    return tmp_path / "large.png"


def test_a_large_photograph_is_brought_to_jupyterlab(lab, open_panel, large):
    notebook, panel, _, report = open_panel(lab, 1366)
    bring(notebook.page, panel, large)
    report.get_by_text("large.png: 2000 by 2000 px").wait_for()
    assert notebook.all_errors() == []


def test_a_reader_brings_a_photograph_and_reads_its_radius(voila, open_panel, large, tmp_path):
    drawn = drawn_photo(feet(11), 1600, bow_share=0.0015, turn_deg=1.0)
    exif = Image.Exif()
    exif[0x0112] = 3  # held upside down
    Image.fromarray(np.ascontiguousarray(drawn.grey[::-1, ::-1])).save(tmp_path / "blade.jpg", exif=exif)
    (tmp_path / "IMG_1.HEIC").write_bytes(b"\0\0\0\x18ftypheic" + bytes(100))

    notebook, panel, sentence, report = open_panel(voila, 390)
    page = notebook.page
    bring(page, panel, tmp_path / "IMG_1.HEIC")
    report.get_by_text("IMG_1.HEIC is a HEIC picture").wait_for()
    bring(page, panel, large)
    report.get_by_text("large.png: 2000 by 2000 px").wait_for()
    bring(page, panel, tmp_path / "blade.jpg")
    report.get_by_text("blade.jpg: 1600 by 640 px").wait_for()
    for name, value in drawn.dials().items():
        panel.locator("label", has=page.locator(f"[data-dial={name}]")).locator("output").click()
        page.keyboard.type(f"{value:.2f}")
        page.keyboard.press("Enter")
    sentence.get_by_text("±").wait_for()
    low, high = re.search(r"lies between ([\d.]+) and ([\d.]+)\sft", sentence.inner_text()).groups()
    assert float(low) < 11.0 < float(high)

    # An arrow key at a time the cross leaves its mark.
    panel.locator("[data-dial=mark_1_across]").focus()
    for _ in range(24):
        page.keyboard.press("ArrowRight")
    sentence.get_by_text("Mark 1 is on blank ground").wait_for()
    assert "±" not in sentence.inner_text()
    assert notebook.all_errors() == []
