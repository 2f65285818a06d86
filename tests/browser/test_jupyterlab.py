"""Every notebook in real JupyterLab: it runs by itself, its panel answers, and no error shows."""

import pytest

from tests.browser.harness import ROOT, notebook_names, uses_widgets


@pytest.mark.parametrize("name", notebook_names())
def test_notebook_opens_runs_and_answers(lab, open_notebook, name):
    notebook = open_notebook(lab, name)
    notebook.wait_until_run()
    if uses_widgets(ROOT / "notebooks" / name):
        notebook.wait_for_panel()
        move_a_slider(notebook)
    assert notebook.all_errors() == []
    assert notebook.dialogs() == []


def move_a_slider(notebook):
    """Press an arrow key on the sliders in turn until a picture and a sentence have changed.

    The first slider alone would not do: the length of a blade, say, does not change how it bites, and one step
    may be too small for the rounded numbers of a sentence.
    """
    notebook.settle()
    pictures, sentences = notebook.pictures(), notebook.sentences()
    assert sentences and all(sentences), "a panel says what it shows"
    labels = notebook.slider_labels()
    for number, label in enumerate(labels):
        value = notebook.slider_value(number)
        notebook.press(number, "ArrowRight", times=5)
        if notebook.slider_value(number) == value:  # it stood at its right end
            notebook.press(number, "ArrowLeft", times=5)
        assert notebook.slider_value(number) != value, f"the slider {label!r} moves"
        notebook.settle()
        if notebook.pictures() != pictures and notebook.sentences() != sentences:
            return
    raise AssertionError(f"none of the sliders {labels} changes a picture and a sentence")
