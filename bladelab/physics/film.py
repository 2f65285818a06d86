"""The melt film under a gliding blade, marched from the front of the contact to its back.

The equation V dh/ds = (eta V^2/h - q)/(rho L) - h^3 p_H/(eta b_e^2) is singular where the steel first
touches: h = 0. In H = h^2 it is regular there,

    dH/ds = heating - (cooling / sqrt(s) + steel) h - (squeeze / b_e^2) h^4,

and a width that grows like s makes H exactly linear in s. Squeezing out is fast against the march where the
edges are narrow, so each step is implicit: two stages of the L-stable, second-order diagonally implicit
method of Alexander (1977).
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from bladelab._types import Array

STAGE = 1 - np.sqrt(0.5)  # where the first stage of a step is, as a share of the step
_NEWTON = 4
# Where a contact is so shallow that rounding leaves no width at its ends, the film drains at once.
_NARROWEST_M = 1e-15


@dataclass(frozen=True)
class FilmStretch:
    """A stretch of the contact on which the same edges bear, from its front to its back.

    Attributes
    ----------
    distance_m : array (2 m + 1, n)
        Distance behind the front of the contact: the nodes, and between each pair the first stage.
    bearing_m : array (2 m + 1, n)
        Bearing width there.
    strips : int or array
        Into how many strips apart that width is cut, one number or (n,).
    """

    distance_m: Array
    bearing_m: Array
    strips: int | Array


@dataclass(frozen=True)
class Film:
    """Integrals over the film; arrays (n,)."""

    width_over_thickness_m: Array  # integral of b / h ds
    mean_thickness_m: Array  # weighted by the width


def packed(cells: int) -> Array:
    """Return places 0..1 for a `FilmStretch` of so many cells, packed toward both ends."""
    steps = np.linspace(0.0, 1.0, cells + 1)
    nodes = steps**2 * (3 - 2 * steps)
    stages = nodes[:-1] + STAGE * np.diff(nodes)
    return np.append(np.column_stack([nodes[:-1], stages]).ravel(), 1.0)


@np.errstate(divide="ignore", invalid="ignore")  # entered once: a step of no length divides by nothing
def march_film(
    stretches: list[FilmStretch], heating: Array, cooling: Array, squeeze: Array, steel: Array
) -> Film:
    """March the film through the stretches.

    Parameters
    ----------
    stretches : list of FilmStretch
        From the front of the contact to its back.
    heating : (n,) 2 eta V / (rho L), m.
    cooling : (n,) 2 q sqrt(s) / (rho L V), m^0.5, with the heat flow q into the ice.
    squeeze : (n,) 2 p_H / (eta V), 1/m.
    steel : (n,) 2 q / (rho L V), without a unit, with the heat flow q into the steel.
    """
    square = np.zeros_like(heating)
    h = square
    drag, volume, area = (np.zeros_like(heating) for _ in range(3))
    for stretch in stretches:
        s, width = stretch.distance_m, stretch.bearing_m
        drain = squeeze * (stretch.strips / np.maximum(width, _NARROWEST_M)) ** 2
        chill = cooling / np.sqrt(s) + steel
        for low, high in pairwise(range(0, len(s), 2)):
            step = s[high] - s[low]
            moves = step > 0
            part = STAGE * step
            _, growth = _implicit(square + part * heating, part, chill[low + 1], drain[low + 1], heating)
            begin = np.maximum(square + (1 - STAGE) * step * growth, 0.0)
            after, growth = _implicit(begin + part * heating, part, chill[high], drain[high], heating)
            after = np.where(moves, after, h)
            # Width and H taken as linear on the step: exact where the steel first touches.
            ends = np.where(moves & (h + after > 0), h + after, 1.0)
            shear = (width[low] * (h + 2 * after) + width[high] * (2 * h + after)) / (1.5 * ends**2)
            drag = drag + step * shear
            bearing = (width[low] + width[high]) / 2
            area = area + step * bearing
            volume = volume + step * bearing * (h * h + h * after + after * after) / (1.5 * ends)
            h, square = after, after * after
    return Film(drag, volume / area)


def _implicit(known: Array, part: Array, chill: Array, drain: Array, heating: Array) -> tuple[Array, Array]:
    """Solve h^2 + part (chill h + drain h^4) = known for h >= 0; return h and dH/ds there."""
    moves = part > 0
    p = np.where(moves, part * chill, 0.0)
    r = np.where(moves, part * drain, 0.0)
    # Convex and rising: Newton from above walks down without overshooting.
    h = np.minimum(np.sqrt(known), np.minimum((known / r) ** 0.25, known / p))
    h = np.where(np.isnan(h), 0.0, h)
    for _ in range(_NEWTON):
        cube = r * h * h * h
        slope = 2 * h + p + 4 * cube
        h = h - np.where(slope > 0, (h * (h + p + cube) - known) / slope, 0.0)
    growth = heating - np.where(moves, (p * h + r * h**4) / part, 0.0)
    return h, growth
