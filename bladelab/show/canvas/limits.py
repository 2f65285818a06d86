"""Axes whose limits step: calm while a slider moves, and redrawn only when the limit changes."""

from __future__ import annotations

from collections.abc import Iterable

from matplotlib.axes import Axes


def step_above(value: float, steps: Iterable[float]) -> float:
    """The first of `steps` (ascending) that is at least `value`, else the last."""
    chosen = 0.0
    for step in steps:
        chosen = step
        if step >= value:
            break
    return chosen


def exaggeration(axes: Axes) -> float:
    """How many times taller than wide a square millimetre is drawn."""
    (left, right), (bottom, top) = axes.get_xlim(), axes.get_ylim()
    box = axes.get_window_extent()
    return abs((box.height / (top - bottom)) / (box.width / (right - left)))


def times(factor: float) -> str:
    """A round factor in words for an axis label: ``"height exaggerated 15x"``."""
    return f"exaggerated {factor:.0f}x"


class Rising:
    """The far limit of an axis, which follows the largest value in steps.

    Parameters
    ----------
    axes : Axes
    steps : sequence of float
        Limits to choose from, ascending.
    spare : float
        The limit is at least this many times the value.
    below : float
        How far the axis goes below 0, as a share of its limit.
    name : str
        The axis label; where it is given, the label also says how much the height is exaggerated.
    down : bool
        Whether the values grow downward, as a depth does.
    across : bool
        Whether it is the horizontal axis.
    ticks : int
        How many ticks there are, evenly from 0 to the limit; matplotlib chooses by default.

    Attributes
    ----------
    top : float
        The limit as it is now.
    """

    def __init__(
        self,
        axes: Axes,
        steps: Iterable[float],
        spare: float = 1.1,
        below: float = 0.0,
        name: str = "",
        *,
        down: bool = False,
        across: bool = False,
        ticks: int = 0,
    ) -> None:
        self._axes, self._steps, self._spare, self._below = axes, tuple(steps), spare, below
        self._name, self._down, self._ticks = name, down, ticks
        self._axis = axes.xaxis if across else axes.yaxis
        self._set_limits = axes.set_xlim if across else axes.set_ylim
        self.top, self._floor = 0.0, 0.0
        self.reach(0.0)

    def reach(self, value: float, lowest: float = 0.0) -> float:
        """Make space for a value, and for the lowest one where that is below 0; return the limit."""
        floor = -step_above(-self._spare * lowest, self._steps) if lowest < 0 else 0.0
        if floor != self._floor:
            self._floor, self.top = floor, 0.0
        return self.set(step_above(self._spare * value, self._steps))

    def set(self, top: float) -> float:
        """Set the limit itself, and return it."""
        if top != self.top:
            self.top = top
            ends = min(-self._below * top, self._floor), top
            self._set_limits(*(ends[::-1] if self._down else ends))
            if self._ticks:
                self._axis.set_ticks([top * i / (self._ticks - 1) for i in range(self._ticks)])
            if self._name:
                self._axes.set_ylabel(f"{self._name}\n({times(exaggeration(self._axes))})")
        return top
