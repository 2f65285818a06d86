"""A rink's card: the tests of its ice, by date, whoever's card they were written on."""

from __future__ import annotations

import itertools
from collections.abc import Iterable
from dataclasses import dataclass

from bladelab._cells import csv_table
from bladelab._errors import InputError
from bladelab.book.entry import Entry
from bladelab.book.fold import counting
from bladelab.book.rink_happenings import IceTested
from bladelab.rink.hardness_change import HardnessChange, hardness_change
from bladelab.rink.press_test import exponent_between

#: Of a rink's card as a table: the change is that since the test before, with its 95 % interval; the exponent
#: that between the ball and the slow press.
RINK_COLUMNS = (
    "rink", "date", "hardness_MPa", "hardness_error_MPa", "craters", "temperature_C", "pressed_ms",
    "change_MPa", "change_error_MPa", "change_percent", "change_low_percent", "change_high_percent", "change",
    "press_MPa", "press_error_MPa", "press_s", "exponent", "exponent_error",
)  # fmt: skip


@dataclass(frozen=True)
class RinkCard:
    """What is known of one rink's ice.

    Attributes
    ----------
    code : str
    tests : tuple of Entry
        Whose `what` is an `IceTested`, by date.
    """

    code: str
    tests: tuple[Entry, ...]

    @property
    def last(self) -> IceTested:
        """The last test."""
        what = self.tests[-1].what
        assert isinstance(what, IceTested)
        return what

    @property
    def changes(self) -> tuple[HardnessChange | None, ...]:
        """For each test how much harder the ice was than in the one before.

        None for the first, and where a ball pressed much longer than the other, so that they can't be
        compared.
        """
        found: list[HardnessChange | None] = [None]
        tests = [entry.what.drop for entry in self.tests if isinstance(entry.what, IceTested)]
        for before, after in itertools.pairwise(tests):
            try:
                found.append(hardness_change(before, after))
            except InputError:
                found.append(None)
        return tuple(found)

    def as_csv(self) -> bytes:
        """Return the tests as a table for a spreadsheet, `RINK_COLUMNS`; what is unknown is left empty."""
        rows: list[list[str | float]] = []
        for entry, change in zip(self.tests, self.changes, strict=True):
            what = entry.what
            assert isinstance(what, IceTested)
            drop, cold = what.drop, what.temperature_C
            row: list[str | float] = [self.code, entry.on.isoformat(), drop.hardness_MPa]
            row += [drop.standard_error_MPa, len(what.crater_mm), "" if cold is None else cold]
            row.append(1000 * drop.loading_time_s)
            if change is not None:
                row += [change.difference_MPa, change.standard_error_MPa, *change.percent]
                row.append("shown" if change.shown else "not shown")
            elif rows:
                row += [*([""] * 5), "not comparable"]
            else:
                row += [""] * 6
            rows.append([*row, *_pressed(what)])
        return csv_table(RINK_COLUMNS, rows)


def _pressed(what: IceTested) -> list[str | float]:
    """What the slow press beside it says; nothing without one."""
    press = what.press
    if press is None:
        return [""] * 5
    softens = exponent_between(what.drop, press)
    return [press.hardness_MPa, press.standard_error_MPa, press.loading_time_s, *softens]


def rink_cards(entries: Iterable[Entry]) -> dict[str, RinkCard]:
    """Return the card of each rink, by code.

    Parameters
    ----------
    entries : iterable of Entry
        Of all skaters, in any order.

    Examples
    --------
    >>> import datetime
    >>> test = IceTested("R1", 12.7, 1.0, (9.8, 10.0, 9.9))
    >>> cards = rink_cards([Entry("K07", datetime.date(2026, 11, 3), test, number=1)])
    >>> print(f"{cards['R1'].last.drop.hardness_MPa:.1f} MPa")
    16.8 MPa
    """
    tests: dict[str, list[Entry]] = {}
    for entry in counting(entries):
        if isinstance(entry.what, IceTested):
            tests.setdefault(entry.what.rink, []).append(entry)
    return {code: RinkCard(code, tuple(tests[code])) for code in sorted(tests)}
