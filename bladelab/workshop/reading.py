"""Read a measured edge from a file: carefully, with a sentence for whatever is wrong with it."""

from __future__ import annotations

import os
import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from types import MappingProxyType

import numpy as np

from bladelab._cells import csv_table
from bladelab._checks import number, takes
from bladelab._errors import InputError
from bladelab._files import TRACE, about, quoted, write_whole
from bladelab._tables import Table, read_table
from bladelab._types import Array
from bladelab.workshop.gauge import GaugeReadings
from bladelab.workshop.trace import LEAST_POINTS, Trace

_MM = {"mm": 1.0, "cm": 10.0, "um": 0.001, "µm": 0.001, "in": 25.4}
_COLUMN = re.compile(
    r"(position|height|versine|chord)([ _]from[ _](?:heel|middle))?(?:[ _]*[\[(]?(mm|cm|[uµ]m|in)[\])]?)?"
)
_SPAN_MM = (30.0, 500.0)
_RADIUS_MM = (500.0, 60_000.0)
#: The largest number that a column can hold, mm.
_LARGEST_MM = {"position": 600.0, "height": 600.0, "versine": 100.0, "chord": 600.0}
# No runner reaches so far from its middle; and readings that begin farther from 0 don't begin at the heel.
_BEYOND_THE_MIDDLE_MM = 180.0
_AT_THE_HEEL_MM = 30.0


@dataclass(frozen=True)
class MeasuredEdge:
    """What was read from a file.

    Attributes
    ----------
    edge : Trace or GaugeReadings
    notes : tuple of str
        Sentences for the reader on how the file was understood.
    """

    edge: Trace | GaugeReadings
    notes: tuple[str, ...] = ()


def read_trace(
    path: str | os.PathLike[str],
    unit: str | None = None,
    chord_mm: float | None = None,
    error_mm: float | None = None,
    longest_gap_mm: float = 25.0,
) -> Trace | GaugeReadings:
    """Read an edge that was measured, from a CSV file; nothing is ever written.

    The file: text as spreadsheets save it, with commas, semicolons or tabs between the columns and decimal
    points or commas; lines that start with ``#`` are notes. The first other line names the columns, in any
    order, with their unit (mm, cm, um or in): ``position_mm`` and ``height_mm`` for heights along the edge,
    or ``position_mm`` and ``versine_mm``, with a column ``chord_mm`` or the argument, for a gauge with two
    feet and a plunger. Further columns are left alone. Positions rise from heel to toe. They count from the
    middle of the runner, or from the heel: then they never fall below 0 and reach farther than 180 mm, or
    their column is called ``position_from_heel_mm`` (or ``position_from_middle_mm``, for readings of the
    front half only). The middle is then taken halfway between the first reading and the last.

    Parameters
    ----------
    path : str or path
    unit : {"mm", "cm", "um", "in"}, optional
        Unit of the columns whose name states none.
    chord_mm : float, optional
        Distance of the gauge's feet, mm, if the file has no column for it.
    error_mm : float, optional
        Standard error of one reading, mm, if known.
    longest_gap_mm : float
        Longest stretch without a reading that is accepted, mm.

    Returns
    -------
    Trace or GaugeReadings

    Raises
    ------
    InputError
        With the file's name, the line where there is one, what is wrong and what to do: no such file, over 10
        MB or 200,000 lines, not text or not UTF-8, columns missing or without a unit, empty or wrong cells,
        numbers or positions that could mean two things, positions that repeat or fall, gaps, too few points,
        or numbers that no runner has in the units stated (swapped columns or units).

    Examples
    --------
    >>> from bladelab._data import data_file
    >>> trace = read_trace(data_file("demo/left_edge.csv"))  # invented
    >>> trace.length_mm > 200
    True
    """
    return read_edge(path, unit, chord_mm, error_mm, longest_gap_mm).edge


def read_edge(
    path: str | os.PathLike[str],
    unit: str | None = None,
    chord_mm: float | None = None,
    error_mm: float | None = None,
    longest_gap_mm: float = 25.0,
) -> MeasuredEdge:
    """Read an edge as `read_trace` does, and say how the file was understood."""
    table = read_table(path, TRACE, lambda name: bool(_COLUMN.fullmatch(name.lower())))
    with about(path):
        columns, since = _columns(table.header.names)
        scale = {name: _unit_of(name, stated, unit) for name, (_, stated) in columns.items()}
        read = table.numbers(
            {name: (where, _LARGEST_MM[name] / scale[name]) for name, (where, _) in columns.items()}
        )
        values = {name: numbers * scale[name] for name, numbers in read.items()}
        longest = number("longest_gap_mm", longest_gap_mm, "mm", 0.0, low_open=True)
        _check_positions(values["position"], table, longest)
        if "height" in values:
            trace = _heights(values, error_mm)
            place, notes = _from_the_middle(values["position"], since)
            return MeasuredEdge(replace(trace, x_mm=place), notes)
        readings = _versines(values, chord_mm, error_mm, table)
        place, notes = _from_the_middle(values["position"], since)
        return MeasuredEdge(replace(readings, position_mm=place), notes)


def _columns(header: tuple[str, ...]) -> tuple[dict[str, tuple[int, str | None]], str]:
    """The known columns (place in the row, unit stated), and what the positions are said to count from."""
    columns: dict[str, tuple[int, str | None]] = {}
    since = ""
    for where, cell in enumerate(header):
        match = _COLUMN.fullmatch(cell.lower())
        if not match or (match[2] and match[1] != "position"):
            continue
        if match[1] in columns:
            raise InputError(f"there are two columns of {match[1]}s; delete one of them")
        columns[match[1]] = where, match[3]
        since = (match[2] or since)[-6:].lstrip("_ ")
    if "position" not in columns or ("height" in columns) == ("versine" in columns):
        raise InputError(
            f"the columns are {quoted(', '.join(header))}; there must be position_mm and either height_mm or "
            "versine_mm (units mm, cm, um or in)"
        )
    return columns, since


def _unit_of(name: str, stated: str | None, chosen: str | None) -> float:
    if stated is None and chosen is None:
        raise InputError(f"the column {name} has no unit; name it {name}_mm, _cm, _um or _in")
    unit = stated or chosen
    if unit not in _MM:
        raise InputError(f"unit is {quoted(unit)}; it must be mm, cm, um or in")
    return _MM[unit]


def _from_the_middle(place: Array, since: str) -> tuple[Array, tuple[str, ...]]:
    """Return positions counted from the middle of the runner, and what is to be said of it."""
    if since == "middle" or not len(place) or (not since and place[0] < 0):
        return place, ()
    if not since and place[-1] <= _BEYOND_THE_MIDDLE_MM:
        if place[0] >= _AT_THE_HEEL_MM or len(place) < 2:
            return place, ()
        raise InputError(
            f"the positions run from {place[0]:g} to {place[-1]:g} mm; they may count from the heel or "
            "from the middle: name the column position_from_heel_mm or position_from_middle_mm"
        )
    middle = float(place[0] + place[-1]) / 2
    return place - middle, (
        f"The positions, {place[0]:g} to {place[-1]:g} mm, are taken as counted from the heel; the middle "
        f"of the runner is assumed to be halfway, at {middle:g} mm.",
    )


def _check_positions(place: Array, table: Table, longest_gap: float) -> None:
    step = np.diff(place)
    if (step <= 0).any():
        i = int(np.argmax(step <= 0))
        if step[i] == 0:
            raise InputError(
                f"position {place[i]:g} mm is on lines {table.place(i)} and {table.place(i + 1)}; keep one "
                "of them, or their average"
            )
        turned = " (they fall throughout: reverse the order of the lines)" if (step < 0).all() else ""
        raise InputError(
            f"on line {table.place(i + 1)} position {place[i + 1]:g} mm comes after {place[i]:g} mm; sort "
            f"the lines from heel to toe{turned}"
        )
    if len(step) and step.max() > longest_gap:
        i = int(np.argmax(step))
        raise InputError(
            f"there is no reading between {place[i]:g} and {place[i + 1]:g} mm (lines {table.place(i)} and "
            f"{table.place(i + 1)}), {step[i]:g} mm; at most {longest_gap:g} mm is accepted: measure the "
            "gap, or check the unit of the positions"
        )


def _heights(values: dict[str, Array], error_mm: float | None) -> Trace:
    place, height = values["position"], values["height"]
    if len(place) < LEAST_POINTS:
        raise InputError(f"there are {len(place)} points; a trace needs at least {LEAST_POINTS}")
    span, rise = np.ptp(place), np.ptp(height)
    if rise > span:
        raise InputError(
            f"the heights span {rise:g} mm, the positions only {span:g} mm; are the two columns swapped?"
        )
    _check_span(span)
    terms = np.polynomial.polynomial.polyfit(place - place.mean(), height, 2)
    if terms[2] <= 0:
        raise InputError(
            "the heights are greatest in the middle; they must be lowest there, and rise toward heel and "
            "toe: change their sign"
        )
    _check_radius((1 + terms[1] ** 2) ** 1.5 / (2 * terms[2]), "heights")
    return Trace(place, height, error_mm)


def _versines(
    values: dict[str, Array], chord_mm: float | None, error_mm: float | None, table: Table
) -> GaugeReadings:
    if "chord" in values:
        if np.ptp(values["chord"]) > 1e-6:
            raise InputError(
                f"the chord changes from {values['chord'].min():g} to {values['chord'].max():g} mm; one file "
                "is for one gauge"
            )
        chord_mm = float(values["chord"][0]) if len(values["chord"]) else None
    if chord_mm is None:
        raise InputError("the gauge's chord is missing; add a column chord_mm: how far its feet are apart")
    if not len(table.rows):
        raise InputError("there is no reading in the file")
    zero = values["versine"] <= 0
    if zero.any():
        i = int(np.argmax(zero))
        raise InputError(
            f"line {table.place(i)}: the gauge reads {values['versine'][i]:g} mm; it must be above 0 mm: on "
            "a curved edge the plunger goes in"
        )
    readings = GaugeReadings(values["position"], values["versine"], chord_mm, error_mm)
    _check_span(float(np.ptp(readings.position_mm)) + chord_mm)
    _check_radius(float(np.median(readings.radius_mm)), "versines, or the chord,")
    return readings


def _check_span(span: float) -> None:
    if not _SPAN_MM[0] <= span <= _SPAN_MM[1]:
        raise InputError(
            f"the readings span {span:g} mm; a runner's are {_SPAN_MM[0]:g} to {_SPAN_MM[1]:g} mm: are the "
            "positions in the unit given?"
        )


def _check_radius(radius: float, what: str) -> None:
    if not _RADIUS_MM[0] <= radius <= _RADIUS_MM[1]:
        raise InputError(
            f"the radius would be {radius / 1000:.3g} m; a blade's is {_RADIUS_MM[0] / 1000:g} to "
            f"{_RADIUS_MM[1] / 1000:g} m: are the {what} in the unit given?"
        )


def trace_as_csv(trace: Trace, note: str = "", about: Mapping[str, str] = MappingProxyType({})) -> str:
    """Return a trace as the text of a CSV file that `read_trace` reads; each line of the note becomes a ``#``
    line. `about` are columns put before the others that say the same in every row.
    """
    rows = ((f"{x:.3f}", f"{y:.4f}") for x, y in zip(trace.x_mm, trace.y_mm, strict=True))
    return csv_table(("position_from_middle_mm", "height_mm"), rows, note.splitlines(), about).decode()


@takes(trace=Trace, path=(str, os.PathLike), note=str)
def save_trace(trace: Trace, path: str | os.PathLike[str], note: str = "") -> None:
    """Write a trace to a new CSV file, completely or not at all; an existing file is left alone.

    Raises
    ------
    InputError
        If the file exists already or can't be written.

    Examples
    --------
    >>> import tempfile
    >>> from pathlib import Path
    >>> from bladelab import Trace, read_trace
    >>> trace = Trace([-100.0, -50.0, 0.0, 50.0, 100.0], [1.6, 0.4, 0.0, 0.4, 1.6])
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     save_trace(trace, Path(folder) / "edge.csv")
    ...     again = read_trace(Path(folder) / "edge.csv", longest_gap_mm=60.0)
    >>> again.x_mm.tolist()
    [-100.0, -50.0, 0.0, 50.0, 100.0]
    """
    try:
        write_whole(Path(path), trace_as_csv(trace, note).encode("utf-8"))
    except FileExistsError as problem:
        raise InputError(str(problem)) from None
