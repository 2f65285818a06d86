"""Files that bladelab wrote come into the book: an exported book, a trial log, a saved blade."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from pathlib import Path

from bladelab._errors import InputError
from bladelab._files import BLADE, BOOK, called, read_limited
from bladelab._json import parsed_json
from bladelab._tables import header_of, lines_of
from bladelab.advice import blade_file
from bladelab.advice.blade_file import load_blade
from bladelab.advice.trial import TRIAL_COLUMNS, TRIAL_DEFAULTS
from bladelab.advice.trial_log import TrialLog
from bladelab.book.entry import Entry
from bladelab.book.exchange import Imported, import_entries
from bladelab.book.happenings import Decided, Tried
from bladelab.book.steel_happenings import LEFT_AND_RIGHT, Stated
from bladelab.book.store import Book


def bring_in(
    book: Book,
    path: str | Path,
    skater: str,
    on: datetime.date,
    codes: Mapping[str, str] | None = None,
) -> Imported:
    """Add what is in a file of any of these kinds, and not in the book yet.

    Parameters
    ----------
    book : Book
    path : str or Path
    skater : str
        Whose a saved blade is to be; empty if nobody's card is open.
    on : datetime.date
        The day for a saved blade.
    codes : mapping of str to str, optional
        See `import_entries`.

    Raises
    ------
    InputError
        If it is none of them, or can't be brought in.

    Examples
    --------
    >>> import tempfile
    >>> from bladelab.book.exchange import export_csv
    >>> from bladelab.book.happenings import Joined
    >>> from bladelab.book.store import open_book
    >>> day = datetime.date(2026, 11, 3)
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     old, new = (open_book(Path(folder) / f"{name}.sqlite") for name in ("old", "new"))
    ...     added = old.add(Entry("K07", day, Joined("U14")))
    ...     print(bring_in(new, export_csv(old, Path(folder) / "old.csv"), "", day).sentence)
    1 entry added.
    """
    contents = read_limited(path, BOOK)
    if _is_blade(contents):
        if not skater:
            raise InputError(f"{called(path)} is a saved blade; first open the card of the skater it is for")
        return import_blade(book, path, skater, on)
    if _is_trial_log(contents):
        return import_trials(book, path)
    return import_entries(book, path, codes)


def _is_blade(contents: bytes) -> bool:
    if len(contents) > BLADE.most_bytes:
        return False
    try:
        document = parsed_json(contents)
    except InputError:
        return False
    return isinstance(document, dict) and document.get("file") == blade_file.KIND


def _is_trial_log(contents: bytes) -> bool:
    try:
        header = header_of(lines_of(contents[:10_000]), lambda name: name.lower() in TRIAL_COLUMNS)
    except InputError:
        return False
    return {name.lower() for name in header.names} >= {*TRIAL_COLUMNS} - {*TRIAL_DEFAULTS}


def import_trials(book: Book, path: str | Path) -> Imported:
    """Add the trials of a trial log that the book does not hold yet.

    Lines that can't be read are left out and said.

    Examples
    --------
    >>> import tempfile
    >>> from bladelab import Blade, Hollow, Rocker, Trial
    >>> from bladelab.book.store import open_book
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     log = TrialLog(Path(folder) / "trials.csv")
    ...     blade = Blade(Rocker.single(3048.0, 280.0), Hollow(12.7, 3.0))
    ...     log.append(Trial(datetime.date(2026, 9, 1), "K07", blade, {"glide": 4}))
    ...     print(import_trials(open_book(Path(folder) / "book.sqlite"), log.path).sentence)
    1 entry added.
    """
    reading = TrialLog(path).read()
    entries = [
        Entry(one.skater, one.date, Tried(one.blade, one.ratings, one.name, one.changed), one.note)
        for one in reading.trials
    ]
    added = book.merge(*entries)
    return Imported(added, len(entries) - len(added), tuple(map(str, reading.damage)))


def import_blade(book: Book, path: str | Path, skater: str, on: datetime.date, steel: str = "") -> Imported:
    """Add a saved blade to the book, unless it is there for that day.

    Parameters
    ----------
    book : Book
    path : str or Path
        A file that `bladelab.save_blade` wrote.
    skater : str
        The code.
    on : datetime.date
    steel : str
        The code of the set of steel that has this shape; without one, the blade is to be tried next.

    Examples
    --------
    >>> import tempfile
    >>> from bladelab import Blade, Hollow, Rocker, save_blade
    >>> from bladelab.book.store import open_book
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     blade = Blade(Rocker.single(3048.0, 280.0), Hollow(12.7, 3.0))
    ...     file = save_blade(Path(folder) / "blade.json", blade, "ten feet")
    ...     book = open_book(Path(folder) / "book.sqlite")
    ...     done = import_blade(book, file, "K07", datetime.date(2026, 11, 3))
    ...     print(book.card("K07").trial_why)
    ten feet
    """
    name, blade = load_blade(path)
    what = Stated(steel, blade, LEFT_AND_RIGHT) if steel else Decided(blade, name)
    added = book.merge(Entry(skater, on, what, name if steel else ""))
    return Imported(added, 1 - len(added))
