"""Where the files of data/ are: beside the package in a checkout, inside it in an installed wheel."""

from __future__ import annotations

from pathlib import Path

_PACKAGE = Path(__file__).resolve().parent
_PLACES = (_PACKAGE / "data", _PACKAGE.parent / "data")


def data_file(name: str) -> Path:
    """Return the path of a file that comes with bladelab.

    Parameters
    ----------
    name : str
        Its place in data/, such as ``"demo/stride.csv"``; no name gives data/ itself.

    Raises
    ------
    FileNotFoundError
        If this copy of bladelab came without it.

    Examples
    --------
    >>> data_file("demo/stride.csv").name
    'stride.csv'
    """
    for place in _PLACES:
        if (place / name).exists():
            return place / name
    raise FileNotFoundError(f"data/{name} is missing: this copy of bladelab is not complete")
