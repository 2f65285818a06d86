"""What bladelab computes beside what is published: one table, read by the tests and by the page on trust.

The facts are data (data/reference/published_checks.csv); the modules beside this one compute bladelab's value
for each. To add a check, write a function of no arguments that returns a number, and a row that names it.
"""

from __future__ import annotations

import csv
import importlib
import math
from dataclasses import dataclass
from functools import cache
from typing import Any

from bladelab._checks import one_of
from bladelab._data import data_file
from bladelab._errors import InputError

CHECKS_FILE = data_file("reference/published_checks.csv")

#: What the tag of a source means.
TAGS = {
    "READ": "the value was read in the source named",
    "MEMORY": "recalled, not looked up again",
    "DERIVED": "arithmetic from a stated formula",
    "PRACTICE": "common practice in the trade, no source",
}
_OPPOSITES = {"within": "outside", "above": "not above", "below": "not below"}
_COMPARISONS = (*_OPPOSITES, *_OPPOSITES.values())


@dataclass(frozen=True)
class PublishedCheck:
    """One fact from outside, and how to compute the same with bladelab.

    Attributes
    ----------
    check : str
        Short name.
    fact : str
        What is stated.
    source, tag : str
        Where it comes from and how surely, see `TAGS`.
    comparison : str
        The computed value must lie "within" `expected` plus or minus `tolerance`, or "above" or "below"
        `expected`. Where bladelab is known to contradict the fact: "outside", "not above", "not below".
    unit : str
        Of `expected` and of the value; empty for a ratio or a count.
    computed_by : str
        Module and function of this package that compute the value.
    note : str
        What a reader should know, such as how the source rounds.
    conflicts_with : str
        The source of another check that says something else; empty where none does.
    """

    check: str
    fact: str
    source: str
    tag: str
    comparison: str
    expected: float
    tolerance: float
    unit: str
    computed_by: str
    note: str
    conflicts_with: str

    def __post_init__(self) -> None:
        one_of(f"tag of {self.check!r}", self.tag, TAGS)
        one_of(f"comparison of {self.check!r}", self.comparison, _COMPARISONS)
        if not self.tolerance >= 0:
            raise InputError(f"tolerance of {self.check!r} is {self.tolerance:g}; it must be at least 0")

    def computed(self) -> float:
        """Return bladelab's value."""
        module, function = self.computed_by.split(".")
        return float(getattr(importlib.import_module(f"bladelab.trust.{module}"), function)())

    @property
    def contradicted(self) -> bool:
        """Whether bladelab is known to contradict the fact, so that agreement would be news."""
        return self.comparison in _OPPOSITES.values()

    def agrees(self, value: float) -> bool:
        """Whether the comparison holds for a value: a contradicted fact must still be contradicted."""
        if math.isnan(value):
            return False
        if self.comparison in ("above", "not above"):
            stated = value > self.expected
        elif self.comparison in ("below", "not below"):
            stated = value < self.expected
        else:
            stated = abs(value - self.expected) <= self.tolerance
        return stated != self.contradicted


@cache
def published_checks() -> tuple[PublishedCheck, ...]:
    """Read all checks, in the order of data/reference/published_checks.csv.

    Raises
    ------
    ValueError
        If a row of the file is not what it should be.
    """
    with open(CHECKS_FILE, encoding="utf-8", newline="") as file:
        return tuple(_check(row) for row in csv.DictReader(file))


def _check(row: dict[str, Any]) -> PublishedCheck:
    numbers = {"expected": float(row["expected"]), "tolerance": float(row["tolerance"] or 0.0)}
    return PublishedCheck(**{**row, **numbers})
