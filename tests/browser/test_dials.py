"""Sliders in real JupyterLab: what can be typed into, what disappears, and what our own bug shows."""

import pytest

from tests.browser.harness import Window
from tests.browser.page import wait_for
from tests.browser.samples import write_notebook

# A panel whose answer has a bug at the second entry of its choice.
BREAKS = """
import threading
from bladelab.show.controls.control import Choice, Slider
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

def answer(state):
    said = UNITS.say("hollow", state.hollow_mm)
    thread = threading.current_thread().name
    return Result(finding=said, sentence=f"Out of {1 / state.share:.0f}. Answered on {thread}.")

Panel("number", Number(), [
    Slider("hollow_mm", "hollow", "hollow", low=6.35, high=38.1, default=15.875, quantity="hollow"),
    Choice("share", "share", "view", options=(("half", 0.5), ("none", 0.0)), default=0.5),
], answer)
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
    opened.page.locator(".bladelab-sentence", has_text="Out of 2.").wait_for()
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
    assert notebook.sentences() == ["Out of 2. Answered on MainThread."]


def test_a_fault_of_ours_is_told_to_the_reader_and_to_the_tests(notebook):
    notebook.choose(notebook.dropdown_labels().index("share"), 1)
    notebook.page.locator(".bladelab-fault", has_text="a bug in bladelab").wait_for()
    (error,) = wait_for(notebook.all_errors)
    assert "ZeroDivisionError" in error
    notebook.choose(notebook.dropdown_labels().index("share"), 0)
    notebook.page.locator(".bladelab-sentence", has_text="Out of 2.").wait_for()


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
