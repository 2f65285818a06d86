"""The trial log among several writers, on a full disk, and killed."""

from __future__ import annotations

import errno
import os

import pytest

from bladelab import InputError, TrialLog
from tests.advice.store_checks import check_full_disk, check_killed, check_two_writers
from tests.advice.test_trial_log import FIRST, SECOND

STORES = ["bladelab.advice.trial_log:TrialLog"]
POSIX = pytest.mark.skipif(os.name != "posix", reason="limits and kills as posix does")


@pytest.mark.slow
@pytest.mark.parametrize("store", STORES)
@pytest.mark.parametrize("there", [False, True], ids=["absent", "empty"])
def test_two_writers_lose_nothing(store, there, tmp_path):
    if there:
        for turn in range(50):
            (tmp_path / f"{turn}-trials.csv").write_bytes(b"")
    check_two_writers(store, tmp_path / "trials.csv")


@POSIX
@pytest.mark.parametrize("store", STORES)
def test_a_full_disk_leaves_no_part_of_a_trial(store, tmp_path):
    check_full_disk(store, tmp_path / "trials.csv")


@pytest.mark.slow
@POSIX
@pytest.mark.parametrize("store", STORES)
def test_a_killed_writer_loses_nothing_it_called_safe(store, tmp_path):
    check_killed(store, tmp_path / "trials.csv")
    assert {file.name for file in tmp_path.iterdir()} == {"trials.csv", ".trials.csv.lock"}


@pytest.mark.parametrize("begun", [False, True])
def test_a_disk_that_is_full_at_any_byte_leaves_the_log_as_it_was(begun, tmp_path, monkeypatch):
    log = TrialLog(tmp_path / "trials.csv")
    if begun:
        log.append(FIRST)
    before = log.path.read_bytes() if begun else None
    write = os.write
    for space in range(400):
        left = space

        def some(handle, text):
            nonlocal left
            if not left:
                raise OSError(errno.ENOSPC, "No space left on device")
            done = write(handle, text[:left])
            left -= done
            return done

        monkeypatch.setattr("os.write", some)
        try:
            log.append(SECOND)
        except InputError as problem:
            assert str(problem) == "trials.csv: it can't be written: the disk is full"
        else:
            break
        finally:
            monkeypatch.setattr("os.write", write)
        assert (log.path.read_bytes() if log.path.exists() else None) == before, space
    assert log.read().trials == ((FIRST, SECOND) if begun else (SECOND,)) and 50 < space < 399


def test_a_trial_that_can_not_be_forced_to_the_disk_is_not_left_in_the_log(tmp_path, monkeypatch):
    log = TrialLog(tmp_path / "trials.csv")
    log.append(FIRST)
    before = log.path.read_bytes()

    def fail(handle):
        raise OSError(errno.EIO, os.strerror(errno.EIO))

    monkeypatch.setattr("os.fsync", fail)
    with pytest.raises(InputError, match=r"trials\.csv: it can't be written: Input/output error"):
        log.append(SECOND)
    assert log.path.read_bytes() == before
