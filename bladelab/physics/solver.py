"""Find the ice line that carries a load: two unknowns, depth and pitch; two equations, force and moment.

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
_TOLERANCE = 1e-11


@dataclass(frozen=True)
class Problem:
    """A rocker and, as arrays (n,), radius and width of the groove, area, place of load, lean (radians)."""

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
        toeward = sides[side] > 0
        first = np.where(toeward, start, curve.x[0])
        last = np.where(toeward, curve.x[-1], start)
        x = np.clip(start + sides[side] * reach, first, last)
        for _ in range(12):
            height, slope = curve.height_and_slope(x)
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
        turn = (sine(roof) - sine(deepest)) * self.sides[:, None]
        middle = (roof + deepest) / 2 - self.place
        return signed.sum(axis=0), (signed * middle).sum(axis=0), turn.sum(axis=0)

    def gap(self, i: NDArray | slice, x: Array) -> Array:
        """Return the gap at x for the stances i."""
        return self.base[i] + (x - self.place[i]) * self.t[i] - self.curve.height(x)


class Sections:
    """The smooth stretches of the contact, cut at the crossings and the breaks of the rocker, with nodes."""

    def __init__(self, problem: Problem, groove: Groove, line: Line) -> None:
        curve = problem.curve
        # (side, edge, stance): one edge from the far-edge crossing out to the tip's, both from the roof's to
        # the far edge's.
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
        self.bearing, self.growth = groove.at(i, self.z, self.both)
        self.count = len(problem.place)

    def sum(self, values: Array) -> Array:
        """Integrate values at the nodes over each stance's contact, flooded stretches left out."""
        return np.bincount(self.i, np.einsum("ij,ij->i", self.weight, values), self.count).astype(float)


def _bearing_width(problem: Problem, z: Array) -> Array:
    active, far = wetted(z, problem.lean, problem.radius, problem.width)
    return active + problem.width - far


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
    if problem.gliding:
        # The rear end is the deepest point, which moves with the pitch.
        curve = problem.curve
        deep = line.gap_there * up
        free = (line.deepest > curve.x[0]) & (line.deepest < curve.x[-1])
        rear = _bearing_width(problem, deep)
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
    # Moving the load by dx asks for a moment of area * dx about the place it had, at the same force.
    return _State(d, t, error, step, rock=j00 * problem.area / usable)


def _first_guess(problem: Problem, groove: Groove) -> tuple[Array, Array]:
    """Start from the single radius under the load: depth by a power law, deepest point under or behind it."""
    curve = problem.curve
    kappa = curve.kappa_at(problem.place)
    part = 1.0 if problem.gliding else 2.0
    d = np.full_like(problem.area, 0.05)
    for _ in range(5):
        width = _bearing_width(problem, 0.6 * d * groove.cos)
        d = d * np.clip(problem.area / (part * np.sqrt(2 * d / kappa) * width), 1e-3, 1e3) ** 0.7
    if not problem.gliding:
        return d, curve.height_and_slope(problem.place)[1]
    behind = np.clip(problem.place - 0.4 * np.sqrt(2 * d / kappa), curve.x[0], curve.x[-1])
    height, slope = curve.height_and_slope(behind)
    rise = height + d - curve.height(problem.place) + slope * (problem.place - behind)
    return np.maximum(rise, 0.2 * d), slope


def _newton(problem: Problem, guess: tuple[Array, Array]) -> tuple[Array, Array, NDArray[np.bool_]]:
    n = len(problem.area)
    answer_d, answer_t, done = np.full(n, np.nan), np.full(n, np.nan), np.zeros(n, dtype=bool)
    index, part, groove = np.arange(n), problem, Groove(problem)
    best = _evaluate(part, groove, *guess)
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
    return answer_d, answer_t, done


def _bracketed_guess(problem: Problem) -> tuple[Array, Array]:
    """Start where Newton got lost: halve the pitch, and for each the depth; slow, sure, seldom needed.

    At a given pitch the force grows with depth; at balanced force the contact moves forward with the pitch.
    """
    groove, ends = Groove(problem), np.degrees(np.arcsin(problem.curve.sine[[0, -1]]))
    low, high = (np.full_like(problem.area, end) for end in (ends[0] - 60, ends[1] + 60))
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


def solve(problem: Problem) -> tuple[Array, Array, NDArray[np.bool_]]:
    """Return depth d of the ice line under the load, its slope t, and which were found; arrays (n,)."""
    d, t, found = _newton(problem, _first_guess(problem, Groove(problem)))
    lost = np.nonzero(~found)[0]
    if len(lost):
        part = problem.take(lost)
        d[lost], t[lost], found[lost] = _newton(part, _bracketed_guess(part))
    return d, t, found


def rock(problem: Problem, d: Array, t: Array) -> Array:
    """Return how the slope t of a solved line answers a shift of the load, 1/mm; from the Jacobian."""
    return _evaluate(problem, Groove(problem), d, t).rock
