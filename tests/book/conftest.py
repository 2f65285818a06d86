"""Books for the tests: in a file of their own, and on a server where there is one."""

import pytest

from bladelab.book import database
from tests.book import server


@pytest.fixture(autouse=True)
def hurried_disk(monkeypatch):
    """Books in these tests don't wait for the disk: no test cuts the power."""
    hurried = tuple("synchronous=OFF" if one == "synchronous=FULL" else one for one in database.SETTINGS)
    monkeypatch.setattr(database, "SETTINGS", hurried)


@pytest.fixture(scope="session")
def new_database():
    """A function that makes an empty database on a server; skips where there is no server."""
    if reason := server.why_not():
        pytest.skip(reason)
    with server.server() as database:
        yield database


@pytest.fixture(params=["file", pytest.param("server", marks=pytest.mark.slow)])
def place(request, tmp_path):
    """Where a new book can be: a file that is not there yet, and an empty database."""
    if request.param == "file":
        return tmp_path / "season" / "book.sqlite"
    return request.getfixturevalue("new_database")()


@pytest.fixture
def fresh(place, tmp_path, request):
    """Another such place, of the same kind."""
    return request.getfixturevalue("new_database")() if isinstance(place, str) else tmp_path / "fresh.sqlite"
