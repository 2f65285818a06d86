"""The contact of a blade with plastic ice, solved by brute force and independently of bladelab.

Written from the definition of the model alone: nothing here or in standing.py imports bladelab. Slow and
plain on purpose.

The model. The blade has its rocker y(x) pitched and leaned; z(x) is the vertical depth of the tip below the
ice line and v(u) the height of the groove above the tip. Steel presses wherever v(u) < z(x), at rest over the
whole stretch in the ice, gliding only in front of the deepest point. Pressure is the hardness; area times
hardness is load / cos(lean), and the centroid of the pressed area lies under the load.

Two ways to add up the pressed area, one solver (secants for the depth within brentq for the pitch):

* `Lengths` slices it lengthwise: at each u across the blade, how long a strip lies below the ice. It
  needs no formula for the width of the contact, so it checks the one in bladelab. Good to about 1e-8.
* `Sections` slices it crosswise: at each x, shapely cuts the drawn groove with the ice line. This is
  what an engineer would write first; good to about 2e-4. It is the baseline of the benchmark.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

import numpy as np
import shapely
from scipy.optimize import brentq

from tests.reference.standing import Attitude, Case


def _graded_unit() -> tuple[np.ndarray, np.ndarray]:
    """Gauss nodes and weights on [0, 1], packed toward both ends, where the integrand may have a root or be
    one over it."""
    nodes, weights = np.polynomial.legendre.leggauss(8)
    steps = 0.5 ** np.arange(1, 16)
    edges = np.concatenate([[0.0], steps[::-1], 1 - steps[1:], [1.0]])
    left, width = edges[:-1, None], np.diff(edges)[:, None]
    t, weight = (left + width * (nodes + 1) / 2).ravel(), (width * weights / 2).ravel()
    return t * t * (3 - 2 * t), 6 * t * (1 - t) * weight


_PLACES, _WEIGHTS = _graded_unit()


def _graded(a: float, b: float) -> tuple[np.ndarray, np.ndarray]:
    """The same on [a, b]."""
    return a + (b - a) * _PLACES, (b - a) * _WEIGHTS


@dataclass(frozen=True)
class Lengths:
    """Add up the pressed area from lengthwise strips; every integral is over u."""

    attitude: Attitude
    depth: float

    @cached_property
    def strips(self) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
        """u, weight, heel end and toe end of the strips that press."""
        case = self.attitude.case
        # Besides the ice line, the strips have a kink wherever they pass a knot of the rocker.
        levels = [self.depth, *(self.depth - self.attitude.rise(case.knots))]
        us, ws = [], []
        for a, b in pairwise(case.turns):
            if b - a < 1e-12:
                continue
            cuts = [a, b]
            for level in levels:
                ends = case.leaned(a) - level, case.leaned(b) - level
                if ends[0] * ends[1] < 0:
                    cuts.append(brentq(lambda u, level=level: case.leaned(u) - level, a, b, xtol=1e-15))
            cuts.sort()
            for low, high in pairwise(cuts):
                if high > low and case.leaned((low + high) / 2) < self.depth:
                    u, w = _graded(low, high)
                    us.append(u)
                    ws.append(w)
        if not us:
            empty = np.zeros(0)
            return empty, empty, empty, empty
        u = np.concatenate(us)
        heel, toe = self.attitude.reach(np.maximum(self.depth - case.leaned(u), 0.0))
        if case.gliding:
            heel = np.full_like(toe, self.attitude.deepest)
        return u, np.concatenate(ws), heel, toe

    @property
    def area(self) -> float:
        _, weight, heel, toe = self.strips
        return float(weight @ (toe - heel))

    @property
    def moment(self) -> float:
        """First moment of the pressed area about the load."""
        _, weight, heel, toe = self.strips
        return float(weight @ ((toe - heel) * ((toe + heel) / 2 - self.attitude.case.position)))

    @property
    def hold_deg(self) -> float:
        """Mean slope of the pressed steel across the blade, as an angle."""
        u, weight, heel, toe = self.strips
        slope = self.attitude.case.slope(u)
        return float(np.degrees(np.arctan(weight @ (slope * (toe - heel)) / self.area)))

    @property
    def mean_curvature(self) -> float:
        _, weight, heel, toe = self.strips
        return float(weight @ (self.attitude.case.sine(toe) - self.attitude.case.sine(heel))) / self.area


@dataclass(frozen=True)
class Sections:
    """Add up the pressed area from cross-sections that shapely cuts; every integral is over x."""

    attitude: Attitude
    depth: float
    sections: int = 100
    facets: int = 64

    @cached_property
    def cuts(self) -> tuple[np.ndarray, np.ndarray]:
        case = self.attitude.case
        heel, toe = (float(end) for end in self.attitude.reach(np.array(self.depth)))
        if case.gliding:
            heel = self.attitude.deepest
        x = np.linspace(heel, toe, self.sections)
        widths = shapely_widths(case, self.depth - self.attitude.rise(x), self.facets)
        return x, widths

    @property
    def area(self) -> float:
        return float(np.trapezoid(self.cuts[1], self.cuts[0]))

    @property
    def moment(self) -> float:
        x, width = self.cuts
        return float(np.trapezoid(width * (x - self.attitude.case.position), x))


def shapely_widths(case: Case, depth: np.ndarray, facets: int = 64) -> np.ndarray:
    """Width of the groove below an ice line `depth` above the leaned tip."""
    u = np.linspace(0.0, case.width, facets + 1)
    if case.edge_radius:  # places crowd where the edges are round
        u = case.width * np.sin(u / case.width * np.pi / 2) ** 2
    groove = shapely.LineString(np.column_stack([u, case.leaned(u)]))
    below = shapely.box(-1.0, -100.0, case.width + 1.0, np.asarray(depth))
    parts, owner = shapely.get_parts(shapely.intersection(groove, below), return_index=True)
    bounds = shapely.bounds(parts)
    spans = np.where(np.isnan(bounds[:, 0]), 0.0, bounds[:, 2] - bounds[:, 0])
    return np.bincount(owner, spans, minlength=len(depth))


@dataclass(frozen=True)
class Solution:
    """What the reference found; named as in bladelab, so that tests can compare by name."""

    depth_mm: float
    pitch_deg: float
    heel_end_mm: float
    toe_end_mm: float
    length_mm: float
    area_mm2: float
    hold_deg: float
    yaw_hold_Nm: float
    carve_radius_m: float
    balanced_speed_m_s: float


Way = Callable[[Attitude, float], Lengths | Sections]


def balance(case: Case, way: Way = Lengths) -> Lengths | Sections:
    """Find depth and pitch: the load fixes the depth at each pitch, the moment fixes the pitch."""
    need = case.load / np.cos(np.radians(case.lean)) / case.hardness
    last: list[Lengths | Sections] = []

    def moment(pitch: float) -> float:
        """Moment about the load of the contact that carries it at this pitch."""
        attitude = Attitude(case, pitch)
        # The area is nearly a power of the depth: secants of their logarithms, from the depth found before,
        # or halves of the range left where a secant leads out of it.
        at, power, low, high = np.log(last[0].depth if last else 0.1), 1.5, np.log(1e-9), np.log(1000.0)
        before: tuple[float, float] | None = None
        while high - low > 1e-13:
            last[:] = [way(attitude, float(np.exp(at)))]
            off = float(np.log(last[0].area / need))
            if abs(off) < 1e-11:
                return last[0].moment
            if before is not None and abs(at - before[0]) > 1e-9:
                power = (off - before[1]) / (at - before[0])
            before = at, off
            low, high = (at, high) if off < 0 else (low, at)
            at = at - off / max(power, 1e-9)
            if not low < at < high:
                at = (low + high) / 2
        raise ValueError("no depth carries the load at this pitch")

    half = case.length / 2
    span = max(abs(float(case.sine(half))), abs(float(case.sine(-half)))) + 0.1
    middle = float(np.arcsin(case.sine(np.clip(case.position, -half, half))))
    reach = 0.002
    while True:
        low, high = middle - reach, middle + reach
        if case.gliding:
            # Pitched further forward, even the whole width up to the toe would not carry the load.
            last_start = max(half - need / case.width * (1 + 1e-6), -half)
            high = min(high, float(np.arcsin(case.sine(last_start))))
            low = min(middle, high) - reach
        if moment(low) < 0 < moment(high):
            break
        reach *= 2
        if reach > 8 * span:
            raise ValueError("no pitch brings the ice's push under the load")
    pitch = brentq(moment, low, high, xtol=1e-13, rtol=1e-12)
    moment(pitch)
    return last[0]


def solve(case: Case) -> Solution:
    """Solve one stance to about 1e-8."""
    found = balance(case)
    assert isinstance(found, Lengths)
    attitude, depth = found.attitude, found.depth
    heel, toe = (float(end) for end in attitude.reach(np.array(depth)))
    if case.gliding:
        heel = attitude.deepest
    cuts = np.unique(np.clip([heel, attitude.deepest, case.position, toe, *case.knots], heel, toe))
    yaw = 0.0
    for a, b in pairwise(cuts):
        x, weight = _graded(a, b)
        yaw += float(weight @ ((depth - attitude.rise(x)) * np.abs(x - case.position)))
    lean = np.radians(case.lean)
    turning = found.mean_curvature * np.sin(lean)
    radius = 1e-3 / turning if turning > 0 else np.inf
    # g r tan(lean) with r = 1 / (curvature sin(lean)): the lean's sine drops out, so upright has its limit.
    speed = np.sqrt(9.81e-3 / found.mean_curvature / np.cos(lean))
    return Solution(
        depth_mm=depth,
        pitch_deg=float(np.degrees(attitude.pitch)),
        heel_end_mm=heel,
        toe_end_mm=toe,
        length_mm=toe - heel,
        area_mm2=found.area,
        hold_deg=found.hold_deg,
        yaw_hold_Nm=case.hardness * yaw / 1000,
        carve_radius_m=float(radius),
        balanced_speed_m_s=float(speed),
    )
