"""A card: what holds for one skater now. A pure fold over the entries; nothing in it is made up."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from types import MappingProxyType

from bladelab._errors import InputError
from bladelab._values import by_value
from bladelab.book.entry import Entry
from bladelab.book.happenings import Complained
from bladelab.book.plan_happenings import SeasonPlanned
from bladelab.book.steel_happenings import LEFT_AND_RIGHT, Ordered
from bladelab.shape.blade import Blade
from bladelab.shape.rocker import Rocker
from bladelab.workshop.gauge import GaugeReadings
from bladelab.workshop.trace import Trace

#: A set of steel keeps so many days on which it was sharpened.
DAYS_KEPT = 7


@dataclass(frozen=True)
class Edge:
    """What is known of one side of a set of steel; None or empty for what nobody said.

    Attributes
    ----------
    rocker : Rocker or None
        As stated or ground, whichever came last.
    rocker_on : date or None
    ground : bool
        Whether it was ground to that rocker, not just stated.
    hollow_mm : float or None
        Radius of the hollow, mm.
    edge_radius_mm : float or None
        Radius of the edges as stated, mm; sharpened since, 0.
    measured : Trace, GaugeReadings or None
        The last measurement of the edge as it is now.
    measured_on : date or None
    before : Trace, GaugeReadings or None
        The last measurement before the last grinding.
    sharpened_on, ground_on : date or None
    order : Ordered or None
        The last order for this side.
    ordered_on : date or None
    order_done : bool
        Whether it was ground after that order.
    """

    rocker: Rocker | None = None
    rocker_on: datetime.date | None = None
    ground: bool = False
    hollow_mm: float | None = None
    edge_radius_mm: float | None = None
    measured: Trace | GaugeReadings | None = None
    measured_on: datetime.date | None = None
    before: Trace | GaugeReadings | None = None
    sharpened_on: datetime.date | None = None
    ground_on: datetime.date | None = None
    order: Ordered | None = None
    ordered_on: datetime.date | None = None
    order_done: bool = False

    @property
    def order_waits(self) -> bool:
        """Whether something was ordered for this side that is not done yet."""
        return self.order is not None and not self.order_done


@dataclass(frozen=True)
class SteelSet:
    """A left and a right runner under one code.

    Attributes
    ----------
    code : str
    left, right : Edge
    height_mm, least_mm, width_mm, length_mm : float or None
        When last measured: height of the steel, the maker's minimum, width and length of the runner, mm.
    height_on : date or None
        When the height was measured.
    taken_mm : float
        Steel known to have come off since then, mm.
    unknown_cuts : int
        How often steel came off since then and nobody measured how much.
    sharpenings : int
    sharpened_days : tuple of date
        The last days on which it was sharpened, at most `DAYS_KEPT`.
    fitted_on : date or None
        When it was first fitted.
    retired_on : date or None
    """

    code: str
    left: Edge = Edge()
    right: Edge = Edge()
    height_mm: float | None = None
    height_on: datetime.date | None = None
    least_mm: float | None = None
    width_mm: float | None = None
    length_mm: float | None = None
    taken_mm: float = 0.0
    unknown_cuts: int = 0
    sharpenings: int = 0
    sharpened_days: tuple[datetime.date, ...] = ()
    fitted_on: datetime.date | None = None
    retired_on: datetime.date | None = None

    def side(self, side: str) -> Edge:
        """Return the edge of one side."""
        return self.left if side == "left" else self.right

    @property
    def left_above_least_mm(self) -> float | None:
        """Steel left above the maker's minimum, mm, as far as is known; None if it is not."""
        if self.height_mm is None or self.least_mm is None:
            return None
        return self.height_mm - self.taken_mm - self.least_mm


@by_value
@dataclass(frozen=True, eq=False)
class Card:
    """What holds for one skater now.

    Attributes
    ----------
    skater : str
        The code.
    team : str
    joined_on : date or None
    units : str or None
        ``"feet and inches"`` or ``"metric"``.
    mass_kg, temperature_C, speed_m_s, hours_per_week : float or None
        Skater with equipment, ice, usual glide, time on the ice.
    hardness : str or None
        Which ice is reckoned with: ``"drop test"`` or ``"pressed"``.
    steel : mapping of str to SteelSet
        All sets by code, retired ones too.
    fitted : mapping of str to str
        The set that is on each side: ``{"left": "S1", "right": "S1"}``.
    trial : Blade or None
        What is to be tried next.
    trial_why : str
    trial_on : date or None
    trials : tuple of Entry
        Whose `what` is a `Tried`, by date.
    complaint : Complained or None
        The last one.
    complaint_on : date or None
    season : SeasonPlanned or None
        The last plan of a season's upkeep.
    next_on : date or None
        When the skater is to come back; None once something was done on that day or later.
    ice : Entry or None
        Whose `what` is the last `IceTested`.
    glides, timed, preferred : tuple of Entry
        Whose `what` is a `GlideMeasured`, a `Timed` or a `Preferred`, by date.
    worked_on : bool
        Whether steel that is on was fitted, ground or sharpened since the last complaint.
    last : int
        Number of the last entry that it knows.
    """

    skater: str
    team: str = ""
    joined_on: datetime.date | None = None
    units: str | None = None
    mass_kg: float | None = None
    temperature_C: float | None = None
    speed_m_s: float | None = None
    hours_per_week: float | None = None
    hardness: str | None = None
    steel: Mapping[str, SteelSet] = field(default_factory=lambda: MappingProxyType({}))
    fitted: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))
    trial: Blade | None = None
    trial_why: str = ""
    trial_on: datetime.date | None = None
    trials: tuple[Entry, ...] = ()
    complaint: Complained | None = None
    complaint_on: datetime.date | None = None
    season: SeasonPlanned | None = None
    next_on: datetime.date | None = None
    ice: Entry | None = None
    glides: tuple[Entry, ...] = ()
    timed: tuple[Entry, ...] = ()
    preferred: tuple[Entry, ...] = ()
    worked_on: bool = False
    last: int = 0

    def steel_called(self, code: str) -> SteelSet:
        """Return the set with a code; an InputError that names those on the card if there is none."""
        if code not in self.steel:
            known = ", ".join(self.steel) or "none"
            raise InputError(f"the set is {code!r:.60}; the card of {self.skater} has {known}")
        return self.steel[code]

    def on(self, side: str) -> SteelSet | None:
        """Return the set that is fitted on a side; None where nobody said."""
        return self.steel.get(self.fitted.get(side, ""))

    def edge(self, side: str) -> Edge | None:
        """Return what is known of the edge that is fitted on a side."""
        steel = self.on(side)
        return None if steel is None else steel.side(side)

    @cached_property
    def edges_on(self) -> tuple[Edge, ...]:
        """The edges that are on the skates, left first."""
        return tuple(edge for side in LEFT_AND_RIGHT if (edge := self.edge(side)) is not None)

    @cached_property
    def sets_on(self) -> tuple[SteelSet, ...]:
        """The sets that are on the skates, each once."""
        on = (self.on(side) for side in LEFT_AND_RIGHT)
        return tuple({steel.code: steel for steel in on if steel is not None}.values())

    def sides_of(self, code: str) -> tuple[str, ...]:
        """Return the sides on which a set is fitted; none where it is not on."""
        return tuple(side for side in LEFT_AND_RIGHT if self.fitted.get(side) == code)

    @cached_property
    def known_sides(self) -> tuple[str, ...]:
        """The sides on which something is known of the edge."""
        return tuple(side for side in LEFT_AND_RIGHT if self._known(side) != (None, None, None))

    @cached_property
    def alike(self) -> bool:
        """Whether what is known of the two edges is the same; also where nothing is known of either."""
        return self._known("left") == self._known("right")

    def _known(self, side: str) -> tuple[object, ...]:
        edge = self.edge(side) or Edge()
        return edge.rocker, edge.hollow_mm, edge.measured
