"""The cases in which a friction was measured, for the modules with checks."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

from bladelab.physics.friction_gap import Explanation, MeasuredFriction, read_measured
from bladelab.shape.hollow import Hollow
from bladelab.units import inches


def case_of(start: str) -> MeasuredFriction:
    """Return the measured case whose name starts so."""
    return next(measured for measured in read_measured() if measured.case.startswith(start))


@cache
def _by_hollow(text: str, why: Explanation) -> float:
    hockey = case_of("hockey")
    blade = replace(hockey.blade, hollow=Hollow(inches(text), hockey.blade.hollow.width_mm))
    return float(replace(hockey, blade=blade).computed(why))


def ratio_of_hollows(one: str, other: str, why: Explanation) -> float:
    """Return the friction of the hockey blade on its sled with one hollow over that with another."""
    return _by_hollow(one, why) / _by_hollow(other, why)
