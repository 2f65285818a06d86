"""Ice that is softer the longer it is pressed, by brute force: under a dropped ball and a gliding blade.

Written from the definition alone, with its own constants; nothing here imports bladelab. Two conventions:

* *oldest*: the whole contact is as hard as its oldest ice. A length is guessed, the contact solved at one
  hardness, and brentq closes the circle.
* *own age*: each patch is as hard as its own age makes it, in the crater of the ball too, from which the
  hardness comes. This is the check on the first.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache

import numpy as np
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from tests.reference.contact import Lengths, balance
from tests.reference.glide import Glide, film_under
from tests.reference.standing import Attitude, Case

STEEL_KG_M3 = 7800.0  # carbon steel, from memory
HARD_AT_0_MPA, HARDER_PER_K_MPA = 14.7, 0.6  # Poirier, Lozowski & Thompson 2011, from memory


@dataclass(frozen=True)
class Press:
    """Pressed ice, and how fast the blade glides over it; m/s, mm."""

    speed: float
    cold_C: float = -5.0
    ball: float = 12.7
    exponent: float = 0.15

    @property
    def drop_MPa(self) -> float:
        return HARD_AT_0_MPA - HARDER_PER_K_MPA * self.cold_C

    @property
    def drop_s(self) -> float:
        """Quarter period of a ball whose crater's area grows as it sinks: 2 pi R z."""
        stiffness = 2 * np.pi * (self.ball / 1e3) * self.drop_MPa * 1e6
        mass = 4 / 3 * np.pi * (self.ball / 1e3) ** 3 * STEEL_KG_M3
        return float(np.pi / 2 * np.sqrt(mass / stiffness))

    def hardness(self, length: float) -> float:
        """Hardness in MPa of a contact of this length in mm, at the age of its oldest ice."""
        return self.drop_MPa * (length / 1e3 / self.speed / self.drop_s) ** -self.exponent


def length_of(case: Case) -> float:
    """Length of the contact, mm."""
    found = balance(case)
    heel, toe = (float(end) for end in found.attitude.reach(np.array(found.depth)))
    return toe - (found.attitude.deepest if case.gliding else heel)


def settled(case: Case, press: Press) -> Case:
    """Return the case with the hardness at which it presses for as long as that hardness takes."""

    def off(hardness: float) -> float:
        return press.hardness(length_of(replace(case, hardness=hardness))) - hardness

    hardness = brentq(off, press.drop_MPa / 6, press.drop_MPa * 1.5, xtol=1e-6, rtol=1e-7)
    return replace(case, hardness=float(hardness))


def ball_seconds(press: Press, fall_m: float) -> float:
    """How long a ball that fell so far presses until it rests, s: the whole sphere, by scipy's solve_ivp."""
    radius, pressure = press.ball / 1e3, press.drop_MPa * 1e6
    mass = 4 / 3 * np.pi * radius**3 * STEEL_KG_M3

    def sinks(_: float, state: np.ndarray) -> list[float]:
        z, v = state
        return [v, 9.81 - pressure * np.pi * (2 * radius * z - z * z) / mass]

    def rests(_: float, state: np.ndarray) -> float:
        return float(state[1])

    rests.terminal, rests.direction = True, -1.0  # type: ignore[attr-defined]
    run = solve_ivp(sinks, (0, 0.01), [0, np.sqrt(2 * 9.81 * fall_m)], events=rests, rtol=1e-9, atol=1e-12)
    return float(run.t_events[0][0])


@cache
def own_age_in_the_crater(exponent: float, steps: int = 2000) -> float:
    """Mean pressure over a crater, work over volume, as a multiple of that of ice as old as the whole fall.

    In units in which radius, mass and pressure drop out: the ice touched at t' presses with (t - t')^-m, and
    the area touched grows with the depth z, so z'' = -integral of (t - t')^-m z'(t') dt', until z' = 0.
    """
    # The time unit in which the ball without softening swings with frequency 1; quarter period pi/2.
    step = 2.0 * (np.pi / 2) / steps
    z, v, speeds = 0.0, 1.0, [1.0]
    # Integral of (t - t')^-m over each past step, exactly.
    weights = (np.arange(1, steps + 1) * step) ** (1 - exponent) / (1 - exponent)
    weights = np.diff(weights, prepend=0.0) * (np.pi / 2) ** exponent
    while v > 0:
        past = np.array(speeds)
        push = float(weights[: len(past)] @ past[::-1])
        middle = v - push * step / 2
        z += middle * step
        v -= push * step
        speeds.append(max(v, 0.0))
    # Energy 1/2 over volume z^2 / 2, in units of the pressure at the age pi/2. The fall's own time is that of
    # the pressure found: shorter by the root of it.
    return (1 / z**2) ** (1 - exponent / 2)


@dataclass(frozen=True)
class OwnAges(Lengths):
    """Add up the push of the ice with each patch at its own age, over the pressure of ice one mm behind."""

    exponent: float = 0.15

    @property
    def area(self) -> float:
        _, weight, heel, toe = self.strips
        return float(weight @ (toe - heel) ** (1 - self.exponent)) / (1 - self.exponent)

    @property
    def moment(self) -> float:
        _, weight, heel, toe = self.strips
        m, long = self.exponent, toe - heel
        arm = toe - self.attitude.case.position
        return float(weight @ (arm * long ** (1 - m) / (1 - m) - long ** (2 - m) / (2 - m)))


@dataclass(frozen=True)
class OwnAgeGlide:
    """What a gliding contact comes to with each patch at its own age."""

    mean_MPa: float
    length_mm: float
    plough: float
    film: float


def glide_at_own_ages(case: Case, press: Press) -> OwnAgeGlide:
    """Solve a gliding contact and its friction with each patch at its own age."""
    m = press.exponent
    at_drop = press.drop_MPa / own_age_in_the_crater(m)
    at_one_mm = at_drop * (1 / (press.speed * 1e3) / press.drop_s) ** -m

    def way(attitude: Attitude, depth: float) -> OwnAges:
        return OwnAges(attitude, depth, m)

    found = balance(replace(case, hardness=at_one_mm), way)
    assert isinstance(found, OwnAges)
    attitude = found.attitude
    _, weight, heel, toe = found.strips
    front = float(attitude.reach(np.array(found.depth))[1])
    long, cos = toe - heel, np.cos(np.radians(case.lean))
    mean = case.load / cos / float(weight @ long)
    # Ploughing: pressure times the slope of the runner, strip by strip; s^(1 - m) as variable takes the root.
    nodes, parts = np.polynomial.legendre.leggauss(24)
    q = long[:, None] ** (1 - m) * (nodes + 1) / 2
    x = toe[:, None] - q ** (1 / (1 - m))
    sine = case.sine(x)
    slope = (sine / np.sqrt(1 - sine**2) - np.tan(attitude.pitch)) * np.cos(attitude.pitch)
    pushes = (slope * parts / 2).sum(axis=1) * long ** (1 - m) / (1 - m)
    plough = at_one_mm * float(weight @ pushes) / case.load
    # Pressure against the distance behind the front: the growth of the push carried so far, over the width.
    s = (front - attitude.deepest) * np.linspace(0, 1, 301)
    behind = np.maximum(s[:, None] - (front - toe), 0.0)
    carried = at_one_mm * (behind ** (1 - m) / (1 - m)) @ weight
    area = behind @ weight
    pressures = np.diff(carried) / np.diff(area)
    middle = (s[:-1] + s[1:]) / 2e3
    film, _ = film_under(
        Glide(case, press.speed, press.cold_C),
        attitude,
        found.depth,
        lambda at: float(np.interp(at, middle, pressures)),
    )
    return OwnAgeGlide(mean, front - attitude.deepest, plough, film)
