"""Find the ice lines that carry loads: two unknowns, depth and pitch; two equations, force and moment.

The ice line stands d above the edge under the load and rises with slope t = tan(pitch). Its gap to the edge,
g(x) = y_c + d + t (x - x_c) - y(x), is concave: from the deepest point it falls to both sides, so each level
of the groove (the tip, the far edge, the roof of the groove) is crossed at most once on each side. Between
crossings, and between the breaks of the rocker, every integrand is smooth; it is integrated there by
Gauss-Legendre in the square root of the distance from the inner end, which takes the root-like approach of
the groove's roof. Flooded stretches are exact. Newton's method with a halving line search does the rest, for
all stances at once.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace

import numpy as np
from numpy.typing import NDArray

from bladelab.shape.curve import Curve
from bladelab.shape.hollow import wetted

Array = NDArray[np.float64]

# Five nodes on each smooth stretch: depth and length within 3e-5 of a dense integration over all sliders.
_POINTS, _WEIGHTS = np.polynomial.legendre.leggauss(5)
_ROOTS = ((_POINTS + 1) / 2) ** 2
_ROOT_WEIGHTS = (_POINTS + 1) / 2 * _WEIGHTS
_TOLERANCE = 1e-10


@dataclass(frozen=True)
class Problem:
    """Stances to solve in one call, on one rocker or several, at rest and gliding.

    curve : the rockers.  The rest are arrays (n,): which of them, whether it glides, radius and width of the
    groove, area, place of load, lean (radians).
    """

    curve: Curve
    runner: NDArray[np.intp]
    gliding: NDArray[np.bool_]
    radius: Array
    width: Array
    area: Array
    place: Array
    lean: Array

    def take(self, chosen: NDArray) -> Problem:
        """Return the problem for some of the stances."""
        return replace(self, **{f.name: getattr(self, f.name)[chosen] for f in fields(self)[1:]})


class Groove:
    """The groove as the leaned blade presents it to the ice; heights are vertical, above the active edge."""

    def __init__(self, problem: Problem) -> None:
        r, w = problem.radius, problem.width
        self.width, self.sin, self.cos = w, np.sin(problem.lean), np.cos(problem.lean)
        drop = np.sqrt((r - w / 2) * (r + w / 2))
        self.p0 = drop * self.cos - w / 2 * self.sin
        self.q0 = w / 2 * self.cos + drop * self.sin
        edge = np.arcsin(w / (2 * r))
        both = problem.lean < edge
        # r - r cos(edge + lean), written so that nothing cancels for a shallow groove.
        roof = 2 * r * np.sin((edge + problem.lean) / 2) ** 2
        self.full = np.where(both, roof, w * self.sin)
        self.far = w * self.sin

    def at(self, i: NDArray, z: Array, both: NDArray) -> tuple[Array, Array]:
        """Return wetted width at the active edge plus at the far edge (where `both`), and its growth with z.

        z is (m, nodes), i and both (m,).
        """
        sin, cos, p0, q0 = (a[i][:, None] for a in (self.sin, self.cos, self.p0, self.q0))
        p = p0 + z
        chord = z * (p + p0)
        q = np.sqrt(np.maximum(q0 * q0 - chord, 1e-300))
        steep = p * cos / q
        width, growth = z * sin + chord / (q0 + q) * cos, sin + steep
        if both.any():
            far = np.nonzero(both)[0]
            width[far] += self.width[i[far]][:, None] / 2 - p[far] * sin[far] - q[far] * cos[far]
            growth[far] += steep[far] - sin[far]
        return width, growth


class Line:
    """The ice line (d, t) over the rocker, and where it crosses the levels of the groove."""

    def __init__(self, problem: Problem, groove: Groove, d: Array, t: Array) -> None:
        curve, runner = problem.curve, problem.runner
        self.curve, self.runner, self.d, self.t, self.place = curve, runner, d, t, problem.place
        self.base = curve.height(problem.place, runner) + d
        self.upright = groove.cos / np.sqrt(1 + t * t)  # vertical depth per unit of gap
        self.deepest = curve.place_of_sine(t / np.sqrt(1 + t * t), runner)
        self.gap_there = self.base + (self.deepest - self.place) * t - curve.height(self.deepest, runner)
        # Toeward and heelward of the deepest point; gliding, nothing behind it bears.
        sides = np.array([1.0]) if problem.gliding.all() else np.array([1.0, -1.0])
        levels = np.stack([np.zeros_like(d), groove.far, groove.full]) / self.upright
        self.crossings = np.tile(self.deepest, (len(sides), 3, 1))  # of the tip, the far edge, the roof
        below = np.broadcast_to(levels < self.gap_there, self.crossings.shape).copy()
        below[:, 1] &= levels[1] > 0  # upright, both edges touch at the same place
        below[1:] &= ~problem.gliding
        side, level, i = np.nonzero(below)
        goal, start = levels[level, i], self.deepest[i]
        on = runner[i]
        # The parabola of the least curvature lies outside: Newton from there walks in without overshooting.
        reach = np.sqrt(2 * (self.gap_there[i] - goal) / curve.flattest[on])
        toeward = sides[side] > 0
        first = np.where(toeward, start, curve.heel[on])
        last = np.where(toeward, curve.toe[on], start)
        x = np.clip(start + sides[side] * reach, first, last)
        for _ in range(12):
            height, slope = curve.height_and_slope(x, on)
            excess = self.base[i] + (x - self.place[i]) * t[i] - height - goal
            fall = t[i] - slope
            new = np.clip(x - excess / np.where(fall == 0, 1.0, fall), first, last)
            moved = np.abs(new - x).max(initial=0.0)
            x = new
            if moved < 1e-6:
                break
        self.crossings[side, level, i] = x
        self.crossings[:, 1] = np.where(levels[1] > 0, self.crossings[:, 1], self.crossings[:, 0])
        self.sides: Array = sides

    def flooded(self) -> tuple[Array, Array, Array]:
        """Return length of the flooded stretch, its first moment about the load, the rocker's turn."""
        roof, deepest, sine = self.crossings[:, 2], self.deepest, self.curve.sine_at
        signed = (roof - deepest) * self.sides[:, None]
        turn = (sine(roof, self.runner) - sine(deepest, self.runner)) * self.sides[:, None]
        middle = (roof + deepest) / 2 - self.place
        return signed.sum(axis=0), (signed * middle).sum(axis=0), turn.sum(axis=0)

    def gap(self, x: Array) -> Array:
        """Return the gap at x, (..., n)."""
        return self.base + (x - self.place) * self.t - self.curve.height(x, self.runner)


class Sections:
    """The smooth stretches of the contact, cut at the crossings and the breaks of the rocker, with nodes."""

    def __init__(self, problem: Problem, groove: Groove, line: Line) -> None:
        curve = problem.curve
        # (side, edge, stance): one edge from the far-edge crossing out to the tip's, both from the roof's to
        # the far edge's.
        outer, inner = line.crossings[:, 0:2], line.crossings[:, 1:3]
        low, high = np.minimum(inner, outer)[..., None], np.maximum(inner, outer)[..., None]
        breaks = curve.breaks[0] if len(curve.breaks) == 1 else curve.breaks[problem.runner]
        left = np.maximum(low, breaks[..., :-1])
        size = np.minimum(high, breaks[..., 1:]) - left
        side, edges, i, k = np.nonzero(size > 0)
        size, left = size[side, edges, i, k], left[side, edges, i, k]
        k = k + curve.first[problem.runner[i]]
        toeward = line.sides[side] > 0
        near, step = np.where(toeward, left, left + size), np.where(toeward, size, -size)
        self.i, self.k = i, k
        self.x = near[:, None] + step[:, None] * _ROOTS
        self.arm = self.x - problem.place[i][:, None]
        self.weight = size[:, None] * _ROOT_WEIGHTS
        half = curve.half[k][:, None]
        s = (self.x - curve.middle[k][:, None]) / half
        terms = curve.height_terms[:, k, None]
        height = terms[-1]
        for term in terms[-2::-1]:
            height = height * s + term
        gap = line.base[i][:, None] + self.arm * line.t[i][:, None] - height
        self.z = np.maximum(gap, 0.0) * line.upright[i][:, None]
        self.both = edges == 1
        self.bearing, self.growth = groove.at(i, self.z, self.both)
        self.count = len(problem.place)

    def sum(self, values: Array) -> Array:
        """Integrate values at the nodes over each stance's contact, flooded stretches left out."""
        return np.bincount(self.i, np.einsum("ij,ij->i", self.weight, values), self.count).astype(float)


def _bearing_width(problem: Problem, z: Array) -> Array:
    active, far = wetted(z, problem.lean, problem.radius, problem.width)
    return active + problem.width - far


@dataclass(frozen=True)
class Solution:
    """Solved ice lines, arrays (n,); NaN where `found` is False.

    d : depth of the line under the load, mm.  t : its slope.  rock : how t answers a shift of the load, 1/mm.
    """

    d: Array
    t: Array
    rock: Array
    found: NDArray[np.bool_]


@dataclass
class _State:
    d: Array
    t: Array
    error: Array  # (2, n): force and moment, relative
    step: Array  # (2, n): Newton step in d and t
    rock: Array  # (n,): how the slope t answers a shift of the load, 1/mm


def _evaluate(problem: Problem, groove: Groove, d: Array, t: Array) -> _State:
    line = Line(problem, groove, d, t)
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
    if problem.gliding.any():
        # The rear end is the deepest point, which moves with the pitch.
        curve, on = problem.curve, problem.runner
        deep = line.gap_there * up
        free = problem.gliding & (line.deepest > curve.heel[on]) & (line.deepest < curve.toe[on])
        rear = _bearing_width(problem, deep)
        speed = np.where(free, (1 + t * t) ** -1.5 / curve.kappa_at(line.deepest, on), 0.0)
        j01 = j01 - rear * speed
        j11 = j11 - rear * speed * (line.deepest - problem.place)
    ends = line.crossings[:, 0]
    length = ends.max(axis=0) - np.minimum(ends.min(axis=0), line.deepest)
    force_error = area - problem.area
    determinant = j00 * j11 - j01 * j10
    usable = np.where(np.abs(determinant) > 0, determinant, np.inf)
    step = -np.stack([(j11 * force_error - j01 * moment), (j00 * moment - j10 * force_error)]) / usable
    scale = problem.area * np.maximum(length, 1e-6)
    error = np.stack([force_error / problem.area, moment / scale])
    # A line that does not touch carries nothing: as wrong as can be.
    error[:, line.gap_there <= 0] = 1e6
    # Moving the load by dx asks for a moment of area * dx about the place it had, at the same force.
    return _State(d, t, error, step, rock=j00 * problem.area / usable)


def _first_guess(problem: Problem, groove: Groove) -> tuple[Array, Array]:
    """Start from the single radius under the load: depth by a power law, deepest point under or behind it."""
    curve, on, place = problem.curve, problem.runner, problem.place
    kappa = curve.kappa_at(place, on)
    part = np.where(problem.gliding, 1.0, 2.0)
    d = np.full_like(problem.area, 0.05)
    for _ in range(5):
        width = _bearing_width(problem, 0.6 * d * groove.cos)
        d = d * np.clip(problem.area / (part * np.sqrt(2 * d / kappa) * width), 1e-3, 1e3) ** 0.7
    behind = np.clip(place - 0.4 * np.sqrt(2 * d / kappa), curve.heel[on], curve.toe[on])
    deepest = np.where(problem.gliding, behind, place)
    height, slope = curve.height_and_slope(deepest, on)
    rise = height + d - curve.height(place, on) + slope * (place - deepest)
    return np.maximum(rise, 0.2 * d), slope


def _newton(problem: Problem, guess: tuple[Array, Array]) -> Solution:
    n = len(problem.area)
    d, t, rock = np.full((3, n), np.nan)
    answer = Solution(d, t, rock, np.zeros(n, dtype=bool))
    index, part, groove = np.arange(n), problem, Groove(problem)
    best = _evaluate(part, groove, *guess)
    fraction = np.ones(n)
    for _ in range(60):
        merit = np.abs(best.error).max(axis=0)
        solved = merit < _TOLERANCE
        over = solved | (fraction < 1e-7)
        if over.any():
            i = index[over]
            answer.d[i], answer.t[i] = best.d[over], best.t[over]
            answer.rock[i], answer.found[i] = best.rock[over], solved[over]
            keep = ~over
            if not keep.any():
                break
            index, part, fraction, merit = index[keep], part.take(keep), fraction[keep], merit[keep]
            best = _State(
                best.d[keep], best.t[keep], best.error[:, keep], best.step[:, keep], best.rock[keep]
            )
            groove = Groove(part)
        move = best.step * fraction
        trial = _evaluate(part, groove, best.d + move[0], best.t + move[1])
        better = np.abs(trial.error).max(axis=0) < merit * (1 - 1e-3 * fraction)
        fraction = np.where(better, np.minimum(1.0, 4 * fraction), fraction / 2)
        for name in ("d", "t", "error", "step", "rock"):
            setattr(best, name, np.where(better, getattr(trial, name), getattr(best, name)))
    return answer


def _bracketed_guess(problem: Problem) -> tuple[Array, Array]:
    """Start where Newton got lost: halve the pitch, and for each the depth; slow, sure, seldom needed.

    At a given pitch the force grows with depth; at balanced force the contact moves forward with the pitch.
    """
    groove, curve, on = Groove(problem), problem.curve, problem.runner
    low = np.degrees(np.arcsin(curve.heel_sine))[on] - 60
    high = np.degrees(np.arcsin(curve.toe_sine))[on] + 60
    d = t = np.zeros_like(problem.area)
    for _ in range(20):
        middle = (low + high) / 2
        t = np.tan(np.radians(middle))
        touching = -Line(problem, groove, np.zeros_like(t), t).gap_there
        shallow, deep = touching, touching + 50.0
        for _ in range(40):
            d = (shallow + deep) / 2
            error = _evaluate(problem, groove, d, t).error
            too_deep = (error[0] > 0) & (d > touching)
            shallow, deep = np.where(too_deep, shallow, d), np.where(too_deep, d, deep)
        # Where no depth carries the load, too little runner lies in front: pitch less.
        forward = (error[1] > 0) | (error[0] < -1e-3)
        low, high = np.where(forward, low, middle), np.where(forward, middle, high)
    return d, t


def solve(problem: Problem, guess: tuple[Array, Array] | None = None) -> Solution:
    """Return the ice line of each stance; `guess`, depth and slope of lines close by, saves a few steps."""
    answer = _newton(problem, guess or _first_guess(problem, Groove(problem)))
    lost = np.nonzero(~answer.found)[0]
    if len(lost):
        part = problem.take(lost)
        again = _newton(part, _bracketed_guess(part))
        for f in fields(answer):
            getattr(answer, f.name)[lost] = getattr(again, f.name)
    return answer
