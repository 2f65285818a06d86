"""What every store of trials must withstand: several writers, a full disk, a process killed at any moment.

A store is named as ``module:class``. It is made from a path, has ``append(trial)``, which returns when the
trial is safe, and ``read()``, whose ``trials`` are those in it, in the order in which they were added.
"""

from __future__ import annotations

import importlib
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]

_START = """
import datetime, importlib, os, random, signal, sys, time
from pathlib import Path
from bladelab import Blade, Hollow, InputError, Rocker
from bladelab.advice.trial import Trial
from tests.advice.store_checks import open_store
BLADE = Blade(Rocker.single(3048, 280), Hollow(12.7, 3.0))
def trial(note):
    return Trial(datetime.date(2026, 10, 5), "K07", BLADE, note=note)
store, path = open_store(sys.argv[1], sys.argv[2]), Path(sys.argv[2])
"""

_WRITER = (
    _START
    + """
print("ready", flush=True)
begin, count = float(sys.stdin.readline()), 3
for turn in range(int(sys.argv[4])):
    store = open_store(sys.argv[1], path.with_name(f"{turn}-{path.name}"))
    time.sleep(max(begin + 0.02 * turn - 0.002 - time.time(), 0))
    while time.time() < begin + 0.02 * turn:
        pass  # both begin a new store at the same moment
    for i in range(count):
        store.append(trial(f"{sys.argv[3]} {i}"))
"""
)

_FULL = (
    _START
    + """
import resource
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
free = resource.getrlimit(resource.RLIMIT_FSIZE)
refused = 0
for step in range(0, 400, 7):
    size = path.stat().st_size if path.exists() else 0
    before = store.read()
    resource.setrlimit(resource.RLIMIT_FSIZE, (size + step, free[1]))
    try:
        store.append(trial(f"number {step}, " + "long " * 20))
    except InputError as problem:
        assert "the file would be larger than the disk allows" in str(problem), problem
        refused += 1
    resource.setrlimit(resource.RLIMIT_FSIZE, free)
    after = store.read()
    if after.trials != before.trials:
        break  # there was space enough
    assert after == before, after
assert refused > 20, refused
store.append(trial("space again"))
assert [t.note for t in store.read().trials[-2:]] == [f"number {step}, " + "long " * 20, "space again"]
print("well")
"""
)

_KILLED = (
    _START
    + """
chance = random.Random(4)
said = []
for life in range(int(sys.argv[3])):
    out, into = os.pipe()
    child = os.fork()
    if not child:
        for i in range(10_000):
            store.append(trial(f"{life}.{i} " + "x" * 300))
            os.write(into, f"{life}.{i}\\n".encode())
    os.close(into)
    heard = os.read(out, 10)
    time.sleep(0.02 * chance.random())
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    while more := os.read(out, 100_000):
        heard += more
    os.close(out)
    said += heard.decode().split()
kept = [t.note.split()[0] for t in store.read().trials]
assert len(kept) == len(set(kept)) and set(said) <= set(kept), (len(said), len(kept))
assert len(kept) - len(said) <= int(sys.argv[3]), (len(said), len(kept))
print(len(said))
"""
)


def open_store(name: str, path: str | Path) -> Any:
    """Open the store of this name."""
    module, kind = name.split(":")
    return getattr(importlib.import_module(module), kind)(path)


def _run(code: str, *arguments: str) -> str:
    done = subprocess.run(
        [sys.executable, "-c", code, *arguments], capture_output=True, text=True, cwd=ROOT, timeout=120
    )
    assert done.returncode == 0, done.stderr[-1500:]
    return done.stdout.strip()


def check_two_writers(name: str, path: Path, turns: int = 50) -> None:
    """Two processes add trials to `turns` new stores, each begun by both at once; none is lost."""
    writers = [
        subprocess.Popen(
            [sys.executable, "-c", _WRITER, name, str(path), which, str(turns)],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
            cwd=ROOT,
        )
        for which in "ab"
    ]
    stores = [open_store(name, path.with_name(f"{turn}-{path.name}")) for turn in range(turns)]
    for writer in writers:
        assert writer.stdout.readline() == "ready\n"
    begin = time.time() + 0.1
    for writer in writers:
        writer.stdin.write(f"{begin}\n")
        writer.stdin.flush()
    while any(writer.poll() is None for writer in writers):
        for store in stores[::10]:
            assert not store.read().damage
        time.sleep(0.1)
    for writer in writers:
        _, trouble = writer.communicate()
        assert writer.returncode == 0, trouble[-1500:]
    for turn, store in enumerate(stores):
        notes = [trial.note for trial in store.read().trials]
        for which in "ab":
            assert [n for n in notes if n[0] == which] == [f"{which} {i}" for i in range(3)], (turn, notes)
        assert len(notes) == 6


def check_full_disk(name: str, path: Path) -> None:
    """The disk is full after every 7th byte of a trial: it is refused in words, and nothing of it is left."""
    assert _run(_FULL, name, str(path)) == "well"


def check_killed(name: str, path: Path, lives: int = 24) -> None:
    """A writer is killed at `lives` random moments; whatever it said was safe is there."""
    assert int(_run(_KILLED, name, str(path), str(lives))) >= lives
