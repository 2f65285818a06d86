"""How long the cards of a full book take, beside reading its rows with plain sqlite3, in one run.

python -m tests.benchmarks.book

Times are those of this process alone: other programs, and waiting for the disk, don't count.
"""

from __future__ import annotations

import datetime
import sqlite3
import tempfile
import time
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import numpy as np

from bladelab import Blade, Hollow, Rocker, Trace
from bladelab.book.entry import Entry
from bladelab.book.happenings import Circumstances, Complained, Decided, Happening, Joined, Tried
from bladelab.book.steel_happenings import Fitted, Ground, Measured, Ordered, Sharpened, Stated, SteelMeasured
from bladelab.book.store import Book, open_book
from tests.benchmarks.timing import Timing, command_line

FIRST = datetime.date(2024, 9, 1)
X = np.linspace(-120.0, 120.0, 121)


def year(rng: np.random.Generator, count: int) -> list[Happening]:
    """An invented skater's entries: two sets of steel, sharpened weekly, measured and ground now and then."""
    blade = Blade(Rocker.single(float(rng.uniform(2700, 3700)), 280.0), Hollow(12.7, 2.9))
    mass = float(rng.uniform(35, 95))
    told: list[Happening] = [
        Joined("U14"),
        Circumstances(mass_kg=mass, temperature_C=-5.0, units="metric"),
        *(Stated(steel, blade) for steel in ("S1", "S2")),
        *(SteelMeasured(steel, height_mm=14.0, least_mm=9.0) for steel in ("S1", "S2")),
        Fitted("S1"),
    ]
    while len(told) < count:
        steel = f"S{rng.integers(1, 3)}"
        heights = blade.rocker.height_mm(X) + 0.004 * rng.standard_normal(len(X))
        told += [
            *(Sharpened(steel, 12.7, taken_mm=0.02) for _ in range(9)),
            *(Measured(steel, side, Trace(X, heights)) for side in ("left", "right")),
            Ordered(steel, blade),
            Ground(steel, blade.rocker, taken_mm=0.2),
            *(Tried(blade, {"glide": int(rng.integers(1, 6))}, mass_kg=mass) for _ in range(3)),
            *(Decided(blade, "to try next") for _ in range(2)),
            Complained("no bite", "left", {"dull": "no"}),
            Fitted(steel),
        ]
    return told[:count]


def filled(path: Path, skaters: int, entries: int) -> Book:
    """A book of so many skaters with so many entries each, in the order of their days."""
    rng, book = np.random.default_rng(1), open_book(path)
    codes = [f"K{i}" for i in range(1, skaters + 1)]
    stories = [year(rng, entries) for _ in codes]
    for i in range(entries):
        day = FIRST + datetime.timedelta(days=i)
        book.add(*(Entry(code, day, story[i]) for code, story in zip(codes, stories, strict=True)))
    return book


def rows(path: Path, skater: str = "") -> int:
    """Read the rows of one skater, or of all, with plain sqlite3."""
    with closing(sqlite3.connect(path)) as connection:
        chosen = "WHERE skater = ?" if skater else ""
        query = f"SELECT * FROM book_entries {chosen} ORDER BY number"
        return len(connection.execute(query, (skater,) if skater else ()).fetchall())


def main(quick: bool = False) -> None:
    """Print seconds and ratios."""
    timing = Timing(quick, time.process_time)
    skaters, entries = (5, 30) if quick else (500, 200)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "book.sqlite"
        start = timing.clock()
        book = filled(path, skaters, entries)
        print(
            f"{skaters} skaters with {entries} entries each, {path.stat().st_size / 1e6:.0f} MB, written in "
            f"{timing.clock() - start:.1f} s"
        )
        start = timing.clock()
        book.cards()
        print(f"all cards, folded for the first time and kept: {timing.clock() - start:.2f} s")
        one = f"K{skaters}"
        compare("all cards", timing, book, Book.cards, lambda: rows(path), 500)
        compare("one card", timing, book, lambda book: book.card(one), lambda: rows(path, one), 20)


def compare(
    what: str,
    timing: Timing,
    book: Book,
    cards: Callable[[Book], object],
    plain: Callable[[], object],
    aim_ms: int,
) -> None:
    """Print how long cards take when the book is opened, and each time that another program wrote in it."""
    base = timing.best(plain)
    opened, changed = timing.best(lambda: cards(open_book(book.place.path))), []
    for day in range(1 if timing.quick else 5):
        later = FIRST + datetime.timedelta(days=1000 + day)
        open_book(book.place.path).add(*(Entry(code, later, Sharpened("S1")) for code in book.skaters()))
        start = timing.clock()
        cards(book)
        changed.append(timing.clock() - start)
    print(
        f"{what}: {1000 * opened:.1f} ms when the book is opened, {1000 * min(changed):.1f} ms when each has "
        f"a new entry; plain sqlite3 reads the rows in {1000 * base:.1f} ms: {opened / base:.1f} and "
        f"{min(changed) / base:.1f} times as long (aim: under 3, about {aim_ms} ms)"
    )


if __name__ == "__main__":
    main(command_line(__doc__).parse_args().quick)
