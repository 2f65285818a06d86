"""The ice as it was last tested on a card: what the pages then reckon with."""

from __future__ import annotations

import datetime
from dataclasses import dataclass

from bladelab._types import Numbers
from bladelab.book.card import Card
from bladelab.book.rink_happenings import IceTested
from bladelab.physics.ice import Ice


@dataclass(frozen=True)
class TestedIce:
    """The ice of a rink, as hard as it was tested.

    Attributes
    ----------
    rink : str
    on : date
    factor : float
        Its hardness as a multiple of the usual fit for the temperature of the test.
    """

    rink: str
    on: datetime.date
    factor: float

    def at(self, temperature_C: Numbers) -> Ice:
        """Return this ice at a temperature; it is that much harder or softer than usual at any."""
        return Ice(temperature_C, self.factor)


def tested_ice(card: Card | None) -> TestedIce | None:
    """Return the ice of the last test on a card; None without one, or where its temperature isn't known."""
    if card is None or card.ice is None:
        return None
    what = card.ice.what
    assert isinstance(what, IceTested)
    if what.temperature_C is None:
        return None
    factor = what.drop.hardness_MPa / float(Ice(what.temperature_C).drop_hardness_MPa)
    return TestedIce(what.rink, card.ice.on, factor) if 0.2 <= factor <= 3.0 else None
