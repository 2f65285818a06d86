"""People and their files."""

import shutil
from pathlib import Path

import pytest

from tests.browser.harness import Window, give_book, start_server
from tests.journeys.desk import Desk
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
def sit_down(request, browser, windows, kernels, project_copy):
    """Call with "lab" or "voila", a book, and the kind of desk: its notebooks have this book. It is cleared
    after the test."""
    desks, servers = [], []

    def at(kind, book, make=Desk):
        if kernels:
            give_book(kernels, book)
            window = windows.setdefault(kind, Window(browser, request.getfixturevalue(kind)))
        else:
            servers.append(start_server(kind, project_copy, book=book))
            window = Window(browser, servers[-1])
        desks.append(make(window))
        return desks[-1]

    yield at
    for one in desks:
        one.window.close_notebook()
    for server in servers:
        server.stop()
    if kernels:
        give_book(kernels, "")


@pytest.fixture
def own_files(project_copy) -> Path:
    """The folder with the notebooks, beside which a person's own files lie; theirs are gone afterwards."""
    folder = project_copy / "notebooks"
    yield folder
    for name in ("measured", "saved"):
        shutil.rmtree(folder / name, ignore_errors=True)
