"""An argument of the wrong kind, one at a time, in every public function: a sentence, never a traceback."""

from __future__ import annotations

import inspect
import warnings
from pathlib import Path
from typing import Any

import pytest

import bladelab as b
from tests.forgiving.wrong_kinds import RESULTS, WRONG, arguments

FUNCTIONS = [name for name in b.__all__ if callable(getattr(b, name)) and name not in RESULTS]


@pytest.fixture(scope="module")
def right(tmp_path_factory: pytest.TempPathFactory) -> dict[str, dict[str, Any]]:
    return arguments(tmp_path_factory.mktemp("files"))


def test_every_public_function_has_its_arguments(right: dict[str, dict[str, Any]]) -> None:
    assert set(right) == set(FUNCTIONS)
    for name, given in right.items():
        known = inspect.signature(getattr(b, name)).parameters
        assert set(given) <= set(known), name
        if name != "SeasonPlan":
            assert set(given) == set(known), name


@pytest.mark.parametrize("name", FUNCTIONS)
def test_an_argument_of_the_wrong_kind_is_taken_or_refused_in_words(
    name: str, right: dict[str, dict[str, Any]], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)  # a text may be a path to write to
    given, faults = right[name], []
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        for parameter in given:
            for what, value in WRONG.items():
                if value is len and parameter in ("fn", "present", "trial") and callable(given[parameter]):
                    continue  # of the right kind; what it raises is its own
                try:
                    getattr(b, name)(**{**given, parameter: value})
                except (b.InputError, FileNotFoundError, FileExistsError):
                    continue
                except Exception as fault:
                    faults.append(f"{parameter} = {what}: {type(fault).__name__}: {fault}")
    assert not faults, "\n".join(faults)
