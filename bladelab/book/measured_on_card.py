"""What a card knows of differences between two blades, measured on the ice."""

from __future__ import annotations

from bladelab._errors import InputError
from bladelab.advice.measured import MeasuredDifference
from bladelab.book.card import Card
from bladelab.book.rink_happenings import GlideMeasured, Preferred, Timed
from bladelab.rink.glide_compare import GlideDifference


def measured_differences(card: Card) -> tuple[MeasuredDifference, ...]:
    """Return the differences measured between two blades that are both known, and blind preferences, by date.

    Runs that can't tell anything, too few for a fit or a test, are left out.
    """
    found = []
    for entry in (*card.glides, *card.timed, *card.preferred):
        what = entry.what
        assert isinstance(what, GlideMeasured | Timed | Preferred)
        if what.first is None or what.second is None:
            continue
        try:
            if isinstance(what, Timed):
                about, told = "time", what.session.result.percent
            elif isinstance(what, Preferred):
                about, pairs = "preference", what.found
                share = pairs.for_b / (pairs.for_a + pairs.for_b)
                told = 100 * (1 - 2 * share), 100 * (1 - 2 * pairs.high), 100 * (1 - 2 * pairs.low)
            elif isinstance(glided := what.found, GlideDifference):
                about, told = "glide", glided.percent
            else:
                continue
        except InputError:
            continue
        found.append(MeasuredDifference(about, what.first, what.second, *told, entry.on))
    return tuple(sorted(found, key=lambda one: one.on))
