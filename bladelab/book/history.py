"""The history of a card: every entry, the newest first; struck ones stay readable and say why."""

from __future__ import annotations

import datetime
from collections.abc import Iterable
from dataclasses import dataclass

from bladelab._values import by_value
from bladelab.book.card import Card
from bladelab.book.entry import Entry
from bladelab.book.fold import card_after, counting
from bladelab.book.happenings import Struck


@by_value
@dataclass(frozen=True, eq=False)
class HistoryLine:
    """One entry of a history.

    Attributes
    ----------
    entry : Entry
    struck_by : Entry or None
        The entry that struck it out; None if it counts.
    """

    entry: Entry
    struck_by: Entry | None = None


def history(entries: Iterable[Entry]) -> tuple[HistoryLine, ...]:
    """Return what happened, the latest day first and the last written of a day first.

    A strike has no line of its own: it is on the line of what it struck. One that was itself struck out has
    none at all; the book keeps it.

    Parameters
    ----------
    entries : iterable of Entry
        Of one skater, in any order.

    Examples
    --------
    >>> import datetime
    >>> from bladelab.book.happenings import Fitted
    >>> day = datetime.date(2026, 11, 3)
    >>> lines = history([
    ...     Entry("K07", day, Fitted("S1"), number=1),
    ...     Entry("K07", day, Struck(1, "wrong set"), number=2),
    ... ])
    >>> [(line.entry.word, line.struck_by.what.why) for line in lines]
    [('fitted', 'wrong set')]
    """
    known = list(entries)
    counts = {entry.number for entry in counting(known)}
    strikes = {}
    for entry in sorted(known, key=lambda entry: entry.number):
        if isinstance(entry.what, Struck):
            strikes[entry.what.entry] = entry
    found = [
        HistoryLine(entry, None if entry.number in counts else strikes.get(entry.number))
        for entry in known
        if not isinstance(entry.what, Struck)
    ]
    return tuple(sorted(found, key=lambda line: (line.entry.on, line.entry.number), reverse=True))


def steel_left(entries: Iterable[Entry]) -> dict[str, tuple[tuple[datetime.date, float | None], ...]]:
    """Return how much steel each set had above the maker's minimum after each entry about it, mm.

    Parameters
    ----------
    entries : iterable of Entry
        Of one skater, in any order.

    Returns
    -------
    dict of str to tuple of (date, float or None)
        By the code of the set, in the order of the days; None where it is not known.

    Examples
    --------
    >>> import datetime
    >>> from bladelab.book.happenings import Sharpened, SteelMeasured
    >>> day = datetime.date(2026, 11, 3)
    >>> steel_left([
    ...     Entry("K07", day, SteelMeasured("S1", height_mm=12.0, least_mm=9.0), number=1),
    ...     Entry("K07", day, Sharpened("S1", taken_mm=0.5), number=2),
    ... ])["S1"][-1][1]
    2.5
    """
    found: dict[str, list[tuple[datetime.date, float | None]]] = {}
    card = Card("")
    for entry in counting(entries):
        card = card_after(card, [entry])
        if entry.steel:
            steel = card.steel[entry.steel]
            left = None if steel.unknown_cuts else steel.left_above_least_mm
            found.setdefault(entry.steel, []).append((entry.on, left))
    return {code: tuple(days) for code, days in found.items()}
