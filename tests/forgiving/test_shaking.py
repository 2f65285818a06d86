"""No setting and no argument gives a traceback or shows a NaN; `shaking.py` does the same at length."""

import pytest

from tests.forgiving import shaking


@pytest.mark.parametrize("name", shaking.panel_makers())
def test_any_state_of_a_panel_is_answered(name, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)  # what a panel keeps beside its notebook stays out of the project
    tally = shaking.shake_panel(shaking.panel_makers()[name], count=12, seed=len(name))
    assert tally.total() == 12
    assert tally["a picture"]


def test_any_argument_is_answered_or_refused_in_words():
    tally = shaking.shake_arguments(count=600, seed=7)
    assert tally["answered"] > 50
    assert tally["refused in words"] > 50
