"""What the tests of the clinic share."""

import pytest

from bladelab.show.clinic import home_page


@pytest.fixture(autouse=True)
def few_settings(monkeypatch):
    """A page to take home with few settings: it is made as the whole one is, in a fraction of the time."""
    monkeypatch.setattr(home_page, "STEPS", (5, 2, 4))
