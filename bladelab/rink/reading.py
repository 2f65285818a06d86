"""What was written down at the rink, from a CSV file or typed in: craters, glide-outs, timed runs."""

from __future__ import annotations

import math
import os
import re
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from bladelab._cells import csv_table, number_of
from bladelab._errors import InputError
from bladelab._files import Kind, quoted
from bladelab._tables import Record, Table, read_table
from bladelab.rink.order import order_of_runs
from bladelab.rink.session import TimedSession
from bladelab.units import MM_PER_FOOT

RINK_FILE = Kind("readings from the rink", 2_000_000, 20_000)
#: How a missed mark or a missing run is written.
MISSED = ("", "-", "–", "—", "x", "?")
_ARROWS = {">": 1, "→": 1, "<": -1, "←": -1}
_WAYS = {**_ARROWS, "1": 1, "+1": 1, "-1": -1, "−1": -1}
_FEET_TO_M = MM_PER_FOOT / 1000


@dataclass(frozen=True)
class GlideTimes:
    """Glide-outs as written down, in plain tuples; `fit_glide_out` takes them.

    Attributes
    ----------
    distance_m : tuple of float
        The marks.
    time_s : tuple of tuple of float
        For each run, NaN for a missed mark.
    direction : tuple of int
        1 or -1 for each run.
    blade : tuple of int
        0 or 1 for each run.
    blades : tuple of str
        What the blades are called.
    """

    distance_m: tuple[float, ...]
    time_s: tuple[tuple[float, ...], ...]
    direction: tuple[int, ...]
    blade: tuple[int, ...]
    blades: tuple[str, ...] = ("A",)


def numbers_of_text(name: str, text: str, largest: float) -> tuple[float, ...]:
    """Read numbers with spaces, semicolons or line breaks between them: ``"9,7 9,9 9,6"``.

    Raises
    ------
    InputError
        If there is none, or something is not a number.

    Examples
    --------
    >>> numbers_of_text("crater", "9.7 9.9; 9,6", 100.0)
    (9.7, 9.9, 9.6)
    """
    cells = [cell for cell in re.split(r"[;\s]+", text.strip()) if cell]
    if not cells:
        raise InputError(f"{name}: nothing is written; there must be at least one number")
    return tuple(_number(name, cell.rstrip(","), largest) for cell in cells)


def read_craters(path: str | os.PathLike[str]) -> tuple[float, ...]:
    """Read the diameters of craters, mm, from a CSV file with a column ``crater_mm``."""
    table, columns = _table(path, {"crater_mm"}, set())
    return tuple(table.numbers({"crater_mm": (columns["crater_mm"], 100.0)})["crater_mm"].tolist())


def read_glide_times(path: str | os.PathLike[str], frames_per_s: float | None = None) -> GlideTimes:
    """Read glide-outs from a CSV file, a row for each mark of each run.

    Parameters
    ----------
    path : path
        Columns ``run``; ``distance_m`` or ``distance_ft``; ``time_s`` or ``frame``; and, where they apply,
        ``direction`` (1 or -1) and ``blade``.
    frames_per_s : float, optional
        Of the video, for a file with frames.

    Raises
    ------
    InputError
        With the line, for what can't be read.
    """
    table, columns = _table(path, {"run"}, {"direction", "blade", *_DISTANCES, *_TIMES})
    distance, time = (_one_of(columns, names) for names in (_DISTANCES, _TIMES))
    if time == "frame" and not frames_per_s:
        raise InputError("the file has frames; the number of frames a second must be given")
    of_second = (frames_per_s or 1.0) if time == "frame" else 1.0
    of_metre = 1.0 if distance == "distance_m" else 1 / _FEET_TO_M
    blades: list[str] = []
    runs: dict[str, dict[float, float]] = {}
    told: dict[str, tuple[int, int]] = {}
    for row in table.rows:
        run = _cell(row, columns["run"])
        where = _number(f"line {row.line}: {distance}", _cell(row, columns[distance]), 2000.0) / of_metre
        cell = _cell(row, columns[time])
        when = math.nan
        if cell.lower() not in MISSED:
            when = _number(f"line {row.line}: {time}", cell, 1e7) / of_second
        blade = _cell(row, columns["blade"]) if "blade" in columns else ""
        if (blade or "A") not in blades:
            blades.append(blade or "A")
        way = _way(f"line {row.line}", _cell(row, columns["direction"])) if "direction" in columns else 1
        about = (way, blades.index(blade or "A"))
        if told.setdefault(run, about) != about:
            raise InputError(f"line {row.line}: run {run} has two directions or blades; it must have one")
        if where in runs.setdefault(run, {}):
            raise InputError(
                f"line {row.line}: run {run} passes the mark at {_cell(row, columns[distance])} twice; it "
                "must pass a mark once"
            )
        runs[run][where] = when
    marks = tuple(sorted({where for run in runs.values() for where in run}))
    return _glide_times(
        marks,
        [tuple(run.get(mark, math.nan) for mark in marks) for run in runs.values()],
        [told[run] for run in runs],
        blades,
    )


def glide_times_of_text(marks: str, lines: str, of_metre: float = 1.0, of_second: float = 1.0) -> GlideTimes:
    """Read glide-outs typed in: the marks, and a line for each run.

    Parameters
    ----------
    marks : str
        ``"0 5 10 15 20"``.
    lines : str
        A line for each run: ``>`` or ``<`` for the direction, a letter for the blade (may be left out), and
        the times, ``-`` for a missed mark: ``"> A 0 1.71 3.53 - 7.66"``.
    of_metre, of_second : float
        How many of the units written are a metre, and a second (for frames of a video).

    Examples
    --------
    >>> found = glide_times_of_text("0 5 10", "> 0 1.7 3.5\\n< 0 1.8 -")
    >>> found.direction, found.time_s[0]
    ((1, -1), (0.0, 1.7, 3.5))
    """
    where = tuple(mark / of_metre for mark in numbers_of_text("marks", marks, 5000.0))
    times, told, blades = [], [], list[str]()
    for at, line in enumerate((line for line in lines.splitlines() if line.strip()), start=1):
        cells = line.replace(";", " ").split()
        way = 1
        if cells[0] in _ARROWS:
            way = _ARROWS[cells.pop(0)]
        blade = cells.pop(0) if cells and cells[0].isalpha() and cells[0].lower() not in MISSED else "A"
        if len(cells) != len(where):
            raise InputError(
                f"run {at} has {len(cells)} times; there must be one for each of the {len(where)} marks, - "
                "for a missed one"
            )
        if blade not in blades:
            blades.append(blade)
        told.append((way, blades.index(blade)))
        times.append(
            tuple(
                math.nan
                if cell.lower() in MISSED
                else _number(f"run {at}", cell.rstrip(","), 1e7) / of_second
                for cell in cells
            )
        )
    return _glide_times(where, times, told, blades)


def _glide_times(
    marks: tuple[float, ...],
    times: Sequence[tuple[float, ...]],
    told: Sequence[tuple[int, int]],
    blades: Sequence[str],
) -> GlideTimes:
    if not times:
        raise InputError("there is no run; there must be at least one, and two in both directions are better")
    if len(blades) > 2:
        raise InputError(f"the runs are on {len(blades)} blades, {', '.join(blades)}; at most 2 are compared")
    # The first blade by name is the one that the other is compared with.
    order = sorted(blades)
    places = {old: order.index(name) for old, name in enumerate(blades)}
    return GlideTimes(
        marks,
        tuple(times),
        tuple(way for way, _ in told),
        tuple(places[blade] for _, blade in told),
        tuple(order),
    )


def read_session(path: str | os.PathLike[str]) -> TimedSession:
    """Read a timed session from a CSV file with the columns ``blade`` (A or B), ``time_s`` and, where more
    runs than two belong together, ``block``.

    Raises
    ------
    InputError
        With the line, for what can't be read, or if the runs are of no design.
    """
    table, columns = _table(path, {"blade", "time_s"}, {"run", "block"})
    blades, times, blocks = [], [], list[str]()
    for row in table.rows:
        blade = _cell(row, columns["blade"]).upper()
        if blade not in ("A", "B"):
            raise InputError(f"line {row.line}: blade is {quoted(blade)}; it must be A or B")
        blades.append(blade)
        cell = _cell(row, columns["time_s"])
        missing = cell.lower() in MISSED
        times.append(math.nan if missing else _number(f"line {row.line}: time_s", cell, 1e4))
        blocks.append(_cell(row, columns["block"]) if "block" in columns else "")
    size = blocks.count(blocks[0]) if blocks[0] else 0
    return TimedSession(order_of_runs("".join(blades), size), np.array(times))


def session_as_csv(session: TimedSession) -> bytes:
    """Write a timed session as a CSV file that `read_session` reads."""
    size = len(session.order.blocks[0])
    rows = [
        (run + 1, run // size + 1, blade, "x" if np.isnan(time) else f"{time:.3f}".rstrip("0"))
        for run, (blade, time) in enumerate(zip(session.order.runs, session.time_s, strict=True))
    ]
    return csv_table(("run", "block", "blade", "time_s"), rows, (f"order: {session.order.design}",))


_DISTANCES, _TIMES = ("distance_m", "distance_ft"), ("time_s", "frame")


def _table(path: str | os.PathLike[str], needed: set[str], more: set[str]) -> tuple[Table, dict[str, int]]:
    table = read_table(path, RINK_FILE, lambda name: name.lower() in needed | more)
    columns = {name.lower(): at for at, name in enumerate(table.header.names)}
    if missing := sorted(needed - set(columns)):
        raise InputError(f"the file has no column {missing[0]}; it must have {', '.join(sorted(needed))}")
    if not table.rows:
        raise InputError("the file has no rows; it must have at least one")
    return table, columns


def _one_of(columns: dict[str, int], names: tuple[str, ...]) -> str:
    there = [name for name in names if name in columns]
    if len(there) != 1:
        raise InputError(f"the file has {len(there)} of the columns {' and '.join(names)}; it must have one")
    return there[0]


def _cell(row: Record, at: int) -> str:
    return row.cells[at].strip() if at < len(row.cells) else ""


def _way(place: str, cell: str) -> int:
    if cell not in _WAYS:
        raise InputError(f"{place}: direction is {quoted(cell)}; it must be 1 or -1")
    return _WAYS[cell]


def _number(name: str, cell: str, largest: float) -> float:
    try:
        # Readings have a decimal sign or none; nobody writes thousands of mm or s.
        return number_of(cell.replace(",", "."), ".", largest)
    except InputError as problem:
        raise InputError(f"{name} {problem}") from None
