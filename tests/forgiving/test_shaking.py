"""No setting and no argument gives a traceback or shows a NaN; `shaking.py` does the same at length."""

import pytest

from bladelab.show.clinic.overview import Overview
from tests.forgiving import shaking
from tests.forgiving.arguments import Chance
from tests.forgiving.calls import CALLS


@pytest.mark.slow
@pytest.mark.parametrize("name", shaking.makers())
def test_any_state_of_a_panel_is_answered(name, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)  # what a panel keeps beside its notebook stays out of the project
    monkeypatch.setattr(Overview, "drawing", lambda *_: iter(()))  # every slide for every state
    tally = shaking.shake_panel(shaking.makers()[name], count=12, seed=len(name))
    assert tally.total() == 12
    # The start panel waits, with a sentence, for a new search after any move of its sliders.
    assert tally["a picture"] or name == "start_panel"


@pytest.mark.slow
def test_any_argument_is_answered_or_refused_in_words(tmp_path):
    tally = shaking.shake_arguments(count=600, seed=7, folder=tmp_path)
    assert tally["answered"] > 50
    assert tally["refused in words"] > 50


@pytest.mark.parametrize("call", CALLS, ids=lambda call: call.__name__)
def test_each_call_answers_at_times(call, tmp_path):
    """A call whose arguments were always refused would shake nothing."""
    answered = 0
    for seed in range(60):
        chance = Chance(seed)
        chance.folder = tmp_path
        try:
            call(chance)
        except (ValueError, FileExistsError):
            continue
        answered += 1
        if answered == 2:
            return
    raise AssertionError(f"{answered} of 60 calls were answered")


def test_a_panel_that_is_not_there_is_named(monkeypatch, capsys):
    monkeypatch.setattr("sys.argv", ["shaking", "--count", "1", "bite_panle"])
    with pytest.raises(SystemExit):
        shaking.main()
    assert "no panel is called bite_panle" in capsys.readouterr().err
