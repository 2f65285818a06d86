"""The sheet for a timed trial: which blade each run is on, and a box for its time."""

from __future__ import annotations

import datetime
from typing import IO

from bladelab.rink.order import RunOrder
from bladelab.show.papers.sheet import SMALL_PT, Sheet
from bladelab.show.wording.say import say_day
from bladelab.show.wording.words import CAUTIONS

#: How to time a session (our own advice; common practice, no source).
_HOW = (
    "Warm up as for a game, then two practice runs that don't count.",
    "Skate the runs in this order, with the same rest before each. Two easy laps after a change of steel.",
    "The skater shouldn't know which blade is on: let someone else change it, out of sight.",
    "Write every time down, the slow ones too. A fall or a false start: write x and go on.",
    "Finish all the runs before anyone works out who won.",
)
_UNITS_NAMED = {"pairs": "pair", "ABBA": "block", "ABA": "place"}


def write_timed_sheet(
    file: IO[bytes],
    order: RunOrder,
    about: str,
    on: datetime.date,
    skater: str = "",
    paper: str = "",
    blades: tuple[str, str] | None = None,
) -> None:
    """Write the sheet as a PDF.

    Parameters
    ----------
    file : binary file
    order : RunOrder
    about : str
        What was planned, in a sentence or two.
    on : date
    skater : str
        The code, if a card is open.
    paper : {"", "A4", "Letter"}
        Left out, the one usual where the units are.
    blades : (str, str), optional
        A and B in words, where they are known; else there is a line for each to fill in.

    Raises
    ------
    InputError
        If the paper is not known.
    """
    sheet = Sheet(paper)
    whose = f" · {skater}" if skater else ""
    sheet.begin(f"timed trial{whose} · {say_day(on)} · order {order.seed}")
    sheet.title(f"Timed trial: A against B{whose}", f"{say_day(on)} · {about}")
    if blades is not None:
        sheet.prose(f"A: {blades[0]}. B: {blades[1]}.")
    sheet.blanks([*([] if blades else ["Blade A", "Blade B"]), "Drill", "Timed by"], 2)
    sheet.heading("How to do it")
    sheet.numbered(_HOW)
    sheet.heading("The runs", 1.0)
    sheet.grid(_rows(order), 1.2, ["run", "blade", "time, s", "remark"])
    sheet.prose(f"{CAUTIONS['first']} {CAUTIONS['health']} {CAUTIONS['rules']}", SMALL_PT)
    sheet.write(file, f"timed trial {say_day(on)}")


def _rows(order: RunOrder) -> list[list[str | None]]:
    rows: list[list[str | None]] = []
    named, size = _UNITS_NAMED[order.design], len(order.blocks[0])
    for run, blade in enumerate(order.runs):
        unit, first = divmod(run, size)
        begins = f", {named} {unit + 1}" if not first and order.design != "ABA" else ""
        rows.append([f"{run + 1}{begins}", blade, None, None])
    return rows
