"""Files written for the reader: whole or not at all, and never over another unless told so."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

#: Where saved files go: beside the notebook.
FOLDER = "saved"


def save_numbered(
    stem: str, suffix: str, write: Callable[[Any], object], folder: str | Path = FOLDER
) -> Path:
    """Write a new file ``folder/stem-1.suffix`` (or ``-2`` ...), complete or not at all.

    The contents go to a temporary file in the same folder first, and take their name in one step, which fails
    if the name is taken. A kernel that dies half way leaves no broken file, and no file is ever overwritten.

    Parameters
    ----------
    stem : str
        The name without number and ending.
    suffix : str
        The ending, without the dot.
    write : callable
        Writes the contents to the open binary file it is given.
    folder : str or Path
        Made if missing.

    Returns
    -------
    Path
        The file written.

    Raises
    ------
    OSError
        If the folder can't be written.
    """
    home = Path(folder)
    with _finished(home, suffix, write) as temporary:
        number = 1
        while True:
            target = home / f"{stem}-{number}.{suffix}"
            if not target.exists() and _claim(temporary, target):
                return target
            number += 1


def save_as(path: str | Path, write: Callable[[Any], object], replace: bool = False) -> Path:
    """Write the file `path`, complete or not at all; an old one stays as it is until the new one is whole.

    Parameters
    ----------
    path : str or Path
        Its folder is made if missing.
    write : callable
        Writes the contents to the open binary file it is given.
    replace : bool
        Whether a file of this name may be replaced.

    Returns
    -------
    Path

    Raises
    ------
    FileExistsError
        If there is such a file and it may not be replaced.
    OSError
        If the folder can't be written.
    """
    target = Path(path)
    if target.exists() and not replace:
        raise FileExistsError(f"{target.name} is there already")
    with _finished(target.parent, target.suffix.lstrip("."), write) as temporary:
        if replace:
            os.replace(temporary, target)
        elif not _claim(temporary, target):
            raise FileExistsError(f"{target.name} is there already")
    return target


@contextmanager
def _finished(home: Path, suffix: str, write: Callable[[Any], object]) -> Iterator[str]:
    """Write a temporary file in the folder, whole and on the disk; it is gone at the end of the block unless
    renamed."""
    home.mkdir(parents=True, exist_ok=True)
    handle, temporary = tempfile.mkstemp(prefix=".unfinished-", suffix=f".{suffix}", dir=home)
    try:
        with os.fdopen(handle, "wb") as file:
            write(file)
            file.flush()
            os.fsync(file.fileno())
        os.chmod(temporary, 0o644)
        yield temporary
    finally:
        Path(temporary).unlink(missing_ok=True)


def _claim(temporary: str, target: Path) -> bool:
    """Give the finished file its name; False if another has taken it meanwhile."""
    try:
        os.link(temporary, target)
    except FileExistsError:
        return False
    except (
        OSError
    ):  # a file system without links (a memory stick): move, having just seen that the name is free
        os.replace(temporary, target)
    return True
