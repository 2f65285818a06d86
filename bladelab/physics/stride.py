"""A stride: one foot from touchdown to toe-off, as an array of stances."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np

from bladelab._checks import keep_numbers, number
from bladelab._data import data_file
from bladelab._errors import InputError
from bladelab._files import STRIDE, about
from bladelab._tables import read_table
from bladelab._types import OneOrMany
from bladelab._values import by_value
from bladelab.physics.ice import GRAVITY_M_S2
from bladelab.physics.stance import Stance

STRIDE_FILE = data_file("demo/stride.csv")
STRIDE_COLUMNS = ("time_s", "load_share", "position_mm", "lean_deg")
_RANGES = {
    "time_s": ("s", 0.0, 60.0),
    "load_share": ("", 0.01, 5.0),
    "position_mm": ("mm", -200.0, 200.0),
    "lean_deg": ("deg", 0.0, 75.0),
}


@by_value
@dataclass(frozen=True, eq=False)
class Stride:
    """Load, its place and the lean against time, on one foot.

    Parameters
    ----------
    time_s : (n,) array
        Rising, s, 0 to 60; at least two moments.
    load_share : (n,) array
        Vertical load on the blade as a share of the skater's weight, 0.01 to 5.
    position_mm : (n,) array
        Where the load sits along the runner, mm from mid-length, toe positive, -200 to 200.
    lean_deg : (n,) array
        Lean of the blade, degrees, 0 to 75.

    Raises
    ------
    ValueError
        If the arrays differ in length, the times do not rise, or a number is out of range.

    Examples
    --------
    >>> stride = Stride([0.0, 0.2, 0.4], [0.8, 1.3, 0.5], [0.0, 10.0, 40.0], [5.0, 25.0, 40.0])
    >>> stride.at_times(5).lean_deg.tolist()
    [5.0, 15.0, 25.0, 32.5, 40.0]
    """

    time_s: OneOrMany
    load_share: OneOrMany
    position_mm: OneOrMany
    lean_deg: OneOrMany

    def __post_init__(self) -> None:
        keep_numbers(self, "stride ", **_RANGES)
        lengths = {name: np.shape(getattr(self, name)) for name in STRIDE_COLUMNS}
        if len(set(lengths.values())) > 1 or len(lengths["time_s"]) != 1 or lengths["time_s"][0] < 2:
            raise InputError(
                f"the columns of a stride have shapes {lengths}; they must be equally long, at least 2"
            )
        if (drop := np.nonzero(np.diff(self.time_s) <= 0)[0]).size:
            late, early = self.time_s[drop[0]], self.time_s[drop[0] + 1]
            raise InputError(f"stride time_s goes from {late:g} s to {early:g} s; it must rise")

    def stance(self, mass_kg: float) -> Stance:
        """Return the stances, (n,), of a skater of this mass, kg, above 0 and at most 200."""
        mass = number("mass_kg", mass_kg, "kg", 0.0, 200.0, low_open=True)
        return Stance(self.load_share * mass * GRAVITY_M_S2, self.position_mm, self.lean_deg)

    def at_times(self, count: int) -> Stride:
        """Return the stride at `count` equally spaced times, at least 2; straight between the given ones."""
        time = np.linspace(self.time_s[0], self.time_s[-1], int(number("count", count, "times", 2, 100_000)))
        return Stride(
            time, *(np.interp(time, self.time_s, getattr(self, name)) for name in STRIDE_COLUMNS[1:])
        )


def read_stride(path: str | Path = STRIDE_FILE) -> Stride:
    """Read a stride from a CSV file, as spreadsheets write it.

    Parameters
    ----------
    path : path
        With the columns time_s, load_share, position_mm, lean_deg, in any order; lines that start with # are
        comments. By default the stride that comes with bladelab: our own assumption, not a measurement.
        Copy the file to edit it.

    Returns
    -------
    Stride

    Raises
    ------
    InputError
        If the file can't be read, a column is missing, or a value is not a number or is out of range; names
        the line and the column.

    Examples
    --------
    >>> stride = read_stride()
    >>> float(stride.time_s[0])
    0.0
    """
    table = read_table(path, STRIDE, lambda name: name.lower() in STRIDE_COLUMNS)
    names = [name.lower() for name in table.header.names]
    with about(path):
        if missing := [name for name in STRIDE_COLUMNS if names.count(name) != 1]:
            raise InputError(
                f"there must be one column each of {', '.join(STRIDE_COLUMNS)}; see {', '.join(missing)}"
            )
        columns = table.numbers({name: (names.index(name), _RANGES[name][2]) for name in STRIDE_COLUMNS})
        for name, values in columns.items():
            unit, low, high = _RANGES[name]
            for row, value in enumerate(values):
                try:
                    number(name, value, unit, low, high)
                except InputError as problem:
                    raise InputError(f"line {table.place(row)}: {problem}") from None
        return Stride(**columns)
