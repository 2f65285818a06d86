"""Read a measured edge from a file: carefully, with a sentence for whatever is wrong with it."""

from __future__ import annotations

import csv
import io
import os
import re
from pathlib import Path

import numpy as np

from bladelab._checks import number
from bladelab._errors import InputError
from bladelab._files import TRACE, quoted, read_limited
from bladelab.workshop.gauge import GaugeReadings
from bladelab.workshop.trace import LEAST_POINTS, Array, Trace

_MM = {"mm": 1.0, "cm": 10.0, "um": 0.001, "in": 25.4}
_COLUMN = re.compile(r"(position|height|versine|chord)(?:[ _]*[\[(]?(mm|cm|um|in)[\])]?)?")
_SPAN_MM = (30.0, 500.0)
_RADIUS_MM = (500.0, 60_000.0)


def read_trace(
    path: str | os.PathLike[str],
    unit: str | None = None,
    chord_mm: float | None = None,
    error_mm: float | None = None,
    longest_gap_mm: float = 25.0,
) -> Trace | GaugeReadings:
    """Read an edge that was measured, from a CSV file; nothing is ever written.

    The file: UTF-8 text, commas between columns, decimal points; lines that start with ``#`` are notes. The
    first other line names the columns, in any order, with their unit (mm, cm, um or in): ``position_mm`` and
    ``height_mm`` for heights along the edge, or ``position_mm`` and ``versine_mm``, with a column
    ``chord_mm`` or the argument, for a gauge with two feet and a plunger. Further columns are left alone.
    Positions rise from heel to toe.

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
    ValueError
        With the file's name, the line where there is one, what is wrong and what to do: no such file, over 20
        MB, not text or not UTF-8, columns missing or without a unit, decimal commas, empty or wrong cells,
        positions that repeat or fall, gaps, too few points, or numbers that no runner has in the units stated
        (swapped columns or units).
    """
    data = read_limited(path, TRACE)
    try:
        rows, columns, lines = _table(_text(data))
        scale = {name: _unit_of(name, stated, unit) for name, (_, stated) in columns.items()}
        values = {
            name: np.array([_value(row, where, name, line) for row, line in zip(rows, lines, strict=True)])
            * scale[name]
            for name, (where, _) in columns.items()
        }
        longest = number("longest_gap_mm", longest_gap_mm, "mm", 0.0, low_open=True)
        _check_positions(values["position"], lines, longest)
        if "height" in values:
            return _heights(values, error_mm)
        return _versines(values, chord_mm, error_mm, lines)
    except (InputError, csv.Error) as error:
        raise InputError(f"{Path(path).name}: {error}") from None


def _text(data: bytes) -> str:
    if data[:2] in (b"\xff\xfe", b"\xfe\xff") or b"\x00" in data:
        raise InputError("this is not plain UTF-8 text (UTF-16, or no text at all); save it as 'CSV UTF-8'")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        raise InputError(
            f"line {line} holds a character that is not UTF-8 (byte {data[error.start]:#x}); save the file "
            "as 'CSV UTF-8'"
        ) from None


def _table(text: str) -> tuple[list[list[str]], dict[str, tuple[int, str | None]], list[int]]:
    """Rows of cells, the known columns (place in the row, unit stated) and the rows' line numbers."""
    rows, lines = [], []
    for line, row in enumerate(csv.reader(io.StringIO(text)), start=1):
        if row and any(cell.strip() for cell in row) and not row[0].lstrip().startswith("#"):
            rows.append([cell.strip() for cell in row])
            lines.append(line)
    if not rows:
        raise InputError("the file is empty")
    header = rows[0]
    if len(header) == 1 and (";" in header[0] or "\t" in header[0]):
        mark = "semicolons" if ";" in header[0] else "tabs"
        raise InputError(
            f"line {lines[0]} has {mark} between the columns; use commas between columns and points for "
            "decimals"
        )
    columns: dict[str, tuple[int, str | None]] = {}
    for where, cell in enumerate(header):
        if match := _COLUMN.fullmatch(cell.lower()):
            if match[1] in columns:
                raise InputError(f"the column {match[1]} stands there twice")
            columns[match[1]] = where, match[2]
    if "position" not in columns or ("height" in columns) == ("versine" in columns):
        raise InputError(
            f"the columns are {quoted(', '.join(header))}; there must be position_mm and either height_mm or "
            "versine_mm (units mm, cm, um or in)"
        )
    for row, line in zip(rows[1:], lines[1:], strict=True):
        if len(row) > len(header):
            raise InputError(
                f"line {line} has {len(row)} cells, the header {len(header)}; are there decimal commas? "
                "Numbers need a decimal point"
            )
    return rows[1:], columns, lines[1:]


def _unit_of(name: str, stated: str | None, chosen: str | None) -> float:
    if stated is None and chosen is None:
        raise InputError(
            f"the column {name} states no unit; name it {name}_mm, _cm, _um or _in, or choose the unit"
        )
    unit = stated or chosen
    if unit not in _MM:
        raise InputError(f"unit is {unit!r}; it must be mm, cm, um or in")
    return _MM[unit]


def _value(row: list[str], where: int, name: str, line: int) -> float:
    cell = row[where] if where < len(row) else ""
    if not cell:
        raise InputError(f"line {line} has no {name}; fill the cell, or take the line out")
    try:
        value = float(cell)
    except ValueError:
        if re.fullmatch(r"[+-]?\d+,\d+", cell):
            raise InputError(
                f"line {line}: {name} is {cell!r}, with a decimal comma; numbers need a decimal point"
            ) from None
        raise InputError(f"line {line}: {name} is {cell[:40]!r}; it must be a number") from None
    if not np.isfinite(value):
        raise InputError(f"line {line}: {name} is {cell!r}; it must be a finite number: take the line out")
    return value


def _check_positions(place: Array, lines: list[int], longest_gap: float) -> None:
    step = np.diff(place)
    if (step <= 0).any():
        i = int(np.argmax(step <= 0))
        if step[i] == 0:
            raise InputError(
                f"position {place[i]:g} mm stands on lines {lines[i]} and {lines[i + 1]}; keep one of them, "
                "or their mean"
            )
        turned = " (they fall throughout: turn the order of the lines round)" if (step < 0).all() else ""
        raise InputError(
            f"on line {lines[i + 1]} position {place[i + 1]:g} mm comes after {place[i]:g} mm; sort the "
            f"lines from heel to toe{turned}"
        )
    if len(step) and step.max() > longest_gap:
        i = int(np.argmax(step))
        raise InputError(
            f"there is no reading between {place[i]:g} and {place[i + 1]:g} mm (lines {lines[i]} and "
            f"{lines[i + 1]}), {step[i]:g} mm; at most "
            f"{longest_gap:g} mm is accepted: measure the gap, or check the unit of the positions"
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
            "toe: turn their sign"
        )
    _check_radius((1 + terms[1] ** 2) ** 1.5 / (2 * terms[2]), "heights")
    return Trace(place, height, error_mm)


def _versines(
    values: dict[str, Array], chord_mm: float | None, error_mm: float | None, lines: list[int]
) -> GaugeReadings:
    if "chord" in values:
        if np.ptp(values["chord"]) > 1e-6:
            raise InputError(
                f"the chord changes from {values['chord'].min():g} to {values['chord'].max():g} mm; one file "
                "is for one gauge"
            )
        chord_mm = float(values["chord"][0]) if len(values["chord"]) else None
    if chord_mm is None:
        raise InputError("the gauge's chord is not stated; add a column chord_mm, or give chord_mm")
    if not len(lines):
        raise InputError("there is no reading in the file")
    zero = values["versine"] <= 0
    if zero.any():
        i = int(np.argmax(zero))
        raise InputError(
            f"line {lines[i]}: the gauge reads {values['versine'][i]:g} mm; it must be above 0 mm: on a "
            "curved edge the plunger goes in"
        )
    readings = GaugeReadings(values["position"], values["versine"], chord_mm, error_mm)
    _check_span(float(np.ptp(readings.position_mm)) + chord_mm)
    _check_radius(float(np.median(readings.radius_mm)), "versines, or the chord,")
    return readings


def _check_span(span: float) -> None:
    if not _SPAN_MM[0] <= span <= _SPAN_MM[1]:
        raise InputError(
            f"the readings span {span:g} mm; a runner's are {_SPAN_MM[0]:g} to {_SPAN_MM[1]:g} mm: are the "
            "positions in the unit stated?"
        )


def _check_radius(radius: float, what: str) -> None:
    if not _RADIUS_MM[0] <= radius <= _RADIUS_MM[1]:
        raise InputError(
            f"the radius would be {radius / 1000:.3g} m; a blade's is {_RADIUS_MM[0] / 1000:g} to "
            f"{_RADIUS_MM[1] / 1000:g} m: are the "
            f"{what} in the unit stated?"
        )


def trace_as_csv(trace: Trace, note: str = "") -> str:
    """Return a trace as the text of a CSV file that `read_trace` reads; each line of the note becomes a ``#``
    line.
    """
    text = "".join(f"# {line}\n" for line in note.splitlines()) + "position_mm,height_mm\n"
    return text + "".join(f"{x:.3f},{y:.4f}\n" for x, y in zip(trace.x_mm, trace.y_mm, strict=True))


def save_trace(trace: Trace, path: str | os.PathLike[str], note: str = "") -> None:
    """Write a trace to a new CSV file; an existing file is left alone.

    Raises
    ------
    ValueError
        If the file exists already.
    """
    file = Path(path)
    try:
        with file.open("x", encoding="utf-8", newline="") as out:
            out.write(trace_as_csv(trace, note))
    except FileExistsError:
        raise InputError(f"{file.name} is there already; choose another name") from None
