"""Servers and browser for the tests that look at notebooks as a reader does."""

from pathlib import Path

import pytest

from tests.browser import harness


@pytest.fixture(scope="module")
def browser():
    """A headless Chromium; without one the tests are skipped."""
    if harness.find_chromium() is None:
        pytest.skip("no Chromium or Chrome on this machine (name one in the variable CHROMIUM)")
    with harness.chromium() as running:
        yield running


@pytest.fixture(scope="module")
def project_copy(tmp_path_factory) -> Path:
    """A copy of the notebooks that the servers may change."""
    return harness.copy_project(tmp_path_factory.mktemp("project"))


@pytest.fixture(scope="module")
def lab(browser, project_copy):
    """A running JupyterLab on the copy."""
    server = harness.start_server("lab", project_copy)
    yield server
    server.stop()


@pytest.fixture(scope="module")
def voila(browser, project_copy):
    """A running voila on the copy."""
    server = harness.start_server("voila", project_copy)
    yield server
    server.stop()


@pytest.fixture
def open_notebook(browser, tmp_path):
    """Call with a server and a notebook's name; what is open at the end of the test is closed."""
    opened = []

    def open_one(server, name, **options):
        opened.append(harness.open_notebook(browser, server, name, wait=False, **options))
        return opened[-1]

    yield open_one
    for notebook in opened:
        notebook.close()
