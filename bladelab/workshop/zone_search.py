"""The search behind the zone fits: curves of arcs that meet tangent, matched to readings by least squares.

A reading is a linear combination of heights: one height for a trace; for a versine gauge half the sum of the
feet's heights less the plunger's. `Readings.fold` makes the readings out of heights, so that one search
serves both.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property, lru_cache
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from bladelab._types import Array, Places
from bladelab.workshop.radius import arc_rise

CELLS = 400
# Places for a junction to start from. With half as many, 1 in 200 edges of four zones were taken for others.
_GRID = 48


@dataclass(frozen=True, eq=False)
class Readings:
    """What was read: `data` (n,) with root weights (n,), made by `fold` from the heights at the places `x`
    (m,).

    `start`, `end`: the stretch that the zones cover, mm. `beside` (n, p): how the readings change with what
    else was fitted along with the zones and is taken off `data` already; it widens the errors.
    """

    x: Array
    data: Array
    weight: Array
    start: float
    end: float
    fold: Callable[[Array], Array] = lambda heights: heights
    beside: Array | None = None

    def model(self, values: Array, k: int) -> Array:
        """Return the readings that an edge of these values would give."""
        return self.fold(edge(self.x, self.start, values, k)[0])

    def slopes(self, values: Array, k: int) -> Array:
        """Return the change of each reading with each value, (n, 2k + 1)."""
        return self.fold(edge_slopes(self.x, self.start, values, k))

    def gathered(self) -> Readings:
        """Return plain heights as the means of up to `CELLS` equal cells, weighted by the root of their
        number.
        """
        if len(self.x) <= CELLS:
            return self
        cell = np.minimum(((self.x - self.start) / (self.end - self.start) * CELLS).astype(int), CELLS - 1)
        number_in = np.bincount(cell, minlength=CELLS)
        full = number_in > 0
        x, y = [np.bincount(cell, z, minlength=CELLS)[full] / number_in[full] for z in (self.x, self.data)]
        return Readings(x, y, np.sqrt(number_in[full]), self.start, self.end)


def edge(x: Array, start: float, values: Array, k: int) -> tuple[Array, Array]:
    """Height and sine of tilt at x; values are height and sine at `start`, k curvatures, k - 1 junctions."""
    bends = values[2 : 2 + k]
    knots = np.concatenate([[start], values[2 + k :]])
    steps = knots[1:] - knots[:-1]
    sines = np.cumsum(np.concatenate([values[1:2], bends[:-1] * steps]))
    heights = np.cumsum(np.concatenate([values[:1], arc_rise(steps, sines[:-1], bends[:-1])]))
    i = np.searchsorted(knots[1:], x, side="right")
    step, sine, bend = x - knots[i], sines[i], bends[i]
    return heights[i] + arc_rise(step, sine, bend), sine + bend * step


def edge_slopes(x: Array, start: float, values: Array, k: int) -> Array:
    """Change of the height at x with each value, (m, 2k + 1), to first order in the tilt."""
    bends, knots = values[2 : 2 + k], np.concatenate([[start], values[2 + k :]])
    # Each value's column is written as a row: rows lie together in memory.
    slopes = np.empty((2 * k + 1, len(x)))
    ramp = np.maximum(x - knots[:, None], 0.0)
    half_square = ramp**2 / 2
    slopes[0], slopes[1], slopes[2 : 2 + k] = 1.0, x - start, half_square
    slopes[2 : 1 + k] -= half_square[1:]
    slopes[2 + k :] = -np.diff(bends)[:, None] * ramp[1:]
    return slopes.T


@dataclass(frozen=True, eq=False)
class JunctionGrid:
    """Places on a grid where zones may meet, and what bends there can explain of the readings.

    `place` (g,): the places, mm, `least` or more from the ends. `base` (n, b): offset, tilt, one curvature
    and `Readings.beside`, orthonormal. `bend` (n, g): how the readings change with the curvature beyond each
    place; `rest` (n,): what one arc leaves of the readings; the base taken out of both.
    """

    place: Array
    least: float
    base: Array
    bend: Array
    rest: Array

    @classmethod
    def of(cls, readings: Readings, rest: Array, least: float) -> JunctionGrid:
        """The grid for these readings, of which one arc leaves `rest`."""
        x, weight = readings.x, readings.weight[:, None]
        middle = (readings.start + readings.end) / 2
        place = np.linspace(readings.start + least, readings.end - least, _GRID)
        plain = readings.fold(np.stack([np.ones_like(x), x - middle, (x - middle) ** 2], 1)) * weight
        # A versine does not see offset and tilt: their columns are zero and must not enter the basis.
        plain = plain[:, np.linalg.norm(plain, axis=0) > 1e-9 * np.linalg.norm(plain)]
        if readings.beside is not None:
            plain = np.hstack([plain / np.linalg.norm(plain, axis=0), readings.beside * weight])
        base = np.linalg.qr(plain)[0]
        bend = _left(base, readings.fold(np.maximum(x[:, None] - place, 0.0) ** 2) * weight)
        bend /= np.maximum(np.linalg.norm(bend, axis=0), 1e-300)
        return cls(place, least, base, bend, _left(base, readings.weight * rest))

    def left(self, columns: Array) -> Array:
        """What the base leaves of these columns."""
        return _left(self.base, columns)

    @cached_property
    def products(self) -> tuple[Array, Array]:
        """Of the bends with one another, (g, g), and with `rest`, (g,)."""
        return self.bend.T @ self.bend, self.bend.T @ self.rest

    def choices(self, k: int) -> Places:
        """All sets of k places that are far enough apart, (k, s)."""
        step = (self.place[-1] - self.place[0]) / (len(self.place) - 1)
        return _choices(len(self.place), k, max(1, int(np.ceil(self.least / step - 1e-9))) if step else _GRID)

    def beside(self, known: Places) -> Places:
        """One more place beside these, each in turn: the sets that are far enough apart."""
        more = np.setdiff1d(np.arange(len(self.place)), known)
        sets = np.sort(np.vstack([np.tile(known[:, None], len(more)), more]), axis=0)
        return sets[:, (np.diff(self.place[sets], axis=0) >= self.least).all(axis=0)]


def _left(base: Array, columns: Array) -> Array:
    return columns - base @ (base.T @ columns)


def gains(sets: Places, gram: Array, right: Array) -> Array:
    """How much each set of columns (k, s) takes off the sum of squares, from the columns' products."""
    gain = np.zeros(sets.shape[1])
    # One column after the other is taken out of those after it (Cholesky), for all sets at once.
    left = right[sets]
    rows = {(i, j): gram[sets[i], sets[j]] for j in range(len(sets)) for i in range(j + 1)}
    for i in range(len(sets)):
        pivot = rows[i, i] + 1e-9
        gain += left[i] ** 2 / pivot
        for j in range(i + 1, len(sets)):
            share = rows[i, j] / pivot
            left[j] -= share * left[i]
            for m in range(j, len(sets)):
                rows[j, m] -= share * rows[i, m]
    return gain


def starting_junctions(readings: Readings, rest: Array, least: float, most: int) -> list[Array]:
    """Return, for 1..most zones, the junctions on a grid whose bends explain most of `rest`, what one arc
    leaves.

    Up to three junctions: the best of all places on the grid. More: one junction beside the best so far, then
    each in turn moved to its best place.
    """
    grid = JunctionGrid.of(readings, rest, least)

    def best_of(sets: Places) -> Places | None:
        if not sets.shape[1]:
            return None
        best: Places = sets[:, np.argmax(gains(sets, *grid.products))]
        return best

    starts: list[Array] = [np.empty(0)]
    for k in range(1, most):
        if k <= 3:
            best = best_of(grid.choices(k))
        else:
            known = np.abs(grid.place[:, None] - starts[-1]).argmin(axis=0)
            best = best_of(grid.beside(known))
            for i in range(k):
                if best is None:
                    break
                moved = best_of(grid.beside(np.delete(best, i)))
                best = best if moved is None else moved
        even = readings.start + (readings.end - readings.start) * np.arange(1, k + 1) / (k + 1)
        starts.append(even if best is None else grid.place[best])
    return starts


@lru_cache(maxsize=16)
def _choices(n: int, k: int, apart: int) -> NDArray[np.intp]:
    sets = np.array(list(combinations(range(n), k)), dtype=np.intp).T
    return np.ascontiguousarray(sets[:, (np.diff(sets, axis=0) >= apart).all(axis=0)])


def refine(readings: Readings, values: Array, k: int, least: float, enough: float = 1e-8) -> Array | None:
    """Gauss-Newton with step halving from these values, until a step takes no more than the share `enough`
    off the misfit; None where it ends on a bend that is not above 0."""

    def rest(v: Array) -> Array:
        return readings.weight * (readings.data - readings.model(v, k))

    def fits(v: Array) -> bool:
        knots = np.concatenate([[readings.start], v[2 + k :], [readings.end]])
        return bool((knots[1:] - knots[:-1] >= 0.8 * least).all())

    def newton_step(v: Array, columns: int, left: Array) -> tuple[Array, float]:
        """The step in the first values from where `left` is the rest, and how much less the misfit would be,
        were all of it linear."""
        jacobian = readings.slopes(v, k)[:, :columns] * readings.weight[:, None]
        # What the readings do not see (a versine: offset and tilt) is rounding only, and stays where it is.
        size = np.linalg.norm(jacobian, axis=0)
        size[size < 1e-9] = np.inf
        scaled = jacobian / size
        pull, step = scaled.T @ left, np.zeros_like(v)
        found = np.linalg.lstsq(scaled.T @ scaled, pull, rcond=1e-12)[0]
        step[:columns] = found / size
        return step, float(pull @ found)

    # First with the junctions held: that much is linear.
    values = values + newton_step(values, 2 + k, rest(values))[0]
    left = rest(values)
    now = float(left @ left)
    if not fits(values) or not np.isfinite(now):
        return None
    for _ in range(60):
        (step, less), share = newton_step(values, len(values), left), 1.0
        if less <= enough * now:
            break
        while share > 1e-3 and not (fits(v := values + share * step) and (after := rest(v)) @ after < now):
            share /= 2
        if share <= 1e-3:
            break
        values, left = v, after
        before, now = now, float(left @ left)
        if before - now <= enough * before:
            break
    return values if (values[2 : 2 + k] > 0).all() else None
