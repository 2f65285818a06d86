"""The shape of one edge as a card knows it: as measured, or else as ground or stated."""

from __future__ import annotations

import datetime
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np

from bladelab._values import by_value
from bladelab.shape.rocker import Rocker, Zone
from bladelab.workshop.gauge import GaugeReadings

if TYPE_CHECKING:
    from bladelab.book.card import Edge
    from bladelab.workshop.trace import Trace
    from bladelab.workshop.zones import ZoneFit

#: No card need say how long a runner is; this is what the panels begin with.
USUAL_LENGTH_MM = 280.0


@by_value
@dataclass(frozen=True, eq=False)
class ShapeNow:
    """What shape an edge has now, and how that is known.

    Attributes
    ----------
    rocker : Rocker
        Along the whole runner; of a measured edge the zones found, without spots.
    edge : Rocker or Trace
        What a cut begins from: the measured edge itself, spots and all, or the rocker.
    how : str
        ``"measured"``, ``"ground"`` or ``"stated"``.
    on : date or None
        When.
    level : str
        How the level point is known: ``"measured"``; ``"ground"`` or ``"stated"``, where the measurement
        doesn't tell it and the card does; ``"unknown"``, where it is taken with both ends equally high.
    """

    rocker: Rocker
    edge: Rocker | Trace
    how: str
    on: datetime.date | None
    level: str


def shape_now(edge: Edge, length_mm: float | None = None) -> ShapeNow | None:
    """Return the shape of an edge as it is known; None if nothing is.

    Definition
    ----------
    The last measurement counts if it is not older than what was ground or stated. Its zones at the ends are
    taken to reach to the ends of the runner. A measurement that says nothing of the level is laid along what
    was ground or stated before it (`straight_line`), and so gets its level point.

    Parameters
    ----------
    edge : Edge
    length_mm : float, optional
        Length of the runner, mm; left out, that of the shape stated or ground, else 280 mm. A measurement
        that is longer makes it longer.

    Raises
    ------
    InputError
        If the measurement bends the wrong way, so that no zones can be found.

    Examples
    --------
    >>> import datetime
    >>> from bladelab.book.card import Edge
    >>> known = Edge(rocker=Rocker.single(3048.0, 280.0), rocker_on=datetime.date(2026, 9, 1), ground=True)
    >>> shape_now(known).how
    'ground'
    """
    return _found(edge, length_mm)


@lru_cache(maxsize=32)
def _found(edge: Edge, length_mm: float | None) -> ShapeNow | None:
    said = edge.rocker
    how = "ground" if edge.ground else "stated"
    newer = edge.measured_on is not None and (edge.rocker_on is None or edge.measured_on >= edge.rocker_on)
    if edge.measured is None or not newer:
        return None if said is None else ShapeNow(said, said, how, edge.rocker_on, how)
    length = length_mm or (said.length_mm if said else USUAL_LENGTH_MM)
    if isinstance(edge.measured, GaugeReadings):
        readings = edge.measured
        span = float(np.abs(readings.position_mm).max()) + readings.chord_mm / 2
        zones, length = readings.fit_zones(), max(length, 2 * span)
        rocker = _whole(zones, length, said.pivot_mm if said else zones.pivot_mm)
        return ShapeNow(rocker, rocker, "measured", edge.measured_on, how if said else "unknown")
    from bladelab.workshop.spots import fit_edge  # takes time to load, and few edges were measured

    trace = edge.measured
    level = "measured" if trace.level_error_deg is not None else "unknown"
    if level == "unknown" and said is not None:
        trace, level = _laid_along(trace, said), how
    trace = trace.level()
    zones = fit_edge(trace.x_mm, trace.y_mm, trace.error_mm).zones
    length = max(length, 2 * float(np.abs(trace.x_mm).max()))
    tells = level != "unknown" and np.isfinite(zones.lowest_mm)
    rocker = _whole(zones, length, zones.lowest_mm if tells else zones.pivot_mm)
    return ShapeNow(rocker, trace, "measured", edge.measured_on, level)


def _laid_along(trace: Trace, said: Rocker) -> Trace:
    """The measured edge, turned so that it is as level as the shape it was ground to."""
    from bladelab.workshop.levelling import straight_line

    inside = np.abs(trace.x_mm) <= said.length_mm / 2
    x, y = trace.x_mm[inside], trace.y_mm[inside]
    turn = straight_line(x, y - np.asarray(said.height_mm(x)))[1]
    # How well the level is known nobody can say; a number makes it count as known.
    return replace(trace, y_mm=trace.y_mm - turn * trace.x_mm, level_error_deg=0.0)


def _whole(zones: ZoneFit, length_mm: float, pivot_mm: float) -> Rocker:
    """The zones as a rocker along the runner, those at the ends as long as it needs."""
    half = length_mm / 2
    ends = np.concatenate([[-half], zones.junctions_mm, [half]])
    stretches = np.diff(ends)
    parts = tuple(Zone(zone.radius_mm, float(s)) for zone, s in zip(zones.zones, stretches, strict=True))
    return Rocker(parts, pivot_mm=float(np.clip(pivot_mm, -half, half)))
