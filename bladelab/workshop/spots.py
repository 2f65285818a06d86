"""Telling a bad spot from zones: a bump or a dip of limited length on an otherwise simple edge."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike

from bladelab._checks import number, numbers
from bladelab._types import Array, Numbers, OneOrMany, Truths
from bladelab.workshop.trace import checked_points
from bladelab.workshop.zone_search import Readings, refine, starting_junctions
from bladelab.workshop.zones import (
    ZoneFit,
    bayes_score,
    edge_readings,
    fit_readings,
    independent_share,
    report,
)

_LEAST_MM = 20.0
# A spot is as long as exp(-s^2) is above a tenth: 3.03 widths. A longer one is a zone.
_LENGTH = 2 * float(np.sqrt(np.log(10.0)))
_SHORTEST_MM, _LONGEST_MM = 15.0, 80.0
# With more zones than this the search for places takes longer than it is worth.
_MOST_ZONES = 3
_CANDIDATES = 3
_APART_MM = 12.0


@dataclass(frozen=True)
class Spot:
    """A stretch where steel is missing, or was left, on top of the zones.

    Attributes
    ----------
    at_mm : float
        Its middle, mm.
    length_mm : float
        The stretch along which it is above a tenth of its height, mm.
    height_mm : float
        At its middle, mm; positive where steel is missing (the edge is higher than its zones).
    height_error_mm : float
        The standard error of that, mm.
    """

    at_mm: float
    length_mm: float
    height_mm: float
    height_error_mm: float

    @property
    def from_mm(self) -> float:
        """Where it begins, mm."""
        return self.at_mm - self.length_mm / 2

    @property
    def to_mm(self) -> float:
        """Where it ends, mm."""
        return self.at_mm + self.length_mm / 2


@dataclass(frozen=True, eq=False)
class EdgeFit:
    """An edge as zones with spots on top.

    Attributes
    ----------
    zones : ZoneFit
        What the edge would be without the spots.
    spots : tuple of Spot
        Heel to toe, often none; those that overlap on the same side count as one.
    shapes : array, shape (m, 3)
        Place, width and height of each bump fitted, mm.
    scores : dict of (int, int) to float
        The information criterion for each pair (number of zones, number of spots) tried; the least wins.

    Examples
    --------
    >>> import numpy as np
    >>> from bladelab import Rocker, fit_edge
    >>> x = np.linspace(-120.0, 120.0, 121)
    >>> dip = -0.1 * np.exp(-(((x - 20) / 15) ** 2))
    >>> fit = fit_edge(x, Rocker.single(3048.0, 280.0).height_mm(x) + dip, 0.005, count=1, most_spots=1)
    >>> len(fit.spots)
    1
    """

    zones: ZoneFit
    spots: tuple[Spot, ...]
    shapes: Array
    scores: dict[tuple[int, int], float]

    def height_mm(self, x_mm: Numbers) -> OneOrMany:
        """Return the fitted height at `x_mm`, spots and all, in the frame of the trace, mm."""
        x = np.asarray(numbers("x_mm", x_mm, "mm"))
        return self.zones.height_mm(x_mm) + _bumps(np.atleast_1d(x), self.shapes).reshape(x.shape)


def fit_edge(
    x_mm: ArrayLike,
    y_mm: ArrayLike,
    error_mm: float | None = None,
    count: int | None = None,
    most: int = 6,
    most_spots: int = 2,
) -> EdgeFit:
    """Find the zones of an edge, and the spots where it leaves them.

    Definition
    ----------
    The edge is that of `fit_zones` plus, for each spot, h exp(-((x - a) / w)^2). Number of zones k and of
    spots m are those of the least BIC = n log(RSS / n) + (2k + 1 + 4m) log(n), n the number of independent
    readings as in `fit_zones`; one for all pairs, from the closest fit. A spot has three free numbers, and
    one more is counted because it is looked for everywhere: with three, 1 in 10 single radii without any
    spot got one.

    Parameters
    ----------
    x_mm, y_mm, error_mm, count, most
        As in `fit_zones`.
    most_spots : int
        The greatest number of spots to look for, 0 to 3.

    Raises
    ------
    ValueError
        As in `fit_zones`.

    Notes
    -----
    A spot is 15 to 80 mm long and lies entirely on the measured stretch: at an end it can't be told from a
    short zone. Looked for beside at most 3 zones, and at most as many as would be found without it. A dip
    mimicked by zones takes three more of them, so 6 free numbers against 4. The errors of the zones' radii
    and junctions include that of the spots. Tested on drawn edges (tests/workshop/test_spots.py).

    Examples
    --------
    >>> import numpy as np
    >>> from bladelab import Rocker
    >>> x = np.linspace(-120.0, 120.0, 121)
    >>> dip = -0.1 * np.exp(-(((x - 20) / 15) ** 2))
    >>> fit = fit_edge(x, Rocker.single(3048.0, 280.0).height_mm(x) + dip, 0.005, count=1, most_spots=1)
    >>> print(f"{fit.shapes[0, 0]:.0f} mm ahead of the middle, {fit.shapes[0, 2]:.2f} mm")
    20 mm ahead of the middle, -0.10 mm
    """
    readings, arc = edge_readings(*checked_points(x_mm, y_mm))
    most_spots = int(number("most_spots", most_spots, "spots", 0, 3))
    plain = fit_readings(readings, arc, 2, error_mm, count, most, _LEAST_MM)
    k, n = len(plain.zones), len(readings.x)
    cells = readings.gathered()
    found: dict[tuple[int, int], _Fitted] = {}
    before = np.empty((0, 3))
    for m in range(1, most_spots + 1):
        for zones in range(k if count else 1, min(k, _MOST_ZONES) + 1):
            if (fitted := _one_more_spot(cells, arc, zones, before)) is not None:
                found[zones, m] = fitted
        best = [pair for pair in found if pair[1] == m]
        if not best:
            break
        before = found[min(best, key=lambda pair: found[pair].misfit(readings))].spots
    share = max(
        independent_share(fit.rest(readings))
        for fit in [_Fitted(plain.values, k, before[:0]), *found.values()]
    )

    def score(pair: tuple[int, int], misfit: float) -> float:
        return bayes_score(misfit, n, 2 * pair[0] + 1 + 4 * pair[1], share)

    scores = {(zones, 0): score((zones, 0), misfit) for zones, misfit in plain.misfits_mm2.items()}
    scores |= {pair: score(pair, fitted.misfit(readings)) for pair, fitted in found.items()}
    pair = min(scores, key=lambda pair: scores[pair])
    if not pair[1]:
        return EdgeFit(plain, (), before[:0], scores)
    return _told(readings, found[pair], error_mm, share, plain, scores)


@dataclass(frozen=True, eq=False)
class _Fitted:
    """Values of the zones, their number, and the spots: place, width, height, (m, 3)."""

    values: Array
    k: int
    spots: Array

    def rest(self, readings: Readings) -> Array:
        return readings.data - readings.model(self.values, self.k) - _bumps(readings.x, self.spots)

    def misfit(self, readings: Readings) -> float:
        return float(np.sum((readings.weight * self.rest(readings)) ** 2))


def _bumps(x: Array, spots: Array) -> Array:
    """The heights that these spots add at x."""
    place, width, height = spots.T[:, :, None]
    heights: Array = np.sum(height * np.exp(-(((x - place) / width) ** 2)), axis=0)
    return heights


def _bump_slopes(x: Array, spots: Array) -> Array:
    """Change of those heights with place, width and height of each spot, (n, 3m)."""
    place, width, height = spots.T[:, :, None]
    s = (x - place) / width
    bump = np.exp(-(s**2))
    along = 2 * height * bump * s / width
    return np.stack([along, along * s, bump], axis=1).reshape(-1, len(x)).T


def _one_more_spot(cells: Readings, arc: Array, k: int, before: Array) -> _Fitted | None:
    """The best fit of k zones with these spots and one more; None where there is none."""
    fits = [
        _together(cells, arc, k, np.vstack([before, candidate]))
        for candidate in _candidates(cells, arc, k, before)
    ]
    kept = [fit for fit in fits if fit is not None]
    return min(kept, key=lambda fit: fit.misfit(cells)) if kept else None


def _zones(cells: Readings, arc: Array, k: int, spots: Array) -> _Fitted | None:
    """The best k zones, these spots taken as they are."""
    bare = replace(cells, data=cells.data - _bumps(cells.x, spots))
    junctions = starting_junctions(bare, bare.data - bare.model(arc, 1), _LEAST_MM, k)[k - 1]
    values = refine(bare, np.concatenate([arc[:2], np.full(k, arc[2]), junctions]), k, _LEAST_MM, 1e-5)
    return None if values is None else _Fitted(values, k, spots)


def _candidates(cells: Readings, arc: Array, k: int, before: Array) -> list[Array]:
    """The spots beside which k zones would fit best, to first order, each at a place of its own."""
    widths = np.array([22.0, 40.0, 70.0]) / _LENGTH
    places = np.linspace(cells.start, cells.end, 25)
    grid = np.array([(a, w, 1.0) for w in widths for a in places])
    grid = grid[_inside(cells, grid)]
    shapes = np.exp(-(((cells.x[:, None] - grid[:, 0]) / grid[:, 1]) ** 2))
    known = _bump_slopes(cells.x, before)[:, 2::3]
    rest, weight = cells.data - cells.model(arc, 1), cells.weight[:, None]
    misfits = np.empty(len(grid))
    for i, shape in enumerate(shapes.T):
        beside = np.column_stack([known, shape])
        junctions = starting_junctions(replace(cells, beside=beside), rest, _LEAST_MM, k)[k - 1]
        t = (cells.x - cells.start) / (cells.end - cells.start)
        at = (junctions - cells.start) / (cells.end - cells.start)
        plane = (
            np.hstack([t[:, None] ** np.arange(3), np.maximum(t[:, None] - at, 0.0) ** 2, beside]) * weight
        )
        heights, *_ = np.linalg.lstsq(plane, cells.weight * rest)
        misfits[i] = np.sum((cells.weight * rest - plane @ heights) ** 2)
        grid[i, 2] = heights[-1]
    chosen: list[Array] = []
    for i in np.argsort(misfits):
        if all(abs(grid[i, 0] - other[0]) > _APART_MM for other in chosen):
            chosen.append(grid[i])
        if len(chosen) == _CANDIDATES:
            break
    return chosen


def _inside(cells: Readings, spots: Array) -> Truths:
    """Which spots lie on the measured stretch whole, and are neither too short nor too long."""
    length = spots[:, 1] * _LENGTH
    whole = (spots[:, 0] - length / 2 >= cells.start) & (spots[:, 0] + length / 2 <= cells.end)
    return whole & (length >= _SHORTEST_MM) & (length <= _LONGEST_MM)


def _together(cells: Readings, arc: Array, k: int, spots: Array) -> _Fitted | None:
    """Zones and spots fitted together by least squares, from these spots; None if a spot runs off."""
    from scipy.optimize import least_squares

    start = _zones(cells, arc, k, spots)
    if start is None:
        return None
    zones = len(start.values)

    def fitted(v: Array) -> _Fitted:
        return _Fitted(v[:zones], k, v[zones:].reshape(-1, 3))

    def slopes(v: Array) -> Array:
        both = [cells.slopes(v[:zones], k), _bump_slopes(cells.x, v[zones:].reshape(-1, 3))]
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
    sound = (found.values[2 : 2 + k] > 0).all() and (np.diff(knots) >= 0.8 * _LEAST_MM).all()
    # Bumps far larger than what they add up to cancel one another: no spot looks like that.
    largest = np.abs(_bumps(cells.x, found.spots)).max()
    sound = sound and np.abs(found.spots[:, 2]).max() <= 1.5 * largest
    return found if sound and _inside(cells, found.spots).all() else None


def _told(
    readings: Readings,
    fit: _Fitted,
    error_mm: float | None,
    share: float,
    plain: ZoneFit,
    scores: dict[tuple[int, int], float],
) -> EdgeFit:
    """The fit with its errors."""
    beside = _bump_slopes(readings.x, fit.spots)
    bare = replace(readings, data=readings.data - _bumps(readings.x, fit.spots), beside=beside)
    counts = {k: score for (k, m), score in scores.items() if m == len(fit.spots)}
    zones = report(bare, fit.k, fit.values, fit.rest(readings), 2, share, error_mm, counts, plain.misfits_mm2)
    columns = np.hstack([readings.slopes(fit.values, fit.k), beside])
    columns /= np.maximum(np.linalg.norm(columns, axis=0), 1e-300)
    inverse = np.linalg.pinv(columns.T @ columns, rcond=1e-12)
    size = np.linalg.norm(beside, axis=0)
    errors = zones.noise_mm / np.sqrt(share) * np.sqrt(np.diag(inverse)[-beside.shape[1] :]) / size
    return EdgeFit(zones, _as_told(fit.spots, errors[2::3]), fit.spots, scores)


def _as_told(shapes: Array, errors: Array) -> tuple[Spot, ...]:
    """Heel to toe, bumps of one sign that overlap taken together."""
    told: list[Spot] = []
    for i in np.argsort(shapes[:, 0]):
        at, length, height = shapes[i] * [1.0, _LENGTH, 1.0]
        spot = Spot(float(at), float(length), float(height), float(errors[i]))
        if told and told[-1].to_mm > spot.from_mm and told[-1].height_mm * height > 0:
            start, end = min(told[-1].from_mm, spot.from_mm), max(told.pop().to_mm, spot.to_mm)
            x = np.linspace(start, end, 201)
            sum_of_them = _bumps(x, shapes)
            largest = float(sum_of_them[np.argmax(np.abs(sum_of_them))])
            spot = Spot((start + end) / 2, end - start, largest, float(errors.max()))
        told.append(spot)
    return tuple(told)
