"""What is remembered is what was asked for, and is not worked out again."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from bladelab._remembering import Remembering


@dataclass(frozen=True, eq=False)
class Thing:
    numbers: Any
    named: Any


def test_only_what_is_not_known_is_worked_out():
    asked = []

    def double(cases):
        asked.append(list(cases))
        return [2 * case for case in cases]

    remembering = Remembering(double, kept=2)
    assert remembering([1, 2, 1]) == [2, 4, 2]
    assert remembering([2, 1]) == [4, 2]
    assert remembering([3, 2]) == [6, 4]
    assert remembering([1]) == [2]
    assert asked == [[1, 2], [3], [1]]


def test_what_was_not_asked_for_longest_is_forgotten():
    asked = []

    def double(cases):
        asked.extend(cases)
        return [2 * case for case in cases]

    remembering = Remembering(double, kept=2)
    remembering(["present"])
    for trial in range(4):  # a slider moves one blade of two
        assert remembering(["present", trial]) == ["presentpresent", 2 * trial]
    assert asked == ["present", 0, 1, 2, 3]


def test_equal_means_equal_in_every_number_of_every_part():
    count = []
    remembering = Remembering(lambda cases: [count.append(1) for _ in cases])
    same = [
        Thing(np.array([1.0, 2.0]), {"a": 1, "b": (2, 3)}),
        Thing(np.array([1.0, 2.0]), {"b": (2, 3), "a": 1}),
    ]
    remembering(same)
    assert len(count) == 1
    for other in (
        Thing(np.array([1.0, 2.5]), {"a": 1, "b": (2, 3)}),
        Thing(np.array([[1.0, 2.0]]), {"a": 1, "b": (2, 3)}),
        Thing(np.array([1.0, 2.0]), {"a": 1, "b": (2, 4)}),
    ):
        before = len(count)
        remembering([other])
        assert len(count) == before + 1
