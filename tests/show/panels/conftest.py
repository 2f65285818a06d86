"""Panels whose answers, words and artists are looked at; what looks at their pages too is marked `seen`."""

import pytest


@pytest.fixture(autouse=True)
def not_on_a_page(unseen_pictures: None) -> None:
    pass
