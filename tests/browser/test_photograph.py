"""A reader brings a photograph and sets its crosses with the sliders, in JupyterLab and on a phone."""

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


@pytest.mark.parametrize(("kind", "width"), [("lab", 1366), ("voila", 390)])
def test_a_reader_brings_a_photograph_and_reads_its_radius(
    kind, width, request, sample, open_notebook, tmp_path
):
    drawn = drawn_photo(feet(11), 1600, bow_share=0.0015, turn_deg=1.0)
    exif = Image.Exif()
    exif[0x0112] = 3  # held upside down
    Image.fromarray(np.ascontiguousarray(drawn.grey[::-1, ::-1])).save(tmp_path / "blade.jpg", exif=exif)
    grain = np.random.default_rng(1).integers(0, 256, (2000, 2000, 3), dtype=np.uint8)
    Image.fromarray(grain).save(tmp_path / "large.png", compress_level=0)  # 12 MB
    (tmp_path / "IMG_1.HEIC").write_bytes(b"\0\0\0\x18ftypheic" + bytes(100))

    path = sample("notebooks/photo.ipynb", run_on_open=True, code=samples.PHOTO)
    notebook = open_notebook(request.getfixturevalue(kind), path.name, width=width, height=768)
    notebook.wait_until_run()
    page = notebook.page
    panel = page.locator(".widget-vbox", has=page.get_by_role("button", name="add a picture")).last
    sentence, report = panel.locator(".bladelab-sentence"), panel.locator(".bladelab-report").first
    sentence.get_by_text("Step 1 of 5").wait_for()
    assert "±" not in sentence.inner_text()

    bring(page, panel, tmp_path / "IMG_1.HEIC")
    report.get_by_text("IMG_1.HEIC is a HEIC picture").wait_for()
    bring(page, panel, tmp_path / "large.png")
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
