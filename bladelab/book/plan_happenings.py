"""What was planned for a skater: the season's upkeep, and when to come back."""

from __future__ import annotations

import datetime
from dataclasses import dataclass

from bladelab._checks import checked_day, keep, number
from bladelab._errors import InputError

_MOST_REPROFILES = 110


@dataclass(frozen=True)
class SeasonPlanned:
    """A season of upkeep was planned for the steel that is on.

    Parameters
    ----------
    start, end : date
        The first and the last day of the plan.
    reprofile_on : tuple of date
        When the steel is to be re-profiled; rising, within the plan.
    hours_per_sharpening : float
        Hours on the ice after which it is to be sharpened, h, 0.5 to 1000.
    steel_until : date, optional
        When half of all such seasons reach the maker's minimum; the last day of the plan if that is later,
        None where height or minimum was not known.
    """

    start: datetime.date
    end: datetime.date
    reprofile_on: tuple[datetime.date, ...]
    hours_per_sharpening: float
    steel_until: datetime.date | None = None

    def __post_init__(self) -> None:
        checked_day("start", self.start)
        checked_day("end", self.end)
        if self.end <= self.start:
            raise InputError(f"end is {self.end}; it must be after the start, {self.start}")
        days = tuple(sorted(checked_day("reprofile_on", day) for day in self.reprofile_on))
        if len(days) > _MOST_REPROFILES:
            raise InputError(f"reprofile_on has {len(days)} days; it must have at most {_MOST_REPROFILES}")
        for name, day in (
            *(("reprofile_on", day) for day in days),
            *([("steel_until", self.steel_until)] if self.steel_until else []),
        ):
            if not self.start <= day <= self.end:
                raise InputError(f"{name} is {day}; it must be from {self.start} to {self.end}")
        keep(self, reprofile_on=days)
        number("hours_per_sharpening", self.hours_per_sharpening, "h", 0.5, 1000.0)


@dataclass(frozen=True)
class NextDate:
    """The skater is to come back.

    Parameters
    ----------
    day : date, optional
        None takes the date back.
    """

    day: datetime.date | None

    def __post_init__(self) -> None:
        if self.day is not None:
            checked_day("day", self.day)
