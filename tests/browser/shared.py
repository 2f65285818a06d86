"""The servers and the browser that the tests and the journeys share, known to all tests by tests/conftest.py.

To start them takes longer than many a test.
"""

from pathlib import Path

import pytest

from tests.browser import harness


@pytest.fixture(scope="session")
def browser():
    """A headless Chromium; without one the tests are skipped."""
    if harness.find_chromium() is None:
        pytest.skip("no Chromium or Chrome on this machine (name one in the variable CHROMIUM)")
    with harness.chromium() as running:
        yield running


@pytest.fixture(scope="module")
def blank_page(browser):
    """Call with options of playwright's ``new_context``: a blank page with a clock, a size and a scale of its
    own."""
    contexts = []

    def open_one(**options):
        contexts.append(browser.browser.new_context(**options))
        return contexts[-1].new_page()

    yield open_one
    for context in contexts:
        context.close()


@pytest.fixture(scope="session")
def project_copy(tmp_path_factory) -> Path:
    """A copy of the notebooks that the servers may change."""
    return harness.copy_project(tmp_path_factory.mktemp("project"))


@pytest.fixture(scope="session")
def kernels():
    """Where the servers get kernels that are there at once."""
    with harness.forked_kernels() as place:
        yield place


@pytest.fixture(scope="session")
def lab(browser, project_copy, kernels):
    """A running JupyterLab on the copy. It is dark, since the plain pages are light."""
    server = harness.start_server("lab", project_copy, kernels=kernels, theme="JupyterLab Dark")
    yield server
    server.stop()


@pytest.fixture(scope="session")
def voila(browser, project_copy, kernels):
    """A running voila on the copy."""
    server = harness.start_server("voila", project_copy, kernels=kernels)
    yield server
    server.stop()


@pytest.fixture(scope="session")
def windows(browser):
    """The windows that are open, one for each server."""
    opened: dict[str, harness.Window] = {}
    yield opened
    for window in opened.values():
        window.close()
