"""Values of the rocker, the hollow and the units for the published checks."""

from __future__ import annotations

import math

from scipy.integrate import quad
from scipy.optimize import brentq

from bladelab.shape.hollow import Hollow
from bladelab.shape.rocker import Rocker, Zone
from bladelab.units import feet, inches


def _chord(radius: float, height: float) -> float:
    """Width of the hollow that is this deep: the chord of the segment."""
    return brentq(lambda width: Hollow(radius, width).depth_mm - height, 0.01, 2 * radius * (1 - 1e-12))


def segment_chord_12_2() -> float:
    return _chord(12.0, 2.0)


def segment_arc_12_2() -> float:
    return 2 * 12.0 * math.radians(Hollow(12.0, _chord(12.0, 2.0)).edge_angle_deg)


def segment_area_12_2() -> float:
    hollow = Hollow(12.0, _chord(12.0, 2.0))
    return quad(hollow.height_mm, 0.0, hollow.width_mm)[0]


def segment_radius_16_6() -> float:
    return brentq(lambda radius: Hollow(radius, 16.0).depth_mm - 6.0, 8.0 * (1 + 1e-12), 100.0)


def segment_chord_60_8() -> float:
    return _chord(60.0, 8.0)


def rocker_height_12() -> float:
    return float(Rocker.single(12.0, 13.27).height_mm(13.27 / 2))


def rocker_height_60() -> float:
    return float(Rocker.single(60.0, 59.86).height_mm(-59.86 / 2))


def clothoid_heading() -> float:
    """Turn of a blend as the clothoid's, a thousand times flatter, where both definitions are one."""
    flat = 1e12
    rocker = Rocker((Zone(flat, 16.0), Zone(9000.0, 16.0)), blend_mm=16.0, pivot_mm=-8.0)
    return 1000 * float(rocker.tilt_deg(8.0))


def hollow_1_8_in() -> float:
    return float(inches("1/8"))


def hollow_3_8_in() -> float:
    return float(inches("3/8"))


def hollow_7_8_in() -> float:
    return float(inches("7/8"))


def ten_feet() -> float:
    return float(feet(10))


def hollow_depth() -> float:
    return float(Hollow(12.7, 3.0).depth_mm)


def hollow_edge_angle() -> float:
    return float(Hollow(12.7, 3.0).edge_angle_deg)


def deep_hollow_depth() -> float:
    return float(Hollow(3.175, 3.0).depth_mm)
