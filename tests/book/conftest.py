"""Books for the tests: in a file of their own, and on a server where there is one."""

import datetime
import shutil

import pytest

from bladelab.book import database
from bladelab.book.entry import Entry
from bladelab.book.steel_happenings import Sharpened
from bladelab.book.store import open_book
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


@pytest.fixture
def path(tmp_path):
    """A file for a book, which is not there yet."""
    return tmp_path / "book.sqlite"


@pytest.fixture(scope="session")
def pattern(tmp_path_factory):
    """A book of 400 entries, on many pages."""
    path = tmp_path_factory.mktemp("pattern") / "book.sqlite"
    day = datetime.date(2026, 11, 3)
    open_book(path).add(*(Entry(f"K{i % 7}", day, Sharpened("S1"), note="x" * 300) for i in range(400)))
    return path


@pytest.fixture
def full_book(path, pattern):
    """A copy of it that may be damaged."""
    return shutil.copyfile(pattern, path)
