"""Servers and browser for the tests that look at notebooks as a reader does.

They are shared by the files here that run one after the other: to start them takes longer than many a test.
"""

import shutil
from pathlib import Path

import pytest

from tests.browser import harness


@pytest.fixture(scope="package")
def browser():
    """A headless Chromium; without one the tests are skipped."""
    if harness.find_chromium() is None:
        pytest.skip("no Chromium or Chrome on this machine (name one in the variable CHROMIUM)")
    with harness.chromium() as running:
        yield running


@pytest.fixture(scope="package")
def project_copy(tmp_path_factory) -> Path:
    """A copy of the notebooks that the servers may change."""
    return harness.copy_project(tmp_path_factory.mktemp("project"))


@pytest.fixture
def saved(project_copy) -> Path:
    """Where the notebooks save; it is not there before the test, nor after it."""
    folder = project_copy / "notebooks" / "saved"
    assert not folder.exists()
    yield folder
    shutil.rmtree(folder, ignore_errors=True)


@pytest.fixture(scope="package")
def lab(browser, project_copy):
    """A running JupyterLab on the copy."""
    server = harness.start_server("lab", project_copy)
    yield server
    server.stop()


@pytest.fixture(scope="package")
def voila(browser, project_copy):
    """A running voila on the copy."""
    server = harness.start_server("voila", project_copy)
    yield server
    server.stop()


@pytest.fixture(scope="package")
def windows(browser):
    """The windows that are open, one for each server."""
    opened: dict[str, harness.Window] = {}
    yield opened
    for window in opened.values():
        window.close()


@pytest.fixture
def open_notebook(browser, windows):
    """Call with a server and a notebook's name; what is open at the end of the test is closed."""

    def open_one(server, name, **options):
        if server.kind not in windows:
            windows[server.kind] = harness.Window(browser, server)
        return windows[server.kind].open(name, **options)

    yield open_one
    for window in windows.values():
        window.close_notebook()


@pytest.fixture
def open_address(browser):
    """Call with a server and a notebook's name: opens it by its address, in a window of its own."""
    opened = []

    def open_one(server, name):
        opened.append(harness.open_notebook(browser, server, name, wait=False))
        return opened[-1]

    yield open_one
    for notebook in opened:
        notebook.close()
