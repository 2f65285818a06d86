"""Before a session: thousands of sessions played through: what its plan finds, and how often it errs."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from bladelab._checks import keep, keep_number, number
from bladelab._types import Array, Truths
from bladelab._values import by_value
from bladelab.rink.order import checked_design, draw_order
from bladelab.rink.paired import sign_flip_p

_BATCH = 100
_LEVEL = 0.05
# Whoever looks early looks for the first time after so many pairs.
_FIRST_LOOK = 3


@by_value
@dataclass(frozen=True, eq=False)
class SessionPlan:
    """A session to be skated, and what is expected of the skater. Per cent are per cent of the time.

    Parameters
    ----------
    units : int
        Pairs, blocks of four, or runs in each phase of ABA, 2 to 200.
    design : str
        ``"pairs"``, ``"ABBA"`` or ``"ABA"``.
    difference_percent : float
        How much slower B is, -50 to 50.
    cv_percent : float
        Scatter of a single run, 0.05 to 50.
    drift_percent : float
        How much slower the last run is than the first, -50 to 50: tired legs, softer ice.
    warm_up_percent : float
        How much slower the first run is; each later one has half as much of it, -50 to 50.
    carry_over_percent : float
        How much slower a run is after one on B, -50 to 50.
    time_s, step_s : float
        A typical time, 0.5 to 600 s, and how finely it is written down, 0 to 1 s.

    Examples
    --------
    >>> from bladelab.rink.simulate import SessionPlan, simulate_sessions
    >>> *_, last = simulate_sessions(SessionPlan(10, difference_percent=2.0, cv_percent=1.4), 500)
    >>> 0.7 < last.found < 0.9
    True
    """

    units: int
    design: str = "pairs"
    difference_percent: float = 1.0
    cv_percent: float = 1.4
    drift_percent: float = 0.0
    warm_up_percent: float = 0.0
    carry_over_percent: float = 0.0
    time_s: float = 4.0
    step_s: float = 0.01

    def __post_init__(self) -> None:
        checked_design(self.design)
        keep(self, units=int(number("units", self.units, "", 2, 200)))
        keep_number(
            self,
            cv_percent=("%", 0.05, 50.0),
            difference_percent=("%", -50.0, 50.0),
            drift_percent=("%", -50.0, 50.0),
            warm_up_percent=("%", -50.0, 50.0),
            carry_over_percent=("%", -50.0, 50.0),
            time_s=("s", 0.5, 600.0),
            step_s=("s", 0.0, 1.0),
        )


@dataclass(frozen=True)
class Simulated:
    """What the sessions played so far came to; shares from 0 to 1.

    Attributes
    ----------
    done, total : int
        Sessions played and to be played.
    found : float
        Share in which the t test finds the difference, on the right side.
    found_by_flips : float
        The same by the sign-flip test; NaN for ABA.
    false_alarms, false_alarms_by_flips : float
        Share in which either finds a difference although both blades are alike.
    false_alarms_by_looking : float
        The same for someone who looks after each pair from the third on and stops at the first p below 0.05.
    covered : float
        Share in which the interval holds the true difference.
    """

    done: int
    total: int
    found: float
    found_by_flips: float
    false_alarms: float
    false_alarms_by_flips: float
    false_alarms_by_looking: float
    covered: float


def simulate_sessions(plan: SessionPlan, count: int = 2000, seed: int = 1) -> Iterator[Simulated]:
    """Play sessions through, and say after each hundred what they came to.

    Each is played twice with the same luck: with the difference of the plan, and with none.

    Parameters
    ----------
    plan : SessionPlan
    count : int
        100 to 100 000, rounded up to hundreds.
    seed : int
        0 to 2**31.

    Yields
    ------
    Simulated
        Over all sessions so far; the last is the result.
    """
    from scipy.stats import t

    total = -(-int(number("count", count, "", 100, 100000)) // _BATCH) * _BATCH
    rng = np.random.default_rng(int(number("seed", seed, "", 0, 2**31)))
    critical = np.asarray(t.ppf(1 - _LEVEL / 2, np.arange(1, plan.units)))
    tallies = np.zeros(6)
    wanted = plan.time_s * plan.difference_percent / 100
    for done in range(_BATCH, total + 1, _BATCH):
        real, none = _differences(plan, rng)
        with_t, without_t = (_t_values(rows) for rows in (real, none))
        half = critical[-1] * np.std(real, axis=1, ddof=1) / np.sqrt(plan.units)
        right_side = np.sign(real.mean(1)) == np.sign(wanted)
        flips, null_flips = (sign_flip_p(rows) < _LEVEL for rows in (real, none))
        looks = np.abs(without_t[:, _FIRST_LOOK - 2 :]) > critical[_FIRST_LOOK - 2 :]
        tallies += [
            np.sum((np.abs(with_t[:, -1]) > critical[-1]) & right_side),
            np.sum(flips & right_side),
            np.sum(np.abs(without_t[:, -1]) > critical[-1]),
            np.sum(null_flips),
            np.sum(looks.any(axis=1)),
            np.sum(np.abs(real.mean(1) - wanted) <= half),
        ]
        shares = tallies / done
        if plan.design == "ABA":  # nothing was drawn, so signs don't flip
            shares[[1, 3]] = np.nan
        yield Simulated(done, total, *map(float, shares))


@lru_cache(maxsize=256)
def looking_early(pairs: int) -> float:
    """Return how often someone who looks after each pair from the third on, and stops at the first p below
    0.05, finds a difference between two blades that are alike: by 4,000 draws with a fixed seed.

    Parameters
    ----------
    pairs : int
        3 to 200.

    Examples
    --------
    >>> 0.1 < looking_early(10) < 0.2
    True
    """
    from scipy.stats import t

    count = int(number("pairs", pairs, "", _FIRST_LOOK, 200))
    rows = np.random.default_rng(1).standard_normal((4000, count))
    critical = np.asarray(t.ppf(1 - _LEVEL / 2, np.arange(1, count)))
    looks = np.abs(_t_values(rows))[:, _FIRST_LOOK - 2 :] > critical[_FIRST_LOOK - 2 :]
    return float(looks.any(axis=1).mean())


def _differences(plan: SessionPlan, rng: np.random.Generator) -> tuple[Array, Array]:
    """Differences of some sessions, (sessions, units), with the difference of the plan and with none."""
    orders = [draw_order(plan.units, plan.design, int(rng.integers(0, 2**31))) for _ in range(_BATCH)]
    on_b: Truths = np.array([[blade == "B" for blade in order.runs] for order in orders])
    runs = on_b.shape[1]
    after_b = np.concatenate([np.zeros((_BATCH, 1)), on_b[:, :-1]], axis=1)
    beside = (
        plan.cv_percent * rng.standard_normal(on_b.shape)
        + plan.drift_percent * np.arange(runs) / (runs - 1)
        + plan.warm_up_percent * 0.5 ** np.arange(runs)
        + plan.carry_over_percent * after_b
    )
    members = [order.members() for order in orders]
    a, b = (np.array([[unit[side] for unit in session] for session in members]) for side in (0, 1))
    found = []
    for difference in (plan.difference_percent, 0.0):
        times = plan.time_s * (1 + (beside + difference * on_b) / 100)
        if plan.step_s:
            times = np.round(times / plan.step_s) * plan.step_s
        means = [
            np.take_along_axis(times, places.reshape(_BATCH, -1), axis=1).reshape(places.shape).mean(axis=2)
            for places in (a, b)
        ]
        found.append(means[1] - means[0])
    return found[0], found[1]


def _t_values(rows: Array) -> Array:
    """The t of the first 2, 3, ... differences of each row, (rows, units - 1)."""
    n = np.arange(1, rows.shape[1] + 1)
    mean = np.cumsum(rows, axis=1) / n
    spread = np.cumsum(rows**2, axis=1) - n * mean**2
    variance = np.maximum(spread[:, 1:], 1e-24) / (n[1:] - 1)
    found: Array = mean[:, 1:] / np.sqrt(variance / n[1:])
    return found
