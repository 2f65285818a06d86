"""What the tests of the clinic share."""

from functools import partial

import pytest

from bladelab.show.clinic import export, handout, home_page, powerpoint
from bladelab.show.clinic.drawing import write_picture
from bladelab.show.clinic.lesson import AUDIENCES
from bladelab.show.clinic.panel import ClinicPanel
from bladelab.show.clinic.quiz_slides import quiz_deck
from tests.show.clinic.hands import keep_only, no_thumbnails
from tests.show.clinic.states import deck


@pytest.fixture(scope="module", autouse=True)
def quick_files():
    """A page to take home with few settings, a quiz of two questions, and coarse pictures: they are made as
    the whole ones are, in a fraction of the time. That pictures are fine enough to print is tested in
    test_files.py."""
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(home_page, "STEPS", (5, 2, 4))
        patched.setattr(export, "quiz_deck", partial(quiz_deck, count=2))
        patched.setattr(export, "write_picture", partial(write_picture, dpi=60))
        patched.setattr(handout, "_PICTURE_DPI", 60)
        patched.setattr(powerpoint, "_PICTURE_DPI", 60)
        yield


@pytest.fixture(scope="module", params=AUDIENCES)
def made(request):
    """The clinic for each audience."""
    return deck(request.param, "feet and inches", "plain")


@pytest.fixture
def small_panel(tmp_path):
    """A panel with six slides in its overview."""
    with no_thumbnails():
        panel = ClinicPanel(tmp_path)
        keep_only(panel, "turn")
    yield panel
    panel.close()


@pytest.fixture
def panel(tmp_path, no_overview):
    """A panel that does not redraw its overview of all slides, for tests that do not look at it."""
    panel = ClinicPanel(tmp_path)
    yield panel
    panel.close()
