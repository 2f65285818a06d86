"""The balance of each stance: Newton's method, and a slow and sure way for the few where that gets lost.

The pitch is bracketed, and at each pitch the depth: at one pitch the force grows with the depth, and at
balanced force the contact moves forward with the pitch. Both roots exist unless the load is too near an end.
"""

from __future__ import annotations

from dataclasses import fields

import numpy as np

from bladelab._types import Array, Truths
from bladelab.physics.ice_line import groove_of
from bladelab.physics.measures import RESULTS, contact_numbers
from bladelab.physics.problem import Problem
from bladelab.physics.solver import Solution, State, newton, state_of

#: Relative errors of force and moment; what is returned keeps to it.
BALANCED = 1e-10
_CLOSE_ENOUGH = 1e-12
# No blade is pitched further than this beyond the tilt of its ends.
_STEEPEST = np.radians(89.0)


def balanced_numbers(problem: Problem, hardness: Array) -> Array:
    """Return the numbers of each contact, by Newton's method or else by bracketing; NaN where force and
    moment do not balance to `BALANCED`."""
    columns = contact_numbers(problem, newton(problem), hardness)
    if (off := _unbalanced(columns)).any():
        part = problem.take(off)
        again = contact_numbers(part, bracket(part), hardness[off])
        again[:, _unbalanced(again)] = np.nan
        columns[:, off] = again
    return columns


def _unbalanced(columns: Array) -> Truths:
    # Each error is measured on the line that is returned, whatever the way to it made of its own.
    errors = columns[[RESULTS.index("force_error"), RESULTS.index("moment_error")]]
    balanced: Truths = np.abs(errors).max(axis=0) < BALANCED
    return ~balanced


def bracket(problem: Problem) -> Solution:
    """Return the ice line of each stance, where there is one."""
    span = problem.curve.toe[problem.runner] - problem.curve.heel[problem.runner]
    # Gliding, only what lies in front of the deepest point bears: it must be enough to carry the load.
    enough = 1 - problem.least_length / span
    low, high = np.full_like(span, -1.0), np.where(problem.gliding, enough, 2.0)
    behind, forward = (_turned(problem, turn).error[1] for turn in (low, high))
    between = (behind < 0) & (forward > 0)
    d, t, rock = np.full((3, len(span)), np.nan)
    answer = Solution(d, t, rock, np.zeros(len(span), dtype=bool))
    if between.any():
        part = problem.take(between)
        ends = low[between], high[between], behind[between], forward[between]
        best = _close_in(part, *ends)
        for name in ("d", "t", "rock"):
            getattr(answer, name)[between] = getattr(best, name)
        answer.found[between] = np.abs(best.error).max(axis=0) < BALANCED
    return answer


def _attitude(problem: Problem, turn: Array) -> tuple[Array, Array]:
    """Return the deepest point and the slope there.

    One number for all attitudes, growing with the pitch: from 0 to 1 the deepest point goes from heel to toe;
    below 0 the blade is on its heel, above 1 on its toe, and only the pitch changes. Where the runner is
    almost straight the pitch alone would not tell the deepest point.
    """
    curve, on = problem.curve, problem.runner
    deepest = curve.heel[on] + np.clip(turn, 0.0, 1.0) * (curve.toe[on] - curve.heel[on])
    angle = np.arcsin(curve.sine_at(deepest, on))
    beyond = np.where(turn < 0, turn * (_STEEPEST + angle), np.maximum(turn - 1, 0.0) * (_STEEPEST - angle))
    return deepest, np.tan(angle + beyond)


def _turned(problem: Problem, turn: Array) -> State:
    """Return the line in this attitude that carries the load: Newton's method in logarithms, with bounds."""
    curve, on, groove = problem.curve, problem.runner, groove_of(problem)
    deepest, t = _attitude(problem, turn)
    height = curve.height(deepest, on)
    lift = height - curve.height(problem.place, on) - t * (deepest - problem.place)
    up = groove.cos / np.sqrt(1 + t * t)
    ends = [curve.toe[on], np.where(problem.gliding, deepest, curve.heel[on])]
    rises = [curve.height(x, on) - height - t * (x - deepest) for x in ends]
    low, high = np.zeros_like(t), np.maximum(*rises) + groove.full / up * (1 + 1e-9)  # all of it flooded
    gap, whole, going = high, None, np.arange(len(t))
    for _ in range(60):
        state = state_of(problem, groove, gap + lift, t)
        if whole is None:
            whole = state
        else:
            for f in fields(state):
                getattr(whole, f.name)[..., going] = getattr(state, f.name)
        carried = np.where(state.error[0] >= 1e6, 0.0, state.error[0] + 1)  # 1e6: it does not touch
        low, high = np.where(carried < 1, gap, low), np.where(carried >= 1, gap, high)
        on = (np.abs(carried - 1) >= _CLOSE_ENOUGH / 10) & (high - low > 4e-16 * high)
        if not on.any():
            break
        with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
            power = gap * state.growth
            new = gap * np.exp(-np.log(carried) / power)
        halfway = np.where(
            low > high / 100, (low + high) / 2, np.where(low > 0, np.sqrt(low * high), high / 1e3)
        )
        gap = np.where((new > low) & (new < high), new, halfway)
        if on.sum() < 0.7 * len(on):  # worth more than what the taking takes
            problem, going = problem.take(on), going[on]
            groove = groove_of(problem)
            gap, low, high, lift, t = (v[on] for v in (gap, low, high, lift, t))
    assert whole is not None
    return whole


def _close_in(problem: Problem, low: Array, high: Array, behind: Array, forward: Array) -> State:
    """Return the most balanced line between two attitudes: at `low` the ice pushes behind the load, at `high`
    in front of it.

    Chandrupatla's method (Adv. Eng. Softw. 28, 145, 1997; from memory), until no number lies between.
    """
    best = _turned(problem, high)
    a, b, c = high, low, low
    fa, fb, fc, part = forward, behind, behind, np.full_like(low, 0.5)
    going = np.arange(len(low))
    for _ in range(100):
        x = a + part * (b - a)
        state = _turned(problem, x)
        better = np.abs(state.error).max(axis=0) < np.abs(best.error[:, going]).max(axis=0)
        for f in fields(best):
            getattr(best, f.name)[..., going[better]] = getattr(state, f.name)[..., better]
        fx = state.error[1]
        same = np.sign(fx) == np.sign(fa)
        c, fc = np.where(same, a, b), np.where(same, fa, fb)
        b, fb = np.where(same, b, a), np.where(same, fb, fa)
        a, fa = x, fx
        with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
            least = np.minimum(2e-16 * np.abs(a) / np.abs(b - a), 0.5)
            xi, phi = (a - b) / (c - b), (fa - fb) / (fc - fb)
            smooth = (phi**2 < xi) & ((1 - phi) ** 2 < 1 - xi)
            inverse = fa / (fb - fa) * fc / (fb - fc) + (c - a) / (b - a) * fa / (fc - fa) * fb / (fc - fb)
            part = np.where(smooth & np.isfinite(inverse), inverse, 0.5)
            part = np.nan_to_num(np.clip(part, least, 1 - least), nan=0.5)
        on = (least < 0.5) & (np.abs(best.error[:, going]).max(axis=0) > _CLOSE_ENOUGH)
        if not on.any():
            break
        if not on.all():
            problem, going = problem.take(on), going[on]
            a, b, c, fa, fb, fc, part = (v[on] for v in (a, b, c, fa, fb, fc, part))
    return best
