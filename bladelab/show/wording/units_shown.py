"""How numbers are shown and said: in feet and inches, or metric. Chosen once, remembered within a notebook.

Rockers are spoken of in feet, hollows in fractions of an inch and speeds in miles an hour, or all in metric
units. Lengths along the blade and depths stay in millimetres in both, as runners are sold by the millimetre
(common practice; no source).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass

from bladelab._checks import one_of
from bladelab._listeners import Listeners
from bladelab._types import SomeNumbers
from bladelab.show.wording.words import decimal
from bladelab.units import M_PER_MILE, MM_PER_FOOT, MM_PER_INCH, SYSTEMS, as_fraction


@dataclass(frozen=True)
class Scale:
    """One unit of one quantity: shown = kept * factor + offset; a slider steps by `step` shown units."""

    unit: str
    factor: float = 1.0
    offset: float = 0.0
    step: float = 1.0
    decimals: int = 0

    def shown(self, kept: SomeNumbers) -> SomeNumbers:
        """The number to show, from the one kept inside (mm, kg, °C)."""
        return kept * self.factor + self.offset

    def kept(self, shown: SomeNumbers) -> SomeNumbers:
        """The number to keep inside, from the one shown."""
        return (shown - self.offset) / self.factor


_METRES = Scale("m", 1e-3, step=0.05, decimals=2)
_MM = Scale("mm", step=1.0, decimals=0)

#: quantity -> its scale in each system, in the order of `SYSTEMS`.
SCALES: dict[str, tuple[Scale, Scale]] = {
    "radius": (Scale("ft", 1 / MM_PER_FOOT, step=0.25, decimals=2), _METRES),
    "hollow": (Scale("in", 1 / MM_PER_INCH, step=0.01, decimals=3), Scale("mm", step=0.1, decimals=1)),
    "mass": (Scale("lb", 1 / 0.45359237, step=1.0), Scale("kg", step=1.0)),
    "force": (Scale("lb", 1 / 4.4482216152605, step=1.0), Scale("N", step=1.0)),
    "temperature": (Scale("°F", 1.8, 32.0, step=0.5, decimals=1), Scale("°C", step=0.5, decimals=1)),
    "temperature difference": (
        Scale("°F", 1.8, step=0.2, decimals=1),
        Scale("°C", step=0.5, decimals=1),
    ),
    "distance": (Scale("ft", 1e3 / MM_PER_FOOT, step=0.5, decimals=1), Scale("m", step=0.1, decimals=1)),
    "fall": (Scale("in", 1e3 / MM_PER_INCH, step=0.5, decimals=1), Scale("cm", 100.0, step=1.0)),
    "area": (Scale("ft²", 1e6 / MM_PER_FOOT**2, step=0.1, decimals=1), Scale("m²", step=0.01, decimals=2)),
    "length": (_MM, _MM),
    "fine length": (Scale("mm", step=0.1, decimals=1),) * 2,
    "depth": (Scale("mm", step=0.001, decimals=3),) * 2,
    "edge radius": (Scale("mm", step=0.005, decimals=3),) * 2,
    "angle": (Scale("°", step=0.5, decimals=1),) * 2,
    "speed": (Scale("mph", 3600 / M_PER_MILE, step=0.5, decimals=1), Scale("m/s", step=0.1, decimals=1)),
    "percent": (Scale("%", step=1.0),) * 2,
    "number": (Scale("", step=1.0),) * 2,
}


def after_number(unit: str) -> str:
    """A unit as it is written after its number: ``" mm"``, ``" %"``, ``"°"``."""
    return unit if unit in ("", "°") else f" {unit}"


class Units:
    """The system of units of this notebook. There is one: `UNITS`.

    Examples
    --------
    >>> units = Units()
    >>> units.say("radius", 3048.0), units.say("hollow", 15.875), units.say("depth", 0.0661)
    ('10 ft', '5/8 in', '0.066 mm')
    >>> units.system = "metric"
    >>> units.say("radius", 3048.0), units.say("hollow", 15.875)
    ('3.05 m', '15.9 mm')
    """

    def __init__(self) -> None:
        self._system = SYSTEMS[0]
        self._listeners = Listeners()

    @property
    def system(self) -> str:
        """One of `SYSTEMS`. Setting it tells the panels."""
        return self._system

    @system.setter
    def system(self, name: str) -> None:
        one_of("the system of units", name, SYSTEMS)
        if name != self._system:
            self._system = name
            self._listeners.tell()

    @contextmanager
    def lent(self, name: str) -> Iterator[None]:
        """Speak in these units for a ``with`` block: for the paper of a skater who reads in others than the
        page. Nobody is told."""
        one_of("the system of units", name, SYSTEMS)
        before, self._system = self._system, name
        try:
            yield
        finally:
            self._system = before

    def listen(self, method: Callable[[], None]) -> None:
        """Call a bound method after each change, for as long as its object lives."""
        self._listeners.add(method)

    def scale(self, quantity: str) -> Scale:
        """The scale in which a quantity is shown now."""
        return SCALES[quantity][SYSTEMS.index(self._system)]

    def unit(self, quantity: str) -> str:
        """The unit in which a quantity is shown now: ``"ft"``."""
        return self.scale(quantity).unit

    def shown(self, quantity: str, kept: SomeNumbers) -> SomeNumbers:
        """A number (or an array) as shown now, without its unit: for axes."""
        return self.scale(quantity).shown(kept)

    def say(self, quantity: str, kept: float) -> str:
        """A number in words, with its unit: ``"10 ft"``, ``"5/8 in"``, ``"0.066 mm"``."""
        scale = self.scale(quantity)
        if quantity == "hollow" and scale.unit == "in":
            fraction = as_fraction(kept, 16)
            if abs(round(kept / MM_PER_INCH * 16) * MM_PER_INCH / 16 - kept) < 0.005 and kept > 1.0:
                return fraction
            return f"{kept / MM_PER_INCH:.3f} in"
        text = decimal(scale.shown(kept), scale.decimals)
        if quantity == "radius" and "." in text and scale.unit == "ft":
            text = text.rstrip("0").rstrip(".")
        return text + after_number(scale.unit)


#: The one preference of this notebook.
UNITS = Units()
