"""Zones and local spots fitted together: where one more spot would explain an edge best."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from bladelab._types import Array, Truths
from bladelab.workshop.zone_search import JunctionGrid, Readings, gains, refine, starting_junctions

LEAST_MM = 20.0
# A spot is as long as exp(-s^2) is above a tenth: 3.03 widths. A longer one is a zone.
WIDTHS_LONG = 2 * float(np.sqrt(np.log(10.0)))
_SHORTEST_MM, _LONGEST_MM = 15.0, 80.0
_CANDIDATES = 3
_APART_MM = 12.0


@dataclass(frozen=True, eq=False)
class ZonesAndSpots:
    """Values of the zones, their number, and the spots: place, width, height, (m, 3)."""

    values: Array
    k: int
    spots: Array

    def rest(self, readings: Readings) -> Array:
        return readings.data - readings.model(self.values, self.k) - bumps(readings.x, self.spots)

    def misfit(self, readings: Readings) -> float:
        return float(np.sum((readings.weight * self.rest(readings)) ** 2))


def bumps(x: Array, spots: Array) -> Array:
    """The heights that these spots add at x."""
    place, width, height = spots.T[:, :, None]
    heights: Array = np.sum(height * np.exp(-(((x - place) / width) ** 2)), axis=0)
    return heights


def bump_slopes(x: Array, spots: Array) -> Array:
    """Change of those heights with place, width and height of each spot, (n, 3m)."""
    place, width, height = spots.T[:, :, None]
    s = (x - place) / width
    bump = np.exp(-(s**2))
    along = 2 * height * bump * s / width
    return np.stack([along, along * s, bump], axis=1).reshape(-1, len(x)).T


def one_more_spot(cells: Readings, arc: Array, k: int, before: Array) -> ZonesAndSpots | None:
    """The best fit of k zones with these spots and one more; None where there is none."""
    fits = [
        _together(cells, arc, k, np.vstack([before, candidate]))
        for candidate in _candidates(cells, arc, k, before)
    ]
    kept = [fit for fit in fits if fit is not None]
    return min(kept, key=lambda fit: fit.misfit(cells)) if kept else None


def zones_beside(cells: Readings, arc: Array, k: int, spots: Array) -> ZonesAndSpots | None:
    """The best k zones, these spots taken as they are."""
    bare = replace(cells, data=cells.data - bumps(cells.x, spots))
    junctions = starting_junctions(bare, bare.data - bare.model(arc, 1), LEAST_MM, k)[k - 1]
    values = refine(bare, np.concatenate([arc[:2], np.full(k, arc[2]), junctions]), k, LEAST_MM, 1e-5)
    return None if values is None else ZonesAndSpots(values, k, spots)


def _candidates(cells: Readings, arc: Array, k: int, before: Array) -> list[Array]:
    """The spots beside which k zones would fit best, to first order, each at a place of its own."""
    widths = np.array([22.0, 40.0, 70.0]) / WIDTHS_LONG
    places = np.linspace(cells.start, cells.end, 25)
    grid = np.array([(a, w, 1.0) for w in widths for a in places])
    grid = grid[_inside(cells, grid)]
    known = bump_slopes(cells.x, before)[:, 2::3]
    bends = JunctionGrid.of(replace(cells, beside=known), cells.data - cells.model(arc, 1), LEAST_MM)
    sets = bends.choices(k - 1)
    if not sets.shape[1]:
        return []
    shapes = np.exp(-(((cells.x[:, None] - grid[:, 0]) / grid[:, 1]) ** 2)) * cells.weight[:, None]
    shapes = bends.left(shapes)
    sizes = np.maximum(np.linalg.norm(shapes, axis=0), 1e-9)
    gram, right = bends.products
    explained, best = np.empty(len(grid)), np.empty(len(grid), dtype=int)
    for i, shape in enumerate((shapes / sizes).T):
        height, shared = shape @ bends.rest, shape @ bends.bend
        beside = gains(sets, gram - np.outer(shared, shared), right - shared * height)
        best[i] = np.argmax(beside)
        explained[i] = height**2 + beside[best[i]]
    chosen: list[Array] = []
    for i in np.argsort(-explained):
        if all(abs(grid[i, 0] - other[0]) > _APART_MM for other in chosen):
            columns = np.column_stack([bends.bend[:, sets[:, best[i]]], shapes[:, i]])
            grid[i, 2] = np.linalg.lstsq(columns, bends.rest)[0][-1]
            chosen.append(grid[i])
        if len(chosen) == _CANDIDATES:
            break
    return chosen


def _inside(cells: Readings, spots: Array) -> Truths:
    """Which spots lie on the measured stretch whole, and are neither too short nor too long."""
    length = spots[:, 1] * WIDTHS_LONG
    whole = (spots[:, 0] - length / 2 >= cells.start) & (spots[:, 0] + length / 2 <= cells.end)
    return whole & (length >= _SHORTEST_MM) & (length <= _LONGEST_MM)


def _together(cells: Readings, arc: Array, k: int, spots: Array) -> ZonesAndSpots | None:
    """Zones and spots fitted together by least squares, from these spots; None if a spot runs off."""
    from scipy.optimize import least_squares

    start = zones_beside(cells, arc, k, spots)
    if start is None:
        return None
    zones = len(start.values)

    def fitted(v: Array) -> ZonesAndSpots:
        return ZonesAndSpots(v[:zones], k, v[zones:].reshape(-1, 3))

    def slopes(v: Array) -> Array:
        both = [cells.slopes(v[:zones], k), bump_slopes(cells.x, v[zones:].reshape(-1, 3))]
        return -cells.weight[:, None] * np.hstack(both)

    def rest(v: Array) -> Array:
        return cells.weight * fitted(v).rest(cells)

    done = least_squares(
        rest,
        np.concatenate([start.values, spots.ravel()]),
        slopes,
        method="lm",
        x_scale="jac",
        max_nfev=40,
    )
    found = fitted(done.x)
    knots = np.concatenate([[cells.start], found.values[2 + k :], [cells.end]])
    sound = (found.values[2 : 2 + k] > 0).all() and (np.diff(knots) >= 0.8 * LEAST_MM).all()
    # Bumps far larger than what they add up to cancel one another: no spot looks like that.
    largest = np.abs(bumps(cells.x, found.spots)).max()
    sound = sound and np.abs(found.spots[:, 2]).max() <= 1.5 * largest
    return found if sound and _inside(cells, found.spots).all() else None
