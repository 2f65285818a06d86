"""Computed against measured, as multiples of what was published: what the picture on trust shows."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from bladelab._types import Array
from bladelab.physics.friction_gap import read_measured
from bladelab.physics.glide import FrictionCase, solve_frictions
from bladelab.physics.ice import GRAVITY_M_S2
from bladelab.physics.possible_ices import Span, all_possible, over_temperatures
from bladelab.physics.stance import Stance
from bladelab.shape.blade import Blade
from bladelab.shape.hollow import Hollow


@dataclass(frozen=True)
class Comparison:
    """A published number and what comes out on the ices held possible.

    Attributes
    ----------
    fact, source : str
        What was measured, and by whom.
    published, low, high : float
        The number and its range; `high` is infinite where only a direction is published.
    digits : int
        Of its decimals.
    span : Span
        Computed.
    """

    fact: str
    source: str
    published: float
    low: float
    high: float
    digits: int
    span: Span

    @property
    def agrees(self) -> tuple[bool, bool]:
        """Whether the drop test's ice agrees, and pressed ice."""
        drop, pressed = (self.low <= v <= self.high for v in (self.span.drop_test, self.span.pressed))
        return drop, pressed


def comparisons() -> tuple[Comparison, ...]:
    """Compute every comparison, all in one call."""
    speed_skate, hockey = read_measured()
    v, skate, kg = speed_skate.speed_m_s, speed_skate.blade, speed_skate.mass_kg
    ices, cold = all_possible(-5.0), np.linspace(-15.0, 0.0, 61)
    lean = math.degrees(math.atan(v**2 / (GRAVITY_M_S2 * 26.0)))
    sled = Stance(hockey.mass_kg * GRAVITY_M_S2)
    straight, curve = (Stance(kg * GRAVITY_M_S2, 0.0, leaned) for leaned in (0.0, lean))

    def on_sled(hollow_mm: float) -> FrictionCase:
        blade = Blade(hockey.blade.rocker, Hollow(hollow_mm, hockey.blade.hollow.width_mm))
        return blade, sled, ices, hockey.speed_m_s

    solved = solve_frictions(
        [
            (skate, straight, ices, v),
            (skate, curve, ices, v),
            (skate, straight, ices, 2.0),
            (skate, straight, ices, 10.0),
            (skate, straight, over_temperatures(cold), v),
            *map(on_sled, (12.7, 3.175, 9.525, 22.225)),
        ]
    )
    along, leaned, slow, fast, at, half, eighth, three, seven = (np.asarray(one.total) for one in solved)
    film = np.asarray(solved[0].film_thickness_um)
    warmth = -cold[np.argmin(at, axis=0)]
    koning, federolf = "de Koning et al. 1992", "Federolf et al. 2008"
    redmond, kuroiwa = "Redmond & Federolf 2010", "Kuroiwa 1977 (conflicts)"
    return (
        _row("speed skate on a straight", koning, 0.0046, 0.0005, 4, along),
        _row("hockey blade on a sled", federolf, 0.0071, 0.0005, 4, half),
        _row("speed skate, curve over straight", koning, 1.28, 0.2, 2, leaned / along),
        _row("friction at 2 m/s over 10 m/s", "Poirier et al. (bobsleigh)", 1.0, 0.3, 2, slow / fast),
        _row("hollow 1/8 over 3/8 in, sled", redmond, 1.0, math.inf, 2, eighth / three),
        _row("hollow 3/8 over 7/8 in, sled", redmond, 1.0, math.inf, 2, three / seven),
        _row("least friction at, °C below 0", koning, 7.0, 2.0, 1, warmth),
        _row("least friction at, °C below 0", kuroiwa, 2.0, 1.5, 1, warmth),
        _row("film, thousandths of a mm", "van Leeuwen 2017", 0.5, 0.4, 2, film),
    )


def _row(fact: str, source: str, published: float, reach: float, digits: int, values: Array) -> Comparison:
    low = published if math.isinf(reach) else published - reach
    return Comparison(fact, source, published, low, published + reach, digits, Span.of(values))
