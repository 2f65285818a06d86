"""What was measured between two blades of one skater, or preferred blind: it counts before how they were
rated."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import dataclass

from bladelab.shape.blade import Blade, what_differs


@dataclass(frozen=True)
class MeasuredDifference:
    """A difference between two blades, measured on the ice.

    Attributes
    ----------
    about : str
        ``"glide"`` (friction), ``"time"``, or ``"preference"`` in blind pairs (those for `before`); less is
        better of all.
    before, after : Blade
    percent, low, high : float
        How much more it is on `after`, per cent, and what agrees with the measurement (95 %). Of preferences,
        how many per cent of all more went to `before`: 100 where all did, -100 where none did.
    on : date
    """

    about: str
    before: Blade
    after: Blade
    percent: float
    low: float
    high: float
    on: datetime.date

    @property
    def share(self) -> tuple[float, float, float]:
        """Of preferences: in how many per cent of them `after` was preferred, and what agrees with that."""
        share, high, low = ((100 - percent) / 2 for percent in (self.percent, self.low, self.high))
        return share, low, high

    @property
    def shown(self) -> bool:
        """Whether it is more than chance."""
        return self.low > 0 or self.high < 0

    def turned(self) -> MeasuredDifference:
        """The same, told from the other blade."""

        def back(percent: float) -> float:
            return -percent if self.about == "preference" else 100 * (1 / (1 + percent / 100) - 1)

        return MeasuredDifference(
            self.about,
            self.after,
            self.before,
            back(self.percent),
            back(self.high),
            back(self.low),
            self.on,
        )


def measured_on_blade(measured: Sequence[MeasuredDifference], blade: Blade) -> list[MeasuredDifference]:
    """Return what was measured between another blade and this one, told toward this one, the latest last."""
    found = []
    for one in sorted(measured, key=lambda one: one.on):
        for told in (one, one.turned()):
            if not what_differs(told.after, blade) and what_differs(told.before, blade):
                found.append(told)
                break
    return found
