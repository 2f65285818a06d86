"""Every notebook in real JupyterLab: it runs by itself, its panel answers, and no error shows."""

import pytest

from tests.browser.harness import ROOT, notebook_names, uses_widgets


@pytest.mark.parametrize("name", notebook_names())
def test_notebook_opens_runs_and_answers(lab, open_notebook, name):
    notebook = open_notebook(lab, name)
    notebook.wait_until_run()
    if uses_widgets(ROOT / "notebooks" / name):
        notebook.wait_for_panel()
        move_first_slider(notebook)
    assert notebook.all_errors() == []
    assert notebook.dialogs() == []


def move_first_slider(notebook):
    """Press an arrow key on the first slider and see the picture change, and soon the sentence.

    One step may be too small for the rounded numbers of the sentence, so the key is pressed ten times.
    """
    notebook.settle()
    pictures, sentences = notebook.pictures(), notebook.sentences()
    assert sentences and all(sentences), "a panel says what it shows"
    label = notebook.slider_labels()[0]
    value = notebook.slider_value(label)
    notebook.press(label, "ArrowRight")
    key = "ArrowRight" if notebook.slider_value(label) != value else "ArrowLeft"  # it stood at its right end
    if key == "ArrowLeft":
        notebook.press(label, key)
    notebook.wait_for_change(pictures, None)
    notebook.press(label, key, times=9)
    notebook.wait_for_change(pictures, sentences)
    assert notebook.slider_value(label) != value
