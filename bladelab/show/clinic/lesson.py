"""The parts of a clinic: the example blades, numbers that know their source, and a lesson on one topic."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import lru_cache

from matplotlib.figure import Figure, SubFigure

from bladelab._checks import keep_number
from bladelab._errors import InputError
from bladelab.physics.ice import Ice
from bladelab.physics.moments import MOMENTS, Moment
from bladelab.physics.stance import Stance
from bladelab.shape.blade import Blade
from bladelab.shape.hollow import Hollow
from bladelab.shape.rocker import Rocker
from bladelab.show.clinic.everyday import Like
from bladelab.show.wording.units_shown import Units
from bladelab.show.wording.words import minus
from bladelab.units import as_fraction, feet, inches

YOUNG = "young players"
AUDIENCES = (YOUNG, "adults", "coaches")

#: Quantities that no panel shows: their format and unit.
_OWN = {
    "share": (".2f", " %"),
    "fine angle": (".2f", "°"),
    "moment": (".1f", " N m"),
    "signed percent": ("+.0f", " %"),
    "weeks": (".0f", " weeks"),
    "count": (".0f", ""),
    "fine depth": (".2f", " mm"),
}

NO_BREAK = "\u00a0"
COMPUTED = "computed by bladelab from the shape and its contact with perfectly plastic ice"
GEOMETRY = "geometry of the shape"
CHOSEN = "chosen for this clinic"

#: What a lesson says, by name: its facts and words as text.
Said = Mapping[str, str]


@dataclass(frozen=True)
class Examples:
    """The two blades that a clinic compares, the skater on them, and the ice.

    Parameters
    ----------
    radius_a_mm, radius_b_mm : float
        Rocker radius of blade A and of blade B, each a single radius, mm, 1200 to 12000; they must differ.
    hollow_a_mm, hollow_b_mm : float
        Radius of hollow of blade A and of blade B, mm, 5 to 40; they must differ.
    length_mm, width_mm : float
        The runner of both, mm, 200 to 340 and 2 to 5.
    mass_kg : float
        The skater, fully dressed, kg, 20 to 150.
    temperature_C : float
        The ice, °C, -15 to -1.
    blend_mm : float
        Over what length the blended shape changes its radius, mm, 10 to 100.

    Raises
    ------
    ValueError
        If a number is out of range, or A and B have the same rocker or the same hollow: some slides would
        have nothing to show.

    Notes
    -----
    The defaults are invented: blade A is the usual stock shape (common practice; no source), blade B has a
    radius a fifth longer and a hollow one usual step shallower, so that the differences are plain but not
    extreme.
    """

    radius_a_mm: float = feet(10)
    hollow_a_mm: float = inches("1/2")
    radius_b_mm: float = feet(12)
    hollow_b_mm: float = inches("5/8")
    length_mm: float = 280.0
    width_mm: float = 3.0
    mass_kg: float = 60.0
    temperature_C: float = -5.0
    blend_mm: float = 40.0

    def __post_init__(self) -> None:
        keep_number(
            self,
            radius_a_mm=("mm", 1200, 12000),
            radius_b_mm=("mm", 1200, 12000),
            hollow_a_mm=("mm", 5, 40),
            hollow_b_mm=("mm", 5, 40),
            length_mm=("mm", 200, 340),
            width_mm=("mm", 2, 5),
            mass_kg=("kg", 20, 150),
            temperature_C=("°C", -15, -1),
            blend_mm=("mm", 10, 100),
        )
        for what, a, b in (
            ("rocker radius", self.radius_a_mm, self.radius_b_mm),
            ("radius of hollow", self.hollow_a_mm, self.hollow_b_mm),
        ):
            if abs(a / b - 1) < 0.01:
                raise InputError(
                    f"the {what} of blade A ({a:.4g} mm) and of blade B ({b:.4g} mm) must differ by at "
                    "least 1 %, or some slides have nothing to show"
                )

    def blade(self, rocker: str, hollow: str) -> Blade:
        """Return a blade with the rocker of "A" or "B" and the hollow of "A" or "B"."""
        radius = {"A": self.radius_a_mm, "B": self.radius_b_mm}[rocker]
        groove = {"A": self.hollow_a_mm, "B": self.hollow_b_mm}[hollow]
        return _blade(radius, groove, self.length_mm, self.width_mm)

    @property
    def ice(self) -> Ice:
        """The ice."""
        return Ice(self.temperature_C)

    @property
    def long(self) -> str:
        """The blade, "A" or "B", with the longer rocker radius."""
        return "A" if self.radius_a_mm > self.radius_b_mm else "B"

    @property
    def short(self) -> str:
        """The blade with the shorter rocker radius."""
        return "B" if self.long == "A" else "A"

    @property
    def deep(self) -> str:
        """The blade with the smaller radius of hollow: the deeper groove."""
        return "A" if self.hollow_a_mm < self.hollow_b_mm else "B"

    @property
    def shallow(self) -> str:
        """The blade with the larger radius of hollow."""
        return "B" if self.deep == "A" else "A"

    def stance(self, name: str) -> Stance:
        """Return this skater's stance in the named moment."""
        return moment(name).stance(self.mass_kg)


@lru_cache(maxsize=64)
def _blade(radius_mm: float, hollow_mm: float, length_mm: float, width_mm: float) -> Blade:
    """A blade of a single radius, cached: a picture uses the same few again and again."""
    return Blade(Rocker.single(radius_mm, length_mm), Hollow(hollow_mm, width_mm))


def moment(name: str) -> Moment:
    """Return the moment with this name."""
    return next(m for m in MOMENTS if m.name == name)


@dataclass(frozen=True)
class Fact:
    """One number of a slide.

    Attributes
    ----------
    name : str
        Its name in the texts.
    quantity : str
        What it is, as `units_shown.SCALES` names it ("radius", "depth" ...), or a name of `_OWN`.
    value : float
        In internal units.
    meaning : str
        In words, for the speaker notes.
    source : str
        Where it comes from.
    like : Like, optional
        What it compares with: said to young players in place of the number.
    """

    name: str
    quantity: str
    value: float
    meaning: str
    source: str = COMPUTED
    like: Like | None = None

    def say(self, units: Units) -> str:
        """The number with its unit, as people read it, joined by a non-breaking space."""
        if self.quantity in _OWN:
            form, unit = _OWN[self.quantity]
            said = f"{self.value:{form}}"
            # Zero has no sign.
            said = said if float(said) else said.lstrip("+-")
            said = minus(f"{said}{unit}")
        else:
            said = units.say(self.quantity, self.value)
        if self.source == CHOSEN:
            said = re.sub(r"\.0+(?=\D|$)", "", said)
        return said.replace(" ", NO_BREAK)

    def say_plainly(self, units: Units) -> str:
        """The same for young players: a comparison, or a number they can picture."""
        if self.like:
            return self.like.words
        said = self.say(units)
        if self.quantity == "hollow" and said.endswith("in") and "." in said:
            said = f"about {as_fraction(self.value, 16).replace(' ', NO_BREAK)}"
        return said


@dataclass(frozen=True)
class Lesson:
    """A topic worked out for the example blades.

    Attributes
    ----------
    facts : tuple of Fact
    draw : callable
        ``draw(figure, said)`` draws the picture into a figure or subfigure of the size that the slide's
        layout has for it; `said` maps each name to its text.
    words : mapping
        Texts that depend on the numbers: which blade, more or less; a fact's name in braces is replaced by
        it. Where young players are told something else, a pair: theirs comes second.
    cautions : tuple of str
        Which cautions go into the speaker notes.
    """

    facts: tuple[Fact, ...]
    draw: Callable[[Figure | SubFigure, Said], None]
    words: Mapping[str, str | tuple[str, str]] = field(default_factory=dict)
    cautions: tuple[str, ...] = ()

    def said(self, units: Units, audience: str = AUDIENCES[-1]) -> dict[str, str]:
        """Every fact and word as text, by name, as this audience is told it."""
        young = audience == YOUNG
        facts = {fact.name: fact.say_plainly(units) if young else fact.say(units) for fact in self.facts}
        chosen = {name: text if isinstance(text, str) else text[young] for name, text in self.words.items()}
        return facts | {name: text.format(**facts) for name, text in chosen.items()}


def percent_apart(new: float, old: float) -> float:
    """How much `new` differs from `old`, per cent, without sign."""
    return abs(new / old - 1) * 100
