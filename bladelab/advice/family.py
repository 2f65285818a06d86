"""The family of blades around the present one, and its scores in every moment: the search behind a starting
blade."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import product

import numpy as np
from numpy.typing import NDArray

from bladelab._checks import keep, kind, number
from bladelab._errors import InputError
from bladelab._values import by_value
from bladelab.advice.single_change import BLEND_STEP_MM, PIVOT_STEP_MM, RADIUS_STEP_MM
from bladelab.shape.blade import Blade
from bladelab.shape.hollow import USUAL_HOLLOWS_MM
from bladelab.shape.rocker import Rocker, Zone

# A single radius is seen as three zones of the same radius: the middle a little longer, since a glide is
# there.
_THIRDS = (0.3, 0.4, 0.3)


@dataclass(frozen=True)
class Shape:
    """A rocker of the family at the present pivot: steps of a foot for each group of zones, and the blend."""

    feet: tuple[int, ...]
    blend_mm: float
    rocker: Rocker


@by_value
@dataclass(frozen=True, eq=False)
class Family:
    """Every blade within some steps of the present one.

    Parameters
    ----------
    present : Blade
    feet : int
        How many feet each group of zones (heel, middle, toe) may be longer or shorter, 0 to 4.
    pivots : int
        How many steps of 5 mm the pivot may move each way, 0 to 6.
    hollows : int
        How many usual hollows deeper and shallower, 0 to 12.

    Examples
    --------
    >>> from bladelab import Blade, Hollow, Rocker
    >>> blade = Blade(Rocker.single(3048.0, 280.0), Hollow(12.7, 3.0))
    >>> Family(blade, feet=1, pivots=1, hollows=1).dimensions
    (75, 3, 3)
    """

    present: Blade
    feet: int = 2
    pivots: int = 2
    hollows: int = 5

    def __post_init__(self) -> None:
        for name, most in (("feet", 4), ("pivots", 6), ("hollows", 12)):
            keep(self, **{name: int(number(name, getattr(self, name), "steps", 0, most))})
        kind("present", self.present, Blade)
        if self.present.hollow.shape:
            raise InputError("the present hollow holds an array; a family is built around one blade")

    @cached_property
    def base(self) -> Rocker:
        """The present rocker, a single radius cut into three zones of that radius."""
        rocker = self.present.rocker
        if len(rocker.zones) > 1:
            return rocker
        zone = rocker.zones[0]
        return replace(rocker, zones=tuple(Zone(zone.radius_mm, zone.length_mm * part) for part in _THIRDS))

    @cached_property
    def groups(self) -> tuple[int, ...]:
        """The group each zone belongs to: the first zone, those between, the last."""
        count = len(self.base.zones)
        return (0, *(1 for _ in range(count - 2)), min(count - 1, 2))

    @cached_property
    def shapes(self) -> tuple[Shape, ...]:
        """The rockers, the present one among them; those that can't be made are left out."""
        steps = range(-self.feet, self.feet + 1)
        found = []
        for feet in product(steps, repeat=max(self.groups) + 1):
            radii = [
                z.radius_mm + RADIUS_STEP_MM * feet[g]
                for z, g in zip(self.base.zones, self.groups, strict=True)
            ]
            if min(radii) < RADIUS_STEP_MM:
                continue
            zones = tuple(Zone(r, z.length_mm) for r, z in zip(radii, self.base.zones, strict=True))
            # On one radius a blend means nothing.
            blends = self.blends_mm if max(radii) - min(radii) > 1e-6 else (self.base.blend_mm,)
            for blend in blends:
                try:
                    found.append(Shape(feet, blend, replace(self.base, zones=zones, blend_mm=blend)))
                except InputError:
                    continue
        return tuple(found)

    @cached_property
    def blends_mm(self) -> tuple[float, ...]:
        """The blends tried: the present one and up to two steps of 20 mm from it."""
        now, most = self.base.blend_mm, min(zone.length_mm for zone in self.base.zones)
        steps = (0, 1, 2) if now < BLEND_STEP_MM else (-1, 0, 1)
        return tuple(now + s * BLEND_STEP_MM for s in steps if 0 <= now + s * BLEND_STEP_MM <= most)

    @cached_property
    def pivots_mm(self) -> tuple[float, ...]:
        """The pivots tried."""
        now, half = self.present.rocker.pivot_mm, self.present.rocker.length_mm / 2
        tried = (now + PIVOT_STEP_MM * s for s in range(-self.pivots, self.pivots + 1))
        return tuple(p for p in tried if abs(p) <= half)

    @cached_property
    def hollows_mm(self) -> tuple[float, ...]:
        """The hollows tried: the present one and the usual ones next to it, deep to shallow."""
        now, width = self.present.hollow.radius_mm, self.present.hollow.width_mm
        usual = [h for h in USUAL_HOLLOWS_MM if h > width / 2]
        deeper = [h for h in usual if h < now * 0.99][-self.hollows :] if self.hollows else []
        return (*deeper, now, *[h for h in usual if h > now * 1.01][: self.hollows])

    def __len__(self) -> int:
        return len(self.shapes) * len(self.pivots_mm) * len(self.hollows_mm)

    @property
    def dimensions(self) -> tuple[int, int, int]:
        """Number of shapes, pivots and hollows; a blade's number counts through them in this order."""
        return len(self.shapes), len(self.pivots_mm), len(self.hollows_mm)

    def blade(self, i: int) -> Blade:
        """Return the blade of number `i`; one whose zones all have one radius comes back as a single
        radius."""
        s, p, h = np.unravel_index(i, self.dimensions)
        rocker = replace(self.shapes[s].rocker, pivot_mm=self.pivots_mm[p])
        if len(self.present.rocker.zones) == 1 and len(set(self.shapes[s].feet)) == 1:
            rocker = Rocker.single(rocker.zones[0].radius_mm, rocker.length_mm, rocker.pivot_mm)
        return Blade(rocker, replace(self.present.hollow, radius_mm=self.hollows_mm[h]))

    @cached_property
    def steps_away(self) -> NDArray[np.int_]:
        """How many single changes lead from the present blade to each blade of the family; (len,).

        A foot on one group of zones, a foot on the whole shape, 20 mm of blend, 5 mm of pivot and a usual
        hollow are a step each.
        """
        shape = np.array([_radius_steps(s.feet) + _blend_steps(s, self.base.blend_mm) for s in self.shapes])
        pivot = np.rint(
            np.abs(np.array(self.pivots_mm) - self.present.rocker.pivot_mm) / PIVOT_STEP_MM
        ).astype(int)
        hollow = np.abs(
            np.arange(len(self.hollows_mm)) - self.hollows_mm.index(self.present.hollow.radius_mm)
        )
        steps: NDArray[np.int_] = (shape[:, None, None] + pivot[:, None] + hollow).ravel()
        return steps


def _radius_steps(feet: Sequence[int]) -> int:
    """Fewest changes: so many of the whole shape, and for each group what is left."""
    return min(abs(w) + sum(abs(f - w) for f in feet) for w in range(min(0, *feet), max(0, *feet) + 1))


def _blend_steps(shape: Shape, present_mm: float) -> int:
    return math.ceil(abs(shape.blend_mm - present_mm) / BLEND_STEP_MM - 1e-9)
