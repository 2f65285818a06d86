"""What can happen to a set of steel: it was measured, fitted, ordered, ground, sharpened or retired."""

from __future__ import annotations

from dataclasses import dataclass

from bladelab._checks import kind, number, number_if_known
from bladelab._codes import checked_code
from bladelab._errors import InputError
from bladelab.shape.blade import Blade
from bladelab.shape.hollow import Hollow
from bladelab.shape.rocker import Rocker
from bladelab.workshop.gauge import GaugeReadings
from bladelab.workshop.trace import Trace

LEFT_AND_RIGHT = ("left", "right")


def sides_checked(sides: tuple[str, ...]) -> None:
    """Refuse what is not left, right or both, each once, with an InputError."""
    if not sides or any(side not in LEFT_AND_RIGHT for side in sides) or len(set(sides)) != len(sides):
        raise InputError(f"sides is {sides!r:.60}; it must be left, right or both")


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
        number_if_known("height_mm", self.height_mm, "mm", 1.0, 100.0)
        number_if_known("least_mm", self.least_mm, "mm", 0.0, 100.0)
        number_if_known("width_mm", self.width_mm, "mm", 0.5, 10.0)
        number_if_known("length_mm", self.length_mm, "mm", 50.0, 500.0)


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
        sides_checked(self.sides)


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
        sides_checked(self.sides)


@dataclass(frozen=True)
class HollowStated:
    """Someone said what hollow the steel has, and nothing of its rocker: that stays as it is known.

    Parameters
    ----------
    steel : str
    hollow : Hollow
    sides : tuple of str
    """

    steel: str
    hollow: Hollow
    sides: tuple[str, ...] = LEFT_AND_RIGHT

    def __post_init__(self) -> None:
        checked_code("steel", self.steel)
        kind("hollow", self.hollow, Hollow)
        sides_checked(self.sides)


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
        sides_checked((self.side,))
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
        sides_checked(self.sides)
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
        sides_checked(self.sides)
        number_if_known("taken_mm", self.taken_mm, "mm", 0.0, 20.0)


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
        number_if_known("hollow_mm", self.hollow_mm, "mm", 1.0, 200.0)
        sides_checked(self.sides)
        number_if_known("taken_mm", self.taken_mm, "mm", 0.0, 5.0)


@dataclass(frozen=True)
class HollowMeasured:
    """The groove of one edge was measured.

    Parameters
    ----------
    steel : str
    side : str
        ``"left"`` or ``"right"``.
    hollow_mm : float
        Radius of the hollow, mm, 1 to 200.
    low_mm, high_mm : float, optional
        The radii that agree with the reading, mm; a flat bottom would agree too where the higher is left out.
    width_mm : float, optional
        Width of the runner, mm, 0.5 to 10.
    """

    steel: str
    side: str
    hollow_mm: float
    low_mm: float | None = None
    high_mm: float | None = None
    width_mm: float | None = None

    def __post_init__(self) -> None:
        checked_code("steel", self.steel)
        sides_checked((self.side,))
        number("hollow_mm", self.hollow_mm, "mm", 1.0, 200.0)
        number_if_known("low_mm", self.low_mm, "mm", 0.0, self.hollow_mm)
        number_if_known("high_mm", self.high_mm, "mm", self.hollow_mm, 1e6)
        number_if_known("width_mm", self.width_mm, "mm", 0.5, 10.0)
