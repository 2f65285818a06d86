"""Servers, browser and files for the journeys: the fixtures of the browser tests, with servers of their own."""

import pytest

from tests.browser.conftest import browser, lab, open_notebook, project_copy, voila, windows
from tests.browser.harness import ROOT

__all__ = ["browser", "lab", "open_notebook", "project_copy", "voila", "windows"]


def pytest_collection_modifyitems(items):
    """Everything here is a journey: a quick run leaves them out by that name."""
    for item in items:
        if item.path.is_relative_to(ROOT / "tests/journeys"):
            item.add_marker(pytest.mark.journey)
