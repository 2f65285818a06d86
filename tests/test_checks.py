"""What is not a number is refused, whatever it looks like; what is one is taken, whoever made it."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import numpy as np
import pytest

import bladelab as b
from bladelab._checks import number, numbers, one_of

NO_NUMBERS: list[Any] = [
    *("3048", b"3048", "", None, True, False, np.True_, 3j, np.complex128(3), {}, set(), object, Decimal(3)),
    *(["3048"], [1, None], [1.0, True], np.array([True]), np.array(["1"]), np.array([1.0], dtype=object)),
    *([[1.0], [1.0, 2.0]], np.datetime64("2026-10-05"), b.Hollow(12.7, 3.0)),
]


@pytest.mark.parametrize("value", NO_NUMBERS, ids=repr)
@pytest.mark.parametrize("check", [number, numbers])
def test_what_is_no_number_is_refused_with_the_value_and_the_range(check: Any, value: Any) -> None:
    with pytest.raises(
        b.InputError, match=r"^radius_mm is .*; it must be a number, at least 0 mm and at most 9"
    ):
        check("radius_mm", value, "mm", 0.0, 9.0)


@pytest.mark.parametrize(
    "value", [3, 3.0, np.float32(3), np.int8(3), np.uint64(3), np.array(3), np.longdouble(3)]
)
def test_a_number_of_any_kind_is_one_float(value: Any) -> None:
    for check in (number, numbers):
        found = check("radius_mm", value, "mm", 0.0, 9.0)
        assert type(found) is float
        assert found == 3.0


def test_numbers_beyond_a_float_are_refused_without_a_warning() -> None:
    for value in (10**400, np.longdouble("1e4000"), [10**400]):
        with pytest.raises(b.InputError, match="at most 9 mm"):
            numbers("radius_mm", value, "mm", 0.0, 9.0)
    with pytest.raises(b.InputError, match=r"radius_mm is 1e\+300 mm"):
        numbers("radius_mm", 10**300, "mm", 0.0, 9.0)


@pytest.mark.parametrize("value", ["cold", "", None, ["pressed"]], ids=repr)
def test_what_is_none_of_the_words_is_refused_with_all_of_them(value: object) -> None:
    with pytest.raises(b.InputError, match=r"^hardness is .*; it must be one of drop test, pressed$"):
        one_of("hardness", value, {"drop test": 1, "pressed": 2})


def test_a_zone_takes_no_texts() -> None:
    with pytest.raises(b.InputError, match="zone radius_mm is '3048'"):
        b.Zone("3048", "280")  # type: ignore[arg-type]
    with pytest.raises(b.InputError, match="load_N is \\['700', '800'\\]"):
        b.Stance(["700", "800"])
