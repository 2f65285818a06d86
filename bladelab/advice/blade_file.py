"""Blades on disk: a small JSON file with a version, a name and the numbers; nothing about a person."""

from __future__ import annotations

import json
from collections.abc import Collection
from dataclasses import fields
from pathlib import Path

from bladelab._checks import one_line, takes
from bladelab._errors import InputError
from bladelab._files import BLADE, called, quoted, read_limited, write_whole
from bladelab._json import document_of
from bladelab.shape.blade import Blade
from bladelab.shape.hollow import Hollow
from bladelab.shape.rocker import Rocker, Zone

KIND = "bladelab blade"
VERSION = 1
LONGEST_NAME = 60

_TOP = {"file", "version", "name", "rocker", "hollow"}
_ROCKER = {"zones", "blend_mm", "pivot_mm"}
_ZONE = {"radius_mm", "length_mm"}
_HOLLOW = {"radius_mm", "width_mm"}
_SINCE = {"edge_radius_mm"}  # left out, the edges are sharp


@takes(blade=Blade, replace=bool)
def save_blade(path: str | Path, blade: Blade, name: str, replace: bool = False) -> Path:
    """Save a blade to a JSON file, completely or not at all.

    Parameters
    ----------
    path : str or Path
    blade : Blade
        One blade; its hollow holds no arrays.
    name : str
        What the blade is called, on one line of at most 60 characters. Give it no person's name.
    replace : bool
        Whether a file that is there may be replaced.

    Raises
    ------
    ValueError
        If the name is empty, too long or of several lines, or the hollow holds arrays.
    FileExistsError
        If there is a file and `replace` is False.

    Examples
    --------
    >>> import tempfile
    >>> from pathlib import Path
    >>> from bladelab import Blade, Hollow, Rocker, load_blade, save_blade
    >>> blade = Blade(Rocker.single(3048.0, 280.0), Hollow(12.7, 3.0))
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     path = save_blade(Path(folder) / "blade.json", blade, "ten feet")
    ...     name, again = load_blade(path)
    >>> (name, again == blade)
    ('ten feet', True)
    """
    if blade.hollow.shape:
        raise InputError("the hollow holds arrays; a file holds one blade")
    document = {
        "file": KIND,
        "version": VERSION,
        "name": one_line("name", name, LONGEST_NAME, 1),
        "rocker": {
            "zones": [{"radius_mm": z.radius_mm, "length_mm": z.length_mm} for z in blade.rocker.zones],
            "blend_mm": blade.rocker.blend_mm,
            "pivot_mm": blade.rocker.pivot_mm,
        },
        "hollow": _hollow(blade.hollow),
    }
    text = json.dumps(document, indent=2, ensure_ascii=False, allow_nan=False) + "\n"
    return write_whole(path, text.encode("utf-8"), replace)


def _hollow(hollow: Hollow) -> dict[str, float]:
    """Return the numbers of a hollow; of sharp edges those that every version of the file has."""
    numbers = {f.name: getattr(hollow, f.name) for f in fields(hollow)}
    return {name: value for name, value in numbers.items() if value or name not in _SINCE}


def load_blade(path: str | Path) -> tuple[str, Blade]:
    """Load a blade saved by `save_blade`.

    Returns
    -------
    str, Blade
        The name and the blade, every number as it was saved.

    Raises
    ------
    ValueError
        With a sentence that names the file and what is wrong: not UTF-8, not JSON, another kind of file, a
        newer version, a name missing, unknown or repeated, a number that no blade has; no such file, or
        one of another kind or size.

    Examples
    --------
    >>> import tempfile
    >>> from pathlib import Path
    >>> from bladelab import Blade, Hollow, Rocker, load_blade, save_blade
    >>> blade = Blade(Rocker.single(3048.0, 280.0), Hollow(12.7, 3.0))
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     path = save_blade(Path(folder) / "blade.json", blade, "ten feet")
    ...     name, again = load_blade(path)
    >>> (name, again == blade)
    ('ten feet', True)
    """
    contents = read_limited(path, BLADE)
    try:
        return _blade_of(document_of(contents, KIND, VERSION))
    except InputError as problem:
        raise InputError(f"{called(path)} can't be read as a blade: {problem}") from None


def _blade_of(document: dict[str, object]) -> tuple[str, Blade]:
    _whole(document, _TOP, "the file")
    rocker = _whole(document["rocker"], _ROCKER, "rocker")
    hollow = _whole(document["hollow"], _HOLLOW, "hollow", _SINCE)
    listed = rocker["zones"]
    if not isinstance(listed, list) or not 1 <= len(listed) <= 50:
        raise InputError("zones must be a list of 1 to 50 zones")
    parts = [_whole(zone, _ZONE, "zone") for zone in listed]
    zones = tuple(Zone(_real(part, "radius_mm"), _real(part, "length_mm")) for part in parts)
    blade = Blade(
        Rocker(zones, _real(rocker, "blend_mm"), _real(rocker, "pivot_mm")),
        Hollow(**{name: _real(hollow, name) for name in hollow}),
    )
    return one_line("name", document["name"], LONGEST_NAME, 1), blade


def _whole(part: object, names: set[str], where: str, may: Collection[str] = ()) -> dict[str, object]:
    """Return a part that has exactly these names, besides those it `may` have."""
    if not isinstance(part, dict):
        raise InputError(f"{where} is {quoted(part)}; it must hold {', '.join(sorted(names))}")
    if missing := names - set(part):
        raise InputError(f"{where} has no {', '.join(sorted(missing))}")
    if unknown := set(part) - names - set(may):
        raise InputError(
            f"{where} holds {quoted(min(unknown))}, which no blade file of version {VERSION} has"
        )
    return part


def _real(part: dict[str, object], name: str) -> float:
    value = part[name]
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise InputError(f"{name} is {quoted(value)}; it must be a number")
    try:
        return float(value)
    except OverflowError:
        raise InputError(f"{name} is too large to be a number of mm") from None
