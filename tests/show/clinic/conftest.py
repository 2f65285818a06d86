"""What the tests of the clinic share."""

from functools import partial

import pytest

from bladelab.show.clinic import export, home_page
from bladelab.show.clinic.quiz_slides import quiz_deck


@pytest.fixture(autouse=True)
def short_quiz(monkeypatch):
    """A page to take home with few settings, and a quiz of two questions: they are made as the whole ones
    are, in a fraction of the time."""
    monkeypatch.setattr(home_page, "STEPS", (5, 2, 4))
    monkeypatch.setattr(export, "quiz_deck", partial(quiz_deck, count=2))
