"""What the tests of the clinic share."""

from functools import partial

import pytest

from bladelab.show.clinic import export, handout, home_page, powerpoint
from bladelab.show.clinic.drawing import write_picture
from bladelab.show.clinic.lesson import AUDIENCES
from bladelab.show.clinic.panel import ClinicPanel
from bladelab.show.clinic.quiz_slides import quiz_deck
from tests.show.clinic.states import deck


@pytest.fixture(autouse=True)
def quick_files(monkeypatch):
    """A page to take home with few settings, a quiz of two questions, and coarse pictures: they are made as
    the whole ones are, in a fraction of the time. That pictures are fine enough to print is tested in
    test_files.py."""
    monkeypatch.setattr(home_page, "STEPS", (5, 2, 4))
    monkeypatch.setattr(export, "quiz_deck", partial(quiz_deck, count=2))
    monkeypatch.setattr(export, "write_picture", partial(write_picture, dpi=60))
    monkeypatch.setattr(handout, "_PICTURE_DPI", 60)
    monkeypatch.setattr(powerpoint, "_PICTURE_DPI", 60)


@pytest.fixture(scope="module", params=AUDIENCES)
def made(request):
    """The clinic for each audience."""
    return deck(request.param, "feet and inches", "plain")


@pytest.fixture
def whole_panel(tmp_path):
    panel = ClinicPanel(tmp_path)
    yield panel
    panel.close()


@pytest.fixture
def panel(tmp_path, no_overview):
    """A panel that does not redraw its overview of all slides, for tests that do not look at it."""
    panel = ClinicPanel(tmp_path)
    yield panel
    panel.close()
