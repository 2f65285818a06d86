"""One trial: what was skated, what had changed, and how it was rated; in words and as a row of the log."""

from __future__ import annotations

import datetime
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, fields
from functools import lru_cache
from itertools import pairwise
from numbers import Real

from bladelab._cells import date_of, number_of, unguarded
from bladelab._checks import keep, kind, one_line
from bladelab._codes import checked_code
from bladelab._errors import InputError
from bladelab._files import quoted
from bladelab.shape.blade import Blade, what_differs
from bladelab.shape.hollow import Hollow
from bladelab.shape.rocker import Rocker, Zone


@dataclass(frozen=True)
class Rating:
    """One thing that a skater rates, and the computed quantity that goes with it (our reading; no source).

    Attributes
    ----------
    key : str
        Its column in the log.
    question : str
    low, high : int
        The ends of the scale.
    low_word, high_word : str
        What the ends mean.
    quantity : str
        Key of `bladelab.advice.quantities.QUANTITIES`.
    moment : str
        The moment in which it is computed.
    better : int
        +1 if more of the quantity should be rated higher, -1 if less.
    """

    key: str
    question: str
    low: int
    high: int
    low_word: str
    high_word: str
    quantity: str
    moment: str
    better: int


RATINGS: dict[str, Rating] = {
    r.key: r
    for r in (
        Rating("glide", "How far does it glide?", 1, 5, "stops", "runs on", "friction", "one-foot glide", -1),
        Rating("hold", "Does the edge hold when you push?", 1, 5, "slips", "holds", "hold", "stride push", 1),
        Rating(
            "turning",
            "Does it turn as tight as you want?",
            1,
            5,
            "too wide",
            "tight",
            "carve",
            "tight turn",
            -1,
        ),
        Rating("steadiness", "Do you feel steady?", 1, 5, "wobbles", "steady", "rock", "one-foot glide", -1),
        Rating(
            "balance",
            "Where does it put you?",
            -2,
            2,
            "too far back",
            "too far forward",
            "pitch",
            "one-foot glide",
            1,
        ),
    )
}

TRIAL_COLUMNS = (
    "date", "skater", "blade", "zones_mm", "blend_mm", "pivot_mm", "hollow_mm", "width_mm", "edge_radius_mm",
    "changed",
    *RATINGS, "note",
)  # fmt: skip

_BLADE_COLUMNS = ("zones_mm", "blend_mm", "pivot_mm", "hollow_mm", "width_mm", "edge_radius_mm")
#: Logs from before it was kept have no such column, and a cell may be empty: what it is then.
TRIAL_DEFAULTS = {"edge_radius_mm": "0"}

LONGEST_NOTE = 1000
LONGEST_TRIAL_NAME = 60
_ZONE = re.compile(r"([0-9.,eE+-]+)x([0-9.,eE+-]+)")


@dataclass(frozen=True)
class Trial:
    """A blade skated once and rated.

    Parameters
    ----------
    date : datetime.date
        From 2000 to 2100.
    skater : str
        A code of letters, digits and dashes with at least one digit, such as "K07"; never a name.
    blade : Blade
        Kept to 1e-9 mm.
    ratings : mapping of str to int
        By the keys of `RATINGS`; what was not rated is left out.
    name : str
        What the blade is called; one line, may be empty.
    changed : str
        What had changed, in words; one line, may be empty. `what_changed` writes it.
    note : str
        One line, may be empty.

    Raises
    ------
    ValueError
        If one of them is invalid, naming the value and what it must be.

    Examples
    --------
    >>> import datetime
    >>> from bladelab import RATINGS, Blade, Hollow, Rocker
    >>> blade = Blade(Rocker.single(3048.0, 280.0), Hollow(12.7, 3.0))
    >>> trial = Trial(datetime.date(2026, 9, 1), "K07", blade, {next(iter(RATINGS)): 4})
    >>> trial.skater
    'K07'
    """

    date: datetime.date
    skater: str
    blade: Blade
    ratings: Mapping[str, int] = field(default_factory=dict)
    name: str = ""
    changed: str = ""
    note: str = ""

    def __post_init__(self) -> None:
        if isinstance(self.date, datetime.datetime) or not isinstance(self.date, datetime.date):
            raise InputError(f"date is {self.date!r}; it must be a date")
        if not 2000 <= self.date.year <= 2100:
            raise InputError(f"date is {self.date}; it must be from 2000 to 2100")
        checked_code("skater", self.skater)
        kind("blade", self.blade, Blade)
        kind("ratings", self.ratings, Mapping)
        if self.blade.hollow.shape:
            raise InputError("the hollow holds arrays; a trial is of one blade")
        keep(self, blade=_as_written(self.blade))
        keep(self, ratings=checked_ratings(self.ratings))
        for what, longest in (
            ("name", LONGEST_TRIAL_NAME),
            ("changed", LONGEST_NOTE),
            ("note", LONGEST_NOTE),
        ):
            one_line(what, getattr(self, what), longest)

    def cells(self) -> dict[str, str]:
        """Return the trial as the cells of a row of the log, by column."""
        rocker, hollow = self.blade.rocker, self.blade.hollow
        return {
            "date": self.date.isoformat(),
            "skater": self.skater,
            "blade": self.name,
            "zones_mm": " ".join(f"{_short(z.radius_mm)}x{_short(z.length_mm)}" for z in rocker.zones),
            "blend_mm": _short(rocker.blend_mm),
            "pivot_mm": _short(rocker.pivot_mm),
            "hollow_mm": _short(hollow.radius_mm),
            "width_mm": _short(hollow.width_mm),
            "edge_radius_mm": _short(hollow.edge_radius_mm),
            "changed": self.changed,
            **{key: str(self.ratings.get(key, "")) for key in RATINGS},
            "note": self.note,
        }


def checked_ratings(ratings: Mapping[str, int]) -> dict[str, int]:
    """Return the ratings in the order of `RATINGS`, if each is known and on its scale."""
    checked: dict[str, int] = {}
    for key, value in ratings.items():
        if key not in RATINGS:
            raise InputError(f"no rating is called {key!r}; there are {', '.join(RATINGS)}")
        scale = RATINGS[key]
        allowed = range(scale.low, scale.high + 1)
        if isinstance(value, bool) or not isinstance(value, Real) or value not in allowed:
            raise InputError(f"{key} is {value}; it must be a whole number from {scale.low} to {scale.high}")
        checked[key] = int(value)
    return {key: checked[key] for key in RATINGS if key in checked}


@lru_cache(maxsize=256)
def _as_written(blade: Blade) -> Blade:
    """Return the blade with its lengths to a millionth of a micrometre, so that 9 ft is written as 2743.2
    mm."""
    rocker, hollow = blade.rocker, blade.hollow
    zones = tuple(Zone(round(z.radius_mm, 9), round(z.length_mm, 9)) for z in rocker.zones)
    return Blade(
        Rocker(zones, round(rocker.blend_mm, 9), round(rocker.pivot_mm, 9)),
        Hollow(*(round(getattr(hollow, f.name), 9) for f in fields(hollow))),
    )


def _short(number: float) -> str:
    """Write a number so that reading it gives the same number."""
    return repr(float(number)).removesuffix(".0")


def trial_of_cells(cells: Mapping[str, str]) -> Trial:
    """Read a trial from the cells of a row.

    Raises
    ------
    ValueError
        Naming the cell that is wrong, its text, and what it must be.
    """
    try:
        date = date_of(cells["date"])
    except InputError as problem:
        raise InputError(f"date {problem}") from None
    written = {c: cells.get(c, "").strip() or TRIAL_DEFAULTS.get(c, "") for c in _BLADE_COLUMNS}
    blade = _blade_of_cells(*(written[column] for column in _BLADE_COLUMNS))
    ratings = {}
    for key in RATINGS:
        if text := cells[key].strip():
            try:
                ratings[key] = int(text)
            except ValueError:
                raise InputError(f"{key} is {quoted(text)}; it must be a whole number or empty") from None
    skater, name, changed, note = (unguarded(cells[key]) for key in ("skater", "blade", "changed", "note"))
    return Trial(date, skater.strip(), blade, ratings, name, changed, note)


# Cached: a log names the same few blades again and again.
@lru_cache(maxsize=256)
def _blade_of_cells(zones_text: str, *texts: str) -> Blade:
    zones = []
    for text in zones_text.split() or [""]:
        match = _ZONE.fullmatch(text)
        if not match:
            raise InputError(
                f"zones_mm is {quoted(zones_text)}; it must be radius x length in mm, such as 3048x280"
            )
        try:
            zones.append(Zone(*(number_of(text, ".", 1e6) for text in match.groups())))
        except InputError:
            raise InputError(f"zones_mm is {quoted(zones_text)}; each number in it must be above 0") from None
    numbers = []
    for column, text in zip(_BLADE_COLUMNS[1:], texts, strict=True):
        try:
            numbers.append(number_of(text, ".", 999.0))
        except InputError as problem:
            raise InputError(f"{column} {problem}") from None
    blend, pivot, *hollow = numbers
    return Blade(Rocker(tuple(zones), blend, pivot), Hollow(*hollow))


def what_changed(before: Blade | None, after: Blade) -> str:
    """Say what changed since the trial before, for the column `changed`."""
    if before is None:
        return "first trial"
    return ", ".join(what_differs(before, after)) or "nothing"


def warnings_of(trials: Sequence[Trial]) -> list[str]:
    """Warn of each trial of one skater, by date, that changed more than one thing since the one before."""
    said = []
    for before, after in pairwise(trials):
        things = what_differs(before.blade, after.blade)
        if len(things) > 1:
            said.append(
                f"The trial of {after.date} changed {len(things)} things since {before.date} "
                f"({', '.join(things)}): you won't know which one did it."
            )
    return said
