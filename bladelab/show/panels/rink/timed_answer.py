"""What timed runs on two blades say."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np

from bladelab._errors import InputError
from bladelab.rink.order import SCATTER
from bladelab.rink.paired import PairedResult
from bladelab.rink.preference import preference_result
from bladelab.rink.session import Effect, SessionsResult, TimedSession, sessions_together
from bladelab.rink.simulate import looking_early
from bladelab.show.panels.rink.timed_plan import CAUTION, NAMED, TimedFound, TimedSessions, needed, planned
from bladelab.show.wording.words import counted

_LIKELY = 0.05
_LEAST_SAID = 0.05  # per cent: less would be said as nothing


def timed_answer(state: SimpleNamespace) -> TimedFound:
    """What the sessions say; with none, the plan."""
    return planned(state) if state.sessions is None else _said(state, state.sessions)


def _said(state: SimpleNamespace, timed: TimedSessions) -> TimedFound:
    sessions = tuple(one for one in timed.sessions if one.complete >= 2)
    last = timed.last
    one, many = NAMED[last.order.design]
    if not sessions:
        done, whole = int(np.isfinite(last.time_s).sum()), last.complete
        raise InputError(
            f"{done} run{'s are' if done != 1 else ' is'} timed so far, and {whole or 'no'} "
            f"{many if whole > 1 else one} {'are' if whole > 1 else 'is'} complete; there must be at least 2 "
            f"complete {many}, and 5 or more to show anything"
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
        CAUTION,
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
    return f"B is {_quicker(percent)}{'' if abs(percent) < _LEAST_SAID else ' than A'}"


def _quicker(percent: float, same: str = "as quick as A") -> str:
    """``"1.2 % quicker"``; `same` where that would be 0.0 %."""
    if abs(percent) < _LEAST_SAID:
        return same
    return f"{abs(percent):.1f} % {'quicker' if percent < 0 else 'slower'}"


def _difference_said(result: PairedResult, many: str) -> str:
    percent, low, high = result.percent
    same = "no difference"
    seconds = f"{abs(result.difference):.2f} s {'quicker' if result.difference < 0 else 'slower'}"
    return (
        f"On B this skater is {seconds}, {abs(percent):.1f} %; going by these {result.pairs} {many}, "
        f"anything from {_quicker(low, same)} to {_quicker(high, same)} is possible."
    )


def _chance_said(result: PairedResult, last: TimedSession) -> str:
    said = (
        f"If both were alike, a difference as large would come up by chance in {_percent(result.p)} of such "
        f"sessions{_flipped(result, NAMED[last.order.design][1])}."
    )
    if result.p >= _LIKELY:
        said += " So this doesn't show that they differ, and doesn't show that they are alike either."
    if last.order.design == "ABA":
        said += " The order was not drawn, so that a drift that bends can look like a difference."
    return said


def _flipped(result: PairedResult, many: str) -> str:
    """What the permutation test says, in words."""
    p = result.p_permutation
    if np.isnan(p):
        return ""
    # All of them one way, or all the other.
    least = f", the least that {result.pairs} {many} can give" if p < 1.01 * 2 ** (1 - result.pairs) else ""
    return f" (counted by swapping A and B within the {many}: {_percent(p)}{least})"


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
    wanted = needed(last.order.design, percent, min(max(cv, 0.05), 50.0))
    said += f"{wanted} {many}." if wanted else f"thousands of {many}."
    lost = last.order.units - last.complete
    if lost and not timed.to_come:
        said = (
            f"{lost} of the {last.order.units} {many} planned {'are' if lost != 1 else 'is'} not complete "
            f"and {'do' if lost != 1 else 'does'}n't count. {said}"
        )
    if timed.to_come and last.order.units >= 3:
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
    *before, last = (_quicker(result.percent[0]) for result in outcome.each)
    said = f"In {len(outcome.each)} sessions B was {', '.join(before)} and {last}."
    if outcome.differ_p < _LIKELY:
        return f"{said} The sessions don't agree: look for what differed before you trust the mean."
    return f"{said} They agree within chance."


def _preferred(state: SimpleNamespace) -> str:
    a, b, neither = int(state.prefers_a), int(state.prefers_b), int(state.prefers_neither)
    if a + b == 0:
        return ""
    found = preference_result(a, b, neither)
    said = f"Blind, B was preferred {counted(b, 'time')} and A {a}"
    said += f"; {neither} undecided" if neither else ""
    shown = "that is a preference" if found.p < _LIKELY else "that may be the toss of a coin"
    return f"{said}: tossing a coin is that uneven {_percent(found.p)} of the time, so {shown}."
