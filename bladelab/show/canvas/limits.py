"""Axes whose limits step: calm under a slider, and drawn again only when the limit changes."""

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
    """The upper limit of a vertical axis, which follows the largest value in steps.

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
    """

    def __init__(
        self,
        axes: Axes,
        steps: Iterable[float],
        spare: float = 1.1,
        below: float = 0.0,
        name: str = "",
        down: bool = False,
    ) -> None:
        self._axes, self._steps, self._spare, self._below = axes, tuple(steps), spare, below
        self._name, self._down = name, down
        self.top = 0.0
        self.reach(0.0)

    def reach(self, value: float) -> float:
        """Make room for a value; return the limit."""
        top = step_above(self._spare * value, self._steps)
        if top != self.top:
            self.top = top
            ends = -self._below * top, top
            self._axes.set_ylim(*(ends[::-1] if self._down else ends))
            if self._name:
                self._axes.set_ylabel(f"{self._name}\n({times(exaggeration(self._axes))})")
        return top
