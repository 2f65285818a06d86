"""What was tested on the ice: the readings themselves, from which everything else is computed again."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from bladelab._checks import keep, kind, number, number_if_known, one_line
from bladelab._codes import checked_code
from bladelab._errors import InputError
from bladelab.rink.drop_test import DropTest, hardness_from_drop
from bladelab.rink.glide_compare import GlideDifference, compare_glide_outs
from bladelab.rink.glide_fit import GlideFit, fit_glide_out
from bladelab.rink.order import order_of_runs
from bladelab.rink.preference import PreferenceResult, preference_result
from bladelab.rink.press_test import PressTest, hardness_from_press
from bladelab.rink.reading import GlideTimes
from bladelab.rink.runs import checked_runs
from bladelab.rink.session import TimedSession
from bladelab.shape.blade import Blade

_AIR_KG_M3 = 1.29


@dataclass(frozen=True)
class IceTested:
    """The hardness of a rink's ice was tested with a dropped ball.

    Parameters
    ----------
    rink : str
        A code such as ``"R1"``.
    ball_radius_mm, height_m : float
    crater_mm : tuple of float
        The diameters.
    mass_kg : float, optional
        Of the ball with its guided weight; None for a free steel ball.
    rebound_m : float
    temperature_C : float, optional
        Of the ice, °C, -30 to 0.
    press_crater_mm : tuple of float
        The diameters where the same ball was pressed slowly beside it; none if it wasn't.
    press_load_N, press_s : float, optional
        By what load, and for how long.
    """

    rink: str
    ball_radius_mm: float
    height_m: float
    crater_mm: tuple[float, ...]
    mass_kg: float | None = None
    rebound_m: float = 0.0
    temperature_C: float | None = None
    press_crater_mm: tuple[float, ...] = ()
    press_load_N: float | None = None
    press_s: float | None = None

    def __post_init__(self) -> None:
        checked_code("rink", self.rink)
        number_if_known("temperature_C", self.temperature_C, "°C", -30.0, 0.0)
        keep(self, crater_mm=tuple(float(one) for one in self.drop.crater_mm))
        if (press := self.press) is not None:
            keep(self, press_crater_mm=tuple(float(one) for one in press.crater_mm))

    @property
    def drop(self) -> DropTest:
        """What the craters say."""
        how = (self.ball_radius_mm, self.height_m, list(self.crater_mm), self.mass_kg, self.rebound_m)
        return hardness_from_drop(*how)

    @property
    def press(self) -> PressTest | None:
        """What the slow press says; None without one."""
        if not self.press_crater_mm:
            return None
        if self.press_load_N is None or self.press_s is None:
            raise InputError("the slow press has craters but no load or no time; it must have both")
        return hardness_from_press(
            self.ball_radius_mm, self.press_load_N, self.press_s, list(self.press_crater_mm)
        )


@dataclass(frozen=True)
class GlideMeasured:
    """The skater glided out past taped marks, on one blade or on two.

    Parameters
    ----------
    distance_m : tuple of float
    time_s : tuple of tuple of float
        For each run; None for a missed mark.
    direction, blade : tuple of int
        For each run 1 or -1, and 0 for the first blade or 1 for the second.
    mass_kg : float
    first, second : Blade, optional
        The blades, as far as they are known.
    """

    distance_m: tuple[float, ...]
    time_s: tuple[tuple[float | None, ...], ...]
    direction: tuple[int, ...]
    blade: tuple[int, ...]
    mass_kg: float
    first: Blade | None = None
    second: Blade | None = None

    def __post_init__(self) -> None:
        _known_blades(self.first, self.second)
        checked_runs(
            self.distance_m, _with_nan(self.time_s), self.mass_kg, self.direction, _AIR_KG_M3, self.blade
        )
        if not set(self.blade) <= {0, 1}:
            raise InputError(f"blade is {self.blade!s:.60}; it must be 0 or 1 for each run")

    @classmethod
    def of(
        cls, runs: GlideTimes, mass_kg: float, first: Blade | None = None, second: Blade | None = None
    ) -> GlideMeasured:
        """Make it of runs as they were read."""
        times = tuple(tuple(None if math.isnan(t) else t for t in run) for run in runs.time_s)
        return cls(runs.distance_m, times, runs.direction, runs.blade, mass_kg, first, second)

    @property
    def found(self) -> GlideFit | GlideDifference:
        """What the runs say: of one blade its friction, of two also their difference."""
        return _glide(self.distance_m, self.time_s, self.direction, self.blade, self.mass_kg)


@dataclass(frozen=True)
class Timed:
    """The skater was timed on two blades in turn: one session.

    Parameters
    ----------
    runs : str
        ``"A"`` or ``"B"`` for each run.
    block : int
        How many runs belong together.
    time_s : tuple of float
        None for a run that is missing.
    first, second : Blade, optional
        A and B, as far as they are known.
    drill : str
        What was timed; may be empty.
    seed : int
        That drew the order; 0 where it is not known.
    """

    runs: str
    block: int
    time_s: tuple[float | None, ...]
    first: Blade | None = None
    second: Blade | None = None
    drill: str = ""
    seed: int = 0

    def __post_init__(self) -> None:
        _known_blades(self.first, self.second)
        one_line("drill", self.drill, 60)
        one_line("runs", self.runs, 1500, 1)
        number("seed", self.seed, "", 0, 2**31)
        _ = self.session

    @classmethod
    def of(cls, session: TimedSession, first: Blade | None = None, second: Blade | None = None) -> Timed:
        """Make it of a session."""
        times = tuple(None if math.isnan(t) else float(t) for t in session.time_s)
        order = session.order
        return cls(order.runs, len(order.blocks[0]), times, first, second, seed=order.seed)

    @property
    def session(self) -> TimedSession:
        """The session, with what it says."""
        order = replace(order_of_runs(self.runs, self.block), seed=self.seed)
        return TimedSession(order, np.array(_with_nan([self.time_s])[0]))


@dataclass(frozen=True)
class Preferred:
    """The skater said after blind pairs which of two blades they preferred.

    Parameters
    ----------
    for_a, for_b, neither : int
        How often.
    first, second : Blade, optional
        A and B, as far as they are known.
    """

    for_a: int
    for_b: int
    neither: int = 0
    first: Blade | None = None
    second: Blade | None = None

    def __post_init__(self) -> None:
        _known_blades(self.first, self.second)
        _ = self.found

    @property
    def found(self) -> PreferenceResult:
        """What the pairs say."""
        return preference_result(self.for_a, self.for_b, self.neither)


def _known_blades(*blades: Blade | None) -> None:
    for blade in blades:
        if blade is not None:
            kind("blade", blade, Blade)


def _with_nan(rows: object) -> list[list[float]]:
    return [[math.nan if t is None else t for t in row] for row in rows]  # type: ignore[attr-defined]


@lru_cache(maxsize=64)
def _glide(
    distance_m: tuple[float, ...],
    time_s: tuple[tuple[float | None, ...], ...],
    direction: tuple[int, ...],
    blade: tuple[int, ...],
    mass_kg: float,
) -> GlideFit | GlideDifference:
    times = _with_nan(time_s)
    if len(set(blade)) > 1:
        return compare_glide_outs(distance_m, times, mass_kg, blade, direction)
    return fit_glide_out(distance_m, times, mass_kg, direction)
