"""Before a timed trial: how many runs it takes, and in which order."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from types import SimpleNamespace

import numpy as np

from bladelab._errors import InputError
from bladelab._types import Array
from bladelab.rink.how_many_pairs import pairs_needed, smallest_difference_percent
from bladelab.rink.order import SCATTER, RunOrder, draw_order
from bladelab.rink.session import SessionsResult, TimedSession
from bladelab.rink.simulate import SessionPlan, looking_early
from bladelab.show.canvas.result import Result

#: How many of what a design is made of: one, many.
NAMED = {
    "pairs": ("pair", "pairs"),
    "ABBA": ("block", "blocks"),
    "ABA": ("run in each phase", "runs in each phase"),
}
#: For a curve of how many pairs each difference takes, per cent.
DIFFERENCES = np.geomspace(0.5, 10.0, 25)
CAUTION = (
    "Two easy laps after every change of steel, small changes only, a stop zone, and a guardian's consent "
    "for minors."
)


@dataclass(frozen=True)
class TimedSessions:
    """Sessions of one trial, the last of which may be unfinished.

    Attributes
    ----------
    sessions : tuple of TimedSession
    to_come : int
        How many runs of the last one are still to be skated.
    """

    sessions: tuple[TimedSession, ...]
    to_come: int = 0

    @property
    def last(self) -> TimedSession:
        """The session that was begun last."""
        return self.sessions[-1]


@dataclass(frozen=True, kw_only=True)
class TimedFound(Result):
    """The sessions with what they say, or the plan.

    Attributes
    ----------
    sessions : the runs; none for a plan
    outcome : what all sessions say together
    order : the order drawn, for a plan
    needed : pairs for each of `DIFFERENCES`; NaN where it takes too many
    units, percent : what is planned, and the difference that would matter
    """

    sessions: tuple[TimedSession, ...]
    outcome: SessionsResult | None
    order: RunOrder
    needed: Array
    units: int
    percent: float


def cv_of(state: SimpleNamespace) -> float:
    """The scatter of a single run, per cent: that of the drill, or the skater's own."""
    return float(state.drill or state.cv_percent)


def order_of(state: SimpleNamespace) -> RunOrder:
    """The order that the dials draw."""
    return draw_order(int(state.count), state.design, int(state.seed))


def plan_of_session(state: SimpleNamespace) -> SessionPlan:
    """The session that the dials plan, with the difference that would matter."""
    return SessionPlan(int(state.count), state.design, -state.difference_percent, cv_of(state))


@lru_cache(maxsize=2000)
def needed(design: str, percent: float, cv: float) -> int | None:
    """How many pairs or blocks show a difference this large with this scatter of one run, both per cent; None
    for more than can be skated."""
    try:
        return pairs_needed(percent, cv * SCATTER[design] / np.sqrt(2))
    except InputError:
        return None


def planned(state: SimpleNamespace) -> TimedFound:
    """The plan that the dials describe: how many runs it takes, and in which order."""
    design, units, percent, cv = state.design, int(state.count), state.difference_percent, cv_of(state)
    order = order_of(state)
    one, many = NAMED[design]
    wanted = needed(design, percent, cv)
    takes = f"{wanted} {many}" if wanted else f"thousands of {many}"
    if units >= 3:
        smallest = smallest_difference_percent(units, cv * SCATTER[design] / np.sqrt(2))
        shows = f"{units} {many} show a difference of {smallest:.1f} %"
        found = round(100 * looking_early(units))
        looking = (
            f" Looking after every {one.split()[0]} and stopping when it looks good finds a difference "
            f"between two blades that are alike in {found} of 100 sessions, not in 5."
            if found > 5
            else ""
        )
    else:
        shows, looking = f"{units} {many} show nothing", ""
    sentence = (
        f"A single run scatters by {cv:.1f} %. To show a difference of {percent:.1f} % (4 times in 5, where "
        f"there is one) takes {takes}; this session's {shows}.\n"
        f"Decide the number before you start, and keep to it.{looking}\n"
        f"The order drawn is {_spaced(order)}: {len(order.runs)} runs with {order.changes} changes of steel. "
        f"{_WHY[design]}\n{CAUTION}"
    )
    return TimedFound(
        finding=f"{percent:.1f} % takes {takes}; {shows}",
        sentence=sentence,
        sessions=(),
        outcome=None,
        order=order,
        needed=np.array([needed(design, float(p), cv) or np.nan for p in DIFFERENCES]),
        units=units,
        percent=percent,
    )


#: What each design is good for.
_WHY = {
    "pairs": "The order within each pair is drawn, so that neither blade is always first.",
    "ABBA": "In a block of four a steady drift, as of tiring legs, cancels.",
    "ABA": "Nothing is drawn, so a drift that bends stays in: use it only where changing steel takes long.",
}


def _spaced(order: RunOrder) -> str:
    blocks = order.blocks
    return " ".join(blocks[:12]) + (" …" if len(blocks) > 12 else "")
