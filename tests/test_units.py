"""Feet, inches and fractions against pint, a general-purpose library of units, and against each other."""

from fractions import Fraction

import numpy as np
import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bladelab import as_feet, as_fraction, feet, inches

UNITS = pint.get_application_registry()
LENGTHS = st.floats(0.01, 1e4)


@given(LENGTHS)
def test_feet_agree_with_pint(value: float) -> None:
    assert feet(value) == pytest.approx(UNITS.Quantity(value, "foot").to("mm").magnitude, rel=1e-14)
    assert as_feet(value) == pytest.approx(UNITS.Quantity(value, "mm").to("foot").magnitude, rel=1e-14)


@given(LENGTHS)
def test_inches_agree_with_pint(value: float) -> None:
    assert inches(value) == pytest.approx(UNITS.Quantity(value, "inch").to("mm").magnitude, rel=1e-14)


def test_a_foot_is_twelve_inches() -> None:
    assert feet(1) == pytest.approx(inches(12), rel=1e-15)


def test_the_foot_is_exact() -> None:
    # The international foot is 0.3048 m by definition (agreement of 1959).
    assert feet(10) == 3048.0
    assert inches(1) == 25.4


@given(LENGTHS)
def test_feet_there_and_back(value: float) -> None:
    assert as_feet(feet(value)) == pytest.approx(value, rel=1e-15)


@given(st.integers(0, 40), st.integers(1, 63), st.sampled_from([2, 4, 8, 16, 32, 64]))
def test_fractions_there_and_back(whole: int, over: int, under: int) -> None:
    value = whole + Fraction(over, under)
    text = f"{whole} {over}/{under}"
    assert inches(text) == pytest.approx(float(value) * 25.4, rel=1e-14)
    assert inches(as_fraction(inches(text))) == pytest.approx(inches(text), rel=1e-14)


@given(st.floats(0, 500))
def test_the_nearest_fraction_is_within_half_a_division(mm: float) -> None:
    assert abs(inches(as_fraction(mm)) - mm) <= 25.4 / 128 * (1 + 1e-9)


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("5/8", 15.875),
        ("5/8 in", 15.875),
        ('5/8"', 15.875),
        (" 1 1/4 ", 31.75),
        ("1-1/4 inches", 31.75),
        ("0.5", 12.7),
        (".5 in", 12.7),
        ("1.", 25.4),
        ("2 inch", 50.8),
    ],
)
def test_the_ways_to_write_inches(text: str, mm: float) -> None:
    assert inches(text) == pytest.approx(mm, rel=1e-14)


@pytest.mark.parametrize(
    ("mm", "text"),
    [
        (0, "0 in"),
        (12.7, "1/2 in"),
        (25.4, "1 in"),
        (15.875, "5/8 in"),
        (31.75, "1 1/4 in"),
        (15.9, "5/8 in"),
    ],
)
def test_fractions_are_written_in_lowest_terms(mm: float, text: str) -> None:
    assert as_fraction(mm) == text


def test_a_coarser_division_may_be_asked_for() -> None:
    assert as_fraction(15.875, denominator=2) in {"1/2 in", "1 in"}
    assert as_fraction(15.0, denominator=8) == "5/8 in"


def test_arrays_convert_number_by_number() -> None:
    values = np.array([[1.0, 2.5], [10.0, 13.0]])
    np.testing.assert_array_equal(feet(values), [[feet(v) for v in row] for row in values])
    np.testing.assert_array_equal(as_feet(values), [[as_feet(v) for v in row] for row in values])
    np.testing.assert_array_equal(inches(values), [[inches(v) for v in row] for row in values])


@pytest.mark.parametrize("text", ["", "half", "5/0", "5//8", "-1/2", "1/2/3", "5/8 mm", "nan"])
def test_a_text_that_is_no_length_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="inches is") as error:
        inches(text)
    assert repr(text) in str(error.value)


@pytest.mark.parametrize("convert", [feet, inches, as_feet, as_fraction])
@pytest.mark.parametrize("value", [float("nan"), float("inf"), None, [1.0, float("nan")]])
def test_what_is_no_number_is_refused(convert: object, value: object) -> None:
    with pytest.raises(ValueError, match=r"(feet|inches|mm) is .* must be"):
        convert(value)  # type: ignore[operator]


def test_a_negative_length_has_no_fraction() -> None:
    with pytest.raises(ValueError, match=r"mm is -1 mm; it must be at least 0 mm"):
        as_fraction(-1.0)


@pytest.mark.parametrize("denominator", [0, -8])
def test_a_division_into_no_parts_is_refused(denominator: int) -> None:
    with pytest.raises(ValueError, match=f"denominator is {denominator}; it must be at least 1"):
        as_fraction(10.0, denominator)
