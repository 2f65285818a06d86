"""The zones of a measured edge: how many, where they meet, and the radius of each."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from bladelab._checks import number, numbers
from bladelab._errors import InputError
from bladelab._types import Array, Numbers, OneOrMany
from bladelab._values import by_value
from bladelab.shape.rocker import Rocker, Zone
from bladelab.workshop.radius import fit_radius, wrong_way
from bladelab.workshop.trace import checked_error, checked_points
from bladelab.workshop.zone_search import Readings, edge, refine, starting_junctions


@by_value
@dataclass(frozen=True, eq=False)
class ZoneFit:
    """The zones found along an edge, heel to toe.

    Attributes
    ----------
    zones : tuple of Zone
    junctions_mm : array, shape (k - 1,)
        Where the zones meet, in the frame of the trace, mm.
    standard_errors_mm : array, shape (k,)
        Of the zones' radii, mm.
    junction_errors_mm : array, shape (k - 1,)
        Standard errors of the junctions, mm.
    noise_mm : float
        Scatter of one reading about the fitted edge, mm.
    scores, misfits_mm2 : dict
        Information criterion (BIC) for each number of zones tried, of which the least wins, and the sum of
        squares that it judges, mm2.
    pivot_mm, pivot_error_mm : float
        Where the edge is lowest when both its ends are equally high, in the frame of the trace, mm.
    lowest_mm : float
        Where the edge is lowest as it was measured, mm; NaN when that is off the trace, or the readings do
        not tell.
    start_mm : float
        Heel end of the stretch, mm.
    values : array
        What was fitted, as `zone_search` keeps it.

    Examples
    --------
    >>> import numpy as np
    >>> from bladelab import Rocker, Zone, fit_zones
    >>> x = np.linspace(-120.0, 120.0, 121)
    >>> y = Rocker((Zone(2400.0, 140.0), Zone(3600.0, 140.0))).height_mm(x)
    >>> fit = fit_zones(x, y, error_mm=0.001, count=2)
    >>> [round(zone.radius_mm) for zone in fit.zones]
    [2400, 3600]
    """

    zones: tuple[Zone, ...]
    junctions_mm: Array
    standard_errors_mm: Array
    junction_errors_mm: Array
    noise_mm: float
    scores: dict[int, float]
    misfits_mm2: dict[int, float]
    pivot_mm: float
    pivot_error_mm: float
    lowest_mm: float
    start_mm: float
    values: Array

    @property
    def rocker(self) -> Rocker:
        """The fitted shape as a stepped rocker, level at the pivot; its x is 0 at the middle of the trace."""
        length = sum(zone.length_mm for zone in self.zones)
        return Rocker(self.zones, pivot_mm=self.pivot_mm - self.start_mm - length / 2)

    def height_mm(self, x_mm: Numbers) -> OneOrMany:
        """Return the fitted height at `x_mm`, in the frame of the trace, mm."""
        x = np.atleast_1d(numbers("x_mm", x_mm, "mm"))
        height = edge(x, self.start_mm, self.values, len(self.zones))[0]
        return float(height[0]) if np.ndim(x_mm) == 0 else height


# How closely a number of zones is fitted to be chosen or not: a step that takes 1e-5 off the misfit of 400
# readings is 0.004 in the criterion, where one more zone costs 12. (With 1e-4, 2 of 250 edges were
# mistaken: some steps are small long before the end.)
_TO_CHOOSE = 1e-5


def fit_zones(
    x_mm: ArrayLike,
    y_mm: ArrayLike,
    error_mm: float | None = None,
    count: int | None = None,
    most: int = 6,
    least_length_mm: float = 20.0,
) -> ZoneFit:
    """Find the zones of an edge: a curve of arcs that meet tangent, with free junctions.

    Definition
    ----------
    sin(tilt) is continuous and linear in x on each zone, with slope 1/radius; height is the integral of
    tan(tilt); offset and tilt are free. Least squares of the heights over radii and junctions; the number of
    zones k is the one of the least BIC = n log(RSS / n) + (2k + 1) log(n). If neighbouring residuals go
    together (a gauge that drags), n counts only the independent ones: n (1 - c) / (1 + c), with c their
    correlation, and the standard errors grow accordingly.

    Parameters
    ----------
    x_mm, y_mm : array, shape (n,)
        Positions, rising, and heights, mm.
    error_mm : float, optional
        Standard error of one height, mm, above 0 and at most 10 m; left out, the residuals tell it.
    count : int, optional
        Number of zones, if it is known.
    most : int
        The greatest number of zones to try, 1 to 8.
    least_length_mm : float
        The shortest zone to look for, mm.

    Returns
    -------
    ZoneFit

    Raises
    ------
    ValueError
        For points that make no trace or bend the wrong way, for an option out of range, or if no arrangement
        of `count` zones fits.

    Notes
    -----
    Searched on the readings gathered into 400 cells, refined by Gauss-Newton on all readings (`zone_search`).
    A blended junction is found as a step at its middle; the heights then differ by at most (change of
    curvature) * blend^2 / 24, about 2 micrometres for a 20 mm blend. The standard errors agree with repeated
    noisy draws within 10 % where the junctions stand out; where two radii are nearly equal their junction is
    vague, and its stated error is too small. Sources: variable projection, Golub & Pereyra 1973; BIC, Schwarz
    1978 (both from memory).

    Examples
    --------
    >>> import numpy as np
    >>> from bladelab import Rocker, Zone
    >>> x = np.linspace(-120.0, 120.0, 121)
    >>> y = Rocker((Zone(2400.0, 140.0), Zone(3600.0, 140.0))).height_mm(x)
    >>> fit = fit_zones(x, y, error_mm=0.001, count=2)
    >>> abs(float(fit.junctions_mm[0])) < 0.5
    True
    """
    readings, arc = edge_readings(*checked_points(x_mm, y_mm))
    return fit_readings(readings, arc, 2, error_mm, count, most, least_length_mm)


def edge_readings(x: Array, y: Array) -> tuple[Readings, Array]:
    """Heights as readings, and the values of the single arc that suits them."""
    single = fit_radius(x, y)
    sine = np.sin(np.radians(single.tilt_deg)) + (x[0] - single.middle_mm) / single.radius_mm
    arc = np.array([float(single.height_mm(x[0])), sine, 1 / single.radius_mm])
    return Readings(x, y, np.ones_like(x), float(x[0]), float(x[-1])), arc


def fit_readings(
    readings: Readings,
    arc: Array,
    hidden: int,
    error_mm: float | None,
    count: int | None,
    most: int,
    least_length_mm: float,
) -> ZoneFit:
    """Fit zones to any kind of readings; `arc` is the single arc that suits them, `hidden` how many of offset
    and tilt they see.
    """
    error_mm = checked_error(error_mm)
    span, n = readings.end - readings.start, len(readings.data)
    least = number("least_length_mm", least_length_mm, "mm", 0.0, span, low_open=True)
    most = int(number("most", most, "zones", 1, 8))
    wanted = range(1, most + 1) if count is None else [int(number("count", count, "zones", 1, 8))]
    room = max(1, min(int(span / least + 1e-9), (n - hidden) // 3))
    if wanted[0] > room:
        raise InputError(f"count is {wanted[0]} zones; {n} readings over {span:g} mm allow at most {room}")
    wanted = [k for k in wanted if k <= room]
    cells = readings.gathered() if hidden else readings
    starts = starting_junctions(cells, cells.data - cells.model(arc, 1), least, wanted[-1])
    fits: dict[int, tuple[Array, Array]] = {}
    for k in wanted:
        begin = np.concatenate([arc[:2], np.full(k, arc[2]), starts[k - 1]])
        found = refine(cells, begin, k, least, _TO_CHOOSE)
        if found is not None:
            fits[k] = found, readings.data - readings.model(found, k)
    if not fits:
        raise InputError(f"no arrangement of {wanted[0]} zones of at least {least:g} mm fits these readings")
    share = independent_share(fits[max(fits)][1])
    misfits = {k: float(rest @ rest) for k, (_, rest) in fits.items()}
    scores = {k: bayes_score(misfit, n, 2 * k - 1 + hidden, share) for k, misfit in misfits.items()}
    best: int = min(scores, key=lambda k: scores[k])
    # Roughly fitted cells chose the number; a close fit of all readings has the last word.
    values = fits[best][0]
    last = refine(readings, values, best, least)
    values = values if last is None else last
    rest = readings.data - readings.model(values, best)
    return report(readings, best, values, rest, hidden, share, error_mm, scores, misfits)


def bayes_score(misfit: float, n: int, free: int, share: float) -> float:
    """Information criterion of a fit with this sum of squares and so many free numbers."""
    # Readings without noise would give the logarithm of nothing: a millionth of a micrometre is the floor.
    return share * n * float(np.log(max(misfit / n, 1e-18))) + free * float(np.log(share * n))


def independent_share(rest: Array) -> float:
    """Which share of the residuals counts as independent, from the correlation of neighbours."""
    c = float(rest[1:] @ rest[:-1]) / max(float(rest @ rest), 1e-300)
    if c < 3 / np.sqrt(len(rest)):
        return 1.0
    return (1 - min(c, 0.95)) / (1 + min(c, 0.95))


def report(
    readings: Readings,
    k: int,
    values: Array,
    rest: Array,
    hidden: int,
    share: float,
    error_mm: float | None,
    scores: dict[int, float],
    misfits: dict[int, float],
) -> ZoneFit:
    """Return the fit with these values and `rest`, its errors, and what follows from it."""
    start, end = readings.start, readings.end
    if (values[2 : 2 + k] <= 0).any():
        raise wrong_way(float(values[2 : 2 + k].min()))
    beside = np.empty((len(rest), 0)) if readings.beside is None else readings.beside
    free = len(rest) - (2 * k - 1 + hidden) - beside.shape[1]
    noise = float(np.sqrt(float(rest @ rest) / max(free, 1))) if error_mm is None else error_mm
    jacobian = np.hstack([readings.slopes(values, k), beside])
    size = np.maximum(np.linalg.norm(jacobian, axis=0), 1e-30)
    inverse = np.linalg.pinv((jacobian / size).T @ (jacobian / size), rcond=1e-12)
    covariance = (noise**2 / share * inverse / np.outer(size, size))[: len(values), : len(values)]
    errors = np.sqrt(np.maximum(np.diag(covariance), 0.0))
    if not hidden:
        errors[:2] = 0.0

    def level_place(v: Array, chord: bool) -> float:
        knots = np.concatenate([[start], v[2 + k :], [end]])
        height, sine = edge(knots, start, v, k)
        wanted = np.sin(np.arctan2(height[-1] - height[0], end - start)) if chord else 0.0
        return float(np.interp(wanted, sine, knots, left=np.nan, right=np.nan))

    nudge = 1e-3 * errors
    slope = np.array(
        [
            (level_place(values + d, True) - level_place(values - d, True)) / (2 * h) if h > 0 else 0.0
            for d, h in zip(np.diag(nudge), nudge, strict=True)
        ]
    )
    bends, junctions = values[2 : 2 + k], values[2 + k :]
    lengths = np.diff(np.concatenate([[start], junctions, [end]]))
    return ZoneFit(
        zones=tuple(Zone(float(1 / b), float(a)) for b, a in zip(bends, lengths, strict=True)),
        junctions_mm=junctions,
        standard_errors_mm=errors[2 : 2 + k] / bends**2,
        junction_errors_mm=errors[2 + k :],
        noise_mm=noise,
        scores=scores,
        misfits_mm2=misfits,
        pivot_mm=level_place(values, True),
        pivot_error_mm=float(np.sqrt(max(slope @ covariance @ slope, 0.0))),
        lowest_mm=level_place(values, False) if hidden else float("nan"),
        start_mm=start,
        values=values,
    )
