"""One measured edge with everything found in it, kept for as long as a panel may ask again."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from bladelab._types import Array
from bladelab.show.panels.workshop.measured_files import measured
from bladelab.workshop.gauge import GaugeReadings
from bladelab.workshop.radius import RadiusFit
from bladelab.workshop.spots import EdgeFit
from bladelab.workshop.trace import LocalCurve, Trace, local_curve
from bladelab.workshop.zones import ZoneFit


@dataclass(frozen=True, eq=False)
class Measurement:
    """Everything found in one measured edge: arrays of the local radius share one shape, mm."""

    trace: Trace
    place_mm: Array
    radius_mm: Array
    error_mm: Array
    single: RadiusFit
    edge: EdgeFit

    @property
    def zones(self) -> ZoneFit:
        """The zones, without the spots."""
        return self.edge.zones

    @property
    def level_error_mm(self) -> float | None:
        """Standard error of the level point, mm; None if the level was not measured."""
        angle, place = self.trace.level_error_deg, self.zones.lowest_mm
        if angle is None:
            return None
        at = float(np.clip(place if np.isfinite(place) else 0.0, *self.trace.x_mm[[0, -1]]))
        ends = np.cumsum([zone.length_mm for zone in self.zones.zones]) + self.zones.start_mm
        radius = self.zones.zones[min(int(np.searchsorted(ends, at)), len(ends) - 1)].radius_mm
        return float(np.hypot(radius * np.radians(angle), self.zones.pivot_error_mm))


def find(
    path: str | Trace | GaugeReadings, count: int, window_mm: float, level_error_deg: float | None = None
) -> Measurement:
    """Fit everything to one edge, from a file or a card."""
    return _find(edge_of(path, level_error_deg), count, window_mm)


def edge_of(path: str | Trace | GaugeReadings, level_error_deg: float | None) -> Trace | GaugeReadings:
    """What was measured; a gauge with two feet sees no level, whatever it is said to be set on."""
    read = measured(path)
    if level_error_deg is None or isinstance(read, GaugeReadings):
        return read
    return _with_level(read, level_error_deg)


@lru_cache(maxsize=16)
def _with_level(trace: Trace, level_error_deg: float) -> Trace:
    return replace(trace, level_error_deg=level_error_deg)


def curve_along(level: Trace, window_mm: float) -> LocalCurve:
    """The local radius all along a levelled edge, as far as the window fits."""
    half = window_mm / 2
    return local_curve(level, np.linspace(level.x_mm[0] + half, level.x_mm[-1] - half, 121), window_mm)


@lru_cache(maxsize=64)
def _find(read: Trace | GaugeReadings, count: int, window_mm: float) -> Measurement:
    level, single, edge = _whole(read, count)
    if isinstance(read, GaugeReadings):
        sure = replace(read, error_mm=read.error_mm or max(edge.zones.noise_mm, 1e-6))
        radii, errors = read.radius_mm, sure.standard_error_mm
        assert errors is not None
        return Measurement(level, read.position_mm, radii, errors, single, edge)
    local = curve_along(level, min(window_mm, level.length_mm))
    return Measurement(level, local.x_mm, local.radius_mm, local.standard_error_mm, single, edge)


@lru_cache(maxsize=64)
def _whole(read: Trace | GaugeReadings, count: int) -> tuple[Trace, RadiusFit, EdgeFit]:
    """What does not depend on the window: the edge made level, one radius for all, zones and spots."""
    from bladelab.workshop.radius import fit_radius
    from bladelab.workshop.spots import fit_edge

    if isinstance(read, GaugeReadings):
        zones = read.fit_zones(count=count or None)
        return read.trace.level(), read.fit_radius(), EdgeFit(zones, (), np.empty((0, 3)), {})
    level = read.level()
    edge = (level.x_mm, level.y_mm, read.error_mm)
    return level, fit_radius(*edge), fit_edge(*edge, count=count or None)
