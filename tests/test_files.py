"""Files of the reader are looked at before they are read."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from bladelab import InputError, TrialLog, load_blade, read_stride, read_trace
from bladelab._files import (
    BLADE,
    STRIDE,
    TRACE,
    TRIAL_LOG,
    Kind,
    read_limited,
    regular_files,
)

ROOT = Path(__file__).resolve().parents[1]
POSIX = pytest.mark.skipif(os.name != "posix", reason="pipes and devices in the manner of posix")


def read_log(path: Path) -> object:
    return TrialLog(path).read()


READERS: dict[str, tuple[Callable[..., object], Kind]] = {
    "trace": (read_trace, TRACE),
    "stride": (read_stride, STRIDE),
    "blade": (load_blade, BLADE),
    "log": (read_log, TRIAL_LOG),
}
EVERY = pytest.mark.parametrize("name", READERS)


@contextmanager
def within(seconds: float) -> Iterator[None]:
    """Fail what waits for ever instead of waiting with it."""

    def stop(*_: object) -> None:
        raise AssertionError(f"nothing came of it in {seconds} s")

    before = signal.signal(signal.SIGALRM, stop)
    signal.setitimer(signal.ITIMER_REAL, seconds)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_REAL, 0)
        signal.signal(signal.SIGALRM, before)


@POSIX
@EVERY
def test_a_pipe_is_refused_and_not_waited_for(name, tmp_path):
    pipe = tmp_path / "pipe.csv"
    os.mkfifo(pipe)
    with within(5), pytest.raises(InputError, match=r"pipe\.csv: this is a device or a pipe"):
        READERS[name][0](pipe)
    (tmp_path / "link.csv").symlink_to(pipe)
    with within(5), pytest.raises(InputError, match=r"link\.csv: this is a device or a pipe"):
        READERS[name][0](tmp_path / "link.csv")


@POSIX
@EVERY
def test_a_device_is_refused(name, tmp_path):
    # /dev/null ends at once, where /dev/zero would never; it is of the same kind.
    with within(5), pytest.raises(InputError, match="null: this is a device or a pipe"):
        READERS[name][0](Path("/dev/null"))


@EVERY
def test_a_folder_is_refused(name, tmp_path):
    with pytest.raises(InputError, match="this is a folder; give the name of a file in it"):
        READERS[name][0](tmp_path)


@pytest.mark.parametrize("name", [name for name in READERS if name != "log"])
def test_a_missing_file_is_told(name, tmp_path):
    with pytest.raises(InputError, match=r"none\.csv: there is no such file; check the name and the folder"):
        READERS[name][0](tmp_path / "none.csv")


@pytest.mark.parametrize("path", [None, 7, "a\0b", ["x"]])
@EVERY
def test_what_names_no_file_gets_a_sentence(name, path):
    with pytest.raises(InputError, match="must be the name of a file"):
        READERS[name][0](path)


@EVERY
def test_a_file_larger_than_makes_sense_is_refused_before_it_is_read(name, tmp_path, monkeypatch):
    read, kind = READERS[name]
    file = tmp_path / "huge.csv"
    with file.open("wb") as out:
        out.truncate(kind.most_bytes + 1)  # a sparse file: nothing is on the disk
    opened = []
    monkeypatch.setattr("builtins.open", lambda *a, **k: opened.append(a))
    monkeypatch.setattr("os.open", lambda *a, **k: opened.append(a))
    with pytest.raises(InputError, match=rf"huge\.csv: the file has .* MB; {kind.name} has at most .* MB"):
        read(file)
    assert not opened


@pytest.mark.parametrize("name", ["trace", "stride", "log"])
def test_more_lines_than_make_sense_are_refused(name, tmp_path):
    read, kind = READERS[name]
    for end in (b"\n", b"\r", b"\r\n"):
        file = tmp_path / "long.csv"
        file.write_bytes(end * (kind.most_lines + 1))
        with pytest.raises(InputError, match=rf"has {kind.most_lines + 1} lines; {kind.name} has at most"):
            read(file)


@POSIX
def test_a_file_that_does_not_know_its_size_is_read_to_the_limit_only(tmp_path):
    small = Kind("a note", 1000)
    file = tmp_path / "note"
    file.write_bytes(b"x" * 1000)
    assert read_limited(file, small) == b"x" * 1000
    (tmp_path / "link").symlink_to(file)
    assert read_limited(tmp_path / "link", small) == b"x" * 1000
    if Path("/proc/self/smaps").exists():  # says that it holds 0 bytes
        with pytest.raises(InputError, match=r"smaps: the file has .* MB; a note has at most"):
            read_limited("/proc/self/smaps", small)


@POSIX
def test_a_name_that_becomes_a_pipe_between_look_and_opening_is_not_waited_for(tmp_path, monkeypatch):
    file = tmp_path / "note"
    file.write_bytes(b"x")
    opening = os.open

    def swapped(path, flags, *rest):
        if path == file:
            file.unlink()
            os.mkfifo(file)
        return opening(path, flags, *rest)

    monkeypatch.setattr("os.open", swapped)
    with within(5), pytest.raises(InputError, match="note: this is a device or a pipe"):
        read_limited(file, TRACE)


@POSIX
@pytest.mark.skipif(hasattr(os, "geteuid") and os.geteuid() == 0, reason="root may read everything")
def test_a_file_without_permission_is_told(tmp_path):
    file = tmp_path / "secret.csv"
    file.write_bytes(b"x")
    file.chmod(0)
    with pytest.raises(InputError, match=r"secret\.csv: it can't be read: you have no permission"):
        read_trace(file)


_MEASURED = """
import resource, sys
from pathlib import Path
import bladelab, numpy, csv, json
from bladelab import InputError, TrialLog, load_blade, read_stride, read_trace
reader = {"trace": read_trace, "stride": read_stride, "blade": load_blade}
reader["log"] = lambda path: TrialLog(path).read()
before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
try:
    reader[sys.argv[1]](Path(sys.argv[2]))
except InputError as problem:
    assert len(str(problem)) < 400, problem
grown = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before
print(grown // 1024)
"""


@pytest.mark.slow
@pytest.mark.skipif(sys.platform != "linux", reason="memory is measured as Linux does")
@pytest.mark.parametrize(
    ("name", "unit", "count"),
    [
        ("trace", b"1,2\n", 4_000_000),
        ("stride", b"0,1,0,0\n", 2_000_000),
        ("log", b"a\n", 9_000_000),
        ("log", b"a\n", 50_000),
        ("log", b'"\n', 90_000),
        ("trace", b"," * 1000 + b"\n", 9_000),
        ("stride", b'"', 4_900_000),
    ],
)
def test_no_file_takes_more_memory_than_it_should(name, unit, count, tmp_path):
    heads = {
        "trace": b"position_mm,height_mm\n",
        "stride": b"time_s,load_share,position_mm,lean_deg\n",
        "log": b"date,skater,blade,zones_mm,blend_mm,pivot_mm,hollow_mm,width_mm,changed,glide,hold,turning,"
        b"steadiness,balance,note\n",
    }
    file = tmp_path / "big.csv"
    file.write_bytes(heads[name] + unit * count)
    done = subprocess.run(
        [sys.executable, "-c", _MEASURED, name, str(file)], capture_output=True, text=True, cwd=ROOT
    )
    assert done.returncode == 0, done.stderr[-500:]
    assert int(done.stdout) < 150, f"{done.stdout} MB"


def test_a_blade_with_very_many_keys_is_refused_at_once(tmp_path):
    file = tmp_path / "keys.json"
    file.write_text(json.dumps({f"{i:x}": 0 for i in range(9_000)}, separators=(",", ":")))
    with within(2), pytest.raises(InputError, match="it is not marked"):
        load_blade(file)
    file.write_text(json.dumps({f"{i:x}": 0 for i in range(85_000)}, separators=(",", ":")))
    with within(2), pytest.raises(InputError, match=r"keys\.json: the file has 0\.[0-9]+ MB"):
        load_blade(file)


LONG = "x" * 5000


@pytest.mark.parametrize(
    ("name", "contents"),
    [
        ("trace", f"{LONG},{LONG}\n1,2\n"),
        ("trace", f"position_mm,height_mm\n{LONG},2\n"),
        ("stride", f"time_s,load_share,position_mm,lean_deg\n{LONG},2,3,4\n"),
        ("blade", json.dumps({"file": "bladelab blade", "version": LONG})),
        ("log", f"{LONG},{LONG}\n"),
        ("blade", json.dumps({"file": "bladelab blade", "version": 1, LONG: LONG})),
        ("blade", '{"file": "bladelab blade", "version": 1, "' + LONG + '": 1, "' + LONG + '": 2}'),
    ],
)
def test_a_message_quotes_at_most_a_line_of_the_file(name, contents, tmp_path):
    file = tmp_path / "long.csv"
    file.write_text(contents)
    with pytest.raises(InputError) as problem:
        READERS[name][0](file)
    assert "x" * 61 not in str(problem.value) and "\n" not in str(problem.value)
    assert len(str(problem.value)) < 400


def test_only_regular_files_are_offered(tmp_path):
    for name in ("b.csv", "A.CSV", "c.png", ".hidden.csv"):
        (tmp_path / name).write_bytes(b"")
    (tmp_path / "folder.csv").mkdir()
    if os.name == "posix":
        os.mkfifo(tmp_path / "pipe.csv")
    assert [file.name for file in regular_files(tmp_path, ".csv")] == ["A.CSV", "b.csv"]
    assert len(regular_files(tmp_path, ".csv", ".png", most=2)) == 2
    assert regular_files(tmp_path / "missing", ".csv") == []
