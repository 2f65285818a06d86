"""A thousand damaged files and a writer killed halfway: a sentence each, and no file is harmed."""

from __future__ import annotations

import os
import random
import re
import signal
import subprocess
import sys
import time
from collections import Counter
from collections.abc import Callable
from pathlib import Path

import pytest

from bladelab import Blade, Hollow, Rocker, read_photo, read_stride, read_trace
from bladelab.advice.blade_file import load_blade, save_blade
from bladelab.advice.trial_log import TrialLog

DEMO = Path(__file__).resolve().parents[2] / "data" / "demo"
BLADE = Blade(Rocker.single(3048.0, 280.0), Hollow(15.875, 2.9))


def damage(whole: bytes, chance: random.Random) -> bytes:
    """Harm a file the way discs, mail programs and spreadsheets do."""
    place, other = sorted(chance.randrange(len(whole) + 1) for _ in range(2))
    text = bytearray(whole)
    way = chance.randrange(8)
    if way == 0:
        return whole[:place]
    if way == 1:
        return whole[:place] + whole[other:]
    if way == 2:
        return whole[:other] + whole[place:]
    if way == 3:
        for _ in range(chance.randint(1, 20)):
            text[chance.randrange(len(text))] = chance.randrange(256)
        return bytes(text)
    if way == 4:
        return whole.replace(b".", b",")
    if way == 5:
        return whole.decode("latin-1").encode(chance.choice(("utf-16", "utf-32", "cp500")))
    if way == 6:
        return whole[:place] + bytes(chance.randrange(256) for _ in range(200)) + whole[place:]
    return (
        whole[:place]
        + chance.choice((b"nan", b"-1e999", b"\x00", b'"', b"\r", b"1e400", b"{", b";"))
        + whole[place:]
    )


def _read_log(path: Path) -> None:
    TrialLog(path).read()


KINDS: dict[str, tuple[Callable[[Path], object], int]] = {
    "left_edge.csv": (read_trace, 250),
    "left_gauge.csv": (read_trace, 250),
    "trials.csv": (_read_log, 150),
    "stride.csv": (read_stride, 250),
    "blade.json": (load_blade, 250),
    "blade_photo.png": (read_photo, 40),
}


@pytest.mark.parametrize("name", KINDS)
def test_a_damaged_file_is_read_or_answered_with_a_sentence(name, tmp_path):
    read, count = KINDS[name]
    sound = tmp_path / "sound" / name
    if name == "blade.json":
        save_blade(sound, BLADE, "an invented blade")
    else:
        sound.parent.mkdir()
        sound.write_bytes((DEMO / name).read_bytes())
    whole, chance, tally = sound.read_bytes(), random.Random(name), Counter()
    harmed = tmp_path / name
    for _ in range(count):
        contents = damage(whole, chance)
        harmed.write_bytes(contents)
        try:
            read(harmed)
        except ValueError as problem:
            assert len(str(problem)) > 15, problem
            assert not re.search(r"codec|zip|argument|could not convert", str(problem)), problem
            tally["refused in words"] += 1
        else:
            tally["read"] += 1
        assert harmed.read_bytes() == contents
        assert [p.name for p in tmp_path.iterdir() if p.is_file()] == [name]
    assert tally.total() == count
    assert tally["refused in words"] or name == "trials.csv"


_WRITERS = """
import os, sys
from tests.forgiving.test_damaged_files import BLADE, save_blade
for life in range(8):
    if not (child := os.fork()):
        number = 0
        while True:
            number += 1
            save_blade(sys.argv[1], BLADE, f"state {life}.{number}", replace=True)
    print(child, flush=True)
    os.waitpid(child, 0)
"""


@pytest.mark.slow
@pytest.mark.skipif(sys.platform == "win32", reason="a process can't be killed by this signal on Windows")
def test_a_writer_killed_at_any_moment_leaves_a_whole_file(tmp_path):
    target, chance = tmp_path / "blade.json", random.Random(3)
    save_blade(target, BLADE, "state 0")
    seen = set()
    call = [sys.executable, "-c", _WRITERS, str(target)]
    with subprocess.Popen(call, stdout=subprocess.PIPE, cwd=DEMO.parents[1]) as writers:
        for child in writers.stdout:
            time.sleep(0.05 + 0.1 * chance.random())
            os.kill(int(child), signal.SIGKILL)
            name, blade = load_blade(target)
            assert blade == BLADE
            seen.add(name)
    assert writers.returncode == 0
    assert len(seen) > 1  # the writers did write
