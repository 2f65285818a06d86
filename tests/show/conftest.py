"""Panels made by a test end with it: one that lives on would follow every change of the units."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from bladelab.show.wording.units_shown import UNITS


@pytest.fixture(autouse=True)
def close_panels() -> Iterator[None]:
    before = {id(listener) for listener in UNITS._listeners}
    yield
    for listener in list(UNITS._listeners):
        if id(listener) not in before and (follow := listener()):
            follow.__self__.close()
