"""A blade: its rocker and its hollow together."""

from __future__ import annotations

from dataclasses import dataclass

from bladelab._errors import InputError
from bladelab.shape.hollow import Hollow
from bladelab.shape.rocker import Rocker, Zone


@dataclass(frozen=True)
class Blade:
    """The shape of one blade.

    Parameters
    ----------
    rocker : Rocker
        The lengthwise curve.
    hollow : Hollow
        The groove along the bottom.

    Examples
    --------
    >>> from bladelab import Hollow, Rocker
    >>> blade = Blade(Rocker.single(3048.0, 280.0), Hollow(12.7, 3.0))
    >>> blade.rocker.length_mm
    280.0
    """

    rocker: Rocker
    hollow: Hollow

    def __post_init__(self) -> None:
        if not isinstance(self.rocker, Rocker):
            raise InputError(f"rocker is {self.rocker!r}; it must be a Rocker")
        if not isinstance(self.hollow, Hollow):
            raise InputError(f"hollow is {self.hollow!r}; it must be a Hollow")


def what_differs(one: Blade, other: Blade) -> tuple[str, ...]:
    """Name the things in which two blades differ; each is one that a person would change on its own.

    Lengths within 0.001 mm and radii within 0.001 % are the same. Every radius longer (or shorter) by the
    same amount is one thing, the size of the whole shape.

    Returns
    -------
    tuple of str
        Empty if the blades are the same.

    Examples
    --------
    >>> one = Blade(Rocker.single(3048.0, 280.0), Hollow(12.7, 2.9))
    >>> other = Blade(Rocker.single(3352.8, 280.0), Hollow(15.875, 2.9))
    >>> what_differs(one, other)
    ('radius of the rocker', 'hollow')
    """
    a, b = one.rocker, other.rocker

    def differ(x: float, y: float, tolerance: float = 1e-3) -> bool:
        return abs(x - y) > tolerance

    def radii_differ(x: float, y: float) -> bool:
        return differ(x / y, 1.0, 1e-5)

    found = []
    if differ(a.length_mm, b.length_mm):
        found.append("blade length")
    if len(a.zones) != len(b.zones):
        found.append("number of zones")
    else:
        pairs = list(zip(a.zones, b.zones, strict=True))
        names = (
            ["radius of the rocker"]
            if len(pairs) == 1
            else [f"radius of zone {i + 1}" for i in range(len(pairs))]
        )
        steps = [q.radius_mm - p.radius_mm for p, q in pairs]
        if len(pairs) > 1 and radii_differ(*_radii(pairs[0])) and not differ(min(steps), max(steps)):
            found.append("size of the whole shape")
        else:
            found += [name for name, pair in zip(names, pairs, strict=True) if radii_differ(*_radii(pair))]
        # The zone at the toe takes what the others leave of the blade's length: it is no choice of its own.
        if any(differ(p.length_mm, q.length_mm) for p, q in pairs[:-1]):
            found.append("zone lengths")
    if differ(a.blend_mm, b.blend_mm):
        found.append("blend")
    if differ(a.pivot_mm, b.pivot_mm):
        found.append("level point")
    if radii_differ(one.hollow.radius_mm, other.hollow.radius_mm):
        found.append("hollow")
    if differ(one.hollow.width_mm, other.hollow.width_mm):
        found.append("runner width")
    if differ(one.hollow.edge_radius_mm, other.hollow.edge_radius_mm, 1e-5):
        found.append("edges")
    return tuple(found)


def _radii(pair: tuple[Zone, Zone]) -> tuple[float, float]:
    return pair[0].radius_mm, pair[1].radius_mm
