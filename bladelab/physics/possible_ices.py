"""Which ices the model holds possible, and what friction comes to on all of them.

A dropped ball and a blade press ice for different times, and how much softer that makes the ice is known only
through an exponent, a ball and an age that are choices. Each possible ice changes one of them.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from functools import lru_cache

import numpy as np

from bladelab._checks import takes
from bladelab._types import Array
from bladelab._values import by_value
from bladelab.physics.glide import solve_frictions
from bladelab.physics.ice import Ice
from bladelab.physics.stance import Stance
from bladelab.physics.uncertainty import Spread, between, sample
from bladelab.shape.blade import Blade

# With each patch of ice at its own age, in the ball's crater too, a flat blade meets ice of 0.90 times the
# hardness, one with a groove of 0.94: the reference solver of the tests.
OWN_AGE_FACTOR = 0.90


@dataclass(frozen=True)
class PossibleIce:
    """One of the ices held possible.

    Attributes
    ----------
    name : str
        As shown to people.
    why : str
        What makes it possible.
    ice : Ice
        At one temperature.
    """

    name: str
    why: str
    ice: Ice


def possible_ices(temperature_C: float, hardness_factor: float = 1.0) -> tuple[PossibleIce, ...]:
    """Return the ices held possible at one temperature, °C: first the drop test's, then pressed ice.

    Parameters
    ----------
    hardness_factor : float
        How hard a dropped ball finds the ice of this rink, as a multiple of the usual fit.
    """
    plain = Ice(temperature_C, hardness_factor)
    pressed = replace(Ice.pressed(temperature_C), hardness_factor=plain.hardness_factor)
    ball, exponent = "the ball of the drop test is not known", "read below 10 per second, used near 100"
    return (
        PossibleIce("drop test", "as hard under a blade as under a dropped ball", plain),
        PossibleIce("pressed", "softer the longer it is pressed, exponent 0.15, ball of 12.7 mm", pressed),
        PossibleIce("pressed, ball of 25 mm", ball, replace(pressed, ball_radius_mm=25.0)),
        PossibleIce("pressed, ball of 6 mm", ball, replace(pressed, ball_radius_mm=6.0)),
        PossibleIce("pressed, exponent 0.1", exponent, replace(pressed, rate_exponent=0.1)),
        PossibleIce("pressed, exponent 0.2", exponent, replace(pressed, rate_exponent=0.2)),
        PossibleIce(
            "pressed, each patch at its own age",
            "ice near the front is pressed for less long than ice at the back",
            replace(pressed, hardness_factor=max(OWN_AGE_FACTOR * hardness_factor, 0.2)),
        ),
    )


@lru_cache(maxsize=16)  # a slider of the blade asks for the same ones at every step
def all_possible(temperature_C: float, hardness_factor: float = 1.0) -> Ice:
    """Return the ices held possible as one `Ice` of arrays (n,), to be solved in one call."""
    ices = [one.ice for one in possible_ices(temperature_C, hardness_factor)]
    return Ice(*(np.array([getattr(ice, f.name) for ice in ices]) for f in fields(Ice)))


def over_temperatures(temperature_C: Array) -> Ice:
    """Return the ices held possible at temperatures (m,) as one `Ice` of arrays (m, n)."""
    ices = all_possible(0.0)
    return replace(ices, temperature_C=temperature_C[:, None] * np.ones(len(ices.rate_exponent)))


@by_value
@dataclass(frozen=True, eq=False)
class Span:
    """A number over the ices held possible.

    Attributes
    ----------
    drop_test, pressed : float
        On the ice of the drop test and on pressed ice.
    low, high : float
        Over all that are held possible.
    """

    drop_test: float
    pressed: float
    low: float
    high: float

    @classmethod
    def of(cls, values: Array) -> Span:
        """Return the span of values in the order of `possible_ices`."""
        return cls(*(float(v) for v in (values[0], values[1], np.min(values), np.max(values))))


@takes(blade=Blade, stance=Stance)
def friction_span(blade: Blade, stance: Stance, temperature_C: float, speed_m_s: float) -> Span:
    """Return the friction coefficient of one stance over all ices held possible.

    Examples
    --------
    >>> from bladelab import Blade, Hollow, Rocker, Stance
    >>> skate = Blade(Rocker.single(22000.0, 400.0), Hollow(2000.0, 1.1))
    >>> span = friction_span(skate, Stance(72 * 9.81), -5.0, 8.0)
    >>> print(f"{span.pressed:.4f}, between {span.low:.4f} and {span.high:.4f}")
    0.0045, between 0.0032 and 0.0052
    """
    (found,) = solve_frictions([(blade, stance, all_possible(temperature_C), speed_m_s)])
    return Span.of(np.asarray(found.total))


@takes(blade=Blade, stance=Stance, spread=Spread)
def friction_band(
    blade: Blade,
    stance: Stance,
    temperature_C: float,
    speed_m_s: float,
    spread: Spread | None = None,
    n: int = 200,
    seed: int = 1,
) -> tuple[float, float]:
    """Return the ends of one band for all that is not known: the ball, the exponent, the age that counts,
    and what nobody measures at a rink.

    Definition
    ----------
    On each ice held possible 90 % of the draws of `sample` lie within a band; these are the least and the
    greatest end of all of them.

    Parameters
    ----------
    blade, stance, temperature_C, speed_m_s
        As in `friction_span`.
    spread, n, seed
        As in `sample`.

    Examples
    --------
    >>> from bladelab import Blade, Hollow, Rocker, Stance
    >>> blade = Blade(Rocker.single(3048.0, 280.0), Hollow(12.7, 2.9))
    >>> low, high = friction_band(blade, Stance(75 * 9.81), -5.0, 6.0)
    >>> print(f"{low:.4f} to {high:.4f}")
    0.0043 to 0.0082
    """
    drawn, ices = sample(stance, all_possible(temperature_C), spread, n, seed)
    (found,) = solve_frictions([(blade, drawn, ices, speed_m_s)])
    low, high = between(np.asarray(found.total))
    return float(low.min()), float(high.max())
