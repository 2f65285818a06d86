"""Scorecard: the present blade against a trial, quantity by quantity, over the moments that matter."""

from __future__ import annotations

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING

import numpy as np

from bladelab._cells import csv_table
from bladelab._checks import number, takes
from bladelab._errors import InputError
from bladelab._files import write_whole
from bladelab._remembering import Remembering
from bladelab._types import Array
from bladelab._values import by_value
from bladelab.advice.evaluate import evaluate_and_draw_all
from bladelab.advice.quantities import QUANTITIES, Conditions
from bladelab.advice.scorecard_line import Line
from bladelab.physics.days import SMALLEST_PITCH_DEG, bands_of_both, difference_at
from bladelab.physics.over_ices import OverIces
from bladelab.shape.blade import Blade

if TYPE_CHECKING:
    import pandas as pd

_Case = tuple[Blade, Conditions, tuple[str, ...], int]
#: The columns of the table in the quantity's unit, and the share of the largest of them that is nothing.
_IN_UNIT = ("present", "present_band", "trial", "trial_band", "difference", "day_to_day")
_NOTHING = 1e-9


@by_value
@dataclass(frozen=True, eq=False)
class Scorecard:
    """Present against trial; there is no overall score, since the skater decides what matters.

    Attributes
    ----------
    present, trial : Blade
    conditions : Conditions
    lines : tuple of Line
        Moment by moment; quantities that mean nothing in a moment are left out.

    Examples
    --------
    >>> from bladelab import Blade, Conditions, Hollow, Rocker, scorecard
    >>> present, trial = (Blade(Rocker.single(r, 280.0), Hollow(12.7, 3.0)) for r in (3048.0, 3352.8))
    >>> card = scorecard(present, trial, Conditions(75.0), ["length"], n=20)
    >>> print(f"{card.lines[0].moment.name}: {card.lines[0].change:.0f} % longer")
    standing on both skates: 3 % longer
    """

    present: Blade
    trial: Blade
    conditions: Conditions
    lines: tuple[Line, ...]

    def table(self) -> pd.DataFrame:
        """Return a row for each line: physical units first, per cent second, each number with its band.

        Columns: moment, quantity, unit, present, present_band, trial, trial_band (half the width of the 90 %
        band), difference, percent (NaN for the pitch), day_to_day (in the unit), verdict; and for friction
        the range of both blades and of the per cent over the ices held possible (else NaN).
        """
        import pandas as pd

        rows = []
        for line in self.lines:
            both = line.difference
            rows.append(
                {
                    "moment": line.moment.name,
                    "quantity": line.quantity.said,
                    "unit": line.quantity.unit,
                    "present": line.present,
                    "present_band": both.present.half_width,
                    "trial": line.trial,
                    "trial_band": both.trial.half_width,
                    "difference": line.trial - line.present,
                    "percent": line.change if line.quantity.percent else float("nan"),
                    "day_to_day": both.other_day.half_width,
                    "verdict": line.verdict,
                    **_ranges(line.over_ices),
                }
            )
        return pd.DataFrame(rows)

    def as_csv(
        self, date: datetime.date | None = None, about: Mapping[str, str] = MappingProxyType({})
    ) -> bytes:
        """Return the table as a CSV file, four digits to a number, under notes (lines that begin with ``#``)
        that say which blades, skater and ice it is of, and of which date (today's by default). `about` are
        columns put before the others that say the same in every row.
        """
        on, table = self.conditions, self.table()
        # What the arithmetic leaves of a zero is a zero: 1e-16 beside a band of 0.1, or a band of 1e-16.
        numbers = table[list(_IN_UNIT)]
        largest = numbers.abs().max(axis="columns")
        table[list(_IN_UNIT)] = numbers.where(numbers.abs().ge(_NOTHING * largest, axis="index"), 0.0)
        notes = (
            f"scorecard of {date or datetime.date.today()}",
            f"present: {_numbers_of(self.present)}",
            f"trial: {_numbers_of(self.trial)}",
            f"skater {on.mass_kg:g} kg, gliding at {on.speed_m_s:.3g} m/s, ice {on.ice.temperature_C:.3g} °C",
        )
        return csv_table(list(table.columns), table.itertuples(index=False, name=None), notes, about)

    def save_csv(self, path: str | Path, date: datetime.date | None = None) -> Path:
        """Write the table as `as_csv` gives it, completely or not at all; never replaces a file.

        Raises
        ------
        FileExistsError
            If there is a file already.
        InputError
            If it can't be written.
        """
        return write_whole(path, self.as_csv(date))

    def sentences(self, moment: str | None = None) -> list[str]:
        """Say what shows on the ice, moment by moment: one sentence for each moment (or for the one
        named)."""
        names = [m.name for m in self.conditions.moments]
        if moment is not None and moment not in names:
            raise InputError(f"no moment is called {moment!r}; there are {', '.join(names)}")
        said = []
        for name in names if moment is None else [moment]:
            here = [line for line in self.lines if line.moment.name == name]
            shows = [line.words for line in here if line.verdict == "shows"]
            sure = [line.words for line in here if line.verdict == "same day only"]
            start = f"In the {name}" if not name.startswith("standing") else f"When {name}"
            if shows:
                said.append(f"{start} the trial {_listed(shows)}.")
            elif sure:
                said.append(f"{start} the trial {_listed(sure)}, but within day-to-day variation.")
            elif any(line.verdict == "depends on the ice" for line in here):
                said.append(f"{start} it depends on the ice which of the two glides better.")
            else:
                said.append(f"{start} no difference is large enough to feel or to measure.")
        return said


def _numbers_of(blade: Blade) -> str:
    rocker, hollow = blade.rocker, blade.hollow
    zones = ", ".join(f"{z.radius_mm:.6g} over {z.length_mm:.4g}" for z in rocker.zones)
    edges = f", edges {hollow.edge_radius_mm:.4g} mm" if hollow.edge_radius_mm else ""
    return (
        f"radius, heel to toe, {zones} mm; blend {rocker.blend_mm:.4g} mm; level point {rocker.pivot_mm:.4g} "
        f"mm from the middle; hollow {hollow.radius_mm:.6g} mm, width {hollow.width_mm:.4g} mm{edges}"
    )


def _ranges(over: OverIces | None) -> dict[str, float]:
    """The columns that tell the range over the ices held possible."""
    spans = (*over.spans, over.percent) if over else (None,) * 3
    return {
        f"{name}_{end}": getattr(span, end) if span else float("nan")
        for name, span in zip(("present", "trial", "percent"), spans, strict=True)
        for end in ("low", "high")
    }


def _listed(parts: Sequence[str]) -> str:
    return parts[0] if len(parts) == 1 else f"{', '.join(parts[:-1])} and {parts[-1]}"


@takes(present=Blade, trial=Blade, conditions=Conditions, keys=[str])
def scorecard(
    present: Blade,
    trial: Blade,
    conditions: Conditions,
    keys: Sequence[str] = tuple(QUANTITIES),
    n: int = 100,
) -> Scorecard:
    """Compare two blades in every term and moment, each number with its band.

    Parameters
    ----------
    present, trial : Blade
    conditions : Conditions
    keys : sequence of str
        Quantities, of `QUANTITIES`.
    n : int
        Draws behind the bands, at least 8.

    Returns
    -------
    Scorecard

    Raises
    ------
    ValueError
        If a key is unknown, a blade holds arrays, or `n` is out of range.

    Examples
    --------
    >>> from bladelab import Blade, Conditions, Hollow, Rocker
    >>> present, trial = (Blade(Rocker.single(r, 280.0), Hollow(12.7, 3.0)) for r in (3048.0, 3352.8))
    >>> [line.quantity.key for line in scorecard(present, trial, Conditions(75.0), ["bite"], n=20).lines][:1]
    ['bite']
    """
    keys, n = tuple(keys), int(number("n", n, "draws", 8, 100_000))
    if not keys:
        raise InputError("keys is empty; it must name at least one quantity")
    for name, blade in (("present", present), ("trial", trial)):
        if shape := blade.hollow.shape:
            raise InputError(
                f"the {name} blade's hollow holds an array of shape {shape}; it must be one hollow"
            )
    (now, before, _, here), (then, after, another_day, there) = _of_days(
        [(blade, conditions, keys, n) for blade in (present, trial)]
    )
    rows = (np.stack([lot[key] for key in keys], axis=-2) for lot in (now, then, before, after, another_day))
    bands = bands_of_both(*rows)
    lines = []
    for i, moment in enumerate(conditions.moments):
        for k, key in enumerate(keys):
            both = difference_at(bands, (k, i), SMALLEST_PITCH_DEG if key == "pitch" else 0.0)
            if np.isfinite([both.present.value, both.trial.value]).all():
                over = OverIces(here[key][..., i], there[key][..., i]) if key == "friction" else None
                lines.append(Line(moment, QUANTITIES[key], both, over))
    return Scorecard(present, trial, conditions, tuple(lines))


def _of_one_day_and_another(cases: Sequence[_Case]) -> list[tuple[dict[str, Array], ...]]:
    _, conditions, keys, n = cases[0]  # the same for all
    return evaluate_and_draw_all([(blade, (1, 2)) for blade, *_ in cases], conditions, keys, n, True)


_of_days = Remembering(_of_one_day_and_another, kept=16)  # a slider mostly moves one blade of two
