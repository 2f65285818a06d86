"""Which measured edges and photographs the panels offer: the invented ones, and those the reader puts beside
the notebook.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from pathlib import Path

from bladelab._data import data_file
from bladelab._files import regular_files
from bladelab.book.card import Card
from bladelab.book.steel_happenings import LEFT_AND_RIGHT
from bladelab.show.wording.say import short_day
from bladelab.workshop.gauge import GaugeReadings
from bladelab.workshop.reading import MeasuredEdge, read_edge
from bladelab.workshop.trace import Trace

DEMO = data_file("demo")
#: Folder beside the notebook in which a reader's own files are looked for.
OWN_FOLDER = "measured"

_INVENTED = {
    "left_edge.csv": "left edge (invented)",
    "right_edge.csv": "right edge (invented)",
    "left_gauge.csv": "left edge by versine gauge (invented)",
    "blade_photo.png": "a blade of one radius (invented)",
}


def offered(*suffixes: str, invented: Mapping[str, str] = _INVENTED) -> tuple[tuple[str, str], ...]:
    """Return pairs of a name for the reader and a path, for files with one of these endings.

    Parameters
    ----------
    *suffixes : str
    invented : mapping of str to str
        What each of our own files is called, by its name.
    """
    pairs = ((words, str(DEMO / name)) for name, words in invented.items() if name.endswith(suffixes))
    return (*pairs, *((file.name, str(file)) for file in regular_files(OWN_FOLDER, *suffixes)))


def for_the_card(
    found: Mapping[str, Trace | GaugeReadings], *sources: object
) -> Mapping[str, Trace | GaugeReadings]:
    """Which of the edges found may go on a skater's card: none, if a source is one of our invented files."""
    invented = any(isinstance(source, str) and Path(source).parent == DEMO for source in sources)
    return {} if invented else found


def edges_on_card(card: Card | None) -> tuple[tuple[str, Trace | GaugeReadings], ...]:
    """Return pairs of a name for the reader and what was measured, left and right, of a skater's card."""
    found = []
    for side in LEFT_AND_RIGHT:
        edge = None if card is None else card.edge(side)
        if edge and edge.measured is not None:
            day = f", {short_day(edge.measured_on)}" if edge.measured_on else ""
            found.append((f"{side} edge (card{day})", edge.measured))
    return tuple(found)


def measured(source: str | Trace | GaugeReadings) -> Trace | GaugeReadings:
    """Read a measured edge, once for each change of the file; one from a card is there already."""
    return _read(source, _changed(source)).edge if isinstance(source, str) else source


def notes_on(*sources: str | Trace | GaugeReadings) -> str:
    """Say how the files of measured edges were understood, each on a line of its own, with its name."""
    paths = [source for source in sources if isinstance(source, str)]
    said = [(Path(path).name, note) for path in paths for note in _read(path, _changed(path)).notes]
    return "".join(f"\n{name}: {note}" for name, note in said)


def _changed(path: str) -> int:
    file = Path(path)
    return file.stat().st_mtime_ns if file.exists() else 0


@lru_cache(maxsize=16)
def _read(path: str, changed: int) -> MeasuredEdge:
    return read_edge(path)
