"""Every notebook in real JupyterLab: it runs by itself, its panel answers, and no error shows."""

import pytest

from tests.browser.harness import ROOT, notebook_names, uses_widgets


@pytest.mark.parametrize("name", notebook_names())
def test_notebook_opens_runs_and_answers(lab, open_notebook, name):
    notebook = open_notebook(lab, name)
    notebook.wait_until_run()
    if uses_widgets(ROOT / "notebooks" / name):
        notebook.wait_for_panel()
        move_a_control(notebook)
    assert notebook.all_errors() == []
    assert notebook.dialogs() == []


def move_a_control(notebook):
    """Move every slider, and see that a picture and a sentence have changed; else dropdowns and tick boxes in
    turn.

    One slider alone would not do: the length of a blade, say, does not change how it bites, and one step may
    be too small for the rounded numbers of a sentence.
    """
    notebook.wait_for_answer()
    pictures, sentences = notebook.pictures(), notebook.sentences()
    assert sentences and all(sentences), "a panel says what it shows"

    def answered():
        notebook.wait_for_answer()
        return notebook.pictures() != pictures and notebook.sentences() != sentences

    labels = notebook.slider_labels()
    for number, label in enumerate(labels):
        value = notebook.slider_value(number)
        notebook.press(number, "ArrowRight", times=5)
        if notebook.slider_value(number) == value:  # at its right end
            notebook.press(number, "ArrowLeft", times=5)
        assert notebook.slider_value(number) != value, f"the slider {label!r} moves"
    if labels and answered():
        return
    for number, label in enumerate(notebook.dropdown_labels()):
        if label in ("", "units"):  # the form of a saved picture, and units, which change any panel
            continue
        before = notebook.choose_other(number)
        if answered():
            return
        notebook.choose(number, before)
        notebook.wait_for_answer()
    for number in range(notebook.page.locator(".widget-checkbox:visible").count()):
        notebook.tick(number)
        if answered():
            return
    raise AssertionError(f"nothing changes a picture and a sentence; the sliders are {labels}")
