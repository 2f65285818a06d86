"""What the pictures of edges share: axes along the blade, the scale of their radius, stretches and marks."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import chain, repeat

import numpy as np
from matplotlib.axes import Axes
from matplotlib.lines import Line2D

from bladelab._types import Array, Numbers
from bladelab.show.canvas.limits import Rising
from bladelab.show.canvas.parts import REACH_MM
from bladelab.show.canvas.style import INK, QUIET, TRIAL, Look, heel_and_toe
from bladelab.show.canvas.view import View
from bladelab.show.wording.units_shown import UNITS
from bladelab.workshop.compare import SideDifference

#: Limits of the steel that lies between two edges, mm.
APART_MM = (0.02, 0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0)
_STRAIGHT_MM = 1e6  # a radius no picture tells from a straight line


def axes_along(view: View, width: float, *spans: tuple[float, float]) -> list[Axes]:
    """Axes one above the other, the upper first, each by its bottom and height; the lowest has the scale."""
    all_axes = [view.figure.add_axes((0.085, bottom, width, height)) for bottom, height in spans]
    for axes in all_axes:
        axes.set_xlim(-REACH_MM, REACH_MM)
        axes.tick_params(labelbottom=axes is all_axes[-1])
        heel_and_toe(axes)
    all_axes[-1].set_xlabel("along the blade, mm from its middle")
    return all_axes


def worst_mark(view: View, axes: Axes) -> Line2D:
    """A ring around the place where a difference is largest."""
    return view.new_line(axes, marker="o", markersize=8, markerfacecolor="none", color="black")


class ApartPart:
    """Left against right: how far the two edges are apart, grey where that is too small to tell, and a ring
    where they differ most.

    Parameters
    ----------
    view : View
    axes : Axes
        Along the blade.
    says : str
        Written over the grey.
    """

    def __init__(self, view: View, axes: Axes, says: str = "grey: too small to tell") -> None:
        axes.set_ylabel("extra steel on the right (+)\nor on the left (−), mm")
        self._says = says
        self._doubt = view.new_area(axes, color=QUIET, alpha=0.25)
        self._line = view.new_line(axes, color=INK, linewidth=1.6)
        self._worst = worst_mark(view, axes)
        self._tag = view.new_text(axes, color=QUIET, va="bottom")
        self._tall = Rising(axes, APART_MM, spare=1.2, below=1.0)

    def update(self, apart: SideDifference | None, otherwise: str = "") -> None:
        """Follow a difference; where there is none, say why in `otherwise`."""
        for artist in (self._doubt, self._line, self._worst):
            artist.set_visible(apart is not None)
        above = 0.0
        if apart is None:
            self._tall.reach(0.0)
        else:
            most = float(apart.threshold_mm.max())
            tall = self._tall.reach(max(most, float(np.abs(apart.difference_mm).max())))
            above = most + 0.03 * tall
            self._doubt.set_data(apart.x_mm, -apart.threshold_mm, apart.threshold_mm)
            self._line.set_data(apart.x_mm, apart.difference_mm)
            self._worst.set_data([apart.largest_at_mm], [apart.largest_mm])
        self._tag.set_text(otherwise if apart is None else self._says)
        self._tag.set_position((-REACH_MM + 4, above))


class RadiusScale:
    """The vertical axis of the radius along an edge."""

    def __init__(self, axes: Axes) -> None:
        unit = UNITS.unit("radius")
        self.top = 20.0 if unit == "ft" else 6.0
        axes.set(ylabel=f"radius, {unit}", ylim=(0, self.top))

    def shown(self, radius_mm: Numbers) -> Array:
        """Radii as shown; those of an edge that is straight or dips lie just out of sight."""
        radius = np.where(radius_mm > 0, np.minimum(radius_mm, _STRAIGHT_MM), _STRAIGHT_MM)
        return np.minimum(UNITS.shown("radius", radius), 1.2 * self.top)


class Stretches:
    """Shaded stretches along the blade, `most` at a time."""

    def __init__(self, view: View, axes: Axes, most: int) -> None:
        look: Look = {"color": TRIAL, "alpha": 0.18, "linewidth": 0}
        self._spans = [view.moving(axes.axvspan(0, 0, **look)) for _ in range(most)]

    def update(self, stretches: Iterable[tuple[float, float]]) -> None:
        """Shade these, each from one place to another, mm."""
        for span, stretch in zip(self._spans, chain(stretches, repeat(None)), strict=False):
            span.set_visible(stretch is not None)
            if stretch:
                span.set_x(stretch[0])
                span.set_width(stretch[1] - stretch[0])
