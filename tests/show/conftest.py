"""Panels made by a test end with it: one that lives on would follow every change of the units."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from bladelab.show.panel.skater import SKATER
from bladelab.show.wording.units_shown import UNITS
from tests.show.clinic.hands import no_thumbnails
from tests.show.engine_checks import unseen


@pytest.fixture(autouse=True)
def close_panels() -> Iterator[None]:
    before = {id(follow.__self__) for follow in UNITS._listeners}
    yield
    for follow in UNITS._listeners:
        if id(follow.__self__) not in before:
            follow.__self__.close()


@pytest.fixture
def no_overview() -> Iterator[None]:
    """A clinic draws no thumbnails of its slides, for tests that don't look at them."""
    with no_thumbnails():
        yield


@pytest.fixture
def unseen_pictures() -> Iterator[None]:
    """Panels don't write their pictures for the page, for tests that look at dials, words and artists."""
    with unseen():
        yield


@pytest.fixture
def book_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """A file for a book of this test alone, which is not there yet; the notebook is one that begins now."""
    file, units = tmp_path / "book.sqlite", UNITS.system
    monkeypatch.setenv("BLADELAB_BOOK", str(file))
    SKATER.close()
    yield file
    SKATER.close()
    UNITS.system = units
