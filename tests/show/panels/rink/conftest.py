"""A card that is open while the tests on the ice are written on it."""

import pytest

from bladelab.book.happenings import Decided
from bladelab.book.steel_happenings import Fitted, Stated
from bladelab.show.panel.skater import SKATER
from tests.show.panels.rink.on_a_card import DAY, PRESENT, TRIAL


@pytest.fixture
def card(book_file, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    SKATER.begin("K07")
    SKATER.write(Fitted("S1"), Stated("S1", PRESENT), Decided(TRIAL, "more glide"), on=DAY)
    return SKATER
