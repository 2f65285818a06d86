"""What runs when it opens, and what does not."""

import nbformat

from tests.browser.page import wait_for

DRAWN = "img.bladelab-picture"


def changed(path, change):
    """Change a stored notebook in place."""
    notebook = nbformat.read(path, as_version=4)
    change(notebook)
    nbformat.write(notebook, path)


def waits(notebook):
    """Whether the notebook was looked at when it opened, and not run."""
    notebook.wait_for_kernel()
    notebook.page.locator(".run-on-open-waits, .run-on-open-done").wait_for()
    notebook.wait_for_answer()
    drawn = notebook.page.locator(DRAWN).count()
    return notebook.page.locator(".run-on-open-waits").count() == 1 and drawn == 0


def test_a_listed_notebook_runs_and_its_panel_answers(lab, sample, open_notebook):
    path = sample("notebooks/listed.ipynb", run_on_open=True)
    before = path.read_bytes()
    notebook = open_notebook(lab, path.name)
    stays_at_its_top_while_the_cells_run(notebook.page)
    notebook.wait_until_run()
    notebook.wait_for_panel()
    assert notebook.sentence() == "The speed is 1.0."
    pictures, sentences = notebook.pictures(), notebook.sentences()
    notebook.press("speed", "ArrowRight", times=3)
    notebook.wait_for_change(pictures, sentences)
    wait_for(lambda: notebook.sentence() == "The speed is 1.3.", notebook.sentence)
    notebook.press("speed", "ArrowLeft", times=3)
    wait_for(lambda: notebook.pictures() == pictures)
    assert notebook.all_errors() == []
    assert notebook.dialogs() == []
    assert path.read_bytes() == before
    assert not notebook.is_unsaved()

    notebook.page.evaluate("jupyterapp.commands.execute('docmanager:save')")
    stored = nbformat.read(path, as_version=4)
    assert stored.cells[1].outputs and stored.cells[1].execution_count
    again = open_notebook(lab, path.name)  # saved with its outputs, it runs as before
    again.wait_until_run()
    again.wait_for_panel()
    assert again.page.locator(".run-on-open-done").count() == 1


def stays_at_its_top_while_the_cells_run(page):
    active = "window.jupyterapp?.shell?.currentWidget?.content?.activeCellIndex"
    page.wait_for_function(f"{active} === 0", timeout=60_000)
    assert page.locator(".run-on-open-done").count() == 0
    watched = (
        f"(window.activeCells ??= new Set()).add({active}) && document.querySelector('.run-on-open-done')"
    )
    page.wait_for_function(watched, timeout=60_000)
    assert page.evaluate("[...activeCells]") == [0]


def test_a_notebook_that_is_not_listed_waits_for_its_reader(lab, sample, open_notebook):
    path = sample("notebooks/stranger.ipynb", run_on_open=False, code="1 / 0")
    changed(path, lambda notebook: notebook.metadata.update(bladelab={"run_on_open": True}))
    notebook = open_notebook(lab, path.name)
    assert waits(notebook), "whatever it says of itself"
    assert notebook.cell_errors() == []
    notebook.run_all()
    notebook.wait_until_run()
    assert any("ZeroDivisionError" in text for text in wait_for(notebook.all_errors))


def test_a_listed_notebook_whose_code_was_changed_waits(lab, sample, open_notebook):
    path = sample("notebooks/listed.ipynb", run_on_open=True)

    def change(notebook):
        notebook.cells[1].source += "\n"
        notebook.metadata.update(bladelab={"run_on_open": True})

    changed(path, change)
    assert waits(open_notebook(lab, path.name))


def test_a_notebook_of_the_collection_with_one_more_cell_waits(lab, open_notebook, project_copy):
    path = project_copy / "notebooks" / "06_glide.ipynb"
    before = path.read_bytes()
    changed(path, lambda notebook: notebook.cells.append(nbformat.v4.new_code_cell("1 + 1")))
    assert waits(open_notebook(lab, path.name))
    path.write_bytes(before)


def test_a_listed_notebook_outside_the_folder_of_the_collection_waits(lab, sample, open_notebook):
    sample("elsewhere/listed.ipynb", run_on_open=True)
    assert waits(open_notebook(lab, "../elsewhere/listed.ipynb"))
