"""Find the ice lines that carry loads: two unknowns, depth and pitch; two equations, force and moment.

Newton's method with a halving line search, for all stances at once; bracketing.py has the slow and sure way
for the few it loses, ice_line.py what a line covers.
"""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from bladelab._types import Array
from bladelab.physics.ice_line import Groove, IceLine, Sections, groove_of
from bladelab.physics.problem import Problem

# An error this small is left below 1e-10, mostly below 1e-13, by one more step, which need not be looked at;
# on ice that softens it must be a tenth of it.
_NEARLY = 1e-8
# Contacts shallower than this, mm, of loads that nobody skates with, come near the rounding of the heights:
# there a step may lead away again, and what is looked at must do.
_SHALLOW, _LOOKED_AT = 1e-5, 1e-10

# The depth along the runner from the deepest point to an end, in the first guess: nodes and weights.
_POINTS, _WEIGHTS = np.polynomial.legendre.leggauss(4)
_PLACES, _WEIGHTS = (_POINTS + 1) / 2, _WEIGHTS / 2
_DEPTHS = 1 - _PLACES[:, None] ** 2


@dataclass(frozen=True)
class Solution:
    """Solved ice lines, arrays (n,); NaN where `found` is False.

    Attributes
    ----------
    d : array
        Depth of the line under the load, mm.
    t : array
        Its slope.
    rock : array
        How t answers a shift of the load, 1/mm.
    """

    d: Array
    t: Array
    rock: Array
    found: NDArray[np.bool_]


@dataclass
class State:
    """Ice lines, balanced or not."""

    d: Array
    t: Array
    error: Array  # (2, n): force and moment, relative
    step: Array  # (2, n): Newton step in d and t
    rock: Array  # (n,): how the slope t answers a shift of the load, 1/mm
    growth: Array  # (n,): of the area over what is needed, relative, with the depth, 1/mm


def state_of(problem: Problem, groove: Groove, d: Array, t: Array) -> State:
    """Return how far the lines (d, t) are from balance, and the step that would correct it."""
    line = IceLine(problem, groove, d, t)
    s = Sections(problem, groove, line)
    flood, flood_moment, _ = line.flooded()
    area = s.sum(s.bearing) + problem.width * flood
    moment = s.sum(s.bearing * s.arm) + problem.width * flood_moment
    up = line.upright
    # z = gap * cos(lean) cos(pitch): a change of t moves the gap and, weakly, the cosine.
    turn = s.arm * up[s.i][:, None] - s.z * (t / (1 + t * t))[s.i][:, None]
    moment_growth = s.growth * s.arm
    j00, j01 = s.sum(s.growth) * up, s.sum(s.growth * turn)
    j10, j11 = s.sum(moment_growth) * up, s.sum(moment_growth * turn)
    curve, on = problem.curve, problem.runner
    ends = line.crossings[:, 0]
    length = ends.max(axis=0) - np.minimum(ends.min(axis=0), line.deepest)
    needed = problem.needed(length)
    if problem.gliding.any():
        # The rear end is the deepest point, which moves with the pitch.
        deep = line.gap_there * up
        free = problem.gliding & (line.deepest > curve.heel[on]) & (line.deepest < curve.toe[on])
        rear = groove.bearing(deep)
        speed = np.where(free, (1 + t * t) ** -1.5 / curve.kappa_at(line.deepest, on), 0.0)
        j01 = j01 - rear * speed
        j11 = j11 - rear * speed * (line.deepest - problem.place)
        if problem.softening.any():
            # A longer contact is on softer ice and needs more area.
            toe = ends[0]
            fall = curve.height_and_slope(toe, on)[1] - t
            ahead = np.where((fall > 0) & (toe < curve.toe[on]), 1 / np.where(fall > 0, fall, 1.0), 0.0)
            more = needed * problem.softening / np.maximum(length, 1e-9)
            j00, j01 = j00 - more * ahead, j01 - more * (ahead * (toe - problem.place) - speed)
    force_error = area - needed
    determinant = j00 * j11 - j01 * j10
    usable = np.where(np.abs(determinant) > 0, determinant, np.inf)
    step = -np.stack([(j11 * force_error - j01 * moment), (j00 * moment - j10 * force_error)]) / usable
    scale = needed * np.maximum(length, 1e-6)
    error = np.stack([force_error / needed, moment / scale])
    # A line that does not touch carries nothing: as wrong as can be.
    error[:, line.gap_there <= 0] = 1e6
    # Moving the load by dx needs a moment of area * dx about the place it had, at the same force.
    return State(d, t, error, step, j00 * needed / usable, j00 / np.maximum(area, 1e-30))


def _first_guess(problem: Problem, groove: Groove) -> tuple[Array, Array]:
    """Start from the single radius around the load: the depth is a parabola along the runner.

    At rest the load is over the deepest point; gliding, only the front half bears, and the load is
    over its centroid. The depth follows by secants in logarithms.
    """
    curve, on, place, glides = problem.curve, problem.runner, problem.place, problem.gliding
    heel, toe, kappa = curve.heel[on], curve.toe[on], curve.kappa_at(place, on)
    sides, behind = np.where(glides, 1.0, 2.0), np.zeros_like(place)
    gap = np.full_like(place, 0.05)
    power, lacked, grown = np.full_like(place, 1.4), np.zeros_like(place), np.ones_like(place)
    for turn in range(6):
        half = np.sqrt(2 * gap / kappa)
        width = groove.bearing(gap * groove.cos * _DEPTHS)
        lacks = np.log(problem.needed(half) / (sides * half * (_WEIGHTS @ width)))
        if turn > 0:
            grown = np.where(grown == 0, 1e-9, grown)
            power = np.clip((lacked - lacks) / grown, 0.5, 5.0)
        lacked, grown = lacks, np.clip(lacks / power, -3.0, 3.0)
        gap = gap * np.exp(grown)
        if turn == 2:
            # Near enough to know which stretch bears: from here on with its mean curvature.
            behind = np.where(glides, (_WEIGHTS * _PLACES) @ width / (_WEIGHTS @ width), 0.0)
            front = np.minimum(place + (1 - behind) * half, toe)
            rear = np.maximum(place - np.where(glides, behind, 1.0) * half, heel)
            kappa = (curve.sine_at(front, on) - curve.sine_at(rear, on)) / (front - rear)
    deepest = np.clip(place - behind * np.sqrt(2 * gap / kappa), heel, toe)
    height, slope = curve.height_and_slope(deepest, on)
    rise = height + gap - curve.height(place, on) + slope * (place - deepest)
    return np.maximum(rise, 0.2 * gap), slope


def newton(problem: Problem) -> Solution:
    """Return the ice line of each stance; a few, at the ends of what is possible, are not found."""
    n = len(problem.area)
    d, t, rock = np.full((3, n), np.nan)
    answer = Solution(d, t, rock, np.zeros(n, dtype=bool))
    index, part, groove = np.arange(n), problem, groove_of(problem)
    best = state_of(part, groove, *_first_guess(part, groove))
    fraction = np.ones(n)
    for _ in range(60):
        merit = np.abs(best.error).max(axis=0)
        shallow = best.d < _SHALLOW
        solved = merit < np.where(shallow, _LOOKED_AT, np.where(part.softening > 0, _NEARLY / 10, _NEARLY))
        over = solved | (fraction < 1e-7)
        if over.any():
            i = index[over]
            last = np.where(shallow, 0.0, best.step)[:, over]
            answer.d[i], answer.t[i] = best.d[over] + last[0], best.t[over] + last[1]
            answer.rock[i], answer.found[i] = best.rock[over], solved[over]
            keep = ~over
            if not keep.any():
                break
            index, part, fraction, merit = index[keep], part.take(keep), fraction[keep], merit[keep]
            best = State(*(getattr(best, f.name)[..., keep] for f in fields(best)))
            groove = groove_of(part)
        move = best.step * fraction
        trial = state_of(part, groove, best.d + move[0], best.t + move[1])
        better = np.abs(trial.error).max(axis=0) < merit * (1 - 1e-3 * fraction)
        fraction = np.where(better, np.minimum(1.0, 4 * fraction), fraction / 2)
        for f in fields(best):
            setattr(best, f.name, np.where(better, getattr(trial, f.name), getattr(best, f.name)))
    return answer
