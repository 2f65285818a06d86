"""Files written for the reader: whole or not at all, and never over another unless told so."""

from __future__ import annotations

import io
from collections.abc import Callable
from pathlib import Path
from typing import Any

from bladelab._files import write_whole

#: Where saved files go: beside the notebook.
FOLDER = "saved"


def save_numbered(
    stem: str, suffix: str, write: Callable[[Any], object], folder: str | Path = FOLDER
) -> Path:
    """Write a new file ``folder/stem-1.suffix`` (or ``-2`` ...), complete or not at all.

    The contents take their name in one step, which fails if the name is taken. A kernel that dies half way
    leaves no broken file, and no file is ever overwritten.

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
    InputError
        If the folder can't be written or the disk is full.
    """
    contents = _contents(write)
    number = 1
    while True:
        target = Path(folder) / f"{stem}-{number}.{suffix}"
        if not target.exists():
            try:
                return write_whole(target, contents)
            except FileExistsError:  # taken meanwhile
                pass
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
    InputError
        If the folder can't be written or the disk is full.
    """
    target = Path(path)
    if target.exists() and not replace:
        raise FileExistsError(f"{target.name} is there already")
    return write_whole(target, _contents(write), replace)


def _contents(write: Callable[[Any], object]) -> bytes:
    file = io.BytesIO()
    write(file)
    return file.getvalue()
