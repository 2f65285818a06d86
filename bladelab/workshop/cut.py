"""The cut: the steel that has to come off to get a target shape out of the present one."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from bladelab._checks import keep_number, number, numbers, takes
from bladelab._errors import InputError
from bladelab._types import Array, Numbers, OneOrMany
from bladelab._values import by_value
from bladelab.shape.rocker import Rocker
from bladelab.workshop.levelling import straight_line
from bladelab.workshop.trace import Trace, local_curve

_PLACES = 2001


@dataclass(frozen=True)
class WornRocker:
    """A rocker from whose ends sharpening has taken more than from its middle: its level is still known.

    Parameters
    ----------
    rocker : Rocker
    ends_worn_mm : float
        How much more steel has come off either end than mid-length, mm, 0 to 5.

    Notes
    -----
    The wear grows with the square of the distance from mid-length: our own shape, no source.

    Examples
    --------
    >>> from bladelab import Rocker, steel_to_remove
    >>> present = WornRocker(Rocker.single(3048.0, 280.0), ends_worn_mm=0.2)
    >>> round(steel_to_remove(present, Rocker.single(3048.0, 280.0)).offset_mm, 3)
    0.2
    """

    rocker: Rocker
    ends_worn_mm: float

    def __post_init__(self) -> None:
        keep_number(self, ends_worn_mm=("mm", 0.0, 5.0))

    def height_mm(self, x_mm: Numbers) -> OneOrMany:
        """Return the height of the worn edge at `x_mm`, in the frame of the rocker, mm."""
        return self.rocker.height_mm(x_mm) + self.ends_worn_mm * (2 * x_mm / self.rocker.length_mm) ** 2


@by_value
@dataclass(frozen=True, eq=False)
class Cut:
    """Steel to remove along the runner.

    Attributes
    ----------
    x_mm, present_mm, target_mm : array
        Places along the runner and the heights there of the present edge and of the target as placed in the
        steel, mm.
    offset_mm : float
        The target is raised by this much at mid-length against its own frame, mm.
    tilt_deg : float
        The target is turned by this much, degrees; positive when more comes off at the toe, so that the boot
        tips forward.

    Examples
    --------
    >>> from bladelab import Rocker, steel_to_remove
    >>> cut = steel_to_remove(Rocker.single(3048.0, 280.0), Rocker.single(2743.2, 280.0))
    >>> print(f"{float(cut.depth_mm(130.0)):.2f} mm at 130 mm, {cut.area_mm2:.0f} mm2 in all")
    0.31 mm at 130 mm, 33 mm2 in all
    """

    x_mm: Array
    present_mm: Array
    target_mm: Array
    offset_mm: float
    tilt_deg: float

    def depth_mm(self, x_mm: Numbers) -> OneOrMany:
        """Return the steel to remove at `x_mm`, mm, at least 0."""
        x = numbers("x_mm", x_mm, "mm", float(self.x_mm[0]) - 1e-9, float(self.x_mm[-1]) + 1e-9)
        depth = np.interp(x, self.x_mm, np.maximum(self.target_mm - self.present_mm, 0.0))
        return float(depth) if np.ndim(x) == 0 else depth

    @property
    def area_mm2(self) -> float:
        """Area of the steel to remove, seen from the side, mm2."""
        return float(np.trapezoid(self.target_mm - self.present_mm, self.x_mm))

    @property
    def largest_mm(self) -> float:
        """The deepest cut, mm."""
        return float(np.max(self.target_mm - self.present_mm))

    @property
    def largest_at_mm(self) -> float:
        """Where the cut is deepest, mm."""
        return float(self.x_mm[np.argmax(self.target_mm - self.present_mm)])

    @property
    def mean_mm(self) -> float:
        """Mean depth of the cut, mm."""
        return self.area_mm2 / float(self.x_mm[-1] - self.x_mm[0])

    def share_of_height(self, height_mm: float, least_height_mm: float) -> float:
        """Return the deepest cut as a share of the height left above the maker's minimum; above 1 it must not
        be ground.

        Parameters
        ----------
        height_mm : float
            Height of the steel now, where it is lowest, mm.
        least_height_mm : float
            The maker's minimum, mm, below the height now.

        Raises
        ------
        ValueError
            If the steel is at its minimum already.
        """
        least = number("least_height_mm", least_height_mm, "mm", 0.0)
        height = number("height_mm", height_mm, "mm", 0.0)
        if height <= least:
            raise InputError(
                f"height_mm is {height:g} mm; it must be above the maker's minimum, {least:g} mm: this "
                "runner is used up, do not grind it"
            )
        return self.largest_mm / (height - least)


@takes(present=(Rocker, WornRocker, Trace), target=Rocker)
def steel_to_remove(present: Rocker | WornRocker | Trace, target: Rocker, tilt_limit_deg: float = 0.0) -> Cut:
    """Place the target shape inside the present steel so that least comes off.

    Definition
    ----------
    Minimise the area between the edges over offset and tilt, subject to target + offset + tan(tilt) x >=
    present everywhere and |tilt| <= limit: a linear programme in two unknowns. Its optimum is the upper hull
    of (present - target), read at mid-length; if the hull's slope there passes the limit, the slope is the
    limit and the offset the least that clears.

    Parameters
    ----------
    present : Rocker, WornRocker or Trace
        The edge now, as level as it is. A trace is smoothed over 20 mm; its x must be 0 at mid-length. One
        whose level is not known (`Trace.level_error_deg`) is first laid along the target, as in `deviation`:
        then the cut holds only if the runner's level point is where the target has it.
    target : Rocker
        The shape wanted, at least as long as the present one. Level as given, unless tilted within the limit.
    tilt_limit_deg : float
        How far the target may be turned against its own level, degrees, 0 to 3. A turn moves the balance
        point.

    Raises
    ------
    ValueError
        If the target is shorter than the present edge, or the limit is out of range.

    Notes
    -----
    Evaluated at 2001 places and the junctions; between places the target may pass the present edge by less
    than 1e-5 mm. Checked against scipy's linprog and against the closed form for one radius inside another.

    Examples
    --------
    >>> ten_foot, nine_foot = Rocker.single(3048.0, 280.0), Rocker.single(2743.2, 280.0)
    >>> round(steel_to_remove(ten_foot, nine_foot).largest_mm, 4)
    0.3579
    """
    limit = np.tan(np.radians(number("tilt_limit_deg", tilt_limit_deg, "deg", 0.0, 3.0)))
    if isinstance(present, Trace):
        level = present.level()
        x = np.linspace(level.x_mm[0], level.x_mm[-1], _PLACES)
        window = min(max(20.0, 8 * level.spacing_mm), level.length_mm)
        now = local_curve(level, x, window).height_mm
    else:
        rocker = present.rocker if isinstance(present, WornRocker) else present
        half = rocker.length_mm / 2
        x = np.unique(np.concatenate([np.linspace(-half, half, _PLACES), rocker.junctions_mm]))
        x = x[np.append(True, np.diff(x) > 1e-9)]  # between a place and a junction on it there is no slope
        now = present.height_mm(x)
    reach = target.length_mm / 2
    if -x[0] > reach + 0.5 or x[-1] > reach + 0.5:
        raise InputError(
            f"the target runs from {-reach:g} to {reach:g} mm, the present edge from {x[0]:g} to {x[-1]:g} "
            "mm; the target must be at least as long"
        )
    wanted = target.height_mm(np.clip(x, -reach, reach))
    apart = now - wanted
    if isinstance(present, Trace) and present.level_error_deg is None:
        turn = straight_line(x, apart)[1] * x
        now, apart = now - turn, apart - turn
    middle = (x[0] + x[-1]) / 2
    slope = float(np.clip(_hull_slope(x, apart, middle), -limit, limit)) if limit else 0.0
    offset = float(np.max(apart - slope * x))
    return Cut(x, now, wanted + offset + slope * x, offset, float(np.degrees(np.arctan(slope))))


def _hull_slope(x: Array, y: Array, at: float) -> float:
    """Slope of the upper hull of the points over `at` (monotone chain)."""
    hull: list[int] = []
    for i in range(len(x)):
        while len(hull) > 1:
            a, b = hull[-2], hull[-1]
            if (y[b] - y[a]) * (x[i] - x[a]) > (y[i] - y[a]) * (x[b] - x[a]):
                break
            hull.pop()
        hull.append(i)
    # Where a corner of the hull lies over `at`, any slope between its neighbours' is best: take the least
    # turn.
    slopes = np.diff(y[hull]) / np.diff(x[hull])
    last = len(slopes) - 1
    left = slopes[min(max(int(np.searchsorted(x[hull], at - 1e-9)) - 1, 0), last)]
    right = slopes[min(max(int(np.searchsorted(x[hull], at + 1e-9)) - 1, 0), last)]
    return float(np.clip(0.0, right, left))
