"""Pictures of pages and slides that a test run keeps, to look at afterwards; git leaves their folder out."""

from pathlib import Path

_FOLDER = Path(__file__).parents[1] / "screenshots"


def kept(name: str) -> Path:
    """Where a test puts a picture of this name, over one of an earlier run: ``kept("lab-07-390.jpg")``."""
    _FOLDER.mkdir(exist_ok=True)
    return _FOLDER / name
