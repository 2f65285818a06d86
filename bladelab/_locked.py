"""One writer at a time, and appending to a file completely or not at all."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from bladelab._errors import InputError
from bladelab._files import make_folder

_PATIENCE_S = 10.0


@contextmanager
def locked(path: Path) -> Iterator[None]:
    """Lock a file until the block or the process ends.

    The lock is a small hidden file beside it, ``.name.lock``, which is left in place.

    Raises
    ------
    InputError
        If another process holds the lock for more than ten seconds, or the folder does not support locks.
    """
    from filelock import FileLock, Timeout

    name = _lock_of(path)
    make_folder(name.parent)
    lock = FileLock(name, timeout=_PATIENCE_S)
    try:
        lock.acquire(poll_interval=0.005)
    except Timeout:
        raise InputError("another program is writing to it; try again in a moment") from None
    except NotImplementedError:
        raise InputError("files can't be locked in its folder; keep it on this computer's own disk") from None
    try:
        yield
    finally:
        lock.release()


@contextmanager
def nobody_writing(path: Path) -> Iterator[None]:
    """Wait until no process writes to the file; leave nothing beside one to which none ever did."""
    if _lock_of(path).exists():
        with locked(path):
            yield
    else:
        yield


def _lock_of(path: Path) -> Path:
    target = path.resolve()
    return target.with_name(f".{target.name}.lock")


def add_at(path: Path, start: int, text: bytes) -> None:
    """Put `text` at `start`, the end of a file or of what in it counts, and force it to the disk.

    Should that fail in any way, the file ends at `start` again; one that was not there before is taken away.
    """
    created = not path.exists()
    handle = os.open(path, os.O_WRONLY | os.O_CREAT | getattr(os, "O_BINARY", 0), 0o644)
    try:
        try:
            os.ftruncate(handle, start)
            os.lseek(handle, start, os.SEEK_SET)
            while text:
                text = text[os.write(handle, text) :]
            os.fsync(handle)
        except BaseException:
            with suppress(OSError):
                os.ftruncate(handle, start)
            raise
        finally:
            os.close(handle)
    except BaseException:
        if created:
            path.unlink(missing_ok=True)
        raise
    if created:
        sync_folder(path.parent)


def sync_folder(folder: Path) -> None:
    """Flush the name of a new file to the disk; Windows has no such call and needs none."""
    with suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
