"""Find the ice line that carries a load: two unknowns, depth and pitch; two equations, force and moment.

The ice line stands d above the edge under the load and rises with slope t = tan(pitch). Its gap to the edge,
g(x) = y_c + d + t (x - x_c) - y(x), is concave: from the deepest point it falls to both sides, so each level of the groove
(the tip, the far edge, the roof of the groove) is crossed at most once on each side. Between crossings, and between the
breaks of the rocker, every integrand is smooth; it is integrated there by Gauss-Legendre in the square root of the
distance from the inner end, which takes the root-like approach of the groove's roof. Flooded stretches are exact.
Newton's method with a halving line search does the rest, for all stances at once.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace

import numpy as np
from numpy.typing import NDArray

from bladelab.shape.curve import Curve

Array = NDArray[np.float64]

_POINTS, _WEIGHTS = np.polynomial.legendre.leggauss(6)
_ROOTS = ((_POINTS + 1) / 2) ** 2
_ROOT_WEIGHTS = (_POINTS + 1) / 2 * _WEIGHTS
_TOLERANCE = 1e-11
_BLOCK = 1024  # stances at a time: the working arrays stay in the processor's cache


@dataclass(frozen=True)
class Problem:
    """What is given: a rocker's curve, and arrays (n,) of groove radius and width, area to carry, place and lean (radians)."""

    curve: Curve
    gliding: bool
    radius: Array
    width: Array
    area: Array
    place: Array
    lean: Array

    def take(self, chosen: NDArray) -> Problem:
        """Return the problem for some of the stances."""
        arrays = {f.name: getattr(self, f.name)[chosen] for f in fields(self)[2:]}
        return replace(self, **arrays)


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

    def at(self, i: NDArray, z: Array, both: NDArray) -> tuple[Array, Array, Array, Array]:
        """Return wetted width at the active edge and at the far edge, and their growth with z; z is (m, nodes)."""
        sin, cos, p0, q0 = (a[i][:, None] for a in (self.sin, self.cos, self.p0, self.q0))
        p = p0 + z
        q = np.sqrt(np.maximum(q0 * q0 - z * (p + p0), 1e-300))
        active = z * sin + z * (p + p0) / (q0 + q) * cos
        steep = p / q * cos
        far = both[:, None] * (self.width[i][:, None] / 2 - p * sin - q * cos)
        return active, far, sin + steep, both[:, None] * (steep - sin)


class Line:
    """The ice line (d, t) over the rocker, and where it crosses the levels of the groove."""

    def __init__(self, problem: Problem, groove: Groove, d: Array, t: Array) -> None:
        curve = problem.curve
        self.curve, self.d, self.t, self.place = curve, d, t, problem.place
        self.base = curve.height(problem.place) + d
        self.upright = groove.cos / np.sqrt(1 + t * t)  # vertical depth per unit of gap
        self.deepest = curve.place_of_sine(t / np.sqrt(1 + t * t))
        self.gap_there = self.gap(slice(None), self.deepest)
        sides = np.array([1.0]) if problem.gliding else np.array([1.0, -1.0])
        levels = np.stack([np.zeros_like(d), groove.far, groove.full]) / self.upright
        self.crossings = np.tile(self.deepest, (len(sides), 3, 1))  # of the tip, the far edge, the roof
        below = np.broadcast_to(levels < self.gap_there, self.crossings.shape).copy()
        below[:, 1] &= levels[1] > 0  # upright, both edges touch at the same place
        side, level, i = np.nonzero(below)
        goal, start = levels[level, i], self.deepest[i]
        flattest = min(float(curve.kappa.min()), float((curve.kappa + 2 * curve.growth * curve.half).min()))
        # The parabola of the least curvature lies outside: Newton from there walks in without overshooting.
        reach = np.sqrt(2 * (self.gap_there[i] - goal) / flattest)
        x = np.clip(start + sides[side] * reach, curve.x[0], curve.x[-1])
        for _ in range(12):
            height, slope = curve.height_and_slope(x)
            excess = self.base[i] + (x - self.place[i]) * t[i] - height - goal
            fall = t[i] - slope
            new = np.clip(x - excess / np.where(fall == 0, 1.0, fall), curve.x[0], curve.x[-1])
            moved = np.abs(new - x).max(initial=0.0)
            x = new
            if moved < 1e-6:
                break
        self.crossings[side, level, i] = x
        self.crossings[:, 1] = np.where(levels[1] > 0, self.crossings[:, 1], self.crossings[:, 0])
        self.sides = sides

    def gap(self, i: NDArray | slice, x: Array) -> Array:
        """Return the gap at x for the stances i."""
        return self.base[i] + (x - self.place[i]) * self.t[i] - self.curve.height(x)


class Sections:
    """The smooth stretches of the contact, cut at the crossings and at the breaks of the rocker, with their nodes."""

    def __init__(self, problem: Problem, groove: Groove, line: Line) -> None:
        curve = problem.curve
        # (side, edge, stance): one edge from the far-edge crossing out to the tip's, both from the roof's to the far edge's.
        outer, inner = line.crossings[:, 0:2], line.crossings[:, 1:3]
        low, high = np.minimum(inner, outer)[..., None], np.maximum(inner, outer)[..., None]
        left = np.maximum(low, curve.x[:-1])
        size = np.minimum(high, curve.x[1:]) - left
        side, edges, i, k = np.nonzero(size > 0)
        size, left = size[side, edges, i, k], left[side, edges, i, k]
        toeward = line.sides[side] > 0
        near, step = np.where(toeward, left, left + size), np.where(toeward, size, -size)
        self.i, self.k = i, k
        self.x = near[:, None] + step[:, None] * _ROOTS
        self.arm = self.x - problem.place[i][:, None]
        self.weight = size[:, None] * _ROOT_WEIGHTS
        half = curve.half[k][:, None]
        s = (self.x - curve.middle[k][:, None]) / half
        terms = curve.height_terms[k]
        height = np.broadcast_to(terms[:, -1:], s.shape)
        for j in range(terms.shape[1] - 2, -1, -1):
            height = height * s + terms[:, j : j + 1]
        gap = line.base[i][:, None] + self.arm * line.t[i][:, None] - height
        self.z = np.maximum(gap, 0.0) * line.upright[i][:, None]
        self.both = edges == 1
        self.active, self.far, self.active_growth, self.far_growth = groove.at(i, self.z, self.both)
        self.count = len(problem.place)

    def sum(self, values: Array) -> Array:
        """Integrate values at the nodes over each stance's contact, flooded stretches left out."""
        return np.bincount(self.i, (self.weight * values).sum(axis=1), self.count)


def _flooded(problem: Problem, line: Line) -> tuple[Array, Array]:
    """Return length of the flooded stretch and its first moment about the load."""
    roof = line.crossings[:, 2]
    signed = (roof - line.deepest) * line.sides[:, None]
    middle = (roof + line.deepest) / 2 - problem.place
    return signed.sum(axis=0), (signed * middle).sum(axis=0)


@dataclass
class _State:
    d: Array
    t: Array
    error: Array  # (2, n): force and moment, relative
    step: Array  # (2, n): Newton step in d and t


def _evaluate(problem: Problem, groove: Groove, d: Array, t: Array) -> _State:
    line = Line(problem, groove, d, t)
    s = Sections(problem, groove, line)
    flood, flood_moment = _flooded(problem, line)
    width, growth = s.active + s.far, s.active_growth + s.far_growth
    area = s.sum(width) + problem.width * flood
    moment = s.sum(width * s.arm) + problem.width * flood_moment
    up = line.upright
    # z = gap * cos(lean) cos(pitch): a change of t moves the gap and, weakly, the cosine.
    turn = s.arm * up[s.i][:, None] - s.z * (t / (1 + t * t))[s.i][:, None]
    j00, j01 = s.sum(growth) * up, s.sum(growth * turn)
    j10, j11 = s.sum(growth * s.arm) * up, s.sum(growth * turn * s.arm)
    if problem.gliding:
        # The rear end is the deepest point, which moves with the pitch.
        curve = problem.curve
        deep = line.gap_there * up
        free = (line.deepest > curve.x[0]) & (line.deepest < curve.x[-1])
        active, far, _, _ = groove.at(np.arange(s.count), deep[:, None], (deep > groove.far) & (groove.full > groove.far))
        rear = np.where(deep >= groove.full, problem.width, (active + far)[:, 0]) * (deep > 0)
        speed = np.where(free, (1 + t * t) ** -1.5 / curve.kappa_at(line.deepest), 0.0)
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
    return _State(d, t, error, step)


def _first_guess(problem: Problem, groove: Groove) -> tuple[Array, Array]:
    """Start from the single radius found under the load: depth by a power law, the deepest point under or behind it."""
    curve = problem.curve
    kappa = curve.kappa_at(problem.place)
    part = 1.0 if problem.gliding else 2.0
    d = np.full_like(problem.area, 0.05)
    everyone = np.arange(len(d))
    for _ in range(8):
        z = 0.6 * d * groove.cos
        both = (z > groove.far) & (groove.full > groove.far)
        active, far, _, _ = groove.at(everyone, np.minimum(z, groove.full * (1 - 1e-9))[:, None], both)
        width = np.where(z >= groove.full, problem.width, (active + far)[:, 0])
        d = d * np.clip(problem.area / (part * np.sqrt(2 * d / kappa) * width), 1e-3, 1e3) ** 0.7
    if not problem.gliding:
        return d, curve.height_and_slope(problem.place)[1]
    behind = np.clip(problem.place - 0.4 * np.sqrt(2 * d / kappa), curve.x[0], curve.x[-1])
    height, slope = curve.height_and_slope(behind)
    rise = height + d - curve.height(problem.place) + slope * (problem.place - behind)
    return np.maximum(rise, 0.2 * d), slope


def _newton(problem: Problem) -> tuple[Array, Array, Array]:
    n = len(problem.area)
    answer_d, answer_t, done = np.full(n, np.nan), np.full(n, np.nan), np.zeros(n, dtype=bool)
    index, part, groove = np.arange(n), problem, Groove(problem)
    best = _evaluate(part, groove, *_first_guess(part, groove))
    fraction = np.ones(n)
    for _ in range(60):
        merit = np.abs(best.error).max(axis=0)
        solved = merit < _TOLERANCE
        over = solved | (fraction < 1e-7)
        if over.any():
            i = index[over]
            answer_d[i], answer_t[i], done[i] = best.d[over], best.t[over], solved[over]
            keep = ~over
            if not keep.any():
                break
            index, part, fraction, merit = index[keep], part.take(keep), fraction[keep], merit[keep]
            best = _State(best.d[keep], best.t[keep], best.error[:, keep], best.step[:, keep])
            groove = Groove(part)
        move = best.step * fraction
        trial = _evaluate(part, groove, best.d + move[0], best.t + move[1])
        better = np.abs(trial.error).max(axis=0) < merit * (1 - 1e-3 * fraction)
        fraction = np.where(better, np.minimum(1.0, 4 * fraction), fraction / 2)
        for name in ("d", "t", "error", "step"):
            setattr(best, name, np.where(better, getattr(trial, name), getattr(best, name)))
    return answer_d, answer_t, done


def solve(problem: Problem) -> tuple[Array, Array, NDArray[np.bool_]]:
    """Return depth d of the ice line under the load, slope t of the line, and whether they were found; arrays (n,)."""
    n = len(problem.area)
    d, t, found = np.empty(n), np.empty(n), np.empty(n, dtype=bool)
    for start in range(0, n, _BLOCK):
        block = slice(start, start + _BLOCK)
        d[block], t[block], found[block] = _newton(problem.take(np.arange(n)[block]))
    return d, t, found
