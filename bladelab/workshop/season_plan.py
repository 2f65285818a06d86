"""The plan of a season's upkeep: its calendar, its habits, and the steel there is."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from bladelab._checks import each, keep, keep_number, number
from bladelab._errors import InputError


@dataclass(frozen=True)
class SeasonPlan:
    """The calendar and the habits of one season's upkeep.

    Parameters
    ----------
    weeks : int
        Length of the season, weeks, 1 to 104.
    ice_hours_per_week : float
        Usual hours on ice, h.
    hours_per_sharpening : float
        Hours on ice after which the skater has the blades sharpened, h.
    steel_per_sharpening_mm : float
        Steel a sharpening takes at mid-length, mm.
    steel_spread : float
        Standard deviation of that from one sharpening to the next, as a share, 0 to 2.
    rounding : float
        How much more a sharpening takes at both ends than at mid-length, as a share of its steel; negative
        where less.
    rounding_habit : float
        Standard deviation of `rounding` from one pair of hands, or machine setting, to another: it stays for
        a season.
    unevenness : float
        Standard deviation, from one sharpening to the next, of the share by which one end loses more than the
        middle and the other less, and of the share by which both ends lose more.
    reprofile_weeks : tuple of float
        Full weeks skated before each re-profile, 0 to `weeks` - 1, e.g. ``(0, 16, 30)``.
    reprofile_extra_mm : float
        Steel a re-profile takes everywhere beyond the least that brings the shape back, mm.
    first_cut_mm : float
        Steel the first profiling of a new blade takes at its deepest, mm (see `steel_to_remove`); 0 if the
        shape is in the steel already. Taken with the first re-profile at week 0.
    tolerance_mm : float
        Drift allowed, mm.
    height_mm, least_height_mm : float
        Height of the steel at the start and the maker's minimum, mm.
    hours_spread : float
        Standard deviation of the weekly hours, as a share, 0 to 1.
    start : date
        First day of week 0.
    name : str

    Raises
    ------
    ValueError
        For a number out of range, or if the runner is too low for the re-profile at week 0.

    Notes
    -----
    No published figures are known for steel per sharpening or its unevenness: the defaults are assumptions,
    to be replaced by what your own gauge reads before and after (a sharpening's steel, and its share at the
    ends).

    Examples
    --------
    >>> SeasonPlan(weeks=30, reprofile_weeks=(0.0, 15.0)).weeks
    30
    """

    weeks: int = 36
    ice_hours_per_week: float = 6.0
    hours_per_sharpening: float = 6.0
    steel_per_sharpening_mm: float = 0.05
    steel_spread: float = 0.3
    rounding: float = 0.08
    rounding_habit: float = 0.06
    unevenness: float = 0.15
    reprofile_weeks: tuple[float, ...] = (0.0, 18.0, 32.0)
    reprofile_extra_mm: float = 0.03
    first_cut_mm: float = 0.0
    tolerance_mm: float = 0.08
    height_mm: float = 14.0
    least_height_mm: float = 9.0
    hours_spread: float = 0.25
    start: date = date(2026, 9, 1)
    name: str = "plan"

    def __post_init__(self) -> None:
        weeks = number("weeks", self.weeks, "weeks", 1, 104)
        if weeks != int(weeks):
            raise InputError(f"weeks is {weeks:g}; it must be a whole number from 1 to 104")
        keep(self, weeks=int(weeks))
        keep_number(
            self,
            ice_hours_per_week=("h", 0.0, 100.0, True),
            hours_per_sharpening=("h", 0.5, 1000.0),
            steel_per_sharpening_mm=("mm", 0.0, 2.0, True),
            steel_spread=("", 0.0, 2.0),
            rounding=("", -1.0, 2.0),
            rounding_habit=("", 0.0, 2.0),
            unevenness=("", 0.0, 2.0),
            reprofile_extra_mm=("mm", 0.0, 2.0),
            first_cut_mm=("mm", 0.0, 10.0),
            tolerance_mm=("mm", 0.0, 5.0, True),
            height_mm=("mm", 0.0, 100.0, True),
            least_height_mm=("mm", 0.0, 100.0),
            hours_spread=("", 0.0, 1.0),
        )
        if self.least_height_mm >= self.height_mm:
            raise InputError(
                f"height_mm is {self.height_mm:g} mm; it must be above the maker's minimum, "
                f"{self.least_height_mm:g} mm: this runner is used up"
            )
        last = weeks - 1
        each("reprofile_weeks", self.reprofile_weeks, object)
        profiles = sorted(number("reprofile_weeks", w, "weeks", 0.0, last) for w in self.reprofile_weeks)
        keep(self, reprofile_weeks=tuple(profiles))
        if profiles and profiles[0] == 0 and self.first_cut_mm + self.reprofile_extra_mm > self.usable_mm:
            raise InputError(
                f"first_cut_mm is {self.first_cut_mm:g} mm; with reprofile_extra_mm it must be at most the "
                f"{self.usable_mm:g} mm that the runner has above the maker's minimum"
            )

    @property
    def usable_mm(self) -> float:
        """Steel above the maker's minimum at the start, mm."""
        return self.height_mm - self.least_height_mm
