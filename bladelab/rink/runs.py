"""Timed runs over taped marks: what was written down, checked, and how the times depend on ice and air."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike

from bladelab._checks import kind, number, numbers
from bladelab._errors import InputError
from bladelab._types import Array, Places, Truths
from bladelab.physics.ice import GRAVITY_M_S2
from bladelab.rink.coasting import passing_time, slopes
from bladelab.units import MM_PER_FOOT

#: Faster than anyone starts a glide-out; feet taken for metres make 3 m/s into 10.
FASTEST_GLIDE_M_S = 9.0
_M_PER_FOOT = MM_PER_FOOT / 1000
#: A run must pass this many marks: two of them go into its own start.
FEWEST_MARKS = 3


@dataclass(frozen=True, eq=False)
class Runs:
    """Runs over the same marks.

    Attributes
    ----------
    distance_m : array (marks,)
        Rising.
    time_s : array (runs, marks)
        NaN where a mark was missed.
    mass_kg : float
    direction : array (runs,)
        1 or -1; all 1 where nobody said.
    blade : array (runs,)
        Which blade each run was on, from 0.
    half_air_kg_m3 : float
        Half the density of the air.
    """

    distance_m: Array
    time_s: Array
    mass_kg: float
    direction: Array
    blade: Places
    half_air_kg_m3: float

    @cached_property
    def seen(self) -> Truths:
        """Where a time was written down, (runs, marks)."""
        return ~np.isnan(self.time_s)

    @cached_property
    def both_ways(self) -> bool:
        """Whether runs went in both directions, so that a slope shows."""
        return len(np.unique(self.direction)) > 1

    @cached_property
    def names(self) -> tuple[str, ...]:
        """The unknowns that all runs have in common, before the start speeds of each."""
        blades = tuple(f"mu {i}" for i in range(int(self.blade.max()) + 1))
        return (*blades, "cda", *(("slope",) if self.both_ways else ()))

    @property
    def free(self) -> int:
        """Degrees of freedom: times less unknowns; each run has a start of its own in speed and in time."""
        return int(self.seen.sum()) - 2 * len(self.time_s) - len(self.names)

    def centred(self, of_marks: Array) -> Array:
        """Take the mean over the marks seen of each run away, (runs, marks): the clock's start drops out."""
        kept = np.where(self.seen, of_marks, 0.0)
        return np.where(self.seen, kept - kept.sum(1, keepdims=True) / self.seen.sum(1, keepdims=True), 0.0)

    def _parts(self, unknowns: Array) -> tuple[Array, Array, Array, float]:
        """Distance from the first mark and, for each time, the run's start speed and the ice's share of the
        slowing, (runs, marks) each; and the air's."""
        common = len(self.names)
        blades = common - 1 - self.both_ways
        slope = unknowns[common - 1] if self.both_ways else 0.0
        ice = GRAVITY_M_S2 * (unknowns[:blades][self.blade] + self.direction * slope)
        start, friction = (
            np.broadcast_to(column[:, None], self.time_s.shape) for column in (unknowns[common:], ice)
        )
        air = self.half_air_kg_m3 / self.mass_kg * float(unknowns[blades])
        return self.distance_m - self.distance_m[0], start, friction, air

    def times(self, unknowns: Array) -> Array:
        """Return the passing times, centred, (runs, marks).

        Parameters
        ----------
        unknowns : array
            As `names`, then the start speed of each run, m/s.
        """
        return self.centred(passing_time(*self._parts(unknowns)))

    def steepness(self, unknowns: Array) -> Array:
        """Return the derivatives of these times with the unknowns, (runs, marks, unknowns)."""
        runs, common = np.arange(len(self.time_s)), len(self.names)
        blades = common - 1 - self.both_ways
        by_speed, by_ice, by_air = slopes(*self._parts(unknowns))
        rows = np.zeros((*self.time_s.shape, len(unknowns)))
        rows[runs, :, self.blade] = GRAVITY_M_S2 * self.centred(by_ice)
        rows[:, :, blades] = self.half_air_kg_m3 / self.mass_kg * self.centred(by_air)
        if self.both_ways:
            rows[:, :, common - 1] = GRAVITY_M_S2 * self.centred(by_ice * self.direction[:, None])
        rows[runs, :, common + runs] = self.centred(by_speed)
        return rows

    def guess(self) -> Array:
        """Unknowns to start from: no air, and a steady slowing, by a parabola through each run."""
        starts, slowing = [], []
        for times, seen in zip(self.time_s, self.seen, strict=True):
            t, x = times[seen] - times[seen][0], self.distance_m[seen]
            bend, speed, _ = np.polyfit(t, x, 2)
            slowing.append(-2 * bend)
            starts.append(max(speed, (x[-1] - x[0]) / t[-1]))
        loss = float(np.mean(slowing))
        if loss <= 0:
            raise InputError(
                f"on average the skater gets faster by {-loss:.3g} m/s each second; a glide must get slower: "
                "are the marks or the times the wrong way round?"
            )
        common = np.zeros(len(self.names))
        common[: int(self.blade.max()) + 1] = loss / GRAVITY_M_S2
        return np.concatenate([common, starts])


def checked_runs(
    distance_m: ArrayLike,
    time_s: ArrayLike,
    mass_kg: float,
    direction: ArrayLike | None,
    air_density_kg_m3: float,
    blade: ArrayLike | None = None,
) -> Runs:
    """Return the runs as they were written down, if they can be.

    Raises
    ------
    ValueError
        Naming the run and the mark, counted from 1, and what is wrong there.
    """
    marks = np.atleast_1d(numbers("distance_m", distance_m, "m", 0.0, 500.0))
    if marks.ndim != 1 or len(marks) < FEWEST_MARKS:
        raise InputError(f"distance_m has {marks.size} marks; it must be a row of at least {FEWEST_MARKS}")
    if (np.diff(marks) <= 0).any():
        at = int(np.argmax(np.diff(marks) <= 0))
        raise InputError(f"mark {at + 2} is no farther than mark {at + 1}; marks must rise")
    times = _checked_times(time_s, marks)
    ways = _row("direction", direction, len(times), np.ones(len(times)))
    if not np.isin(ways, (-1.0, 1.0)).all():
        wrong = ways[~np.isin(ways, (-1.0, 1.0))][0]
        raise InputError(f"direction is {wrong:g}; it must be 1 or -1 for each run")
    return Runs(
        marks,
        times,
        number("mass_kg", mass_kg, "kg", 10.0, 250.0),
        ways,
        _row("blade", blade, len(times), np.zeros(len(times))).astype(np.intp),
        number("air_density_kg_m3", air_density_kg_m3, "kg/m3", 0.5, 2.0) / 2,
    )


def _row(name: str, given: ArrayLike | None, runs: int, otherwise: Array) -> Array:
    if given is None:
        return otherwise
    row = np.atleast_1d(numbers(name, given, ""))
    if row.shape != (runs,):
        raise InputError(f"{name} has the shape {row.shape}; it must be one number for each of {runs} runs")
    return row


def _checked_times(time_s: ArrayLike, marks: Array) -> Array:
    kind("time_s", time_s, (list, tuple, np.ndarray), "a row of times, or a row for each run")
    try:
        given = np.atleast_2d(np.asarray(time_s, dtype=float))
    except (TypeError, ValueError):
        raise InputError(
            f"time_s is {time_s!r:.60}; it must be a row of {len(marks)} numbers for each run, NaN for a "
            "missed mark"
        ) from None
    if given.ndim != 2 or given.shape[1] != len(marks):
        raise InputError(
            f"time_s has the shape {given.shape}; there must be a time for each of the {len(marks)} marks, "
            "NaN for a missed one"
        )
    for run, row in enumerate(given, start=1):
        seen = ~np.isnan(row)
        numbers(f"time_s of run {run}", row[seen], "s", -36000.0, 36000.0)
        if seen.sum() < FEWEST_MARKS:
            raise InputError(
                f"run {run} has {seen.sum()} times; it must have at least {FEWEST_MARKS}: leave the run out"
            )
        t, x, mark = row[seen], marks[seen], np.flatnonzero(seen) + 1
        if (np.diff(t) <= 0).any():
            at = int(np.argmax(np.diff(t) <= 0))
            raise InputError(
                f"run {run} passes mark {mark[at + 1]} at {t[at + 1]:g} s, after mark {mark[at]} at "
                f"{t[at]:g} s; times must rise from mark to mark"
            )
        speeds = np.diff(x) / np.diff(t)
        if speeds.max() > FASTEST_GLIDE_M_S:
            at = int(np.argmax(speeds))
            raise InputError(
                f"run {run} takes {t[at + 1] - t[at]:.3g} s from mark {mark[at]} to mark {mark[at + 1]}, "
                f"{speeds[at]:.1f} m/s ({speeds[at] / _M_PER_FOOT:.0f} ft/s); a glide-out has at most "
                f"{FASTEST_GLIDE_M_S:g} m/s: are the distances in the unit that was said, and the times "
                "since the start?"
            )
    return given
