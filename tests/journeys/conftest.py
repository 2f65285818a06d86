"""People and their files."""

import shutil
from pathlib import Path

import pytest

from tests.browser.harness import Window
from tests.journeys.person import Person


@pytest.fixture
def person(request, browser, windows):
    """Call with "lab" or "voila": someone at JupyterLab or at the plain pages."""
    people = []

    def at(kind):
        if kind not in windows:
            windows[kind] = Window(browser, request.getfixturevalue(kind))
        people.append(Person(windows[kind]))
        return people[-1]

    yield at
    for one in people:
        one.close()


@pytest.fixture
def own_files(project_copy) -> Path:
    """The folder with the notebooks, beside which a person's own files lie; theirs are gone afterwards."""
    folder = project_copy / "notebooks"
    yield folder
    for name in ("measured", "saved"):
        shutil.rmtree(folder / name, ignore_errors=True)
