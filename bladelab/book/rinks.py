"""A rink's card: the tests of its ice, by date, whoever's card they were written on."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from bladelab.book.entry import Entry
from bladelab.book.fold import counting
from bladelab.book.rink_happenings import IceTested


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
