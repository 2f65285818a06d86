"""A line of the scorecard: one quantity in one moment, on both blades."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from bladelab._values import by_value
from bladelab.advice.quantities import Quantity, change
from bladelab.physics.days import Difference
from bladelab.physics.moments import Moment
from bladelab.physics.over_ices import OverIces


@by_value
@dataclass(frozen=True, eq=False)
class Line:
    """One quantity in one moment, on both blades.

    Attributes
    ----------
    moment : Moment
    quantity : Quantity
    difference : Difference
        Both values with their bands on the ice of the scorecard; trial minus present, on the same day and on
        different days.
    over_ices : OverIces or None
        Of friction, both blades on the ices held possible; None of other quantities.
    """

    moment: Moment
    quantity: Quantity
    difference: Difference
    over_ices: OverIces | None = None

    @property
    def present(self) -> float:
        """The present blade's value."""
        return float(self.difference.present.value)

    @property
    def trial(self) -> float:
        """The trial blade's value."""
        return float(self.difference.trial.value)

    @property
    def change(self) -> float:
        """Trial minus present: per cent, for the pitch degrees."""
        return float(change(self.present, self.trial, self.quantity.key))

    @cached_property
    def surely(self) -> Difference:
        """The difference with all that is unsure of it: of friction, which ice it is, too."""
        return self.difference if self.over_ices is None else self.over_ices.widen(self.difference)

    @property
    def day_to_day(self) -> float:
        """How large a change must be to show despite day-to-day variation, and whichever ice it is, in the
        unit of `change`."""
        band = self.surely.other_day
        half = float(band.half_width)
        if self.over_ices is not None:  # the ices may be all on one side of it
            value = float(band.value)
            half = value - float(band.low) if value > 0 else float(band.high) - value
        return 100 * half / abs(self.present) if self.quantity.percent else half

    @property
    def verdict(self) -> str:
        """ "shows", "same day only", "too small" or, of friction, "depends on the ice"."""
        if self.over_ices is not None and self.over_ices.disagree:
            return "depends on the ice"
        return _verdict(self.surely)

    @property
    def verdict_here(self) -> str:
        """The verdict if the ice is the scorecard's own, and no other is possible."""
        return _verdict(self.difference)

    @property
    def _hold_words(self) -> str:
        if self.trial > 0 >= self.present:
            return "has an edge that holds again"
        if self.present > 0 >= self.trial:
            return "has lost its hold"
        size = f"{abs(self.trial - self.present):.1f}°"
        more = self.quantity.more if self.change > 0 else self.quantity.less
        return more.format(size) if float(size[:-1]) else "is the same"

    @property
    def words(self) -> str:
        """What the trial does, as a skater would say it: "turns 33 % wider"."""
        if self.quantity.key == "hold" and (self.present <= 0 or self.trial <= 0 or abs(self.change) > 200):
            return self._hold_words  # per cent of next to nothing say nothing
        size = f"{abs(self.change):.0f} %" if self.quantity.percent else f"{abs(self.change):.2f}°"
        if not float(size.rstrip(" %°")):
            return "is the same"
        return (self.quantity.more if self.change > 0 else self.quantity.less).format(size)


def _verdict(found: Difference) -> str:
    if found.shows:
        return "shows"
    return "same day only" if found.sure else "too small"
