"""Whether a folder is on this computer's own disk: a book in a shared or synced folder loses entries.

A network's file system doesn't lock files as reliably as a disk does, and a program that copies a folder
to other computers copies the book while it is being written. What a folder is mounted as tells the first.
Nothing tells the second for certain; a folder whose own name says so is refused as well, and README.md
warns of the rest.
"""

from __future__ import annotations

import re
import subprocess
import sys
from collections.abc import Iterable
from pathlib import Path, PurePosixPath

from bladelab._errors import InputError
from bladelab._files import quoted

#: File systems, as the kernel calls them, that are on another computer or made up by a program. "fuseblk" is
#: a disk of this computer.
_ELSEWHERE = re.compile(
    r"nfs\d?|cifs|smb\d?|smbfs|ncpfs|afs|afpfs|coda|9p|virtiofs|davfs\d?|webdav|ceph|lustre|gfs2?|ocfs2|fuse(\..*)?"
)
_SYNCED = {"sync", "synced", "synchronised", "synchronized", "cloud"}
_ADVICE = "keep the book on this computer's own disk; BLADELAB_BOOK names another place"
_ESCAPE = re.compile(r"\\([0-7]{3})")
_MAC = re.compile(r"^\S.* on (/.*) \((\w+)[,)]", re.M)
_REMOTE_DRIVE = 4  # DRIVE_REMOTE of GetDriveType in the Windows API


def own_disk(path: Path) -> Path:
    """Return a path if it is on this computer's own disk, as far as can be told.

    Raises
    ------
    InputError
        If it is on a network, or in a folder that is synced.
    """
    system = mounted_as(path)
    if _ELSEWHERE.fullmatch(system):
        raise InputError(f"{quoted(str(path))} is on a network or in a synced folder ({system}); {_ADVICE}")
    for part in path.parts[1:-1]:
        words = {word.lower() for word in re.findall(r"[A-Z]?[a-z]+|[A-Z]+", part)}
        if words & _SYNCED:
            raise InputError(f"{quoted(str(path))}: the folder {quoted(part)} seems to be synced; {_ADVICE}")
    return path


def mounted_as(path: Path) -> str:
    """Return the kind of file system a path is on, as the system calls it; nothing where it doesn't say."""
    if sys.platform == "win32":
        import ctypes

        remote = path.drive.startswith("\\\\") or (
            ctypes.windll.kernel32.GetDriveTypeW(f"{path.drive}\\") == _REMOTE_DRIVE
        )
        return "smb" if remote else ""
    try:
        if sys.platform == "darwin":
            said = subprocess.run(["/sbin/mount"], capture_output=True, text=True, timeout=10).stdout
            return type_at(path.as_posix(), _MAC.findall(said))
        lines = Path("/proc/mounts").read_text(encoding="utf-8", errors="replace").splitlines()
    except (OSError, subprocess.SubprocessError):
        return ""
    return type_at(path.as_posix(), mounts_in(lines))


def mounts_in(lines: Iterable[str]) -> list[tuple[str, str]]:
    """Return folder and kind of file system of each line of /proc/mounts, which writes a blank as ``\\040``.

    Examples
    --------
    >>> mounts_in(["server:/home /home/her\\\\040files nfs4 rw 0 0"])
    [('/home/her files', 'nfs4')]
    """
    cells = [line.split(" ") for line in lines]
    return [
        (_ESCAPE.sub(lambda found: chr(int(found[1], 8)), cell[1]), cell[2])
        for cell in cells
        if len(cell) > 2
    ]


def type_at(path: str, mounts: Iterable[tuple[str, str]]) -> str:
    """Return the kind of file system at a path: that of the innermost folder mounted over it.

    Examples
    --------
    >>> mounts = [("/", "ext4"), ("/home", "nfs4"), ("/home/local", "ext4"), ("/homes", "cifs")]
    >>> type_at("/home/team/book.sqlite", mounts), type_at("/home/local/book.sqlite", mounts)
    ('nfs4', 'ext4')
    """
    found, depth = "", -1
    for folder, system in mounts:
        if PurePosixPath(path).is_relative_to(folder) and len(PurePosixPath(folder).parts) >= depth:
            found, depth = system, len(PurePosixPath(folder).parts)
    return found
