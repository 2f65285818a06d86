"""A small panel under the reader's hands, in real JupyterLab: what can be typed into, what plays, what is
saved meanwhile, what disappears, and what our own bug shows."""

import re

import pytest
from PIL import Image

from tests.browser.harness import Window
from tests.browser.page import until, wait_for
from tests.browser.samples import write_notebook

# A panel whose answer has a bug at the second entry of its choice. Each frame of its moving picture takes as
# long as that of a large panel.
BREAKS = """
import threading
import time
from bladelab.show.controls.control import Choice, Frames, Slider
from bladelab.show.panel.engine import Panel
from bladelab.show.wording.units_shown import UNITS
from bladelab.show.canvas.result import Result
from bladelab.show.canvas.view import View

class Number(View):
    width_px, height_px = 300, 80
    def draw(self):
        pass
    def update(self, result):
        pass
    def pixels(self):
        time.sleep(0.1)
        return super().pixels()

def answer(state):
    said, frame = UNITS.say("hollow", state.hollow_mm), f"frame {state.frame:.0f}"
    thread = threading.current_thread().name
    return Result(
        finding=f"{said}, {frame}", sentence=f"Out of {1 / state.share:.0f}, {frame}, on {thread}.")

Panel("number", Number(), [
    Slider("hollow_mm", "hollow", "hollow", low=6.35, high=38.1, default=15.875, quantity="hollow"),
    Choice("share", "share", "view", options=(("half", 0.5), ("none", 0.0)), default=0.5),
    Frames("frame", "moment", "view", count=41, default=22, interval_ms=60),
], answer)
"""

REPORT = ".bladelab-report:visible"

# Runs in the page: notes each value that the slider shows.
NOTE_VALUES = """
() => {
  window.seen = [];
  const readout = document.querySelector('[data-dial=frame]').closest('label').querySelector('output');
  const note = () => { if (seen.at(-1) !== +readout.innerText) seen.push(+readout.innerText); };
  new MutationObserver(note).observe(readout, {characterData: true, childList: true, subtree: true});
}
"""


@pytest.fixture(scope="module")
def opened(lab, browser, windows, project_copy):
    """The panel above in a notebook of its own."""
    path = write_notebook(project_copy / "notebooks" / "number.ipynb", BREAKS)
    window = windows.setdefault("lab", Window(browser, lab))
    notebook = window.open(path.name)
    notebook.wait_until_run()
    notebook.wait_for_panel()
    yield notebook
    window.close_notebook()
    path.unlink()


@pytest.fixture
def notebook(opened):
    """The panel, as it was when it opened."""
    for menu in ("units", "share"):
        opened.choose(opened.dropdown_labels().index(menu), 0)
    type_hollow(opened, "5/8")
    opened.page.locator(".bladelab-picture", has_text="5/8 in").wait_for()
    opened.page.locator(".bladelab-sentence", has_text="Out of 2,").wait_for()
    opened.page.evaluate("bladelabKernel.errors = []")
    return opened


def type_hollow(notebook, text):
    """Type a value for the slider, with or without its unit."""
    notebook.page.locator("[data-dial=hollow_mm]").focus()
    notebook.page.keyboard.type(text)
    notebook.page.keyboard.press("Enter")


def test_a_value_can_be_typed(notebook):
    type_hollow(notebook, "3/4")
    notebook.page.locator(".bladelab-picture", has_text="3/4 in").wait_for()
    assert notebook.slider_value("hollow") == "3/4 in"
    notebook.choose(notebook.dropdown_labels().index("units"), 1)
    notebook.page.locator("output", has_text="19.1 mm").click()
    notebook.page.keyboard.type("12,7")
    notebook.page.keyboard.press("Enter")
    notebook.page.locator(".bladelab-picture", has_text="12.7 mm").wait_for()
    assert notebook.slider_value("hollow") == "12.7 mm"
    type_hollow(notebook, "500")
    notebook.page.locator(".bladelab-report", has_text="at least 6.3 mm and at most 38.1 mm").wait_for()
    assert notebook.slider_value("hollow") == "12.7 mm" and notebook.all_errors() == []


def test_a_move_is_answered_between_the_cells_and_not_beside_them(notebook):
    notebook.press("hollow", "ArrowRight")
    notebook.page.locator(".bladelab-picture", has_text="11/16 in").wait_for()
    assert notebook.sentence().endswith("on MainThread.")


def test_a_fault_of_ours_is_told_to_the_reader_and_to_the_tests(notebook):
    notebook.choose(notebook.dropdown_labels().index("share"), 1)
    notebook.page.locator(".bladelab-fault", has_text="a bug in bladelab").wait_for()
    (error,) = wait_for(notebook.all_errors)
    assert "ZeroDivisionError" in error
    notebook.choose(notebook.dropdown_labels().index("share"), 0)
    notebook.page.locator(".bladelab-sentence", has_text="Out of 2,").wait_for()


def test_the_player_goes_on_from_where_the_slider_was_moved_to(notebook):
    player = notebook.page.locator(".bladelab-play")
    notebook.press("moment", "Home")
    notebook.press("moment", "ArrowRight", times=2)
    assert notebook.slider_value("moment") == "2"
    before = notebook.pictures(), notebook.sentences()
    notebook.page.evaluate(NOTE_VALUES)
    player.click()
    until(notebook.page, "seen.length >= 5")
    notebook.wait_for_change(*before)
    seen = notebook.page.evaluate("seen")
    assert seen == list(range(3, 3 + len(seen)))

    notebook.press("moment", "End")  # by hand, while it plays: it goes on from there
    until(notebook.page, "seen.includes(40) && seen.slice(seen.indexOf(40)).includes(3)")
    seen = notebook.page.evaluate("seen.slice(seen.indexOf(40))")
    assert seen.index(3) < 12, "it went on at the end, and from the beginning again"

    player.click()
    notebook.wait_for_answer()
    frame = int(notebook.slider_value("moment"))
    notebook.page.wait_for_timeout(300)
    assert notebook.slider_value("moment") == str(frame), "it has stopped"
    notebook.press("moment", "Home")
    notebook.page.locator(".bladelab-sentence", has_text="frame 0,").wait_for()
    assert notebook.all_errors() == []


def save_moving_picture(notebook):
    """Ask for the moving picture of the last panel; returns once it is on its way."""
    page = notebook.page
    page.locator("select:visible", has=page.locator("option", has_text="GIF")).select_option(label="GIF")
    page.get_by_role("button", name="save picture").last.click()
    page.locator(REPORT, has_text=re.compile(r"frame \d+ of 41")).wait_for()


def test_a_moving_picture_can_be_stopped_and_saved_while_a_slider_moves(notebook, saved):
    """It tells how far it is, and hears the button and the sliders."""
    save_moving_picture(notebook)
    notebook.page.get_by_role("button", name="stop", exact=True).click()
    notebook.page.locator(REPORT, has_text="no file was written").wait_for()
    assert not saved.exists()

    notebook.press("moment", "Home")
    save_moving_picture(notebook)
    pictures, sentences = notebook.pictures(), notebook.sentences()
    notebook.press("moment", "ArrowRight", times=3)
    notebook.wait_for_change(pictures, sentences)
    assert "of 41" in notebook.page.locator(REPORT).last.inner_text(), "it answered before the last frame"
    notebook.page.locator(REPORT, has_text="saved as saved/number-1.gif").wait_for(timeout=60_000)
    (file,) = saved.iterdir()
    with Image.open(file) as picture:
        assert (file.name, picture.n_frames) == ("number-1.gif", 41)
    assert not notebook.page.get_by_role("button", name="stop", exact=True).is_visible()
    assert notebook.slider_value("moment") == "3"
    assert notebook.cell_errors() == []


def test_a_panel_whose_cell_was_run_again_is_told_to_be_gone(notebook):
    views = """async code => {
      const kernel = jupyterapp.shell.currentWidget.sessionContext.session.kernel;
      const future = kernel.requestExecute({code, store_history: false});
      let text = '';
      future.onIOPub = message => { text += message.content.text ?? ''; };
      await future.done;
      return text;
    }"""
    ask = "import gc; print([p._view_count for p in gc.get_objects() if type(p).__name__ == 'Panel'])"
    assert notebook.page.evaluate(views, ask).strip() == "[1]"
    notebook.page.evaluate("jupyterapp.commands.execute('notebook:run-all-cells')")
    wait_for(lambda: sorted(eval(notebook.page.evaluate(views, ask))) == [0, 1])
