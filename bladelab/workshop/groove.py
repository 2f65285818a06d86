"""The hollow as ground: the real radius of the groove from what a gauge reads across it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from bladelab._checks import number, takes
from bladelab._errors import InputError
from bladelab._types import OneOrMany
from bladelab._values import by_value
from bladelab.physics.contact import all_solved, solve_contacts
from bladelab.physics.ice import Ice
from bladelab.physics.stance import Stance
from bladelab.shape.blade import Blade
from bladelab.shape.hollow import Hollow
from bladelab.shape.rocker import Rocker


@by_value
@dataclass(frozen=True, eq=False)
class HollowReading:
    """A measured hollow.

    Attributes
    ----------
    radius_mm, standard_error_mm : float
        The radius of hollow and its standard error, mm.
    low_mm, high_mm : float
        The radii that agree with the reading, mm (95 %; for an arc gauge, the limits of what fits). The
        higher is infinite where a flat bottom would agree too.
    width_mm : float
        Width between the edges, mm.
    edge_angles_deg : (float, float)
        Slope of the groove at edge A and at edge B, degrees.
    proud_mm : float
        How much longer edge A is than edge B, mm.
    """

    radius_mm: float
    standard_error_mm: float
    low_mm: float
    high_mm: float
    width_mm: float
    edge_angles_deg: tuple[float, float]
    proud_mm: float = 0.0

    @property
    def hollow(self) -> Hollow:
        """The hollow of that radius, edges even."""
        return Hollow(self.radius_mm, self.width_mm)

    def agrees_with(self, radius_mm: float) -> bool:
        """Whether the reading can be of a groove of this radius."""
        return self.low_mm <= number("radius_mm", radius_mm, "mm", 0.0, low_open=True) <= self.high_mm


def _depth(name: str, value: float, width: float) -> float:
    value = number(name, value, "mm")
    if value == 0:
        raise InputError(
            f"{name} is 0 mm; it must be above 0 mm: a groove without depth is a flat bottom, or the gauge "
            "did not reach in"
        )
    depth = number(name, value, "mm", 0.0, width / 2, low_open=True)
    # Less is no reading, and its square no number.
    return number(name, depth, "mm", 1e-6)


def _delta(function: Callable[..., float], values: tuple[float, ...], errors: tuple[float, ...]) -> float:
    """Standard error of a function of independent readings, by central differences."""
    total = 0.0
    for i, (value, error) in enumerate(zip(values, errors, strict=True)):
        if error:
            h = 1e-4 * value
            up, down = ([v + s * h if j == i else v for j, v in enumerate(values)] for s in (1, -1))
            total += ((function(*up) - function(*down)) / (2 * h) * error) ** 2
    return float(np.sqrt(total))


def _interval(radius: float, error: float) -> tuple[float, float]:
    """The radii that agree with a reading (95 %), taken in 1/r, where the error of a shallow groove is
    symmetric.
    """
    bend, spread = 1 / radius, 1.96 * error / radius**2
    return 1 / (bend + spread), 1 / (bend - spread) if bend > spread else float("inf")


def _radius(depth: float, width: float) -> float:
    return width**2 / (8 * depth) + depth / 2


def groove_from_depth(
    depth_mm: float, width_mm: float, depth_error_mm: float = 0.005, width_error_mm: float = 0.02
) -> HollowReading:
    """Find the radius of hollow from the depth of the groove and the width between the edges.

    Definition
    ----------
    r = w^2 / (8 h) + h / 2; error by the slopes of r in h and w.

    Parameters
    ----------
    depth_mm, width_mm : float
        mm; the depth above 0 and at most half the width.
    depth_error_mm, width_error_mm : float
        Standard errors of the two readings, mm, 0 to 10.

    Raises
    ------
    ValueError
        For a depth of 0, or a number out of range.

    Examples
    --------
    >>> round(groove_from_depth(0.0888938, 3.0).radius_mm, 3)
    12.7
    """
    width = number("width_mm", width_mm, "mm", 1e-3, 50.0)
    depth = _depth("depth_mm", depth_mm, width)
    errors = (
        number("depth_error_mm", depth_error_mm, "mm", 0.0, 10.0),
        number("width_error_mm", width_error_mm, "mm", 0.0, 10.0),
    )
    radius, error = _radius(depth, width), _delta(_radius, (depth, width), errors)
    angle = float(np.degrees(np.arcsin(width / 2 / radius)))
    return HollowReading(radius, error, *_interval(radius, error), width, (angle, angle))


def _three_points(depth_a: float, depth_b: float, width: float) -> tuple[float, float]:
    """Radius of the circle, and where along the width from edge A its deepest point lies."""
    share = depth_b / depth_a
    rest = width**2 - depth_b * depth_a + depth_b**2
    place = rest / (width + np.sqrt(width**2 - (1 - share) * rest))
    return float((place**2 + depth_a**2) / (2 * depth_a)), float(place)


def groove_from_edges(
    depth_a_mm: float,
    depth_b_mm: float,
    width_mm: float,
    depth_error_mm: float = 0.005,
    width_error_mm: float = 0.02,
) -> HollowReading:
    """Find the groove edge by edge, from how far each edge is beyond its deepest point.

    Definition
    ----------
    The circle through both edges whose top, square to the blade's plane, lies depth_a beyond edge A's level
    and depth_b beyond edge B's. The edge that is further beyond is proud: longer and steeper.

    Parameters and errors as in `groove_from_depth`; edge A is the one the first depth belongs to.

    Examples
    --------
    >>> print(f"{groove_from_edges(0.100, 0.080, 3.0).radius_mm:.2f} mm")
    12.58 mm
    """
    width = number("width_mm", width_mm, "mm", 1e-3, 50.0)
    a, b = _depth("depth_a_mm", depth_a_mm, width), _depth("depth_b_mm", depth_b_mm, width)
    depth_error = number("depth_error_mm", depth_error_mm, "mm", 0.0, 10.0)
    width_error = number("width_error_mm", width_error_mm, "mm", 0.0, 10.0)
    radius, place = _three_points(a, b, width)
    if not 0 < place < width or radius <= max(a, b):
        raise InputError(
            f"depths {a:g} and {b:g} mm over a width of {width:g} mm don't make a groove with its deepest "
            "point between the edges; measure both again"
        )
    error = _delta(lambda *v: _three_points(*v)[0], (a, b, width), (depth_error, depth_error, width_error))
    angles = tuple(float(np.degrees(np.arcsin(u / radius))) for u in (place, width - place))
    return HollowReading(radius, error, *_interval(radius, error), width, (angles[0], angles[1]), a - b)


def groove_from_arc(
    fits_mm: float, next_smaller_mm: float, next_larger_mm: float, width_mm: float
) -> HollowReading:
    """Find the radius of hollow from a set of arcs: which one fits, and its neighbours in the set.

    Definition
    ----------
    An arc is called fitting when it fits better than its neighbours, so 1/r lies between the midpoints toward
    them, anywhere with equal chance: standard error = (upper - lower) / sqrt(12), in 1/r.

    Raises
    ------
    ValueError
        If the three do not rise.

    Examples
    --------
    >>> print(f"{groove_from_arc(12.7, 11.11, 14.29, 3.0).radius_mm:.2f} mm")
    12.60 mm
    """
    small, fits, large = (
        number(n, v, "mm", 0.0, low_open=True)
        for n, v in (
            ("next_smaller_mm", next_smaller_mm),
            ("fits_mm", fits_mm),
            ("next_larger_mm", next_larger_mm),
        )
    )
    if not small < fits < large:
        raise InputError(
            f"the arcs are {small:g}, {fits:g} and {large:g} mm; next smaller, fitting and next larger must "
            "rise"
        )
    width = number("width_mm", width_mm, "mm", 0.0, 2 * fits, low_open=True, high_open=True)
    upper, lower = (1 / small + 1 / fits) / 2, (1 / fits + 1 / large) / 2
    radius = 2 / (upper + lower)
    angle = float(np.degrees(np.arcsin(min(1.0, width / 2 / radius))))
    return HollowReading(
        radius, float(radius**2 * (upper - lower) / np.sqrt(12)), 1 / upper, 1 / lower, width, (angle, angle)
    )


@takes(reading=HollowReading, rocker=Rocker, stance=Stance, ice=Ice, gliding=bool)
def hollow_difference(
    reading: HollowReading, asked_mm: float, rocker: Rocker, stance: Stance, ice: Ice, gliding: bool = True
) -> dict[str, dict[str, OneOrMany]]:
    """Say what the difference between the hollow as ground and as ordered does on the ice.

    Returns
    -------
    dict
        For ``"asked"``, ``"ground"``, ``"lowest"`` and ``"highest"`` (the ends of what the reading allows;
        ``"highest"`` is left out where a flat bottom would agree): ``radius_mm``, ``groove_depth_mm``,
        ``bite_mm`` (the greatest depth of the edge in the ice) and ``hold_deg``.

    Raises
    ------
    ValueError
        If a stance cannot be solved; the message says why.

    Examples
    --------
    >>> from bladelab import Ice, Rocker, Stance, groove_from_depth
    >>> reading = groove_from_depth(0.080, 3.0)
    >>> said = hollow_difference(reading, 12.7, Rocker.single(3048.0, 280.0), Stance(736.0), Ice())
    >>> sorted(said)
    ['asked', 'ground', 'highest', 'lowest']
    """
    radii = {
        "asked": number("asked_mm", asked_mm, "mm", 0.0, low_open=True),
        "ground": reading.radius_mm,
        "lowest": reading.low_mm,
        "highest": reading.high_mm,
    }
    radii = {name: float(radius) for name, radius in radii.items() if np.isfinite(radius)}
    width = reading.width_mm
    hollows = [Hollow(max(radius, width / 2 * 1.001), width) for radius in radii.values()]
    contacts = all_solved(
        solve_contacts([(Blade(rocker, hollow), stance, ice, gliding) for hollow in hollows])
    )
    return {
        name: {
            "radius_mm": radius,
            "groove_depth_mm": hollow.depth_mm,
            "bite_mm": contact.depth_mm,
            "hold_deg": contact.hold_deg,
        }
        for (name, radius), hollow, contact in zip(radii.items(), hollows, contacts, strict=True)
    }
