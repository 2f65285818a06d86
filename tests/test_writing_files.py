"""What is written is whole or not there."""

from __future__ import annotations

import errno
import os
import subprocess
import sys
import time
from pathlib import Path

import pytest

from bladelab import InputError
from bladelab._files import (
    sweep,
    write_whole,
)
from bladelab.show.panel.files import save_numbered

ROOT = Path(__file__).resolve().parents[1]


@pytest.mark.parametrize(
    ("number", "why"),
    [
        (errno.ENOSPC, "the disk is full"),
        (errno.EROFS, "the disk is read-only"),
        (errno.EACCES, "you have no permission"),
    ],
)
@pytest.mark.parametrize("where", ["tempfile.mkstemp", "os.fsync", "os.link"])
def test_what_can_not_be_written_gets_a_sentence_and_leaves_nothing(
    where, number, why, tmp_path, monkeypatch
):
    def fail(*_: object, **__: object) -> None:
        raise OSError(number, os.strerror(number))

    monkeypatch.setattr(where, fail)
    if where == "os.link":
        monkeypatch.setattr("os.replace", fail)
    with pytest.raises(InputError, match=rf"a\.csv: it can't be written: {why}"):
        write_whole(tmp_path / "a.csv", b"new")
    assert list(tmp_path.iterdir()) == []


@pytest.mark.skipif(os.name != "posix", reason="limits in the manner of posix")
def test_a_disk_that_fills_up_leaves_nothing(tmp_path):
    """The system itself refuses more than 4,000 bytes in a file."""
    code = """
import resource, signal, sys
from bladelab import InputError
from bladelab._files import write_whole
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
resource.setrlimit(resource.RLIMIT_FSIZE, (4000, 4000))
try:
    write_whole(sys.argv[1], b"x" * 100_000)
except InputError as problem:
    print(problem)
"""
    done = subprocess.run(
        [sys.executable, "-c", code, str(tmp_path / "a.png")], capture_output=True, text=True, cwd=ROOT
    )
    assert done.stdout == "a.png: it can't be written: the file would be larger than the disk allows\n", (
        done.stderr
    )
    assert list(tmp_path.iterdir()) == []


def test_a_file_in_place_of_the_folder_is_told(tmp_path):
    (tmp_path / "saved").write_text("in the way")
    with pytest.raises(InputError, match=r"saved is a file, where the folder should be"):
        save_numbered("x", "png", lambda file: file.write(b"x"), tmp_path / "saved")


def test_what_killed_writers_left_is_taken_away_later(tmp_path):
    old, new, other = (tmp_path / name for name in (".unfinished-old", ".unfinished-new", "mine"))
    for file in (old, new, other):
        file.write_bytes(b"half")
    long_ago = time.time() - 7200
    os.utime(old, (long_ago, long_ago))
    os.utime(other, (long_ago, long_ago))
    write_whole(tmp_path / "a.csv", b"whole")
    assert sorted(file.name for file in tmp_path.iterdir()) == [".unfinished-new", "a.csv", "mine"]
    sweep(tmp_path / "missing")


@pytest.mark.parametrize("name", ["con.json", "CON", "nul.tar.gz", "Com1.csv", "lpt9", "aux .png"])
def test_no_file_is_given_the_name_of_a_device(name, tmp_path):
    with pytest.raises(InputError, match="is the name of a device on Windows; choose another name"):
        write_whole(tmp_path / name, b"x")
    assert list(tmp_path.iterdir()) == []
    assert write_whole(tmp_path / f"a{name}", b"x").exists()


def test_a_folder_that_can_only_be_read_is_told(tmp_path):
    """Where even the superuser can't write: a folder of the system's own."""
    if not Path("/proc/self").is_dir():
        pytest.skip("no folder here that nobody can write")
    with pytest.raises(InputError, match=r"x-1\.png: it can't be written: "):
        save_numbered("x", "png", lambda file: file.write(b"x"), "/proc/self")
