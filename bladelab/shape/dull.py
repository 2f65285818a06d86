"""A groove with dull edges, leaned: where the ice line cuts it, and what lies below; all in closed form."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from bladelab._types import Array, Numbers, OneOrMany, Places


class Footprint(NamedTuple):
    """Where the ice line cuts the steel, mm across the blade: the active edge bears from `near_outer` to
    `near_inner`, the far edge from `far_inner` to `far_outer`. Flooded, the inner two are one place."""

    near_outer: OneOrMany
    near_inner: OneOrMany
    far_inner: OneOrMany
    far_outer: OneOrMany


def edge_angle(radius: Numbers, width: Numbers, edge: Numbers) -> OneOrMany:
    """Slope of the groove where it meets the arc of the edge (sharp: at the edge), radians."""
    return np.arcsin((width / 2 - edge) / (radius + edge))


_LEAST_MM = 1e-15  # less than any rounding: keeps divisions by nothing apart


class DullGroove:
    """The groove and its edges as the leaned blade presents them to the ice.

    Definition
    ----------
    With lean phi, radius of hollow r, width w and edge radius rho, the slope where an arc meets the groove is
    beta = asin((w/2 - rho) / (r + rho)). Heights z are vertical, above the lowest point of the leaned steel.
    The ice line at z cuts the arc of the active edge at u = rho + (z - rho) sin(phi) -+ sqrt(z (2 rho - z))
    cos(phi): on the outside until it reaches the side of the blade at z = rho (1 - sin(phi)), on the inside
    until the groove begins at z = rho (1 - cos(beta + phi)). From there the cut runs along the circle of
    the groove. The far edge is the same, (w - 2 rho) sin(phi) higher and mirrored; leaned by beta or more it
    has no low point of its own, and the cut runs up to it from the groove.

    Parameters
    ----------
    lean : float or array
        Radians.
    radius, width, edge : float or array
        mm. They broadcast with each other and with every z.
    """

    def __init__(self, lean: Numbers, radius: Numbers, width: Numbers, edge: Numbers) -> None:
        beta = edge_angle(radius, width, edge)
        self.radius, self.width, self.edge = radius, width, edge
        self.sin, self.cos = np.sin(lean), np.cos(lean)
        self.both = lean < beta
        self.touch = edge * (1 + np.sin(beta))  # where arc and groove meet, from the side of the blade
        near, far = beta + lean, np.abs(beta - lean)
        # Of the circle of the groove, seen from its centre: the ends of its arc, up and to the side.
        self.near_up, self.near_aside = radius * np.cos(near), radius * np.sin(near)
        self.far_up, self.far_aside = radius * np.cos(far), radius * np.sin(far)
        self.slope = radius * np.cos(beta)
        # The heights at which something begins; differences of cosines written so that nothing cancels.
        self.far = (width - 2 * edge) * self.sin
        self.near_touch = 2 * edge * np.sin(near / 2) ** 2
        self.far_touch = self.far + 2 * edge * np.sin(far / 2) ** 2
        self.near_wall = edge * (1 - self.sin)
        self.far_wall = self.far + edge * (1 + self.sin)
        self.roof = 2 * (radius + edge) * np.sin(near / 2) ** 2
        self.joins = np.where(self.both, self.roof, self.far_touch)  # from here on one stretch bears

    def take(self, chosen: Places) -> DullGroove:
        """Return the grooves `chosen` of an array of them, as a column."""
        taken = object.__new__(DullGroove)
        taken.__dict__ = {name: value[chosen][:, None] for name, value in self.__dict__.items()}
        return taken

    def height(self, u: Numbers) -> OneOrMany:
        """Height of the upright steel above its lowest point, mm, at u across the blade."""
        v = np.minimum(u, self.width - u)
        arc = self.edge - np.sqrt(np.maximum(v * (2 * self.edge - v), 0.0))
        up = np.sqrt(np.maximum(self.radius**2 - (self.width / 2 - v) ** 2, 0.0))
        begin = self.edge * (1 - self.slope / self.radius)
        groove = begin + (v - self.touch) * (self.width - self.touch - v) / (up + self.slope)
        return np.where(v < self.touch, arc, groove)

    def footprint(self, z: Numbers) -> Footprint:
        """Return where the ice line at z cuts the steel."""
        return self._cuts(z)[0]

    def widths(self, z: Numbers) -> tuple[Array, Array]:
        """Return the bearing width and how it grows with z."""
        at, grows = self._cuts(z)
        return (
            (at.near_inner - at.near_outer) + (at.far_outer - at.far_inner),
            (grows.near_inner - grows.near_outer) + (grows.far_outer - grows.far_inner),
        )

    def sideways(self, z: Numbers, bearing: Numbers) -> Array:
        """Return the rise of the steel across the bearing width, mm: the integral of dc.

        Where the ice line cuts the steel, z = u sin(lean) + c cos(lean) up to a constant; only where the side
        of the blade is reached does the steel end below it.
        """
        deep = np.maximum(z - self.near_wall, 0.0) - np.maximum(z - self.far_wall, 0.0)
        return (deep - bearing * self.sin) / self.cos

    def section(self, z: Numbers) -> OneOrMany:
        """Return the cross-section of the steel below the ice line, mm2: its derivative with z is the bearing
        width over cos(lean).

        Each side is a polygon from the side of the blade to where arc and groove meet and on to the inner
        cut, plus the segment of the arc, less that of the groove.
        """
        z = np.maximum(z, 0.0)
        cuts = self.footprint(z)
        inside = np.where(z >= self.joins, np.maximum(z - self.far_touch, 0.0), 0.0)
        near = cuts.near_outer, cuts.near_inner, self.near_wall, self.near_touch, self.sin
        far = (
            self.width - cuts.far_outer,
            self.width - cuts.far_inner,
            self.far_wall,
            self.far_touch,
            -self.sin,
        )
        area: OneOrMany = 0.0
        for outer, inner, wall, touch, sin in (near, far):
            corner = np.minimum(inner, self.touch)
            depths = np.maximum(z - wall, 0.0), np.maximum(z - touch, 0.0), inside
            for a, b, deep, next_deep, radius in (
                (outer, corner, depths[0], depths[1], self.edge),
                (corner, inner, depths[1], depths[2], -self.radius),
            ):
                rise = (deep - next_deep - (b - a) * sin) / self.cos
                segment = segment_area(np.hypot(b - a, rise), np.abs(radius))
                area = area + (b - a) * (deep + next_deep) / (2 * self.cos) + np.sign(radius) * segment
        return area

    def _cuts(self, z: Numbers) -> tuple[Footprint, Footprint]:
        """Return where the ice line cuts the steel, and how each place moves with z."""
        z = np.maximum(z, 0.0)
        rho, sin = self.edge, self.sin
        nothing = np.zeros(np.broadcast_shapes(np.shape(z), np.shape(self.width)))
        middle, half, widens = self._chord(z)
        wall = z >= self.near_wall
        outer = np.where(wall, 0.0, middle - half), np.where(wall, 0.0, sin - widens)
        aside, grows = self._along(z - self.near_touch, self.near_up, self.near_aside)
        on_arc = z < self.near_touch
        inner = (
            np.where(on_arc, middle + half, self.touch + aside),
            np.where(on_arc, sin + widens, grows),
        )
        joined = z >= self.joins
        whole = nothing + self.width
        far_inner, far_outer = (whole, nothing), (whole, nothing)
        begun = np.where(self.both, z > self.far, joined)
        if begun.any():
            middle, half, widens = self._chord(z - self.far)
            middle = middle + (self.width - 2 * rho)
            reached = begun & (z < self.far_wall)
            far_outer = np.where(reached, middle + half, whole), np.where(reached, sin + widens, 0.0)
            aside, grows = self._along(z - self.far_touch, self.far_up, self.far_aside)
            aside = (z - self.far_touch) * (2 * sin) - aside
            on_arc = z < self.far_touch
            place = np.where(on_arc, middle - half, whole - self.touch + aside)
            moves = np.where(on_arc, sin - widens, 2 * sin - grows)
            far_inner = np.where(begun, place, whole), np.where(begun, moves, 0.0)
        near_end, far_end = (np.where(joined, whole - self.touch, one[0]) for one in (inner, far_inner))
        near_moves, far_moves = (np.where(joined, 0.0, one[1]) for one in (inner, far_inner))
        return (
            Footprint(outer[0], near_end, np.maximum(near_end, far_end), far_outer[0]),
            Footprint(outer[1], near_moves, far_moves, far_outer[1]),
        )

    def _chord(self, z: Numbers) -> tuple[Array, Array, Array]:
        """Return the middle of the chord that the ice line cuts from the arc of the active edge, half of it
        across the blade, and how that half grows with z."""
        half = np.sqrt(np.maximum(z * (2 * self.edge - z), 0.0))
        widens = np.where(half > 0, (self.edge - z) / np.maximum(half, _LEAST_MM), 0.0)
        return self.edge + (z - self.edge) * self.sin, half * self.cos, widens * self.cos

    def _along(self, z: Numbers, up: OneOrMany, aside: OneOrMany) -> tuple[Array, Array]:
        """Return how far across the blade the ice line cuts the circle of the groove, and how that grows, at
        z above a point of it that lies `up` and `aside` from its centre."""
        chord = z * (2 * up + z)
        q = np.sqrt(np.maximum(aside**2 - chord, 1e-300))
        return z * self.sin + chord / (aside + q) * self.cos, self.sin + (up + z) / q * self.cos


def segment_area(chord: Numbers, radius: Numbers) -> OneOrMany:
    """Area between a chord and its arc, at most a half circle; 0 for a radius of 0."""
    angle = 2 * np.arcsin(np.minimum(chord / np.maximum(2 * radius, _LEAST_MM), 1.0))
    # angle - sin(angle), by its series where the difference would cancel.
    square = angle * angle
    series = angle * square / 6 * (1 - square / 20 * (1 - square / 42 * (1 - square / 72)))
    return radius**2 / 2 * np.where(angle < 0.2, series, angle - np.sin(angle))
