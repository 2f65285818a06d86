"""Single changes: everything that may be changed about a blade alone, a step each way."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from bladelab._checks import takes
from bladelab._errors import InputError
from bladelab.shape.blade import Blade
from bladelab.shape.hollow import USUAL_HOLLOWS_MM, Hollow
from bladelab.shape.rocker import Rocker, Zone
from bladelab.units import MM_PER_FOOT

# The size of one step of each kind: what a shop and a skater would call one change.
RADIUS_STEP_MM = MM_PER_FOOT
PIVOT_STEP_MM = 5.0
BLEND_STEP_MM = 20.0


@dataclass(frozen=True)
class Change:
    """One thing changed on a blade, in mm; the page finds the words for it, in the units chosen there.

    Attributes
    ----------
    part : str
        What changes: "whole shape" (every radius by the same amount), "radius" (of one zone), "blend", "level
        point" or "hollow".
    zone : str
        The zone whose radius it is, by `zone_names`; "" for the other parts.
    from_mm, to_mm : float
        Before and after it; for the whole shape the radius of the zone at the heel.
    blade : Blade
        The blade after it.
    """

    part: str
    zone: str
    from_mm: float
    to_mm: float
    blade: Blade

    @property
    def direction(self) -> int:
        """+1 for flatter, longer, toward the toe or shallower; -1 for the opposite."""
        return 1 if self.to_mm > self.from_mm else -1


def zone_names(rocker: Rocker) -> tuple[str, ...]:
    """Return the names of the zones, heel to toe: "heel", "middle", "toe", or numbers where there are
    more."""
    names: dict[int, tuple[str, ...]] = {1: ("",), 2: ("heel", "toe"), 3: ("heel", "middle", "toe")}
    count = len(rocker.zones)
    return names.get(count) or tuple(f"zone {i}" for i in range(1, count + 1))


def hollow_step(hollow: Hollow, direction: int) -> Hollow | None:
    """Return the next usual hollow, shallower (+1) or deeper (-1); None at the end of the usual ones."""
    usual = np.array(USUAL_HOLLOWS_MM)
    usual = usual[usual > hollow.width_mm / 2]
    ratio = usual / hollow.radius_mm
    # One that differs by less than 1 % is the same hollow written in another unit.
    beyond = usual[ratio > 1.01] if direction > 0 else usual[ratio < 0.99]
    if not len(beyond):
        return None
    return replace(hollow, radius_mm=float(beyond.min() if direction > 0 else beyond.max()))


@takes(blade=Blade)
def single_changes(blade: Blade) -> tuple[Change, ...]:
    """Return every single change of a blade that can be ground, one step either way.

    The whole shape a foot flatter or rounder, each zone's radius a foot, the blend 20 mm, the level point 5
    mm, and the hollow to the next usual fraction. Steps that the shape does not allow (a blend longer than a
    zone, a radius or a hollow below the least) are left out.

    Notes
    -----
    The steps are the same in whatever units the page is read: a log kept in feet and read in metres is about
    the same blades.

    Examples
    --------
    >>> from bladelab import Blade, Hollow, Rocker
    >>> blade = Blade(Rocker.single(3048.0, 280.0), Hollow(12.7, 3.0))
    >>> len(single_changes(blade)) > 4
    True
    """
    rocker, found = blade.rocker, []

    def add(part: str, zone: str, from_mm: float, to_mm: float, **parts: object) -> None:
        try:
            after = replace(blade, **parts)  # type: ignore[arg-type]
        except InputError:
            return  # cannot be made
        found.append(Change(part, zone, from_mm, to_mm, after))

    names = zone_names(rocker)
    radii = [zone.radius_mm for zone in rocker.zones]
    first = radii[0]
    for step in (RADIUS_STEP_MM, -RADIUS_STEP_MM):
        if shape := _with_radii(rocker, [radius + step for radius in radii]):
            add("whole shape", "", first, first + step, rocker=shape)
    for i, name in enumerate(names if len(names) > 1 else ()):
        for step in (RADIUS_STEP_MM, -RADIUS_STEP_MM):
            if shape := _with_radii(rocker, [radius + step * (k == i) for k, radius in enumerate(radii)]):
                add("radius", name, radii[i], radii[i] + step, rocker=shape)
    if len(names) > 1:
        for step in (BLEND_STEP_MM, -BLEND_STEP_MM):
            blend = max(rocker.blend_mm + step, 0.0)
            if blend != rocker.blend_mm and blend <= min(zone.length_mm for zone in rocker.zones):
                add("blend", "", rocker.blend_mm, blend, rocker=replace(rocker, blend_mm=blend))
    for step in (PIVOT_STEP_MM, -PIVOT_STEP_MM):
        pivot = rocker.pivot_mm + step
        if abs(pivot) <= rocker.length_mm / 2:
            add("level point", "", rocker.pivot_mm, pivot, rocker=replace(rocker, pivot_mm=pivot))
    for direction in (1, -1):
        if hollow := hollow_step(blade.hollow, direction):
            add("hollow", "", blade.hollow.radius_mm, hollow.radius_mm, hollow=hollow)
    return tuple(found)


def _with_radii(rocker: Rocker, radii: Sequence[float]) -> Rocker | None:
    """Return the rocker with other radii, or None if one would be shorter than a foot or the curve turn too
    far."""
    if min(radii) < RADIUS_STEP_MM:
        return None
    zones = tuple(Zone(radius, zone.length_mm) for radius, zone in zip(radii, rocker.zones, strict=True))
    try:
        return replace(rocker, zones=zones)
    except InputError:
        return None
