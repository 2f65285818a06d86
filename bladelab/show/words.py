"""Differences in words, for sentences and titles."""

from __future__ import annotations


def percent(trial: float, present: float) -> str:
    """The difference in whole per cent, signed: ``"+7 %"``; ``"the same"`` below half a per cent."""
    change = 100 * (trial / present - 1)
    return "the same" if abs(change) < 0.5 else f"{change:+.0f} %".replace("-", "−")


def more_or_less(trial: float, present: float, more: str, less: str, same: str) -> str:
    """``"7 % longer"``: the difference in words."""
    change = 100 * (trial / present - 1)
    return same if abs(change) < 0.5 else f"{abs(change):.0f} % {more if change > 0 else less}"


def along_the_blade(x_mm: float) -> str:
    """``"56 mm ahead of the middle"``: a place along the runner in words."""
    if abs(x_mm) < 0.5:
        return "at the middle"
    return f"{abs(x_mm):.0f} mm {'ahead of' if x_mm > 0 else 'behind'} the middle"
