"""The scores of a family of blades in every moment: the search behind a starting blade."""

from __future__ import annotations

from collections.abc import Generator, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from dataclasses import dataclass, replace

import numpy as np

from bladelab._checks import number, takes
from bladelab._types import Array
from bladelab._values import by_value
from bladelab.advice.evaluate import evaluate
from bladelab.advice.family import Family, Shape
from bladelab.advice.quantities import QUANTITIES, Conditions
from bladelab.shape.blade import Blade
from bladelab.shape.hollow import Hollow

# Shapes solved by a worker at a time: short enough to stop soon, long enough to be worth sending.
_CHUNK = 6
# How long to wait for the workers at a time: the kernel is deaf meanwhile.
_WAIT_S = 0.02


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
