"""Files of the reader: read with care, written whole or not at all."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

from bladelab._errors import InputError


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
    OSError
        If the folder can't be written.
    """
    target = Path(path)
    if not replace and target.exists():
        raise FileExistsError(
            f"{target.name} is there already; choose another name or say that it may be replaced"
        )
    target.parent.mkdir(parents=True, exist_ok=True)
    handle, temporary = tempfile.mkstemp(prefix=".unfinished-", dir=target.parent)
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


def _claim(temporary: str, target: Path) -> None:
    """Give the finished file its name unless another has taken it meanwhile."""
    try:
        os.link(temporary, target)
    except FileExistsError:
        raise FileExistsError(
            f"{target.name} is there already; choose another name or say that it may be replaced"
        ) from None
    except (
        OSError
    ):  # a file system without links (a memory stick): move, having just seen that the name is free
        os.replace(temporary, target)


def read_limited(path: str | Path, limit_mb: float) -> bytes:
    """Read a file whole, unless it is larger than makes sense for what it should be.

    Raises
    ------
    ValueError
        If it is larger than `limit_mb`.
    OSError
        If it can't be read; FileNotFoundError if there is none.
    """
    source = Path(path)
    size = source.stat().st_size
    if size > limit_mb * 1e6:
        raise InputError(f"{source.name} has {size / 1e6:.0f} MB; it must have at most {limit_mb:g} MB")
    return source.read_bytes()
