"""Objects that hold arrays are compared by what they hold, and what is equal has one hash."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import pytest

import bladelab as b
from bladelab._values import by_value

BLADE = b.Blade(b.Rocker.single(3048.0, 280.0), b.Hollow(12.7, 3.0))
X = np.linspace(-100.0, 100.0, 60)
Y = X**2 / 6000.0


def stances() -> b.Stance:
    return b.Stance(np.array([700.0, 800.0, 700.0]), np.array([0.0, 10.0, 500.0]))


#: Each makes the same object again from nothing; the contact holds NaN and reasons.
MADE = {
    "hollow": lambda: b.Hollow(np.array([10.0, 12.7]), 3.0),
    "blade": lambda: b.Blade(BLADE.rocker, b.Hollow(np.array([10.0, 12.7]), 3.0)),
    "ice": lambda: b.Ice(np.array([-5.0, -4.0])),
    "stance": stances,
    "contact": lambda: b.solve_contact(BLADE, stances(), b.Ice()),
    "friction": lambda: b.solve_friction(BLADE, stances(), b.Ice(), 5.0),
    "reach": lambda: b.zone_reach(BLADE, b.Stance(700.0), b.Ice()),
    "stride": b.read_stride,
    "trace": lambda: b.Trace(X, Y),
    "radius": lambda: b.fit_radius(X, Y),
    "curve": lambda: b.local_curve(b.Trace(X, Y)),
    "deviation": lambda: b.deviation(b.Trace(X, Y, error_mm=0.005), BLADE.rocker),
    "cut": lambda: b.steel_to_remove(b.Trace(X, Y), b.Rocker.single(2900.0, 200.0)),
    "readings": lambda: b.GaugeReadings([0.0, 20.0], [0.1, 0.1], 60.0),
    "season": lambda: b.simulate_season(b.SeasonPlan(), 5),
    "conditions": lambda: b.Conditions(75.0),
}


@pytest.mark.parametrize("make", MADE.values(), ids=MADE)
def test_what_is_made_twice_is_equal_and_has_one_hash(make: Any) -> None:
    one, other = make(), make()
    assert one == other
    assert hash(one) == hash(other)
    assert len({one, other}) == 1
    assert one != "another thing"


@pytest.mark.parametrize(
    ("one", "other"),
    [
        (b.Hollow(np.array([10.0, 12.7]), 3.0), b.Hollow(np.array([10.0, 12.8]), 3.0)),
        (b.Hollow(np.array([10.0, 12.7]), 3.0), b.Hollow(np.array([[10.0, 12.7]]), 3.0)),
        (b.Hollow(np.array([12.7]), 3.0), b.Hollow(12.7, 3.0)),
        (b.Ice(-5.0), b.Ice(-4.0)),
        (b.Trace(X, Y), b.Trace(X, Y, error_mm=0.01)),
        (stances(), b.Stance(np.array([700.0, 800.0, 700.0]), np.array([0.0, 10.0, 499.0]))),
    ],
)
def test_another_number_or_another_shape_is_another_thing(one: Any, other: Any) -> None:
    assert one != other
    assert not one == other


@by_value
@dataclass(frozen=True, eq=False)
class Thing:
    held: Any


@by_value
@dataclass(frozen=True, eq=False)
class OtherThing:
    held: Any


def test_nan_is_nan_and_minus_zero_is_zero_and_the_class_counts() -> None:
    assert Thing(np.array([np.nan, 0.0])) == Thing(np.array([-np.nan, -0.0]))
    assert hash(Thing(np.array([np.nan, 0.0]))) == hash(Thing(np.array([-np.nan, -0.0])))
    assert Thing(float("nan")) == Thing(float("nan"))
    assert Thing(np.array([1, 2])) == Thing(np.array([1.0, 2.0]))
    assert Thing(np.array(["", "no"], dtype=object)) == Thing(np.array(["", "no"], dtype=object))
    assert Thing(np.array(["", "no"], dtype=object)) != Thing(np.array(["", "yes"], dtype=object))
    assert Thing(1.0) != OtherThing(1.0)
    assert Thing(OtherThing(1.0)) != Thing(Thing(1.0))
    assert Thing({"a": [1, np.array([2.0])]}) == Thing({"a": [1, np.array([2.0])]})
    assert replace(Thing(1.0), held=2.0) == Thing(2.0)
