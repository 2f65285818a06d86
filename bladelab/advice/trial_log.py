"""Trials: a log on disk of what was skated and how it was rated; a crash loses nothing, damage is left in
place.

One trial is one line of a CSV file in UTF-8. A new trial is added while no other process writes, and flushed
to the disk before it is reported as saved; if the disk is full, nothing of it is left. A line is
taken out only whole and on request: all others stay byte for byte as they were, and one that is damaged or
was cut short is reported with its number. Skaters go by a code, never by a name.
"""

from __future__ import annotations

import codecs
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from bladelab._cells import csv_row
from bladelab._errors import InputError
from bladelab._files import TRIAL_LOG, about, as_path, open_regular, read_limited, sweep, write_whole, writing
from bladelab._locked import add_at, locked, nobody_writing
from bladelab._tables import LONGEST_LINE, Header, Record, header_of, lines_of, records
from bladelab.advice.trial import TRIAL_COLUMNS, TRIAL_DEFAULTS, Trial, trial_of_cells

_HEAD = csv_row(TRIAL_COLUMNS)
#: Put at the end of a line that a crash cut short. No line we write can end this way: a quotation mark would
#: be doubled.
_CUT_SHORT = b'" cut short'
_NUMBERS = ("blend_mm", "pivot_mm", "hollow_mm", "width_mm", "edge_radius_mm")
_LEFT = "It was left unchanged"


@dataclass(frozen=True)
class Damage:
    """A line of the log that can't be read as a trial.

    Attributes
    ----------
    line : int
        Number in the file, from 1.
    why : str
        A sentence.
    """

    line: int
    why: str

    def __str__(self) -> str:
        return f"line {self.line}: {self.why}"


@dataclass(frozen=True)
class Reading:
    """What a log holds.

    Attributes
    ----------
    trials : tuple of Trial
        In the order of the file.
    lines : tuple of int
        The line on which each begins.
    damage : tuple of Damage
        The lines that can't be read; they are left in place.
    """

    trials: tuple[Trial, ...]
    lines: tuple[int, ...]
    damage: tuple[Damage, ...]

    def of(self, skater: str) -> tuple[Trial, ...]:
        """Return one skater's trials, by date; those of one day in the order of the file."""
        return tuple(sorted((t for t in self.trials if t.skater == skater), key=lambda trial: trial.date))

    @property
    def skaters(self) -> tuple[str, ...]:
        """The codes in the log, sorted."""
        return tuple(sorted({trial.skater for trial in self.trials}))


class TrialLog:
    """A log of trials in a CSV file.

    Parameters
    ----------
    path : str or Path
        The file; it is made with the first trial appended.

    Notes
    -----
    Columns: see `TRIAL_COLUMNS` in `bladelab.advice.trial`. The user's own columns are kept and left
    empty in new rows. A log that a spreadsheet saved is read, and continued as it is: with its semicolons or
    tabs, and its columns in their order.

    Examples
    --------
    >>> import datetime, tempfile
    >>> from pathlib import Path
    >>> from bladelab import Blade, Hollow, Rocker, Trial
    >>> blade = Blade(Rocker.single(3048.0, 280.0), Hollow(12.7, 3.0))
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     log = TrialLog(Path(folder) / "trials.csv")
    ...     log.append(Trial(datetime.date(2026, 9, 1), "K07", blade))
    ...     trials = log.read().trials
    >>> len(trials)
    1
    """

    def __init__(self, path: str | Path) -> None:
        self.path = as_path(path)

    def __str__(self) -> str:
        return self.path.as_posix()

    def read(self) -> Reading:
        """Read every trial that can be read, and say what can't.

        Returns
        -------
        Reading
            Empty for a file that is not there yet or holds nothing.

        Raises
        ------
        InputError
            If the file as a whole is no log: too large, another encoding, other columns. It is left as it is.
        """
        data = self._data()
        if not _finished(data):
            with suppress(InputError, OSError), nobody_writing(self.path):  # as another may just now
                data = self._data()
        with about(self.path):
            found, damage = _read(data)
        return Reading(tuple(t for t, _ in found), tuple(r.line for _, r in found), tuple(damage))

    def append(self, trial: Trial) -> None:
        """Add a trial at the end of the file; when this returns, it is on the disk.

        Raises
        ------
        InputError
            If the file is no log (see `read`) or can't be written. It is left as it is.
        """
        with about(self.path), writing(), locked(self.path):
            sweep(self.path.parent)
            start, text = self._addition(trial)
            add_at(self.path, start, text)

    def take_back(self, trial: Trial) -> None:
        """Take the last line that holds exactly this trial out of the file; all others stay byte for byte.

        The file is replaced in one step: a crash leaves it with the line or without it.

        Raises
        ------
        InputError
            If no line holds it, or the file is no log (see `read`) or can't be written. It is left as it is.
        """
        with about(self.path), writing(), locked(self.path):
            data = self._data()
            places = [record for found, record in _read(data)[0] if found == trial]
            if not places:
                raise InputError(
                    f"it has no such trial of {trial.skater} on {trial.date}; it was left unchanged"
                )
            lines = data.splitlines(keepends=True)
            del lines[places[-1].line - 1 : places[-1].last]
            write_whole(self.path.resolve(), b"".join(lines), replace=True)

    def _data(self) -> bytes:
        return read_limited(self.path, TRIAL_LOG) if self.path.exists() else b""

    def _addition(self, trial: Trial) -> tuple[int, bytes]:
        """Where to write, and what, for a trial to be added; only the ends of the file are looked at."""
        if not self.path.exists():
            return 0, _HEAD + _row(trial, _OUR_HEADER)
        with open_regular(self.path, float("inf"), TRIAL_LOG) as file:
            first = file.read(2 * LONGEST_LINE)
            size = file.seek(0, 2)
            file.seek(max(0, size - 1))
            last = file.read(1)
        if _begun(first) and size == len(first):
            return 0, _HEAD + _row(trial, _OUR_HEADER)
        header, lines = _header(first), lines_of(first)
        row = _row(trial, header)
        if last in (b"\n", b"\r"):
            return size, row
        only_header = size == len(first) and len(lines) == header.line
        return size, (b"" if only_header else _CUT_SHORT) + b"\n" + row


_OUR_HEADER = Header(1, TRIAL_COLUMNS, ",")


def _finished(data: bytes) -> bool:
    return not data or data.endswith((b"\n", b"\r"))


def _begun(data: bytes) -> bool:
    """Whether a log is empty, or was cut short in its very first line."""
    return not data.strip() or (len(data) < len(_HEAD) - 1 and _HEAD.startswith(data))


def _header(data: bytes) -> Header:
    """Find the columns, and reject a file that is not a trial log."""
    if data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        raise InputError(f"this is not UTF-8 text (UTF-16, it seems); save it as 'CSV UTF-8'. {_LEFT}")
    try:
        header = header_of(lines_of(data), lambda name: name.lower() in TRIAL_COLUMNS)
    except InputError as problem:
        raise InputError(f"this is no trial log: {problem}. {_LEFT}") from None
    names = [name.lower() for name in header.names]
    needed = [column for column in TRIAL_COLUMNS if column not in TRIAL_DEFAULTS]
    if wrong := [c for c in TRIAL_COLUMNS if names.count(c) > 1 or (c in needed and c not in names)]:
        raise InputError(
            f"this is no trial log: its first line must name each of the columns {', '.join(needed)} "
            f"once; wrong are {', '.join(wrong)}. {_LEFT}"
        )
    ours = tuple(name.lower() if name.lower() in TRIAL_COLUMNS else name for name in header.names)
    return Header(header.line, ours, header.delimiter)


def _row(trial: Trial, header: Header) -> bytes:
    cells = trial.cells()
    for name, value in TRIAL_DEFAULTS.items():
        if name not in header.names and cells[name] != value:
            raise InputError(
                f"{name} is {cells[name]}, and this log has no such column; add one to its first line, "
                "or begin a new log"
            )
    if header.delimiter == ";":  # where semicolons part the columns, commas are decimal
        cells |= {column: cells[column].replace(".", ",") for column in _NUMBERS}
    return csv_row((cells.get(name, "") for name in header.names), header.delimiter)


def _read(data: bytes) -> tuple[list[tuple[Trial, Record]], list[Damage]]:
    found: list[tuple[Trial, Record]] = []
    damage: list[Damage] = []
    if _begun(data):
        return found, damage
    header, lines = _header(data), lines_of(data)
    unfinished = 0 if _finished(data) else len(lines)
    for record in records(lines, header.delimiter, len(header.names)):
        if record.line <= header.line:
            continue
        try:
            if record.last == unfinished:
                raise InputError(
                    "it has no line end, so it may have been cut short; if it is whole, put a line break "
                    "after it"
                )
            if lines[record.last - 1].endswith(_CUT_SHORT):
                raise InputError("it was cut short while it was written; complete it or delete it")
            found.append((_trial(record, header.names), record))
        except InputError as problem:
            damage.append(Damage(record.line, str(problem)))
    return found, damage


def _trial(record: Record, columns: Sequence[str]) -> Trial:
    if record.trouble:
        raise InputError(record.trouble)
    cells = record.cells
    if len(cells) < len(columns) or any(cells[len(columns) :]):
        raise InputError(f"it has {len(cells)} cells; the log has {len(columns)} columns")
    named = dict(zip(columns, cells, strict=False))
    if broken := [name for name, cell in named.items() if "\n" in cell and name in TRIAL_COLUMNS]:
        raise InputError(f"{broken[0]} holds a line break; a trial is on one line")
    return trial_of_cells(named)
