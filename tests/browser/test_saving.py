"""Saving under the reader's hands: it tells how far it is, and hears the button and the sliders."""

import re

from PIL import Image

from tests.browser import samples

REPORT = ".bladelab-report:visible"


def save_moving_picture(notebook):
    """Ask for the moving picture of the last panel; returns once it is on its way."""
    page = notebook.page
    page.locator("select:visible", has=page.locator("option", has_text="GIF")).select_option(label="GIF")
    page.get_by_role("button", name="save picture").last.click()
    page.locator(REPORT, has_text=re.compile(r"frame \d+ of 41")).wait_for()


def test_a_moving_picture_can_be_stopped_and_saved_while_a_slider_moves(lab, sample, saved, open_notebook):
    path = sample("notebooks/stride.ipynb", run_on_open=True, code=samples.STRIDE)
    notebook = open_notebook(lab, path.name)
    notebook.wait_until_run()
    notebook.wait_for_panel()

    save_moving_picture(notebook)
    notebook.page.get_by_role("button", name="stop", exact=True).click()
    notebook.page.locator(REPORT, has_text="no file was written").wait_for()
    assert not saved.exists()

    save_moving_picture(notebook)
    pictures, sentences = notebook.pictures(), notebook.sentences()
    notebook.press("moment of the stride", "ArrowRight", times=3)
    notebook.wait_for_change(pictures, sentences)
    assert "frame" in notebook.page.locator(REPORT).last.inner_text(), "it answered before the last frame"
    notebook.page.locator(REPORT, has_text="saved as saved/stride-1.gif").wait_for(timeout=60_000)
    (file,) = saved.iterdir()
    with Image.open(file) as picture:
        assert (file.name, picture.n_frames) == ("stride-1.gif", 41)
    assert not notebook.page.get_by_role("button", name="stop", exact=True).is_visible()
    assert notebook.slider_value("moment of the stride") == "25"
    assert notebook.cell_errors() == []
