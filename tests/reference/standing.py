"""A blade as plain numbers, and how it sits on the ice; independently of bladelab.

Nothing here imports bladelab. x, y, z(x) and v(u) are those of contact.py, which solves the contact.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

import numpy as np
from scipy.integrate import cumulative_simpson
from scipy.interpolate import CubicHermiteSpline, PPoly
from scipy.optimize import brentq


@dataclass(frozen=True)
class Case:
    """Plain numbers: zones (radius, length) heel to toe; mm, N, MPa, degrees."""

    zones: tuple[tuple[float, float], ...]
    hollow_radius: float
    width: float
    load: float
    position: float = 0.0
    lean: float = 0.0
    hardness: float = 20.0
    gliding: bool = False
    blend: float = 0.0
    pivot: float = 0.0
    edge_radius: float = 0.0

    @property
    def length(self) -> float:
        return sum(length for _, length in self.zones)

    @cached_property
    def knots(self) -> np.ndarray:
        """Places where the curvature may jump or bend."""
        ends = np.cumsum([length for _, length in self.zones])[:-1] - self.length / 2
        inner = np.concatenate([ends - self.blend / 2, ends + self.blend / 2])
        return np.unique(np.concatenate([[-self.length / 2, self.length / 2], inner]))

    @cached_property
    def sine(self) -> PPoly:
        """Sine of the tilt: the integral of the curvature."""
        places = np.cumsum([length for _, length in self.zones])[:-1] - self.length / 2
        kappa = np.array([1 / radius for radius, _ in self.zones])

        def curvature(x: float) -> float:
            value = kappa[0]
            for place, step in zip(places, np.diff(kappa), strict=True):
                if self.blend:
                    value += step * min(max((x - place) / self.blend + 0.5, 0.0), 1.0)
                else:
                    value += step * (x > place)
            return value

        left, right = self.knots[:-1], self.knots[1:]
        # Linear in between: two inner points of each stretch give its line.
        low = np.array([curvature(a + 0.25 * (b - a)) for a, b in zip(left, right, strict=True)])
        high = np.array([curvature(a + 0.75 * (b - a)) for a, b in zip(left, right, strict=True)])
        slope = (high - low) / (0.5 * (right - left))
        whole = PPoly(np.array([slope, low - slope * 0.25 * (right - left)]), self.knots).antiderivative()
        whole.c[-1] -= whole(self.pivot)
        return whole

    @cached_property
    def height(self) -> CubicHermiteSpline:
        """Height of the edge: the integral of the tangent, on a dense grid."""
        pieces = [np.linspace(a, b, 401) for a, b in pairwise(self.knots)]
        total, xs, ys = 0.0, [], []
        for piece in pieces:
            sine = np.asarray(self.sine(piece))
            y = total + cumulative_simpson(sine / np.sqrt(1 - sine**2), x=piece, initial=0.0)
            total = y[-1]
            xs.append(piece[:-1])
            ys.append(y[:-1])
        x = np.append(np.concatenate(xs), self.length / 2)
        y = np.append(np.concatenate(ys), total)
        sine = np.asarray(self.sine(x))
        spline = CubicHermiteSpline(x, y, sine / np.sqrt(1 - sine**2))
        spline.c[-1] -= spline(self.pivot)
        return spline

    def groove(self, u: np.ndarray) -> np.ndarray:
        """Height of the steel above the level of sharp edges: arcs at the sides, the circular groove between
        them."""
        half, rho = self.width / 2, self.edge_radius
        off = np.minimum(np.abs(u - half), half)
        groove = np.sqrt(self.hollow_radius**2 - off**2) - np.sqrt(self.hollow_radius**2 - half**2)
        arc = self.arc_centre - np.sqrt(np.maximum(rho**2 - (off - (half - rho)) ** 2, 0.0))
        return np.where(off > half - self.arc_end, arc, groove)

    def slope(self, u: np.ndarray) -> np.ndarray:
        """Slope of the steel across the blade."""
        off = u - self.width / 2
        side = np.sign(off) * (np.abs(off) - (self.width / 2 - self.edge_radius))
        on_arc = np.abs(off) > self.width / 2 - self.arc_end
        arc = side / np.sqrt(np.where(on_arc, self.edge_radius**2 - side**2, 1.0))
        return np.where(on_arc, arc, -off / np.sqrt(self.hollow_radius**2 - off**2))

    @cached_property
    def arc_centre(self) -> float:
        """Height of the centre of an edge's arc, one edge radius from the side of the blade, above the level
        of sharp edges: so that it touches the groove's circle from outside."""
        half, rho, r = self.width / 2, self.edge_radius, self.hollow_radius
        return float(np.sqrt((r + rho) ** 2 - (half - rho) ** 2) - np.sqrt(r**2 - half**2))

    @cached_property
    def arc_end(self) -> float:
        """How far from the side of the blade the arc and the groove touch."""
        half, rho = self.width / 2, self.edge_radius
        return rho + rho * (half - rho) / (self.hollow_radius + rho)

    @cached_property
    def turns(self) -> np.ndarray:
        """Places across the leaned blade between which its steel only rises or only falls, or changes from
        arc to groove; 0 and the width are the first and the last."""
        lean, half, rho = np.radians(self.lean), self.width / 2, self.edge_radius
        top = half + self.hollow_radius * np.sin(lean)
        within = [top] if top < self.width - self.arc_end else []
        low = [rho * (1 - np.sin(lean)), self.width - rho * (1 + np.sin(lean))]
        within += low[: 1 + bool(within)]
        ends = [0.0, self.arc_end, self.width - self.arc_end, self.width]
        return np.unique(np.clip([*ends, *within], 0.0, self.width))

    def leaned(self, u: np.ndarray) -> np.ndarray:
        """Height of the steel above the lowest point of the leaned blade."""
        lean, rho = np.radians(self.lean), self.edge_radius
        lowest = rho * (np.sin(lean) - 1) + self.arc_centre * np.cos(lean)
        return u * np.sin(lean) + self.groove(u) * np.cos(lean) - lowest


@dataclass(frozen=True)
class Attitude:
    """The blade at one pitch: where it is deepest and how much higher every other place is."""

    case: Case
    pitch: float

    @cached_property
    def deepest(self) -> float:
        case, target, half = self.case, np.sin(self.pitch), self.case.length / 2
        if target <= case.sine(-half):
            return -half
        if target >= case.sine(half):
            return half
        return brentq(lambda x: case.sine(x) - target, -half, half, xtol=1e-13)

    @cached_property
    def _lowest(self) -> float:
        return float(self.case.height(self.deepest))

    def rise(self, x: np.ndarray) -> np.ndarray:
        """Vertical height of the tip at x above the deepest tip."""
        tilt = np.tan(self.pitch)
        lift = self.case.height(x) - self._lowest - (x - self.deepest) * tilt
        return lift * np.cos(self.pitch) * np.cos(np.radians(self.case.lean))

    @cached_property
    def _branches(self) -> tuple[np.ndarray, np.ndarray]:
        """Places from the deepest point to the heel, and to the toe, and the root of the rise there."""
        half = self.case.length / 2
        ends = np.array([[-half], [half]])
        x = self.deepest + (ends - self.deepest) * np.linspace(0, 1, 1501)
        return x, np.sqrt(np.maximum.accumulate(np.maximum(self.rise(x), 0.0), axis=1))

    def reach(self, rise: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Ends of the stretch less than `rise` above the deepest point: heel side, toe side."""
        scale = np.cos(self.pitch) * np.cos(np.radians(self.case.lean))
        root, xs = np.sqrt(rise), self._branches[0]
        x = np.stack([np.interp(root, *branch) for branch in zip(self._branches[1], xs, strict=True)])
        low, high = (np.reshape(end, (2,) + (1,) * root.ndim) for end in (xs.min(axis=1), xs.max(axis=1)))
        for _ in range(3):
            sine = self.case.sine(x)
            slope = (sine / np.sqrt(1 - sine**2) - np.tan(self.pitch)) * scale
            safe = np.where(np.abs(slope) > 1e-14, slope, np.inf)
            x = np.clip(x - (self.rise(x) - rise) / safe, low, high)
        return x[0], x[1]
