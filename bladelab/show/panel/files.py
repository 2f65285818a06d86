"""Files written for the user: complete or not at all, and never over another unless told to."""

from __future__ import annotations

import html
import io
import os
import re
import unicodedata
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import IO
from urllib.parse import quote

from bladelab._files import names_device, write_whole

#: Where saved files go: next to the notebook.
FOLDER = "saved"


def safe_name(text: str, otherwise: str) -> str:
    """Return a name for files that every system takes, from any text: at most 60 letters, digits and hyphens;
    `otherwise` if nothing is left.

    Examples
    --------
    >>> safe_name("Kufen & Eis: Teil 2/3", "clinic"), safe_name("../..", "clinic"), safe_name("CON", "blade")
    ('kufen-eis-teil-2-3', 'clinic', 'con-blade')
    """
    plain = unicodedata.normalize("NFKD", text).encode("ascii", "ignore").decode().lower()
    name = re.sub(r"[^a-z0-9]+", "-", plain)[:60].strip("-") or otherwise
    return f"{name}-{otherwise}" if names_device(name) else name


def save_numbered(
    stem: str, suffix: str, write: Callable[[IO[bytes]], object], folder: str | Path = FOLDER
) -> Path:
    """Write a new file ``folder/stem-1.suffix`` (or ``-2`` ...), complete or not at all.

    The contents take their name in one step, which fails if the name is taken. A kernel that dies halfway
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


def save_as(path: str | Path, write: Callable[[IO[bytes]], object], replace: bool = False) -> Path:
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


def download_links(paths: Iterable[str | Path]) -> str:
    """Return HTML with a download link for each file; empty where the page needs none.

    Files outside the first file's folder are collapsed.

    Parameters
    ----------
    paths : iterable of path
        Files inside the folder that is served.
    """
    files = [Path(path).resolve() for path in paths]
    if not files or not download_address(files[0]):
        return ""
    first, more = "", ""
    for file in files:
        address = html.escape(download_address(file))
        row = f'<li><a href="{address}" download>{html.escape(file.name)}</a></li>'
        if file.parent == files[0].parent:
            first += row
        else:
            more += row
    folded = more and f"<details><summary>more</summary><ul>{more}</ul></details>"
    return f'<div class="bladelab-downloads"><p>Download:</p><ul>{first}</ul>{folded}</div>'


def download_address(path: str | Path) -> str:
    """Return the address at which the page can fetch a file; empty where it needs none or can't.

    Plain pages have no list of files, and may be open on another computer than the one that writes. Their
    server names the folder it serves in the variable BLADELAB_SERVED.

    Parameters
    ----------
    path : path
        A file; one outside the folder that is served has no address.
    """
    served, base = os.environ.get("BLADELAB_SERVED"), os.environ.get("VOILA_BASE_URL", "/")
    if not served:
        return ""
    place, home = Path(path).resolve(), Path(served).resolve()
    if not place.is_relative_to(home):
        return ""
    place = place.relative_to(home)
    return f"{base}files/{quote(place.as_posix())}?download=1"


def _contents(write: Callable[[IO[bytes]], object]) -> bytes:
    file = io.BytesIO()
    write(file)
    return file.getvalue()
