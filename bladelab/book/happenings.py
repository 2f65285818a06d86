"""What can happen to a skater and their steel: one frozen class for each kind of entry.

Whatever was not said or measured is None and stays unknown: no field has a made-up default. Steel
belongs to a *set*, a left and a right runner under one code; `Fitted` says which set is on which side.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from bladelab._checks import keep, kind, number_if_known, one_line, one_of
from bladelab._errors import InputError
from bladelab.advice.trial import LONGEST_NOTE, LONGEST_TRIAL_NAME, checked_ratings
from bladelab.book.plan_happenings import NextDate, SeasonPlanned
from bladelab.book.rink_happenings import GlideMeasured, IceTested, Preferred, Timed
from bladelab.book.steel_happenings import (
    Fitted,
    Ground,
    HollowMeasured,
    HollowStated,
    Measured,
    Ordered,
    Retired,
    Sharpened,
    Stated,
    SteelMeasured,
    sides_checked,
)
from bladelab.physics.ice import ICE_KINDS
from bladelab.shape.blade import Blade
from bladelab.units import SYSTEMS

#: What a skater with equipment weighs, kg.
MASS_ENDS_KG = (20.0, 200.0)


@dataclass(frozen=True)
class Joined:
    """The skater is in the book from now on, or moves to another team.

    Parameters
    ----------
    team : str
        A code such as ``"U14"``; may be empty.
    moved : bool
        Whether a skater of the book moves. Otherwise it is a new one, and the book takes no code twice.
    """

    team: str = ""
    moved: bool = False

    def __post_init__(self) -> None:
        one_line("team", self.team, 20)
        kind("moved", self.moved, bool, "True or False")


@dataclass(frozen=True)
class Circumstances:
    """Who skates how, on what ice, and in which units it is said; None leaves what is known as it is.

    Parameters
    ----------
    mass_kg : float, optional
        The skater with equipment, kg, 20 to 200.
    temperature_C : float, optional
        Of the ice, °C, -30 to 0.
    speed_m_s : float, optional
        Of a usual glide, m/s, 0.2 to 30.
    hours_per_week : float, optional
        On the ice, h, 0 to 100.
    units : str, optional
        ``"feet and inches"`` or ``"metric"``.
    hardness : str, optional
        Which ice is reckoned with: ``"drop test"`` or ``"pressed"``.
    """

    mass_kg: float | None = None
    temperature_C: float | None = None
    speed_m_s: float | None = None
    hours_per_week: float | None = None
    units: str | None = None
    hardness: str | None = None

    def __post_init__(self) -> None:
        number_if_known("mass_kg", self.mass_kg, "kg", *MASS_ENDS_KG)
        number_if_known("temperature_C", self.temperature_C, "°C", -30.0, 0.0)
        number_if_known("speed_m_s", self.speed_m_s, "m/s", 0.2, 30.0)
        number_if_known("hours_per_week", self.hours_per_week, "h", 0.0, 100.0)
        if self.units is not None:
            one_of("units", self.units, SYSTEMS)
        if self.hardness is not None:
            one_of("hardness", self.hardness, ICE_KINDS)


@dataclass(frozen=True)
class Decided:
    """A blade is to be tried next, or none any more.

    Parameters
    ----------
    trial : Blade, optional
        None takes the trial back.
    why : str
        One line, may be empty.
    """

    trial: Blade | None
    why: str = ""

    def __post_init__(self) -> None:
        if self.trial is not None:
            kind("trial", self.trial, Blade)
        one_line("why", self.why, LONGEST_NOTE)


@dataclass(frozen=True)
class Tried:
    """A blade was skated and rated.

    Parameters
    ----------
    blade : Blade
    ratings : mapping of str to int
        By the keys of `RATINGS`.
    name : str
        What the blade is called; may be empty.
    changed : str
        What had changed, in words; may be empty.
    mass_kg, temperature_C, speed_m_s : float, optional
        Of that day: skater, ice and glide.
    """

    blade: Blade
    ratings: Mapping[str, int] = field(default_factory=dict)
    name: str = ""
    changed: str = ""
    mass_kg: float | None = None
    temperature_C: float | None = None
    speed_m_s: float | None = None

    def __post_init__(self) -> None:
        kind("blade", self.blade, Blade)
        keep(self, ratings=checked_ratings(self.ratings))
        one_line("name", self.name, LONGEST_TRIAL_NAME)
        one_line("changed", self.changed, LONGEST_NOTE)
        Circumstances(self.mass_kg, self.temperature_C, self.speed_m_s)


@dataclass(frozen=True)
class Complained:
    """The skater came with a complaint.

    Parameters
    ----------
    about : str
        What it is, by the keys of the list of complaints, such as ``"no bite"``.
    side : str
        ``"left"``, ``"right"`` or empty for both.
    found : mapping of str to str
        What each check that was made said: the cause's key to ``"yes"`` or ``"no"``.
    next_check : str
        The cause to check next, or empty.
    """

    about: str
    side: str = ""
    found: Mapping[str, str] = field(default_factory=dict)
    next_check: str = ""

    def __post_init__(self) -> None:
        one_line("about", self.about, 60, 1)
        if self.side:
            sides_checked((self.side,))
        for cause, said in self.found.items():
            one_line("the cause", cause, 60, 1)
            if said not in ("yes", "no"):
                raise InputError(f"the check of {cause} is {said!r:.60}; it must be yes or no")
        keep(self, found=dict(self.found))
        one_line("next_check", self.next_check, 60)


@dataclass(frozen=True)
class Struck:
    """An earlier entry was wrong: it counts no more and stays readable.

    Parameters
    ----------
    entry : int
        Its number.
    why : str
    """

    entry: int
    why: str = ""

    def __post_init__(self) -> None:
        if isinstance(self.entry, bool) or not isinstance(self.entry, int) or self.entry < 1:
            raise InputError(f"entry is {self.entry!r:.60}; it must be the number of an entry, 1 or more")
        one_line("why", self.why, LONGEST_NOTE)


Happening = (
    Joined
    | Circumstances
    | SteelMeasured
    | Fitted
    | Retired
    | Stated
    | HollowStated
    | Measured
    | HollowMeasured
    | Ordered
    | Ground
    | Sharpened
    | Decided
    | Tried
    | Complained
    | SeasonPlanned
    | NextDate
    | IceTested
    | GlideMeasured
    | Timed
    | Preferred
    | Struck
)
