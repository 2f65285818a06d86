"""The hollow: the circular groove along the bottom of the blade, and how wide it meets the ice."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from bladelab._checks import as_rows, numbers
from bladelab._errors import InputError
from bladelab._types import Numbers, OneOrMany
from bladelab._values import by_value
from bladelab.units import inches

#: The hollows that grinders are usually set to, as fractions of an inch (common practice; no source).
USUAL_HOLLOWS_MM: tuple[float, ...] = tuple(
    inches(f"{sixteenths}/16") for sixteenths in (4, 5, 6, 7, 8, 9, 10, 11, 12, 14, 16, 18, 20, 24)
)


@by_value
@dataclass(frozen=True, eq=False)
class Hollow:
    """A circular groove of one radius across the width of the runner.

    Definition
    ----------
    u runs across the blade from the active edge, 0 to width w. With the radius of hollow r and k = sqrt(r^2 -
    w^2/4), the groove is c(u) = sqrt(r^2 - (u - w/2)^2) - k above the edges; its depth is r - k and the
    edge angle asin(w / 2r).

    Parameters
    ----------
    radius_mm : float or array
        Radius of hollow, mm, above half the width and at most 1e8 (flat). An array is a whole family.
    width_mm : float or array
        Width of the runner, mm, 0.01 to 1000.

    Raises
    ------
    ValueError
        If a number is not finite, not above 0, or the radius is not above half the width.

    Examples
    --------
    >>> round(Hollow(12.7, 3.0).depth_mm, 7)
    0.0888938
    """

    radius_mm: OneOrMany
    width_mm: OneOrMany

    def __post_init__(self) -> None:
        width = numbers("width_mm", self.width_mm, "mm", 0.01, 1e3)
        radius = numbers("radius_mm", self.radius_mm, "mm", 0.0, 1e8, low_open=True)
        object.__setattr__(self, "width_mm", width)
        object.__setattr__(self, "radius_mm", radius)
        _, (radii, widths) = as_rows({"radius_mm": radius, "width_mm": width})
        too_tight = radii <= widths / 2
        if too_tight.any():
            worst, least = float(radii[too_tight][0]), float(widths[too_tight][0]) / 2
            raise InputError(
                f"the hollow's radius_mm is {worst:g} mm; it must be above half the width, {least:g} mm"
            )

    @property
    def centre_drop_mm(self) -> OneOrMany:
        """How far the circle's centre lies below the edges: k = sqrt(r^2 - w^2/4), mm."""
        return np.sqrt((self.radius_mm - self.width_mm / 2) * (self.radius_mm + self.width_mm / 2))

    @property
    def depth_mm(self) -> OneOrMany:
        """Depth of the groove, mm: r - k, written so that nothing cancels for a shallow groove."""
        depth = self.width_mm**2 / 4 / (self.radius_mm + self.centre_drop_mm)
        return float(depth) if np.ndim(depth) == 0 else depth

    @property
    def edge_angle_deg(self) -> OneOrMany:
        """Slope of the groove at the edge, degrees: asin(w / 2r)."""
        angle = np.degrees(np.arcsin(self.width_mm / (2 * self.radius_mm)))
        return float(angle) if np.ndim(angle) == 0 else angle

    def height_mm(self, u_mm: Numbers) -> OneOrMany:
        """Return the height of the groove above the edges, mm, at `u_mm` across the blade, 0 to width."""
        u = numbers("u_mm", u_mm, "mm", 0.0, float(np.min(self.width_mm)))
        return groove_height(u, self.radius_mm, self.width_mm)

    def contact_width_mm(self, tip_depth_mm: Numbers, lean_deg: Numbers = 0.0) -> OneOrMany:
        """Return how much of the width lies below the ice line, mm.

        Parameters
        ----------
        tip_depth_mm : float or array
            Vertical depth of the active edge below the ice, mm; at or above the ice (0 or less) gives 0.
        lean_deg : float or array
            Lean of the blade, degrees, at least 0 and below 90 less the edge angle.

        Returns
        -------
        float or array
            Measure of the u for which u sin(lean) + c(u) cos(lean) < tip depth; all of the width when the
            groove is flooded.

        Raises
        ------
        ValueError
            If the lean is so great that only the side wall would bear.
        """
        depth = numbers("tip_depth_mm", tip_depth_mm, "mm")
        steepest = 90.0 - float(np.max(self.edge_angle_deg))
        lean = np.radians(numbers("lean_deg", lean_deg, "deg", 0.0, steepest, high_open=True))
        active, far = wetted(depth, lean, self.radius_mm, self.width_mm)
        width = active + (self.width_mm - far)
        return float(width) if np.ndim(width) == 0 else width


def groove_height(u: Numbers, radius: Numbers, width: Numbers) -> OneOrMany:
    """Height of the groove above the edges at u, mm; arrays broadcast. Written so that nothing cancels."""
    root = np.sqrt(np.maximum(radius**2 - (u - width / 2) ** 2, 0.0))
    return u * (width - u) / (root + np.sqrt((radius - width / 2) * (radius + width / 2)))


def wetted(z: Numbers, lean: Numbers, radius: Numbers, width: Numbers) -> tuple[OneOrMany, OneOrMany]:
    """Return u1, u2: the groove is below the ice line from 0 to u1 and from u2 to the width; lean in radians.

    The ice line at height z above the leaned tip cuts the groove's circle at u = w/2 + p sin(lean) -+ q
    cos(lean), with p = z + k cos(lean) - (w/2) sin(lean) and q = sqrt(r^2 - p^2). Flooded: u1 = u2, so that
    the widths add up to w.
    """
    sin, cos = np.sin(lean), np.cos(lean)
    drop = np.sqrt((radius - width / 2) * (radius + width / 2))
    p0 = drop * cos - width / 2 * sin
    q0 = width / 2 * cos + drop * sin
    z = np.maximum(z, 0.0)
    q = np.sqrt(np.maximum(q0**2 - z * (2 * p0 + z), 0.0))
    flooded = z + p0 >= radius
    active = z * sin + z * (2 * p0 + z) / (q0 + q) * cos
    far = width / 2 + (z + p0) * sin + q * cos
    active = np.where(flooded, width, np.clip(active, 0.0, width))
    # At z = 0 upright the far edge only touches; rounding must not leave a sliver.
    far = np.where(flooded, width, np.clip(far, 0.0, width))
    far = np.where(z > width * sin, far, width)
    return np.minimum(active, width), np.maximum(far, np.minimum(active, width))
