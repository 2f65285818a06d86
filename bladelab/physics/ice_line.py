"""The ice line over the rocker, and the stretches of the groove it covers.

The ice line is d above the edge under the load and rises with slope t = tan(pitch). Its gap to the edge,
g(x) = y_c + d + t (x - x_c) - y(x), is concave: from the deepest point it falls to both sides, so each level
of the groove (the tip, the far edge, the roof of the groove) is crossed at most once on each side. Between
crossings, and between the breaks of the rocker, every integrand is smooth; it is integrated there by
Gauss-Legendre in the square root of the distance from the inner end, which takes the root-like approach of
the groove's roof. Flooded stretches are exact.

Dull edges have more levels (where an arc reaches the side of the blade, and where it meets the groove), and
their contact begins like a root, too: there the nodes are packed toward both ends.
"""

from __future__ import annotations

from typing import TypeAlias

import numpy as np

from bladelab._types import Array, Places
from bladelab.physics.problem import Problem
from bladelab.shape.dull import DullGroove
from bladelab.shape.hollow import groove_height, pressed_section, wetted

# Five nodes on each smooth stretch: depth and length within 3e-5 of a dense integration over all sliders.
_POINTS, _WEIGHTS = np.polynomial.legendre.leggauss(5)
_ROOTS = ((_POINTS + 1) / 2) ** 2
_ROOT_WEIGHTS = (_POINTS + 1) / 2 * _WEIGHTS
# Eight for dull edges: within 2e-5, the rock within 5e-4.
_MORE_POINTS, _MORE_WEIGHTS = np.polynomial.legendre.leggauss(8)
_ANGLES = np.pi / 4 * (_MORE_POINTS + 1)
_BOTH_ROOTS, _BOTH_WEIGHTS = np.sin(_ANGLES) ** 2, np.pi / 4 * np.sin(2 * _ANGLES) * _MORE_WEIGHTS


def groove_of(problem: Problem) -> Groove:
    """Return the groove of the problem: its edges are sharp, or dull."""
    return DullEdges(problem) if problem.edge.any() else SharpEdges(problem)


class SharpEdges:
    """The groove with perfectly sharp edges, as the leaned blade presents it to the ice.

    Heights z are vertical, above the lowest point of the active edge.

    Attributes
    ----------
    levels : array (m, n)
        Rising: where the contact width is not smooth in z; the first is 0, and from the last on all of
        the width bears.
    full : array
        That last one.
    strips : array
        For each level, into how many strips apart the width between it and the next is cut.
    places, weights : array
        Of the nodes between two levels, from the inner one.
    """

    strips = (1, 2, 1)
    places, weights = _ROOTS, _ROOT_WEIGHTS

    def __init__(self, problem: Problem) -> None:
        r, w = problem.radius, problem.width
        self.radius, self.lean = r, problem.lean
        self.width, self.sin, self.cos = w, np.sin(problem.lean), np.cos(problem.lean)
        drop = np.sqrt((r - w / 2) * (r + w / 2))
        self.p0 = drop * self.cos - w / 2 * self.sin
        self.q0 = w / 2 * self.cos + drop * self.sin
        edge = np.arcsin(w / (2 * r))
        both = problem.lean < edge
        # r - r cos(edge + lean), written so that nothing cancels for a shallow groove.
        roof = 2 * r * np.sin((edge + problem.lean) / 2) ** 2
        self.full = np.where(both, roof, w * self.sin)
        self.levels = np.stack([np.zeros_like(w), w * self.sin, self.full])

    def at(self, i: Places, z: Array, stretch: Places) -> tuple[Array, Array]:
        """Return the wetted width and its growth with z: z is (k, nodes); i and the stretch, numbered from
        the outermost, are (k,)."""
        both = stretch == 1
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

    def bearing(self, z: Array) -> Array:
        """Return the wetted width at z, (..., n)."""
        active, far = wetted(z, self.lean, self.radius, self.width)
        width: Array = active + self.width - far
        return width

    def sideways(self, i: Places, z: Array, bearing: Array) -> Array:
        """Return how much the steel rises across the wetted width, mm; z and bearing are (k, nodes)."""
        r, w = self.radius[i][:, None], self.width[i][:, None]
        active, far = wetted(z, self.lean[i][:, None], r, w)
        rise: Array = groove_height(active, r, w) - groove_height(far, r, w)
        return rise

    def section(self, z: Array) -> Array:
        """Return the cross-section pressed into the ice at z (n,), mm2."""
        pressed: Array = pressed_section(z, self.lean, self.radius, self.width)
        return pressed


class DullEdges:
    """The groove with dull edges; its levels are in another order from blade to blade."""

    places, weights = _BOTH_ROOTS, _BOTH_WEIGHTS

    def __init__(self, problem: Problem) -> None:
        shape = self.shape = DullGroove(problem.lean, problem.radius, problem.width, problem.edge)
        self.cos = shape.cos
        far, roof = (np.where(shape.both, level, shape.far_wall) for level in (shape.far, shape.roof))
        levels = [np.zeros_like(far), far, shape.near_touch, shape.near_wall, shape.far_touch]
        self.levels = np.sort(np.stack([*levels, shape.far_wall, roof]), axis=0)
        self.full = self.levels[-1]
        self.begins = np.where(shape.both, shape.far, shape.far_touch)
        self.strips = np.where((self.levels >= far) & (self.levels < roof) & shape.both, 2, 1)

    def at(self, i: Places, z: Array, stretch: Places) -> tuple[Array, Array]:
        width, growth = np.empty_like(z), np.empty_like(z)
        # Most stretches lie below the far edge, and need not be asked about it.
        far = z.max(axis=1, initial=0.0) > self.begins[i]
        for rows in (np.nonzero(far)[0], np.nonzero(~far)[0]):
            width[rows], growth[rows] = self.shape.take(i[rows]).widths(z[rows])
        return width, growth

    def bearing(self, z: Array) -> Array:
        return self.shape.widths(z)[0]

    def sideways(self, i: Places, z: Array, bearing: Array) -> Array:
        return self.shape.take(i).sideways(z, bearing)

    def section(self, z: Array) -> Array:
        pressed: Array = self.shape.section(z)
        return pressed


Groove: TypeAlias = SharpEdges | DullEdges


class IceLine:
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
        levels = groove.levels / self.upright
        self.crossings = np.tile(
            self.deepest, (len(sides), len(levels), 1)
        )  # first the tip's, last the roof's
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
        roof, deepest, sine = self.crossings[:, -1], self.deepest, self.curve.sine_at
        signed = (roof - deepest) * self.sides[:, None]
        turn = (sine(roof, self.runner) - sine(deepest, self.runner)) * self.sides[:, None]
        middle = (roof + deepest) / 2 - self.place
        return signed.sum(axis=0), (signed * middle).sum(axis=0), turn.sum(axis=0)

    def gap(self, x: Array) -> Array:
        """Return the gap at x, (..., n)."""
        return self.base + (x - self.place) * self.t - self.curve.height(x, self.runner)


def line_at(problem: Problem, groove: Groove, depth: Array, slope: Array) -> IceLine:
    """Return the ice line with this greatest vertical depth in mm and this slope."""
    curve, on, place = problem.curve, problem.runner, problem.place
    deepest = curve.place_of_sine(slope / np.sqrt(1 + slope * slope), on)
    gap = depth * np.sqrt(1 + slope * slope) / groove.cos
    d = gap + curve.height(deepest, on) - curve.height(place, on) - slope * (deepest - place)
    return IceLine(problem, groove, d, slope)


class Sections:
    """The smooth stretches of the contact, cut at the crossings and the breaks of the rocker, with nodes."""

    def __init__(self, problem: Problem, groove: Groove, line: IceLine) -> None:
        curve = problem.curve
        # (side, stretch, stance): from the crossing of one level in to that of the next.
        outer, inner = line.crossings[:, :-1], line.crossings[:, 1:]
        low, high = np.minimum(inner, outer)[..., None], np.maximum(inner, outer)[..., None]
        breaks = curve.breaks[0] if len(curve.breaks) == 1 else curve.breaks[problem.runner]
        left = np.maximum(low, breaks[..., :-1])
        size = np.minimum(high, breaks[..., 1:]) - left
        side, stretch, i, k = np.nonzero(size > 0)
        size, left = size[side, stretch, i, k], left[side, stretch, i, k]
        k = k + curve.first[problem.runner[i]]
        toeward = line.sides[side] > 0
        near, step = np.where(toeward, left, left + size), np.where(toeward, size, -size)
        self.i, self.k = i, k
        self.x = near[:, None] + step[:, None] * groove.places
        self.arm = self.x - problem.place[i][:, None]
        self.weight = size[:, None] * groove.weights
        half = curve.half[k][:, None]
        s = (self.x - curve.middle[k][:, None]) / half
        terms = curve.height_terms[:, k, None]
        height = terms[-1]
        for term in terms[-2::-1]:
            height = height * s + term
        gap = line.base[i][:, None] + self.arm * line.t[i][:, None] - height
        self.z = np.maximum(gap, 0.0) * line.upright[i][:, None]
        self.bearing, self.growth = groove.at(i, self.z, stretch)
        self.count = len(problem.place)

    def sum(self, values: Array) -> Array:
        """Integrate values at the nodes over each stance's contact, flooded stretches left out."""
        return np.bincount(self.i, np.einsum("ij,ij->i", self.weight, values), self.count).astype(float)
