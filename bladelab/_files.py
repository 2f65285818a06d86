"""User files: checked for kind and size before they are read, and written completely or not at all."""

from __future__ import annotations

import errno
import os
import stat
import tempfile
import time
from collections.abc import Iterator
from contextlib import AbstractContextManager, contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

from bladelab._errors import InputError

_UNFINISHED = ".unfinished-"
_OLD_S = 3600.0


@dataclass(frozen=True)
class Kind:
    """What one kind of file may hold.

    Attributes
    ----------
    name : str
        What it is, in words.
    most_bytes : int
        The largest size that makes sense.
    most_lines : int
        The most lines that make sense; 0 for a file that isn't read line by line.
    """

    name: str
    most_bytes: int
    most_lines: int = 0


TRACE = Kind("a measured edge", 10_000_000, 200_000)
STRIDE = Kind("a stride", 5_000_000, 100_000)
TRIAL_LOG = Kind("a trial log", 20_000_000, 100_000)
BLADE = Kind("a saved blade", 100_000)
BOOK = Kind("an exported book", 300_000_000)
PHOTO = Kind("a photograph", 40_000_000)


def quoted(text: object, longest: int = 60) -> str:
    """Shorten part of a file or a name for a message: on one line, and not too long."""
    shown = repr(text)
    return shown if len(shown) <= longest else f"{shown[: longest - 4]}...{shown[-1]}"


def called(path: str | os.PathLike[str]) -> str:
    """Return the name of a file, without its folder, for a message."""
    name = Path(path).name.encode("utf-8", "replace").decode()
    return name if len(name) <= 60 and name.isprintable() else quoted(name)


@contextmanager
def about(path: str | os.PathLike[str]) -> Iterator[None]:
    """Put the file's name in front of every message about it."""
    try:
        yield
    except InputError as problem:
        if str(problem).startswith(f"{called(path)}: "):
            raise
        raise InputError(f"{called(path)}: {problem}") from None


def as_path(path: str | os.PathLike[str]) -> Path:
    """Return a path, if it can be one.

    Raises
    ------
    InputError
        If it isn't a text or a path, or holds a character that no path has.
    """
    try:
        found = Path(path)
        found.stat()
    except (TypeError, ValueError):
        raise InputError(f"the file is {quoted(path)}; it must be the name of a file") from None
    except OSError:
        pass  # opening it will say why
    return found


_DEVICES = {"con", "prn", "aux", "nul", "conin$", "conout$"} | {
    f"{port}{i}" for port in ("com", "lpt") for i in range(10)
}


def names_device(name: str) -> bool:
    """Whether Windows takes a file of this name for a device, whatever its ending."""
    return name.split(".")[0].strip().lower() in _DEVICES


def read_limited(path: str | os.PathLike[str], kind: Kind) -> bytes:
    """Read a regular file whole, unless it is larger than makes sense for what it should be.

    Kind and size are looked at before anything is read, and never more than the limit is read, even if the
    file grows meanwhile or doesn't know its size. A link to a regular file is followed.

    Parameters
    ----------
    path : str or path
    kind : Kind

    Returns
    -------
    bytes

    Raises
    ------
    InputError
        With the file's name: if there is none, it is a folder or a device, it is too large, it has too many
        lines, or it can't be read.
    """
    with about(as_path(path)), _sentences(_READING):
        with open_regular(path, kind.most_bytes, kind) as file:
            data = file.read(kind.most_bytes + 1)
        if len(data) > kind.most_bytes:
            raise _too_large(len(data), kind)
        if kind.most_lines and (lines := max(data.count(b"\n"), data.count(b"\r"))) > kind.most_lines:
            raise InputError(
                f"the file has {lines} lines; {kind.name} has at most {kind.most_lines}: is it the right one?"
            )
        return data


def regular_files(folder: str | Path, *suffixes: str, most: int = 200) -> list[Path]:
    """Return the files of a folder with one of these endings, by name: at most `most`, no folders or devices.

    A folder that is missing or can't be looked into holds none.
    """
    found: list[Path] = []
    with suppress(OSError):
        found = [file for file in Path(folder).iterdir() if file.name.lower().endswith(suffixes)]
    return [file for file in sorted(found) if file.is_file() and not file.name.startswith(".")][:most]


def open_regular(path: str | os.PathLike[str], most_bytes: float, kind: Kind) -> BinaryIO:
    """Open a file for reading if it is a regular one, and not larger than that."""
    _look(os.stat(path), most_bytes, kind)
    # Without waiting: between the look and the opening the name may have been given to a pipe.
    flags = (getattr(os, flag, 0) for flag in ("O_NONBLOCK", "O_BINARY", "O_CLOEXEC", "O_NOCTTY"))
    file = os.fdopen(os.open(path, os.O_RDONLY | sum(flags)), "rb")
    try:
        _look(os.fstat(file.fileno()), most_bytes, kind)
    except InputError:
        file.close()
        raise
    return file


def _look(seen: os.stat_result, most_bytes: float, kind: Kind) -> None:
    if stat.S_ISDIR(seen.st_mode):
        raise InputError("this is a folder; give the name of a file in it")
    if not stat.S_ISREG(seen.st_mode):
        raise InputError("this is a device or a pipe, not a file on the disk; copy its contents to a file")
    if seen.st_size > most_bytes:
        raise _too_large(seen.st_size, kind)


def _too_large(size: int, kind: Kind) -> InputError:
    return InputError(
        f"the file has {_megabytes(size)} MB; {kind.name} has at most {_megabytes(kind.most_bytes)} MB: is "
        "it the right one?"
    )


def _megabytes(count: int) -> str:
    return f"{count / 1e6:.0f}" if count >= 10e6 else f"{count / 1e6:.2g}"


_READING = "it can't be read"
_WHY = {
    errno.ENOENT: "its folder does not exist",
    errno.ENOSPC: "the disk is full",
    errno.EDQUOT: "your share of this disk is full",
    errno.EFBIG: "the file would be larger than the disk allows",
    errno.EACCES: "you have no permission",
    errno.EPERM: "you have no permission",
    errno.EROFS: "the disk is read-only",
    errno.ENAMETOOLONG: "the name is too long",
    errno.ENOTDIR: "part of the path is a file, not a folder",
    errno.ELOOP: "the link points back to itself",
}


@contextmanager
def _sentences(start: str) -> Iterator[None]:
    """Turn an operating system error into a sentence that begins with `start`."""
    try:
        yield
    except FileExistsError:
        raise
    except OSError as problem:
        if problem.errno == errno.ENOENT and start == _READING:
            raise InputError("there is no such file; check the name and the folder") from None
        why = _WHY.get(problem.errno or 0) or problem.strerror or str(problem) or type(problem).__name__
        raise InputError(f"{start}: {why}") from None


def write_whole(path: str | Path, contents: bytes, replace: bool = False) -> Path:
    """Write a file in one step, so that a crash leaves the old file or the new one and never half of either.

    Parameters
    ----------
    path : str or Path
        Its folder is made if missing.
    contents : bytes
    replace : bool
        Whether a file that is there may be replaced.

    Returns
    -------
    Path

    Raises
    ------
    FileExistsError
        If there is a file and `replace` is False.
    InputError
        If it can't be written: the disk is full, the folder can only be read, the name is that of a device on
        Windows. Nothing is left of it.
    """
    target = as_path(path)
    if names_device(target.name):
        raise InputError(f"{called(target)} is the name of a device on Windows; choose another name")
    if not replace and target.exists():
        raise _there(target)
    with about(target), writing():
        make_folder(target.parent)
        sweep(target.parent)
        handle, temporary = tempfile.mkstemp(prefix=_UNFINISHED, dir=target.parent)
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(contents)
                file.flush()
                os.fsync(file.fileno())
            os.chmod(temporary, 0o644)
            if replace:
                os.replace(temporary, target)
            else:
                _claim(temporary, target)
        finally:
            Path(temporary).unlink(missing_ok=True)
    return target


def writing() -> AbstractContextManager[None]:
    """Turn an operating system error while writing into a sentence."""
    return _sentences("it can't be written")


def make_folder(folder: Path) -> None:
    """Make a folder unless it is there."""
    if folder.exists() and not folder.is_dir():
        raise InputError(f"it can't be written: {called(folder)} is a file, where the folder should be")
    folder.mkdir(parents=True, exist_ok=True)


def sweep(folder: Path) -> None:
    """Remove temporary files of killed writers that are more than an hour old."""
    with suppress(OSError):
        for left in folder.glob(f"{_UNFINISHED}*"):
            with suppress(OSError):
                if time.time() - left.stat().st_mtime > _OLD_S:
                    left.unlink()


def _there(target: Path) -> FileExistsError:
    return FileExistsError(
        f"{called(target)} is there already; choose another name or say that it may be replaced"
    )


def _claim(temporary: str, target: Path) -> None:
    """Give the finished file its name unless another has taken it in the meantime."""
    try:
        os.link(temporary, target)
    except FileExistsError:
        raise _there(target) from None
    except (
        OSError
    ):  # a file system without links (a memory stick): move, having just seen that the name is free
        os.replace(temporary, target)
