"""Stances to solve in one call, as arrays."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, fields, replace

import numpy as np
from numpy.typing import NDArray

from bladelab._types import Array, Places, Truths
from bladelab.shape.curve import Curve


@dataclass(frozen=True)
class Problem:
    """Stances to solve in one call, on one rocker or several, at rest and gliding.

    Attributes
    ----------
    curve : Curve
        The rockers.
    runner : array of int (n,)
        Which of them.
    gliding : array of bool (n,)
    radius, width : array (n,)
        Of the groove, mm.
    area : array (n,)
        The area that carries the load, mm2. Where the softening is not 0 the ice is softer under a longer
        contact: then it is that of a contact 1 mm long.
    place : array (n,)
        Of the load, mm.
    lean : array (n,)
        Radians.
    softening : array (n,)
        Exponent.
    edge : array (n,)
        Radius of the edges, mm: all of them 0, or none.
    """

    curve: Curve
    runner: NDArray[np.intp]
    gliding: NDArray[np.bool_]
    radius: Array
    width: Array
    area: Array
    place: Array
    lean: Array
    softening: Array
    edge: Array

    def needed(self, length: Array) -> Array:
        """Return the area that carries the load, mm2, of contacts of this length in mm."""
        if not self.softening.any():
            return self.area
        return self.area * np.maximum(length, 1e-9) ** self.softening

    @property
    def least_length(self) -> Array:
        """Length of the contact if all the width bears, mm: none is shorter."""
        return (self.area / self.width) ** (1 / (1 - self.softening))

    def take(self, chosen: Truths | Places) -> Problem:
        """Return the problem for some of the stances."""
        return replace(self, **{f.name: getattr(self, f.name)[chosen] for f in fields(self)[1:]})


def in_kinds(edge: Array, chosen: Places, most: int) -> Iterator[Places]:
    """Yield at most so many of the `chosen` at a time, the sharp ones and the dull ones apart."""
    for kind in (chosen[edge[chosen] == 0], chosen[edge[chosen] > 0]):
        for start in range(0, len(kind), most):
            yield kind[start : start + most]
