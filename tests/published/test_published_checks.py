"""The table of published facts is sound, complete and cannot be passed by accident.

The facts themselves are checked beside this file, one file per source.
"""

import ast
import dataclasses
import importlib
import inspect
import math
from pathlib import Path

import pytest

from bladelab.trust.published import CHECKS_FILE, TAGS, PublishedCheck, published_checks

CHECKS = published_checks()
ROOM = Path(inspect.getfile(PublishedCheck)).parent


@pytest.mark.parametrize("check", CHECKS, ids=lambda check: check.check)
def test_the_fact_holds(check) -> None:
    value = check.computed()
    assert check.agrees(value), (
        f"{check.fact} [{check.tag}: {check.source}]: computed {value:.9g} {check.unit}"
    )


def test_names_are_unique_and_every_row_has_a_source() -> None:
    assert len({check.check for check in CHECKS}) == len(CHECKS) > 30
    for check in CHECKS:
        assert check.fact and check.source, check.check
        assert (check.source == "none") == (check.tag == "PRACTICE"), check.check
    assert {check.tag for check in CHECKS} == set(TAGS)


def test_every_function_of_the_room_is_in_the_table() -> None:
    functions = set()
    for path in ROOM.glob("*_checks.py"):
        for node in ast.parse(path.read_text(encoding="utf-8")).body:
            if isinstance(node, ast.FunctionDef) and not node.name.startswith("_"):
                functions.add(f"{path.stem}.{node.name}")
    assert functions == {check.computed_by for check in CHECKS}


def test_no_function_repeats_the_expected_number() -> None:
    # A function that holds the published value to compare with would agree with itself.
    for check in CHECKS:
        module, _, name = check.computed_by.partition(".")
        source = inspect.getsource(getattr(importlib.import_module(f"bladelab.trust.{module}"), name))
        digits = f"{check.expected:g}"
        if len(digits) > 3:
            assert digits not in source, check.check


@pytest.mark.parametrize("check", CHECKS, ids=lambda check: check.check)
def test_a_wrong_value_is_noticed(check) -> None:
    span = max(check.tolerance, 1e-9 * max(abs(check.expected), 1.0))
    wrong = {
        "within": [check.expected + 2 * span, check.expected - 2 * span],
        "outside": [check.expected],
        "above": [check.expected, check.expected - span],
        "below": [check.expected, check.expected + span],
        "not above": [check.expected + span],
        "not below": [check.expected - span],
    }[check.comparison]
    for value in [*wrong, math.nan]:
        assert not check.agrees(value)


@pytest.mark.parametrize(
    ("field", "value", "message"),
    [
        ("tag", "HEARD", "tag of .* is 'HEARD'; it must be one of READ, MEMORY, DERIVED, PRACTICE"),
        ("comparison", "near", "comparison of .* is 'near'; it must be one of within, above"),
        ("tolerance", -1.0, "tolerance of .* is -1; it must be at least 0"),
        ("tolerance", math.nan, "tolerance of .* is nan"),
    ],
)
def test_a_row_that_cannot_be_is_refused(field: str, value: object, message: str) -> None:
    with pytest.raises(ValueError, match=message):
        dataclasses.replace(CHECKS[0], **{field: value})


def test_the_file_is_described() -> None:
    readme = (CHECKS_FILE.parent / "README.md").read_text(encoding="utf-8")
    assert f"## {CHECKS_FILE.name}" in readme
    for field in dataclasses.fields(CHECKS[0]):
        assert f"`{field.name}`" in readme, field.name
