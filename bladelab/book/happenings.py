"""What can happen to a skater and their steel: one frozen class for each kind of entry.

Whatever was not said or measured is None and stays unknown: no field has a made-up default. Steel
belongs to a *set*, a left and a right runner under one code; `Fitted` says which set is on which side.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from bladelab._checks import kind, number, one_line
from bladelab._errors import InputError
from bladelab.advice.trial import LONGEST_NOTE, LONGEST_TRIAL_NAME, checked_code, checked_ratings
from bladelab.shape.blade import Blade
from bladelab.shape.rocker import Rocker
from bladelab.units import SYSTEMS
from bladelab.workshop.gauge import GaugeReadings
from bladelab.workshop.trace import Trace

LEFT_AND_RIGHT = ("left", "right")


def _maybe(name: str, value: float | None, unit: str, low: float, high: float) -> None:
    if value is not None:
        number(name, value, unit, low, high)


def _sides(sides: tuple[str, ...]) -> None:
    if not sides or any(side not in LEFT_AND_RIGHT for side in sides) or len(set(sides)) != len(sides):
        raise InputError(f"sides is {sides!r:.60}; it must be left, right or both")


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
    """

    mass_kg: float | None = None
    temperature_C: float | None = None
    speed_m_s: float | None = None
    hours_per_week: float | None = None
    units: str | None = None

    def __post_init__(self) -> None:
        _maybe("mass_kg", self.mass_kg, "kg", 20.0, 200.0)
        _maybe("temperature_C", self.temperature_C, "°C", -30.0, 0.0)
        _maybe("speed_m_s", self.speed_m_s, "m/s", 0.2, 30.0)
        _maybe("hours_per_week", self.hours_per_week, "h", 0.0, 100.0)
        if self.units is not None and self.units not in SYSTEMS:
            raise InputError(f"units is {self.units!r:.60}; it must be one of {', '.join(SYSTEMS)}")


@dataclass(frozen=True)
class SteelMeasured:
    """What a caliper or the writing on it says of a set of steel; the first one puts the set in the book.

    Parameters
    ----------
    steel : str
        The code of the set, such as ``"S1"``.
    height_mm : float, optional
        Height of the steel at mid-length, mm, 1 to 100.
    least_mm : float, optional
        The maker's minimum, mm, 0 to 100.
    width_mm : float, optional
        Width of the runner, mm, 0.5 to 10.
    length_mm : float, optional
        Length of the runner, mm, 50 to 500.
    """

    steel: str
    height_mm: float | None = None
    least_mm: float | None = None
    width_mm: float | None = None
    length_mm: float | None = None

    def __post_init__(self) -> None:
        checked_code("steel", self.steel)
        _maybe("height_mm", self.height_mm, "mm", 1.0, 100.0)
        _maybe("least_mm", self.least_mm, "mm", 0.0, 100.0)
        _maybe("width_mm", self.width_mm, "mm", 0.5, 10.0)
        _maybe("length_mm", self.length_mm, "mm", 50.0, 500.0)


@dataclass(frozen=True)
class Fitted:
    """A set of steel was put on, on these sides.

    Parameters
    ----------
    steel : str
    sides : tuple of str
        ``"left"``, ``"right"`` or both.
    """

    steel: str
    sides: tuple[str, ...] = LEFT_AND_RIGHT

    def __post_init__(self) -> None:
        checked_code("steel", self.steel)
        _sides(self.sides)


@dataclass(frozen=True)
class Retired:
    """A set of steel was thrown away or given away.

    Parameters
    ----------
    steel : str
    """

    steel: str

    def __post_init__(self) -> None:
        checked_code("steel", self.steel)


@dataclass(frozen=True)
class Stated:
    """Someone said what shape the steel has; nobody measured it.

    Parameters
    ----------
    steel : str
    blade : Blade
    sides : tuple of str
    """

    steel: str
    blade: Blade
    sides: tuple[str, ...] = LEFT_AND_RIGHT

    def __post_init__(self) -> None:
        checked_code("steel", self.steel)
        kind("blade", self.blade, Blade)
        _sides(self.sides)


@dataclass(frozen=True)
class Measured:
    """One edge was measured; the readings themselves.

    Parameters
    ----------
    steel : str
    side : str
        ``"left"`` or ``"right"``.
    edge : Trace or GaugeReadings
    """

    steel: str
    side: str
    edge: Trace | GaugeReadings

    def __post_init__(self) -> None:
        checked_code("steel", self.steel)
        _sides((self.side,))
        kind("edge", self.edge, (Trace, GaugeReadings))


@dataclass(frozen=True)
class Ordered:
    """Grinding was ordered: from here on the measurement is compared with this.

    Parameters
    ----------
    steel : str
    target : Blade
        What it should be.
    sides : tuple of str
    tolerance_mm : float
        How far the edge may be off, mm, above 0, at most 5.
    """

    steel: str
    target: Blade
    sides: tuple[str, ...] = LEFT_AND_RIGHT
    tolerance_mm: float = 0.03

    def __post_init__(self) -> None:
        checked_code("steel", self.steel)
        kind("target", self.target, Blade)
        _sides(self.sides)
        number("tolerance_mm", self.tolerance_mm, "mm", 0.0, 5.0, low_open=True)


@dataclass(frozen=True)
class Ground:
    """The steel was profiled to a rocker.

    Parameters
    ----------
    steel : str
    rocker : Rocker
        What it was ground to, as far as is known without measuring.
    sides : tuple of str
    taken_mm : float, optional
        Steel taken at mid-length, mm, 0 to 20, if it was measured or computed.
    """

    steel: str
    rocker: Rocker
    sides: tuple[str, ...] = LEFT_AND_RIGHT
    taken_mm: float | None = None

    def __post_init__(self) -> None:
        checked_code("steel", self.steel)
        kind("rocker", self.rocker, Rocker)
        _sides(self.sides)
        _maybe("taken_mm", self.taken_mm, "mm", 0.0, 20.0)


@dataclass(frozen=True)
class Sharpened:
    """The hollow was ground afresh.

    Parameters
    ----------
    steel : str
    hollow_mm : float, optional
        Radius of the hollow, mm, 1 to 200; None where it stayed as it was.
    sides : tuple of str
    taken_mm : float, optional
        Steel taken, mm, 0 to 5, if it was measured.
    """

    steel: str
    hollow_mm: float | None = None
    sides: tuple[str, ...] = LEFT_AND_RIGHT
    taken_mm: float | None = None

    def __post_init__(self) -> None:
        checked_code("steel", self.steel)
        _maybe("hollow_mm", self.hollow_mm, "mm", 1.0, 200.0)
        _sides(self.sides)
        _maybe("taken_mm", self.taken_mm, "mm", 0.0, 5.0)


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
        object.__setattr__(self, "ratings", checked_ratings(self.ratings))
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
            _sides((self.side,))
        for cause, said in self.found.items():
            one_line("the cause", cause, 60, 1)
            if said not in ("yes", "no"):
                raise InputError(f"the check of {cause} is {said!r:.60}; it must be yes or no")
        object.__setattr__(self, "found", dict(self.found))
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
    | Measured
    | Ordered
    | Ground
    | Sharpened
    | Decided
    | Tried
    | Complained
    | Struck
)
