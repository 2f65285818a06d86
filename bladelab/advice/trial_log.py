"""Trials: a log on disk of what was skated and how it was rated; a crash loses nothing, damage is left in
place.

One trial is one line of a CSV file in UTF-8. A new trial is appended in one write that is forced to the disk
before anybody is told that it is saved. A line is taken out only whole and on request; the others stay byte
for byte as they were, a damaged one too, which is reported with its number. Skaters go by a code, never by a
name.
"""

from __future__ import annotations

import csv
import io
import os
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from bladelab._errors import InputError
from bladelab._files import TRIAL_LOG, read_limited, write_whole
from bladelab.advice.trial import COLUMNS, Trial, trial_of_cells

_LONGEST_LINE = 20_000


@dataclass(frozen=True)
class Damage:
    """A line of the log that can't be read as a trial.

    line : number in the file, from 1.
    why : a sentence.
    """

    line: int
    why: str

    def __str__(self) -> str:
        return f"line {self.line}: {self.why}"


@dataclass(frozen=True)
class Reading:
    """What stands in a log.

    trials : in the order of the file.
    lines : the line each stands on.
    damage : the lines that can't be read; they are left in place.
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
    Columns: see `COLUMNS` in `bladelab.advice.trial`. Columns of the reader's own are kept and left empty in
    new rows.
    """

    def __init__(self, path: str | Path) -> None:
        self.path = Path(path)

    def read(self) -> Reading:
        """Read every trial that can be read, and say what can't.

        Returns
        -------
        Reading
            Empty for a file that is not there yet or holds nothing.

        Raises
        ------
        ValueError
            If the file as a whole is no log: too large, another encoding, other columns. It is left as it is.
        """
        if self._blank():
            return Reading((), (), ())
        lines = read_limited(self.path, TRIAL_LOG).split(b"\n")
        columns = self._columns(lines[0])
        trials, places, damage = [], [], []
        for number, raw in enumerate(lines[1:], start=2):
            if not raw.strip(b"\r \t"):
                continue
            try:
                trials.append(_trial(raw, columns))
                places.append(number)
            except InputError as problem:
                damage.append(Damage(number, str(problem)))
        return Reading(tuple(trials), tuple(places), tuple(damage))

    def append(self, trial: Trial) -> None:
        """Add a trial at the end of the file; when this returns, it is on the disk.

        Raises
        ------
        ValueError
            If the file is no log (see `read`). It is left as it is.
        OSError
            If the file can't be written.
        """
        if self._blank():
            try:
                write_whole(self.path, _row(COLUMNS), replace=self.path.exists())
            except FileExistsError:
                pass  # another has made it meanwhile
        with open(self.path, "rb") as file:
            columns = self._columns(file.readline(_LONGEST_LINE))
            file.seek(-1, os.SEEK_END)
            ends_whole = file.read(1) == b"\n"
        cells = trial.cells()
        row = _row([cells.get(column, "") for column in columns])
        # A line that a crash cut short keeps its own line: the new trial starts on the next.
        text = row if ends_whole else b"\n" + row
        handle = os.open(self.path, os.O_WRONLY | os.O_APPEND | getattr(os, "O_BINARY", 0))
        try:
            while text:
                text = text[os.write(handle, text) :]
            os.fsync(handle)
        finally:
            os.close(handle)

    def take_back(self, trial: Trial) -> None:
        """Take the last line that holds exactly this trial out of the file; all others stay byte for byte.

        The file is replaced in one step: a crash leaves it with the line or without it.

        Raises
        ------
        ValueError
            If no line holds it, or the file is no log (see `read`). It is left as it is.
        OSError
            If the file can't be written.
        """
        lines = [] if self._blank() else read_limited(self.path, TRIAL_LOG).split(b"\n")
        columns = self._columns(lines[0]) if lines else []
        for i in range(len(lines) - 1, 0, -1):
            try:
                found = _trial(lines[i], columns)
            except InputError:
                continue
            if found == trial:
                write_whole(self.path, b"\n".join(lines[:i] + lines[i + 1 :]), replace=True)
                return
        raise InputError(
            f"{self.path.name} has no such trial of {trial.skater} on {trial.date}; it was left as it is"
        )

    def _blank(self) -> bool:
        """Whether there is no file yet, or one with nothing in it."""
        if not self.path.exists():
            return True
        return self.path.stat().st_size < 1000 and not self.path.read_bytes().strip()

    def _columns(self, first: bytes) -> list[str]:
        """Read the line of column names, and refuse a file that is no log of ours."""
        name = self.path.name
        if first.startswith((b"\xff\xfe", b"\xfe\xff")) or b"\x00" in first:
            raise InputError(
                f"{name} is not UTF-8 text (UTF-16, it seems); save it as CSV in UTF-8. It was left as it is"
            )
        try:
            text = first.decode("utf-8-sig").rstrip("\r\n")
        except UnicodeDecodeError:
            raise InputError(
                f"{name} is not UTF-8 text; save it as CSV in UTF-8. It was left as it is"
            ) from None
        try:
            columns = next(csv.reader([text]), [])
        except csv.Error:
            raise InputError(f"{name} has a damaged first line; it was left as it is") from None
        if len(columns) == 1 and any(text.count(mark) >= len(COLUMNS) - 1 for mark in ";\t"):
            raise InputError(
                f"{name} has its columns apart by something other than a comma; save it with commas. "
                "It was left as it is"
            )
        missing = [column for column in COLUMNS if columns.count(column) != 1]
        if missing:
            raise InputError(
                f"{name} is no trial log: its first line must name each of the columns "
                f"{', '.join(COLUMNS)} once; wrong are {', '.join(missing)}. It was left as it is"
            )
        return columns


def _row(cells: Any) -> bytes:
    buffer = io.StringIO()
    csv.writer(buffer, lineterminator="\n").writerow(cells)
    return buffer.getvalue().encode("utf-8")


def _trial(raw: bytes, columns: list[str]) -> Trial:
    if len(raw) > _LONGEST_LINE:
        raise InputError(f"it has {len(raw)} characters; a trial has at most {_LONGEST_LINE}")
    try:
        text = raw.decode("utf-8").rstrip("\r")
    except UnicodeDecodeError:
        raise InputError("it holds bytes that are not UTF-8 text") from None
    try:
        cells = next(csv.reader([text], strict=True))
    except csv.Error:
        raise InputError("a quotation mark in it is not closed; a trial stands on one line") from None
    if len(cells) != len(columns):
        raise InputError(f"it has {len(cells)} cells; the log has {len(columns)} columns")
    return trial_of_cells(dict(zip(columns, cells, strict=True)))
