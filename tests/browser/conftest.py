"""Opens notebooks for the tests that look at them as a reader does."""

import shutil
from pathlib import Path

import pytest

from tests.browser import harness, samples
from tools import execute_notebooks


@pytest.fixture
def saved(project_copy) -> Path:
    """Where the notebooks save; it is not there before the test, nor after it."""
    folder = project_copy / "notebooks" / "saved"
    assert not folder.exists()
    yield folder
    shutil.rmtree(folder, ignore_errors=True)


@pytest.fixture
def sample(project_copy):
    """Call with a place and whether the list holds its code: writes a notebook there. Both end with the
    test."""
    written, listed = [], execute_notebooks.read_list(project_copy)

    def write(place, run_on_open, code=samples.PANEL):
        path = project_copy / place
        path.parent.mkdir(parents=True, exist_ok=True)
        written.append(samples.write_notebook(path, code, run_on_open))
        return path

    yield write
    for path in written:
        path.unlink()
    execute_notebooks.write_list(project_copy, listed)


@pytest.fixture
def open_notebook(browser, windows):
    """Call with a server and a notebook's name; closes what that server has open, and what is open at the end
    of the test."""

    used = set()

    def open_one(server, name, **options):
        if server.kind not in windows:
            windows[server.kind] = harness.Window(browser, server)
        if server.kind in used:
            windows[server.kind].close_notebook()
        used.add(server.kind)
        return windows[server.kind].open(name, **options)

    yield open_one
    for window in windows.values():
        window.close_notebook()
