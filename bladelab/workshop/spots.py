"""Telling a bad spot from zones: a bump or a dip of limited length on an otherwise simple edge."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike

from bladelab._checks import number, numbers
from bladelab._types import Array, Numbers, OneOrMany
from bladelab.workshop.spot_search import (
    LEAST_MM,
    WIDTHS_LONG,
    ZonesAndSpots,
    bump_slopes,
    bumps,
    one_more_spot,
)
from bladelab.workshop.trace import checked_points
from bladelab.workshop.zone_search import Readings
from bladelab.workshop.zones import (
    ZoneFit,
    bayes_score,
    edge_readings,
    fit_readings,
    independent_share,
    report,
)

# With more zones than this the search for places takes longer than it is worth.
_MOST_ZONES = 3


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
        return self.zones.height_mm(x_mm) + bumps(np.atleast_1d(x), self.shapes).reshape(x.shape)


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
    plain = fit_readings(readings, arc, 2, error_mm, count, most, LEAST_MM)
    k, n = len(plain.zones), len(readings.x)
    cells = readings.gathered()
    found: dict[tuple[int, int], ZonesAndSpots] = {}
    before = np.empty((0, 3))
    for m in range(1, most_spots + 1):
        for zones in range(k if count else 1, min(k, _MOST_ZONES) + 1):
            if (fitted := one_more_spot(cells, arc, zones, before)) is not None:
                found[zones, m] = fitted
        best = [pair for pair in found if pair[1] == m]
        if not best:
            break
        before = found[min(best, key=lambda pair: found[pair].misfit(readings))].spots
    share = max(
        independent_share(fit.rest(readings))
        for fit in [ZonesAndSpots(plain.values, k, before[:0]), *found.values()]
    )

    def score(pair: tuple[int, int], misfit: float) -> float:
        return bayes_score(misfit, n, 2 * pair[0] + 1 + 4 * pair[1], share)

    scores = {(zones, 0): score((zones, 0), misfit) for zones, misfit in plain.misfits_mm2.items()}
    scores |= {pair: score(pair, fitted.misfit(readings)) for pair, fitted in found.items()}
    pair = min(scores, key=lambda pair: scores[pair])
    if not pair[1]:
        return EdgeFit(plain, (), before[:0], scores)
    return _told(readings, found[pair], error_mm, share, plain, scores)


def _told(
    readings: Readings,
    fit: ZonesAndSpots,
    error_mm: float | None,
    share: float,
    plain: ZoneFit,
    scores: dict[tuple[int, int], float],
) -> EdgeFit:
    """The fit with its errors."""
    beside = bump_slopes(readings.x, fit.spots)
    bare = replace(readings, data=readings.data - bumps(readings.x, fit.spots), beside=beside)
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
        at, length, height = shapes[i] * [1.0, WIDTHS_LONG, 1.0]
        spot = Spot(float(at), float(length), float(height), float(errors[i]))
        if told and told[-1].to_mm > spot.from_mm and told[-1].height_mm * height > 0:
            start, end = min(told[-1].from_mm, spot.from_mm), max(told.pop().to_mm, spot.to_mm)
            x = np.linspace(start, end, 201)
            sum_of_them = bumps(x, shapes)
            largest = float(sum_of_them[np.argmax(np.abs(sum_of_them))])
            spot = Spot((start + end) / 2, end - start, largest, float(errors.max()))
        told.append(spot)
    return tuple(told)
