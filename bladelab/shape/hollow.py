"""The hollow: the circular groove along the bottom of the blade, and how wide it meets the ice."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from bladelab._checks import as_rows, keep_numbers, numbers
from bladelab._errors import InputError
from bladelab._types import Numbers, OneOrMany
from bladelab._values import by_value
from bladelab.shape.dull import DullGroove, edge_angle, segment_area
from bladelab.units import inches

#: The hollows that grinders are usually set to, as fractions of an inch (common practice; no source).
USUAL_HOLLOWS_MM: tuple[float, ...] = tuple(
    inches(f"{sixteenths}/16") for sixteenths in (4, 5, 6, 7, 8, 9, 10, 11, 12, 14, 16, 18, 20, 24)
)


@by_value
@dataclass(frozen=True, eq=False)
class Hollow:
    """A circular groove of one radius across the width of the runner, between sharp or dull edges.

    Definition
    ----------
    u runs across the blade from the active edge, 0 to width w. With the radius of hollow r and k = sqrt(r^2 -
    w^2/4), the groove is c(u) = sqrt(r^2 - (u - w/2)^2) - k above sharp edges; its depth is r - k and the
    edge angle asin(w / 2r).

    A dull edge is an arc of radius rho that touches the side of the blade and, from outside, the circle of
    the groove, at u = rho + rho (w/2 - rho) / (r + rho). Heights and depth then count from the lowest point
    of the steel, at u = rho, and the edge angle is the slope where arc and groove meet: depth and angle are
    those of a sharp groove of radius r + rho and width w - 2 rho.

    Parameters
    ----------
    radius_mm : float or array
        Radius of hollow, mm, above half the width and at most 1e8 (flat). An array is a whole family.
    width_mm : float or array
        Width of the runner, mm, 0.01 to 1000.
    edge_radius_mm : float or array
        Radius of the edges, mm, from 0 (perfectly sharp) to below half the width. No published edge radius of
        a skate blade is known to us.

    Raises
    ------
    ValueError
        If a number is not finite or out of range, the radius is not above half the width, or the edge radius
        not below it.

    Examples
    --------
    >>> round(Hollow(12.7, 3.0).depth_mm, 7)
    0.0888938
    >>> round(Hollow(12.7, 3.0, edge_radius_mm=0.05).depth_mm, 7)
    0.0827193
    """

    radius_mm: OneOrMany
    width_mm: OneOrMany
    edge_radius_mm: OneOrMany = 0.0

    def __post_init__(self) -> None:
        keep_numbers(
            self,
            width_mm=("mm", 0.01, 1e3),
            radius_mm=("mm", 0.0, 1e8, True),
            edge_radius_mm=("mm", 0.0, 500.0),
        )
        _, (radii, widths, edges) = as_rows(vars(self))
        too_tight = radii <= widths / 2
        if too_tight.any():
            worst, least = float(radii[too_tight][0]), float(widths[too_tight][0]) / 2
            raise InputError(
                f"the hollow's radius_mm is {worst:g} mm; it must be above half the width, {least:g} mm"
            )
        too_dull = edges >= widths / 2
        if too_dull.any():
            worst, most = float(edges[too_dull][0]), float(widths[too_dull][0]) / 2
            raise InputError(f"edge_radius_mm is {worst:g} mm; it must be below half the width, {most:g} mm")

    @property
    def shape(self) -> tuple[int, ...]:
        """Shape to which the radii and widths broadcast; () for one hollow."""
        return np.broadcast_shapes(*map(np.shape, (self.radius_mm, self.width_mm, self.edge_radius_mm)))

    @property
    def centre_drop_mm(self) -> OneOrMany:
        """How far the circle's centre lies below the lowest point of the steel, mm; k for sharp edges."""
        r, half, rho = self.radius_mm, self.width_mm / 2, self.edge_radius_mm
        return np.sqrt((r - half + 2 * rho) * (r + half)) - rho

    @property
    def depth_mm(self) -> OneOrMany:
        """Depth of the groove, mm: r - k for sharp edges, written so that nothing cancels for a shallow
        groove."""
        rho = self.edge_radius_mm
        depth = (self.width_mm / 2 - rho) ** 2 / (self.radius_mm + rho + (self.centre_drop_mm + rho))
        return float(depth) if np.ndim(depth) == 0 else depth

    @property
    def edge_angle_deg(self) -> OneOrMany:
        """Slope of the groove at the edge, degrees: asin(w / 2r); where it meets a dull edge's arc,
        asin((w/2 - rho) / (r + rho))."""
        angle = np.degrees(edge_angle(self.radius_mm, self.width_mm, self.edge_radius_mm))
        return float(angle) if np.ndim(angle) == 0 else angle

    def height_mm(self, u_mm: Numbers) -> OneOrMany:
        """Return the height of the steel above its lowest point, mm, at `u_mm` across the blade, 0 to
        width."""
        u = numbers("u_mm", u_mm, "mm", 0.0, float(np.min(self.width_mm)))
        if np.any(self.edge_radius_mm):
            height = DullGroove(0.0, self.radius_mm, self.width_mm, self.edge_radius_mm).height(u)
            return float(height) if np.ndim(height) == 0 else height
        return groove_height(u, self.radius_mm, self.width_mm)

    def contact_width_mm(self, tip_depth_mm: Numbers, lean_deg: Numbers = 0.0) -> OneOrMany:
        """Return how much of the width lies below the ice line, mm.

        Parameters
        ----------
        tip_depth_mm : float or array
            Vertical depth of the lowest point of the active edge below the ice, mm; at or above the ice (0 or
            less) gives 0.
        lean_deg : float or array
            Lean of the blade, degrees, at least 0 and below 90 less the edge angle.

        Returns
        -------
        float or array
            Measure of the u for which u sin(lean) + c(u) cos(lean) is less than the tip depth above its least
            value; all of the width when the groove is flooded.

        Raises
        ------
        ValueError
            If the lean is so great that only the side wall would bear.
        """
        depth = numbers("tip_depth_mm", tip_depth_mm, "mm")
        steepest = 90.0 - float(np.max(self.edge_angle_deg))
        lean = np.radians(numbers("lean_deg", lean_deg, "deg", 0.0, steepest, high_open=True))
        if np.any(self.edge_radius_mm):
            width = DullGroove(lean, self.radius_mm, self.width_mm, self.edge_radius_mm).widths(depth)[0]
        else:
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


def pressed_section(tip_depth_mm: Numbers, lean: Numbers, radius_mm: Numbers, width_mm: Numbers) -> OneOrMany:
    """Cross-section of the groove pressed into the ice, mm2; lean in radians.

    The area between the ice line and the groove, along the blade's plane: integral over the wetted u of (z -
    u sin(lean) - c(u) cos(lean)) / cos(lean); its derivative with z is the contact width over cos(lean).
    """
    z = np.maximum(tip_depth_mm, 0.0)
    sin, cos = np.sin(lean), np.cos(lean)
    active, far = wetted(z, lean, radius_mm, width_mm)
    beyond = width_mm - far
    near_edge = active * (z - active / 2 * sin)
    far_edge = beyond * (z - (far + beyond / 2) * sin)
    return (
        (near_edge + far_edge) / cos
        - _under_groove(active, radius_mm, width_mm)
        - _under_groove(beyond, radius_mm, width_mm)
    )


def _under_groove(u: Numbers, radius: Numbers, width: Numbers) -> OneOrMany:
    """Area between the edges' line and the groove, from an edge to u: a triangle and a circle segment."""
    rise = groove_height(u, radius, width)
    return u * rise / 2 + segment_area(np.hypot(u, rise), radius)
