"""The family of blades around the present one, and its scores in every moment: the search behind a starting
blade."""

from __future__ import annotations

import math
from collections.abc import Generator, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import product

import numpy as np
from numpy.typing import NDArray

from bladelab._checks import kind, number, takes
from bladelab._errors import InputError
from bladelab._types import Array
from bladelab._values import by_value
from bladelab.advice.evaluate import evaluate
from bladelab.advice.quantities import QUANTITIES, Conditions
from bladelab.advice.single_change import BLEND_STEP_MM, PIVOT_STEP_MM, RADIUS_STEP_MM
from bladelab.shape.blade import Blade
from bladelab.shape.hollow import USUAL_HOLLOWS_MM, Hollow
from bladelab.shape.rocker import Rocker, Zone

# A single radius is seen as three zones of the same radius: the middle a little longer, since a glide is
# there.
_THIRDS = (0.3, 0.4, 0.3)
# Shapes solved by a worker at a time: short enough to stop soon, long enough to be worth sending.
_CHUNK = 6
# How long to wait for the workers at a time: the kernel is deaf meanwhile.
_WAIT_S = 0.02


@dataclass(frozen=True)
class Shape:
    """A rocker of the family at the present pivot: steps of a foot for each group of zones, and the blend."""

    feet: tuple[int, ...]
    blend_mm: float
    rocker: Rocker


@by_value
@dataclass(frozen=True, eq=False)
class Family:
    """Every blade within some steps of the present one.

    Parameters
    ----------
    present : Blade
    feet : int
        How many feet each group of zones (heel, middle, toe) may be longer or shorter, 0 to 4.
    pivots : int
        How many steps of 5 mm the pivot may move each way, 0 to 6.
    hollows : int
        How many usual hollows deeper and shallower, 0 to 12.

    Examples
    --------
    >>> from bladelab import Blade, Hollow, Rocker
    >>> blade = Blade(Rocker.single(3048.0, 280.0), Hollow(12.7, 3.0))
    >>> Family(blade, feet=1, pivots=1, hollows=1).dimensions
    (75, 3, 3)
    """

    present: Blade
    feet: int = 2
    pivots: int = 2
    hollows: int = 5

    def __post_init__(self) -> None:
        for name, most in (("feet", 4), ("pivots", 6), ("hollows", 12)):
            object.__setattr__(self, name, int(number(name, getattr(self, name), "steps", 0, most)))
        kind("present", self.present, Blade)
        if self.present.hollow.shape:
            raise InputError("the present hollow holds an array; a family is built around one blade")

    @cached_property
    def base(self) -> Rocker:
        """The present rocker, a single radius cut into three zones of that radius."""
        rocker = self.present.rocker
        if len(rocker.zones) > 1:
            return rocker
        zone = rocker.zones[0]
        return replace(rocker, zones=tuple(Zone(zone.radius_mm, zone.length_mm * part) for part in _THIRDS))

    @cached_property
    def groups(self) -> tuple[int, ...]:
        """The group each zone belongs to: the first zone, those between, the last."""
        count = len(self.base.zones)
        return (0, *(1 for _ in range(count - 2)), min(count - 1, 2))

    @cached_property
    def shapes(self) -> tuple[Shape, ...]:
        """The rockers, the present one among them; those that can't be made are left out."""
        steps = range(-self.feet, self.feet + 1)
        found = []
        for feet in product(steps, repeat=max(self.groups) + 1):
            radii = [
                z.radius_mm + RADIUS_STEP_MM * feet[g]
                for z, g in zip(self.base.zones, self.groups, strict=True)
            ]
            if min(radii) < RADIUS_STEP_MM:
                continue
            zones = tuple(Zone(r, z.length_mm) for r, z in zip(radii, self.base.zones, strict=True))
            # On one radius a blend means nothing.
            blends = self.blends_mm if max(radii) - min(radii) > 1e-6 else (self.base.blend_mm,)
            for blend in blends:
                try:
                    found.append(Shape(feet, blend, replace(self.base, zones=zones, blend_mm=blend)))
                except InputError:
                    continue
        return tuple(found)

    @cached_property
    def blends_mm(self) -> tuple[float, ...]:
        """The blends tried: the present one and up to two steps of 20 mm from it."""
        now, most = self.base.blend_mm, min(zone.length_mm for zone in self.base.zones)
        steps = (0, 1, 2) if now < BLEND_STEP_MM else (-1, 0, 1)
        return tuple(now + s * BLEND_STEP_MM for s in steps if 0 <= now + s * BLEND_STEP_MM <= most)

    @cached_property
    def pivots_mm(self) -> tuple[float, ...]:
        """The pivots tried."""
        now, half = self.present.rocker.pivot_mm, self.present.rocker.length_mm / 2
        tried = (now + PIVOT_STEP_MM * s for s in range(-self.pivots, self.pivots + 1))
        return tuple(p for p in tried if abs(p) <= half)

    @cached_property
    def hollows_mm(self) -> tuple[float, ...]:
        """The hollows tried: the present one and the usual ones next to it, deep to shallow."""
        now, width = self.present.hollow.radius_mm, self.present.hollow.width_mm
        usual = [h for h in USUAL_HOLLOWS_MM if h > width / 2]
        deeper = [h for h in usual if h < now * 0.99][-self.hollows :] if self.hollows else []
        return (*deeper, now, *[h for h in usual if h > now * 1.01][: self.hollows])

    def __len__(self) -> int:
        return len(self.shapes) * len(self.pivots_mm) * len(self.hollows_mm)

    @property
    def dimensions(self) -> tuple[int, int, int]:
        """Number of shapes, pivots and hollows; a blade's number counts through them in this order."""
        return len(self.shapes), len(self.pivots_mm), len(self.hollows_mm)

    def blade(self, i: int) -> Blade:
        """Return the blade of number `i`; one whose zones all have one radius comes back as a single
        radius."""
        s, p, h = np.unravel_index(i, self.dimensions)
        rocker = replace(self.shapes[s].rocker, pivot_mm=self.pivots_mm[p])
        if len(self.present.rocker.zones) == 1 and len(set(self.shapes[s].feet)) == 1:
            rocker = Rocker.single(rocker.zones[0].radius_mm, rocker.length_mm, rocker.pivot_mm)
        return Blade(rocker, replace(self.present.hollow, radius_mm=self.hollows_mm[h]))

    @cached_property
    def steps_away(self) -> NDArray[np.int_]:
        """How many single changes lead from the present blade to each blade of the family; (len,).

        A foot on one group of zones, a foot on the whole shape, 20 mm of blend, 5 mm of pivot and a usual
        hollow are a step each.
        """
        shape = np.array([_radius_steps(s.feet) + _blend_steps(s, self.base.blend_mm) for s in self.shapes])
        pivot = np.rint(
            np.abs(np.array(self.pivots_mm) - self.present.rocker.pivot_mm) / PIVOT_STEP_MM
        ).astype(int)
        hollow = np.abs(
            np.arange(len(self.hollows_mm)) - self.hollows_mm.index(self.present.hollow.radius_mm)
        )
        steps: NDArray[np.int_] = (shape[:, None, None] + pivot[:, None] + hollow).ravel()
        return steps


def _radius_steps(feet: Sequence[int]) -> int:
    """Fewest changes: so many of the whole shape, and for each group what is left."""
    return min(abs(w) + sum(abs(f - w) for f in feet) for w in range(min(0, *feet), max(0, *feet) + 1))


def _blend_steps(shape: Shape, present_mm: float) -> int:
    return math.ceil(abs(shape.blend_mm - present_mm) / BLEND_STEP_MM - 1e-9)


@by_value
@dataclass(frozen=True, eq=False)
class FamilyScores:
    """The scores of a family.

    Attributes
    ----------
    family : Family
    conditions : Conditions
    values : dict of str to array (blades, moments)
        By the keys of `QUANTITIES`; NaN as in `evaluate`.
    present : dict of str to array (moments,)
        The present blade's.
    """

    family: Family
    conditions: Conditions
    values: dict[str, Array]
    present: dict[str, Array]


@takes(family=Family, conditions=Conditions)
def score_family(family: Family, conditions: Conditions, workers: int = 1) -> FamilyScores:
    """Compute every quantity of every blade of the family in every moment.

    A move of the pivot only turns the blade in the boot: it adds the tilt between the two pivots to the pitch
    and leaves the rest as it is, to about 0.01 %. So each shape is solved once, with all its hollows in one
    call.

    Parameters
    ----------
    family : Family
    conditions : Conditions
    workers : int
        Processes to use, 1 to 64; with 1 the work is done in this process.

    Returns
    -------
    FamilyScores

    Examples
    --------
    >>> from bladelab import MOMENTS, Blade, Conditions, Family, Hollow, Rocker
    >>> blade = Blade(Rocker.single(3048.0, 280.0), Hollow(12.7, 3.0))
    >>> scores = score_family(Family(blade, 1, 0, 1), Conditions(75.0, moments=MOMENTS[:2]))
    >>> scores.values["bite"].shape
    (225, 2)
    """
    steps = score_steps(family, conditions, workers)
    while True:
        try:
            next(steps)
        except StopIteration as end:
            scores: FamilyScores = end.value
            return scores


def score_steps(
    family: Family, conditions: Conditions, workers: int = 1
) -> Generator[int, None, FamilyScores]:
    """Do what `score_family` does, step by step; close the generator to stop.

    Yields
    ------
    int
        How many of ``family.shapes`` are solved: after each few, and, with several workers, every now and
        then while waiting for them.

    Returns
    -------
    FamilyScores
    """
    workers = int(number("workers", workers, "processes", 1, 64))
    chunks = [family.shapes[i : i + _CHUNK] for i in range(0, len(family.shapes), _CHUNK)]
    grooves = replace(family.present.hollow, radius_mm=np.array(family.hollows_mm))
    jobs = [(chunk, grooves, conditions) for chunk in chunks]
    solved: list[dict[str, Array]] = [{}] * len(jobs)
    done = 0
    for finished in _here(jobs) if workers == 1 else _in_processes(jobs, workers):
        for i, result in finished:
            solved[i] = result
            done += len(chunks[i])
        yield done
    shapes, pivots, hollows = family.dimensions
    values = {}
    for key in QUANTITIES:
        at_pivot = np.concatenate([chunk[key] for chunk in solved])[:, None]
        if key == "pitch":
            turn = np.array([shape.rocker.tilt_deg(np.array(family.pivots_mm)) for shape in family.shapes])
            at_pivot = at_pivot - turn[:, :, None, None]
        wide = np.broadcast_to(at_pivot, (shapes, pivots, hollows, len(conditions.moments)))
        values[key] = wide.reshape(len(family), -1)
    return FamilyScores(family, conditions, values, evaluate(family.present, conditions))


def _solve(shapes: Sequence[Shape], hollows: Hollow, conditions: Conditions) -> dict[str, Array]:
    """Return each quantity, (shapes, hollows, moments)."""
    each = [evaluate(Blade(shape.rocker, hollows), conditions) for shape in shapes]
    return {key: np.array([values[key] for values in each]) for key in QUANTITIES}


_Job = tuple[Sequence[Shape], Hollow, Conditions]
_Solved = list[tuple[int, dict[str, Array]]]


def _here(jobs: Sequence[_Job]) -> Iterator[_Solved]:
    for i, job in enumerate(jobs):
        yield [(i, _solve(*job))]


def _in_processes(jobs: Sequence[_Job], workers: int) -> Iterator[_Solved]:
    """Solve in fresh processes of their own: a notebook's kernel has threads, which a fork would
    break. Yield what is finished, or nothing for the moment."""
    import multiprocessing

    pool = ProcessPoolExecutor(workers, mp_context=multiprocessing.get_context("spawn"))
    try:
        waiting: dict[Future[dict[str, Array]], int] = {
            pool.submit(_solve, *job): i for i, job in enumerate(jobs)
        }
        while waiting:
            finished, _ = wait(waiting, timeout=_WAIT_S, return_when=FIRST_COMPLETED)
            yield [(waiting.pop(future), future.result()) for future in finished]
    finally:  # stopping a search does not wait for the workers
        pool.shutdown(wait=False, cancel_futures=True)
