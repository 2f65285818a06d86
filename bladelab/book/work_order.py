"""A work order: what is to be ground on a set of steel, from what is known on the skater's card."""

from __future__ import annotations

import datetime
from dataclasses import dataclass

import numpy as np

from bladelab._types import Array
from bladelab._values import by_value
from bladelab.book.shape_now import ShapeNow
from bladelab.shape.blade import Blade
from bladelab.workshop.cut import Cut
from bladelab.workshop.gauge import GaugeReadings

#: An order says the cut, and what the gauge must read, every so many mm from mid-length.
STEP_MM = 20.0
#: Between the feet of the gauge, mm, unless the shop says otherwise.
USUAL_CHORD_MM = 60.0


@by_value
@dataclass(frozen=True, eq=False)
class EdgeWork:
    """What is to be done to one edge.

    Attributes
    ----------
    side : str
        ``"left"`` or ``"right"``.
    now : ShapeNow or None
        Its shape before; None if nobody knows it.
    hollow_now_mm : float or None
    target : Blade
    ordered_on : date or None
        When the target was ordered; None if it is the card's trial.
    tolerance_mm : float
    cut : Cut or None
        None if the shape before is not known.
    expected : GaugeReadings or None
        What the gauge must read afterwards; None if its feet don't fit on the runner.
    """

    side: str
    now: ShapeNow | None
    hollow_now_mm: float | None
    target: Blade
    ordered_on: datetime.date | None
    tolerance_mm: float
    cut: Cut | None
    expected: GaugeReadings | None

    @property
    def not_measured_mm(self) -> float:
        """How much of the runner a measured edge does not show, mm; 0 where nothing was measured."""
        if self.cut is None or self.now is None or self.now.how != "measured":
            return 0.0
        return max(self.now.rocker.length_mm - float(self.cut.x_mm[-1] - self.cut.x_mm[0]), 0.0)

    def cut_mm(self, x_mm: Array) -> Array:
        """Return the steel to remove at places along the runner, mm; NaN where it is not known."""
        if self.cut is None:
            return np.full(len(x_mm), np.nan)
        known = (x_mm >= self.cut.x_mm[0] - 1e-9) & (x_mm <= self.cut.x_mm[-1] + 1e-9)
        inside = np.clip(x_mm, self.cut.x_mm[0], self.cut.x_mm[-1])
        return np.where(known, self.cut.depth_mm(inside), np.nan)

    def expected_mm(self, x_mm: Array) -> Array:
        """Return what the gauge must read at places along the runner, mm; NaN where it has no place."""
        if self.expected is None:
            return np.full(len(x_mm), np.nan)
        pairs = zip(self.expected.position_mm, self.expected.versine_mm, strict=True)
        reads = {round(place, 6): reading for place, reading in pairs}
        return np.array([reads.get(round(x, 6), np.nan) for x in x_mm])


@by_value
@dataclass(frozen=True, eq=False)
class WorkOrder:
    """What is to be ground on one set of steel.

    Attributes
    ----------
    skater, team : str
    steel : str
        The code of the set.
    on : date
    edges : tuple of EdgeWork
        Left first.
    height_mm, least_mm : float or None
        Height of the steel when it was last measured and the maker's minimum, mm; None if nobody said.
    height_on : date or None
    taken_mm : float
        Known to have come off since then, mm.
    unknown_cuts : int
        How often steel came off since then and nobody measured how much.
    chord_mm : float
        Between the feet of the gauge, mm.
    why : str
    """

    skater: str
    team: str
    steel: str
    on: datetime.date
    edges: tuple[EdgeWork, ...]
    height_mm: float | None
    least_mm: float | None
    height_on: datetime.date | None
    taken_mm: float
    unknown_cuts: int
    chord_mm: float
    why: str = ""

    @property
    def height_now_mm(self) -> float | None:
        """Height of the steel before the grinding, mm; None if it is not known."""
        if self.height_mm is None or self.unknown_cuts:
            return None
        return self.height_mm - self.taken_mm

    @property
    def measure_first(self) -> tuple[str, ...]:
        """What has to be measured or looked up before grinding: "height", "minimum", "left shape" ..."""
        missing = ["height"] if self.height_now_mm is None else []
        missing += ["minimum"] if self.least_mm is None else []
        return (*missing, *(f"{edge.side} shape" for edge in self.edges if edge.now is None))

    def left_mm(self, edge: EdgeWork) -> float | None:
        """Height that remains where most comes off, mm; None if it is not known."""
        if self.height_now_mm is None or edge.cut is None:
            return None
        return self.height_now_mm - edge.cut.largest_mm

    @property
    def places_mm(self) -> Array:
        """The places along the runner for which the order says what comes off, mm, heel to toe."""
        half = max(edge.target.rocker.length_mm for edge in self.edges) / 2
        reach = STEP_MM * np.floor(half / STEP_MM + 1e-9)
        return np.arange(-reach, reach + 1, STEP_MM)
