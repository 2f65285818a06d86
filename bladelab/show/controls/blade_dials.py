"""The positions of the dials that show a blade: the other way round of `blade_of` and `rocker_of`."""

from __future__ import annotations

from typing import Any

from bladelab._errors import InputError
from bladelab.shape.blade import Blade
from bladelab.shape.rocker import Rocker
from bladelab.show.controls.blade import MOST_ZONES


def rocker_dials(rocker: Rocker) -> dict[str, object]:
    """The values of the dials, by key, that describe a rocker: the other way round of `rocker_of`.

    Raises
    ------
    ValueError
        If the rocker has more zones than there are dials for.
    """
    values: dict[str, object] = {"length_mm": rocker.length_mm, "pivot_mm": rocker.pivot_mm}
    if len(rocker.zones) == 1:
        return {**values, "shape": "single", "radius_mm": rocker.zones[0].radius_mm}
    if len(rocker.zones) > MOST_ZONES:
        raise InputError(f"the blade has {len(rocker.zones)} zones; the sliders show at most {MOST_ZONES}")
    values |= {"shape": "blended" if rocker.blend_mm else "stepped", "zones": len(rocker.zones)}
    if rocker.blend_mm:
        values["blend_mm"] = rocker.blend_mm
    for i, zone in enumerate(rocker.zones, 1):
        values[f"zone_radius_{i}_mm"] = zone.radius_mm
        if i < len(rocker.zones):
            values[f"zone_length_{i}_mm"] = zone.length_mm
    return values


def dials_of(blade: Blade) -> dict[str, Any]:
    """The values of the dials, by key, that describe a blade; a ValueError if it has too many zones."""
    hollow = blade.hollow
    groove = {"hollow_mm": hollow.radius_mm, "width_mm": hollow.width_mm}
    return {**rocker_dials(blade.rocker), **groove, "edge_radius_mm": hollow.edge_radius_mm}
