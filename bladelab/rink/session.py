"""A timed session: two blades in a drawn order, what it shows, and whether drift or carry-over spoil it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from bladelab._checks import each, keep, kind, numbers
from bladelab._errors import InputError
from bladelab._types import Array
from bladelab._values import by_value
from bladelab.rink.order import RunOrder
from bladelab.rink.paired import PairedResult, result_of

# A drill takes between these, s.
_SHORTEST_S, _LONGEST_S = 0.2, 600.0
# Ours: so much below or above the typical run of a session is a slip of the thumb, a fall or a wrong key.
_ODD_SHARE = 0.25


class Effect(NamedTuple):
    """Something that is in the times beside the blade: its size, its standard error and p; NaN where the
    session can't tell."""

    value: float
    standard_error: float
    p: float


@by_value
@dataclass(frozen=True, eq=False)
class TimedSession:
    """The times of one session.

    Parameters
    ----------
    order : RunOrder
    time_s : array (runs,)
        In the order of the runs, s, 0.2 to 600; NaN for a run that is missing or to come.

    Raises
    ------
    ValueError
        If a time is out of range, or there are more or fewer than runs.

    Examples
    --------
    >>> from bladelab.rink.order import draw_order
    >>> from bladelab.rink.session import TimedSession
    >>> order = draw_order(5, "ABA")
    >>> times = [4.1, 4.0, 4.2, 4.1, 4.0, 3.9, 4.0, 3.9, 4.0, 3.8, 4.1, 4.2, 4.0, 4.1, 4.1]
    >>> print(f"{TimedSession(order, times).result.difference:.2f} s")
    -0.17 s
    """

    order: RunOrder
    time_s: Array

    def __post_init__(self) -> None:
        kind("order", self.order, RunOrder)
        kind("time_s", self.time_s, (list, tuple, np.ndarray), "a row of times")
        try:
            times = np.atleast_1d(np.array(self.time_s, dtype=float))
        except (TypeError, ValueError):
            raise InputError(f"time_s is {self.time_s!r:.60}; it must be a row of numbers") from None
        if times.shape != (len(self.order.runs),):
            raise InputError(
                f"time_s has the shape {times.shape}; there must be one time for each of the "
                f"{len(self.order.runs)} runs, NaN for a missing one"
            )
        numbers("time_s", times[~np.isnan(times)], "s", _SHORTEST_S, _LONGEST_S)
        times.setflags(write=False)
        keep(self, time_s=times)

    @property
    def means(self) -> tuple[Array, Array]:
        """Mean time on A and on B in each complete pair or block, s."""
        return self.order.means(self.time_s)

    @property
    def complete(self) -> int:
        """How many pairs or blocks are complete."""
        return len(self.means[0])

    @property
    def result(self) -> PairedResult:
        """What the complete pairs say: B less A, s.

        Raises
        ------
        ValueError
            If fewer than 2 are complete, or all differences are equal.
        """
        a, b = self.means
        level = float(np.mean(a)) if len(a) else float("nan")
        return result_of(b - a, level, at_random=self.order.design != "ABA")

    @property
    def odd(self) -> tuple[int, ...]:
        """Runs, from 0, more than a quarter off the session's median: a slip of the thumb, or a fall?"""
        middle = np.nanmedian(self.time_s) if np.isfinite(self.time_s).any() else np.nan
        return tuple(int(i) for i in np.flatnonzero(np.abs(self.time_s / middle - 1) > _ODD_SHARE))

    @property
    def drift(self) -> Effect:
        """How much slower each run is than the one before, whatever the blade, s."""
        return self._effect(np.arange(len(self.time_s), dtype=float))

    @property
    def carry_over(self) -> Effect:
        """How much slower a run is after one on B than after one on A, drift aside, s."""
        before = np.array([np.nan, *(float(blade == "B") for blade in self.order.runs[:-1])])
        return self._effect(before, np.arange(len(before), dtype=float))

    @property
    def warm_up(self) -> Effect:
        """How much slower the first two runs are than the rest, s."""
        return self._effect(np.where(np.arange(len(self.time_s)) < 2, 1.0, 0.0))

    def _effect(self, *columns: Array) -> Effect:
        """The first of these columns beside the blade, by least squares."""
        blade = np.array([float(one == "B") for one in self.order.runs])
        table = np.column_stack([*columns, blade, np.ones(len(blade))])
        known = np.isfinite(self.time_s) & np.isfinite(table).all(axis=1)
        return first_effect(table[known], self.time_s[known])


def first_effect(table: Array, values: Array) -> Effect:
    """Return the coefficient of the first column by least squares; NaN where the columns can't tell."""
    from scipy.stats import t

    free = len(values) - table.shape[1]
    nothing = Effect(float("nan"), float("nan"), float("nan"))
    if free < 1 or np.linalg.matrix_rank(table) < table.shape[1]:
        return nothing
    solution = np.linalg.lstsq(table, values, rcond=None)[0]
    left = values - table @ solution
    error = float(np.sqrt(left @ left / free * np.linalg.inv(table.T @ table)[0, 0]))
    if not error:
        return nothing
    return Effect(float(solution[0]), error, float(2 * t.sf(abs(solution[0]) / error, free)))


@by_value
@dataclass(frozen=True, eq=False)
class SessionsResult:
    """Several sessions of the same two blades.

    Attributes
    ----------
    together : PairedResult
        All pairs of all sessions.
    each : tuple of PairedResult
    differ_p : float
        How often sessions would differ as much by chance (analysis of variance of the differences); NaN for
        one session.
    """

    together: PairedResult
    each: tuple[PairedResult, ...]
    differ_p: float


def sessions_together(sessions: Sequence[TimedSession]) -> SessionsResult:
    """Return what several sessions of the same two blades say together.

    Each pair was skated within one session, so what differs from day to day drops out of its difference.

    Raises
    ------
    ValueError
        If there is none, they are of different designs, or one has fewer than 2 complete pairs.

    Examples
    --------
    >>> from bladelab.rink.order import draw_order
    >>> order = draw_order(3, "pairs", seed=2)
    >>> days = [[4.1, 4.0, 4.2, 4.1, 3.9, 4.1], [4.0, 4.1, 4.0, 4.2, 4.0, 4.3]]
    >>> sessions_together([TimedSession(order, times) for times in days]).together.pairs
    6
    """
    from scipy.stats import f_oneway

    each("sessions", sessions, TimedSession)
    designs = sorted({session.order.design for session in sessions})
    if len(designs) != 1:
        raise InputError(
            f"the sessions have the designs {', '.join(designs) or 'of none'}; there must be at least one "
            "session, and all of one design"
        )
    results = tuple(session.result for session in sessions)
    differences = np.concatenate([result.differences for result in results])
    level = float(np.mean(np.concatenate([session.means[0] for session in sessions])))
    together = result_of(differences, level, at_random=designs[0] != "ABA")
    differ = float(f_oneway(*(r.differences for r in results)).pvalue) if len(results) > 1 else float("nan")
    return SessionsResult(together, results, differ)
