"""What timed runs on two blades say, or before there are any, how many it takes."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from types import SimpleNamespace

import numpy as np

from bladelab._errors import InputError
from bladelab._types import Array
from bladelab.rink.how_many_pairs import pairs_needed, smallest_difference_percent
from bladelab.rink.order import SCATTER, RunOrder, draw_order
from bladelab.rink.paired import PairedResult
from bladelab.rink.preference import preference_result
from bladelab.rink.session import Effect, SessionsResult, TimedSession, sessions_together
from bladelab.rink.simulate import SessionPlan, looking_early
from bladelab.show.canvas.result import Result

_LIKELY = 0.05
#: How many of what a design is made of: one, many.
NAMED = {
    "pairs": ("pair", "pairs"),
    "ABBA": ("block", "blocks"),
    "ABA": ("run in each phase", "runs in each phase"),
}
#: For a curve of how many pairs each difference takes, per cent.
DIFFERENCES = np.geomspace(0.5, 10.0, 25)
_CAUTION = (
    "Two easy laps after every change of steel, small changes only, a stop zone, and a guardian's consent "
    "for minors."
)


@dataclass(frozen=True)
class TimedSessions:
    """Sessions of one trial, the last of which may be unfinished.

    Attributes
    ----------
    sessions : tuple of TimedSession
    """

    sessions: tuple[TimedSession, ...]

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


def timed_answer(state: SimpleNamespace) -> TimedFound:
    """What the sessions say; with none, the plan."""
    return _planned(state) if state.sessions is None else _said(state, state.sessions)


# Before -------------------------------------------------------------------------------------------------


@lru_cache(maxsize=2000)
def _needed(design: str, percent: float, cv: float) -> int | None:
    try:
        return pairs_needed(percent, cv * SCATTER[design] / np.sqrt(2))
    except InputError:
        return None


def _planned(state: SimpleNamespace) -> TimedFound:
    design, units, percent, cv = state.design, int(state.count), state.difference_percent, cv_of(state)
    order = order_of(state)
    one, many = NAMED[design]
    wanted = _needed(design, percent, cv)
    takes = f"{wanted} {many}" if wanted else f"thousands of {many}"
    if units >= 3:
        smallest = smallest_difference_percent(units, cv * SCATTER[design] / np.sqrt(2))
        shows = f"{units} {many} show a difference of {smallest:.1f} %"
        looking = (
            f" Looking after every {one.split()[0]} and stopping when it looks good finds a difference "
            f"between two blades that are alike in {100 * looking_early(units):.0f} of 100 sessions, "
            "not in 5."
        )
    else:
        shows, looking = f"{units} {many} show nothing", ""
    sentence = (
        f"A single run scatters by {cv:.1f} %. To show a difference of {percent:.1f} % (4 times in 5, where "
        f"there is one) takes {takes}; this session's {shows}.\n"
        f"Decide the number before you start, and keep to it.{looking}\n"
        f"The order drawn is {_spaced(order)}: {len(order.runs)} runs with {order.changes} changes of steel. "
        f"{_WHY[design]}\n{_CAUTION}"
    )
    return TimedFound(
        finding=f"{percent:.1f} % takes {takes}; {shows}",
        sentence=sentence,
        sessions=(),
        outcome=None,
        order=order,
        needed=np.array([_needed(design, float(p), cv) or np.nan for p in DIFFERENCES]),
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


# After --------------------------------------------------------------------------------------------------


def _said(state: SimpleNamespace, timed: TimedSessions) -> TimedFound:
    sessions = tuple(one for one in timed.sessions if one.complete >= 2)
    last = timed.last
    _, many = NAMED[last.order.design]
    if not sessions:
        done = int(np.isfinite(last.time_s).sum())
        raise InputError(
            f"{done} run{'s are' if done != 1 else ' is'} timed, {last.complete} {many} complete; there must "
            f"be at least 2 complete {many}, and 5 or more to show anything"
        )
    outcome = sessions_together(sessions)
    result = outcome.together
    parts = [
        _difference_said(result, many),
        _chance_said(result, last),
        _enough_said(result, timed, state.difference_percent),
        *_spoilers(last),
        _sessions_said(outcome),
        _preferred(state),
        _CAUTION,
    ]
    return TimedFound(
        finding=_finding(result),
        sentence="\n".join(part for part in parts if part),
        sessions=timed.sessions,
        outcome=outcome,
        order=last.order,
        needed=np.empty(0),
        units=last.order.units,
        percent=state.difference_percent,
    )


def _finding(result: PairedResult) -> str:
    percent = result.percent[0]
    if result.p >= _LIKELY:
        return f"Not shown: B {_quicker(percent)}, and it may be chance"
    return f"B is {abs(percent):.1f} % {'quicker' if percent < 0 else 'slower'} than A"


def _quicker(percent: float) -> str:
    if abs(percent) < 0.05:
        return "as quick as A"
    return f"{abs(percent):.1f} % {'quicker' if percent < 0 else 'slower'}"


def _difference_said(result: PairedResult, many: str) -> str:
    percent, low, high = result.percent
    seconds = f"{abs(result.difference):.2f} s {'quicker' if result.difference < 0 else 'slower'}"
    return (
        f"On B this skater is {seconds}, {abs(percent):.1f} %; by these {result.pairs} {many} anything from "
        f"{_side(low)} to {_side(high)} is possible."
    )


def _side(percent: float) -> str:
    if abs(percent) < 0.05:
        return "no difference"
    return f"{abs(percent):.1f} % {'quicker' if percent < 0 else 'slower'}"


def _chance_said(result: PairedResult, last: TimedSession) -> str:
    by_coin = (
        "" if np.isnan(result.p_permutation) else f", by flipping signs {_percent(result.p_permutation)}"
    )
    said = (
        f"If both were alike, a difference as large would come up in {_percent(result.p)} of such sessions "
        f"by chance{by_coin}."
    )
    if result.p >= _LIKELY:
        said += " So this doesn't show that they differ, and doesn't show that they are alike either."
    if last.order.design == "ABA":
        said += " The order was not drawn, so that a drift that bends can look like a difference."
    return said


def _percent(share: float) -> str:
    return (
        "less than 0.1 %"
        if share < 0.001
        else f"{100 * share:.2g} %"
        if share < 0.1
        else f"{100 * share:.0f} %"
    )


def _enough_said(result: PairedResult, timed: TimedSessions, percent: float) -> str:
    last, cv = timed.last, result.cv_percent * np.sqrt(2) / SCATTER[timed.last.order.design]
    one, many = NAMED[last.order.design]
    said = f"A single run scattered by {cv:.1f} %; at that, {percent:.1f} % takes "
    wanted = _needed(last.order.design, percent, min(max(cv, 0.05), 50.0))
    said += f"{wanted} {many}." if wanted else f"thousands of {many}."
    if last.complete < last.order.units and last.order.units >= 3:
        said = (
            f"You are looking early: {last.complete} of {last.order.units} {many} are complete. Finish them: "
            f"whoever looks after every {one.split()[0]} and stops when it looks good is wrong in "
            f"{100 * looking_early(last.order.units):.0f} of 100 sessions. {said}"
        )
    return said


def _spoilers(session: TimedSession) -> list[str]:
    """What else is in the times of the last session."""
    said = []
    for run in session.odd:
        said.append(
            f"Run {run + 1}, {session.time_s[run]:.2f} s, is more than a quarter off the others: a slip of "
            "the thumb, or a fall?"
        )
    drift, carried, warm = session.drift, session.carry_over, session.warm_up
    said.append(
        f"The times {'rise' if drift.value > 0 else 'fall'} by {abs(1000 * drift.value):.0f} thousandths of "
        f"a second from run to run ({_sure(drift)})."
        if np.isfinite(drift.p) and drift.p < _LIKELY
        else "No drift shows over the session."
    )
    if np.isfinite(warm.p) and warm.p < _LIKELY:
        late = "slower than the rest: warm up longer" if warm.value > 0 else "quicker than the rest"
        said.append(f"The first two runs were {abs(warm.value):.2f} s {late}.")
    if np.isfinite(carried.p) and carried.p < _LIKELY:
        slower = "slower" if carried.value > 0 else "quicker"
        said.append(
            f"A run after one on B was {abs(carried.value):.2f} s {slower} than one after A: something "
            "carries over. Rest longer, or skate a run in between that doesn't count."
        )
    return [" ".join(said)]


def _sure(effect: Effect) -> str:
    return f"by chance in {_percent(effect.p)}"


def _sessions_said(outcome: SessionsResult) -> str:
    if len(outcome.each) < 2:
        return ""
    each = ", ".join(f"{_quicker(result.percent[0])}" for result in outcome.each)
    said = f"In {len(outcome.each)} sessions B was {each}."
    if outcome.differ_p < _LIKELY:
        return f"{said} The sessions don't agree: look for what differed before you trust the mean."
    return f"{said} They agree within chance."


def _preferred(state: SimpleNamespace) -> str:
    a, b, neither = int(state.prefers_a), int(state.prefers_b), int(state.prefers_neither)
    if a + b == 0:
        return ""
    found = preference_result(a, b, neither)
    said = f"Blind, B was preferred {b} time{'s' * (b != 1)} and A {a}"
    said += f"; {neither} undecided" if neither else ""
    shown = "that is a preference" if found.p < _LIKELY else "that may be the toss of a coin"
    return f"{said}: a split as uneven comes up in {_percent(found.p)} by chance, so {shown}."
