"""What a book must survive, tried for real: two writers, kill -9, a full disk, a closed folder.

python -m tests.book.faults                  in full: 2 x 500 entries, 300 kills; some minutes
python -m tests.book.faults kills --quick    one of them, a little

Each is done by processes of its own, in a temporary folder. After each, SQLite's own integrity_check must say
"ok". The script ends with an error where something acknowledged is missing or something half-written is read.
"""

from __future__ import annotations

import argparse
import datetime
import os
import random
import resource
import shutil
import signal
import sqlite3
import tempfile
import time
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

from bladelab import InputError
from bladelab.book import database, kept_cards  # noqa: F401  loaded before the processes part
from bladelab.book.entry import Entry
from bladelab.book.happenings import Tried
from bladelab.book.steel_happenings import Sharpened
from bladelab.book.store import open_book
from tests.book.test_entry import BLADE

DAY = datetime.date(2026, 11, 3)
BATCH = 3
NOBODY = 65534


def integrity(path: Path) -> str:
    """What SQLite says of the file."""
    with closing(sqlite3.connect(path)) as connection:
        return "; ".join(row[0] for row in connection.execute("PRAGMA integrity_check"))


def forked(work: Callable[[Callable[[str], None]], None]) -> tuple[int, int]:
    """Do something in a process of its own; returns its number and where what it says can be read."""
    reading, saying = os.pipe()
    if pid := os.fork():
        os.close(saying)
        return pid, reading
    try:
        os.close(reading)
        work(lambda text: os.write(saying, f"{text}\n".encode()) and None)
    except BaseException as problem:
        os.write(saying, f"! {type(problem).__name__}: {problem}\n".encode())
    os._exit(0)


def said(pid: int, reading: int) -> list[str]:
    """All that a process said, once it has ended."""
    with os.fdopen(reading) as pipe:
        lines = pipe.read().splitlines()
    os.waitpid(pid, 0)
    return lines


def said_next(reading: int) -> str:
    """The next line that a process says."""
    line = b""
    while not line.endswith(b"\n") and (byte := os.read(reading, 1)):
        line += byte
    return line.decode().strip()


def writers(folder: Path, count: int) -> str:
    """Two processes make the book and add to it at the same moment."""
    path = folder / "book.sqlite"
    start = time.monotonic() + 0.05

    def write(name: str) -> Callable[[Callable[[str], None]], None]:
        def work(say: Callable[[str], None]) -> None:
            while time.monotonic() < start:
                pass
            for i in range(count):
                (added,) = open_book(path).add(Entry(f"{name}1", DAY, Sharpened("S1"), note=str(i)))
                say(str(added.number))

        return work

    processes = [forked(write(name)) for name in ("A", "B")]
    acknowledged = [said(*process) for process in processes]
    entries = open_book(path).entries()
    assert [len(lines) for lines in acknowledged] == [count, count], [lines[-1:] for lines in acknowledged]
    assert [entry.number for entry in entries] == list(range(1, 2 * count + 1))
    for name, lines in zip(("A", "B"), acknowledged, strict=True):
        own = [entry for entry in entries if entry.skater == f"{name}1"]
        assert [entry.note for entry in own] == [str(i) for i in range(count)]
        assert [str(entry.number) for entry in own] == lines
    assert (whole := integrity(path)) == "ok", whole
    return f"2 x {count} entries by two writers at once: all there"


def kills(folder: Path, count: int) -> str:
    """A process that writes three entries at a time is killed, again and again, from the first moment on."""
    chance = random.Random(4)
    kept = cut = 0
    for i in range(count):
        path = folder / f"book{i // 10}.sqlite"  # each tenth begins a book

        def work(say: Callable[[str], None], path: Path = path, i: int = i) -> None:
            for batch in range(10_000):
                what = [Tried(BLADE, name=f"{i} {batch}")] * BATCH
                open_book(path).add(*(Entry("K07", DAY, one) for one in what))
                say(f"{i} {batch}")

        pid, reading = forked(work)
        lines = [said_next(reading) for _ in range(chance.randrange(4))]
        time.sleep(chance.uniform(0.0, 0.02))
        os.kill(pid, signal.SIGKILL)
        lines += said(pid, reading)
        assert not any(line.startswith("!") for line in lines), lines[-1]
        names = [entry.what.name for entry in open_book(path).entries() if isinstance(entry.what, Tried)]
        assert all(names.count(name) == BATCH for name in set(names)), "a batch is there in part"
        assert set(lines) <= set(names), "what was acknowledged is lost"
        if path.exists():
            assert (whole := integrity(path)) == "ok", whole
        kept, cut = kept + len(lines), cut + bool(set(names) - set(lines))
        if i % 10 == 0:
            open_book(path).add(Entry("K07", DAY, Sharpened("S1")))  # it can be written after a kill
    return f"{count} kills: {kept} batches acknowledged, all there"


def full(folder: Path, count: int) -> str:
    """The disk is full at the first entry, and in the middle: files can't grow beyond a limit."""

    def work(say: Callable[[str], None]) -> None:
        for most, name in ((1000, "first"), (150_000, "middle")):
            resource.setrlimit(resource.RLIMIT_FSIZE, (most, resource.RLIM_INFINITY))
            try:
                for i in range(count):
                    open_book(folder / name).add(
                        *[Entry("K07", DAY, Tried(BLADE), note=f"{i} {'x' * 800}")] * 9
                    )
                    say(f"{name} {i}")
            except InputError as problem:
                say(f"{name}: {problem}")

    lines = said(*forked(work))
    first, middle = ([line for line in lines if line.startswith(name)] for name in ("first", "middle"))
    assert len(first) == 1 and "its disk is full" in first[0], first
    assert list(folder.glob("*first*")) == [], "something is left of a book that was never made"
    assert "its disk is full" in middle[-1], middle[-1]
    book = open_book(folder / "middle")
    assert len(book.entries()) == 9 * (len(middle) - 1) > 0
    assert (whole := integrity(folder / "middle")) == "ok", whole
    book.add(Entry("K07", DAY, Sharpened("S1")))  # there is space again
    return f"a full disk: {len(middle) - 1} batches acknowledged, all there"


def read_only(folder: Path, count: int) -> str:
    """A folder that can only be read: the book is read, and what can't be written is said."""
    path = folder / "closed" / "book.sqlite"
    open_book(path).add(*[Entry("K07", DAY, Sharpened("S1"))] * count)
    before = path.read_bytes()
    for part in (folder, path.parent):
        part.chmod(0o755)
    path.parent.chmod(0o555)
    path.chmod(0o444)

    def work(say: Callable[[str], None]) -> None:
        if os.geteuid() == 0:
            os.setgid(NOBODY)
            os.setuid(NOBODY)
        book = open_book(path)
        say(f"{len(book.entries())} {book.chosen!r} {book.card('K07').steel['S1'].sharpenings}")
        say(book.trouble)
        for write in (lambda: book.add(Entry("K07", DAY, Sharpened("S1"))), lambda: book.forget("K07")):
            try:
                write()
            except InputError as problem:
                say(str(problem))

    try:
        lines = said(*forked(work))
    finally:
        path.parent.chmod(0o755)
    refused = "book.sqlite: it can't be written: you have no permission, or its disk is read-only"
    trouble = "book.sqlite can only be read: you have no permission to write there"
    assert lines == [f"{count} '' {count}", trouble, refused, refused], lines
    assert path.read_bytes() == before and os.listdir(path.parent) == [path.name]
    assert (whole := integrity(path)) == "ok", whole
    return f"a folder that can only be read: {count} entries read, nothing written"


#: What is tried, and how often: in the ordinary tests, and in full.
TRIALS = {
    "writers": (writers, 20, 500),
    "kills": (kills, 6, 300),
    "full": (full, 100, 100),
    "read_only": (read_only, 30, 30),
}


def main() -> None:
    """Try one, or all."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("trial", nargs="*", help=f"which: {', '.join(TRIALS)}; left out, all")
    parser.add_argument("--quick", action="store_true", help="a few entries and kills only")
    chosen = parser.parse_args()
    for name in chosen.trial or TRIALS:
        work, few, many = TRIALS[name]
        folder = Path(tempfile.mkdtemp(prefix="bladelab-faults-"))
        try:
            print(work(folder, few if chosen.quick else many), flush=True)
        finally:
            shutil.rmtree(folder)


if __name__ == "__main__":
    main()
