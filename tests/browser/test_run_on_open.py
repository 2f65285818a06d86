"""What runs by itself when it opens, and what does not."""

import pytest

from tests.browser import samples

DRAWN = "img.bladelab-picture"


@pytest.fixture
def sample(project_copy):
    """Call with a place and whether to set the flag: writes a small panel there."""
    written = []

    def write(place, run_on_open):
        path = project_copy / place
        path.parent.mkdir(parents=True, exist_ok=True)
        written.append(samples.write_notebook(path, samples.PANEL, run_on_open))
        return path

    yield write
    for path in written:
        path.unlink()


def test_a_flagged_notebook_runs_and_its_panel_answers(lab, sample, open_address):
    path = sample("notebooks/flagged.ipynb", run_on_open=True)
    before = path.read_bytes()
    notebook = open_address(lab, path.name)  # as start.py does
    notebook.wait_until_run()
    notebook.wait_for_panel()
    assert notebook.sentence() == "The speed is 1.0."
    pictures, sentences = notebook.pictures(), notebook.sentences()
    notebook.press("speed", "ArrowRight", times=3)
    notebook.wait_for_change(pictures, sentences)
    notebook.settle()
    assert notebook.sentence() == "The speed is 1.3."
    notebook.press("speed", "ArrowLeft", times=3)
    notebook.settle()
    assert notebook.pictures() == pictures
    assert notebook.all_errors() == []
    assert notebook.dialogs() == []
    assert path.read_bytes() == before
    assert not notebook.is_unsaved()


def test_a_notebook_without_the_flag_waits_for_its_reader(lab, sample, open_notebook):
    path = sample("notebooks/plain.ipynb", run_on_open=False)
    notebook = open_notebook(lab, path.name)
    notebook.wait_for_kernel()
    notebook.page.wait_for_timeout(1500)
    assert notebook.page.locator(DRAWN).count() == 0
    notebook.run_all()
    notebook.wait_until_run()
    notebook.wait_for_panel()


def test_a_flagged_notebook_outside_the_folder_of_the_collection_waits(lab, sample, open_notebook):
    sample("elsewhere/flagged.ipynb", run_on_open=True)
    notebook = open_notebook(lab, "../elsewhere/flagged.ipynb")
    notebook.wait_for_kernel()
    notebook.page.wait_for_timeout(1500)
    assert notebook.page.locator(DRAWN).count() == 0


def test_an_error_in_a_cell_is_seen_by_these_tests(lab, open_notebook, project_copy):
    path = samples.write_notebook(project_copy / "notebooks/broken.ipynb", "1 / 0")
    notebook = open_notebook(lab, path.name)
    notebook.wait_until_run()
    assert any("ZeroDivisionError" in text for text in notebook.all_errors())
    path.unlink()
