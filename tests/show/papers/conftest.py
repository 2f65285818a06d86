"""A card of whom all is known, and one of whom nearly nothing is."""

from __future__ import annotations

from dataclasses import replace

import pytest

from bladelab.book.card import Card
from bladelab.book.happenings import Circumstances, Complained, Decided, Joined
from bladelab.book.rink_happenings import GlideMeasured
from bladelab.book.steel_happenings import Fitted, Measured, Ordered, Stated, SteelMeasured
from tests.show.papers.cards import ICE, NINE, RUNS, SHAPED, TEN, TIMED, card, edge_of


@pytest.fixture(scope="module")
def full() -> Card:
    """All there can be on an invented skater's card: both edges measured, each ground to another shape."""
    return card(
        Joined("U14"),
        Circumstances(mass_kg=62.0),
        Stated("S1", TEN),
        SteelMeasured("S1", height_mm=31.2, least_mm=28.0),
        Fitted("S1"),
        Measured("S1", "left", edge_of(3000.0, 3.0)),
        Measured("S1", "right", edge_of(3100.0, -2.0)),
        Complained("no bite", "left"),
        Decided(SHAPED, "slips on the left in tight turns; wants to glide further " + "and further " * 30),
        Ordered("S1", SHAPED, ("left",)),
        Ordered("S1", NINE, ("right",), tolerance_mm=0.05),
        ICE,
        Circumstances(hardness="drop test"),
        *(GlideMeasured.of(RUNS, 75.0, TEN, NINE) for _ in range(3)),
        *(replace(TIMED, drill=drill) for drill in ("15 m sprint", "two crossovers", "round the circle")),
    )


@pytest.fixture(scope="module")
def bare() -> Card:
    """As little as an order can be made from: nothing measured, nothing known of the right edge."""
    return card(Stated("S1", TEN, ("left",)), Fitted("S1"), Decided(NINE), skater="K08")
