"""Drawings that explain the words of the workshop: trace, versine, difference, cut, drift; not to scale."""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes

from bladelab.shape.rocker import Rocker, Zone
from bladelab.show.canvas.drawing import Drawing
from bladelab.show.canvas.parts import along
from bladelab.show.canvas.style import INK, PRESENT, QUIET, STEEL, TRIAL
from bladelab.show.drawings.symbols import arrow, point
from bladelab.workshop.cut import steel_to_remove


def _heel_toe(axes: Axes, y: float, reach: float = 122.0) -> None:
    axes.text(-reach, y, "heel", ha="left", va="center", fontweight="bold")
    axes.text(reach, y, "toe", ha="right", va="center", fontweight="bold")


class MeasureSymbols(Drawing):
    """A trace by heights from a rail, and a gauge with two feet."""

    height_px = 300
    words = (
        "Two ways to measure an edge, curve exaggerated. Left, a trace: heights read from a straight rail at "
        "many places; offset and tilt of the rail don't matter. Right, a gauge with two feet on the edge, a "
        "chord apart; the plunger midway reads the versine, the height of the arc over the chord."
    )

    def draw(self) -> None:
        rocker = Rocker.single(900, 260)
        x = along(rocker, 121)
        y = rocker.height_mm(x)
        left = self.bare_axes((0.02, 0.02, 0.47, 0.86), (-150, 150), (-32, 42))
        left.fill_between(x, y, 40, color=STEEL, alpha=0.6, linewidth=0)
        left.plot(x, y, color=PRESENT, linewidth=2.2)
        rail = np.array([-138.0, 138.0])
        left.plot(rail, -20 + 0.03 * rail, color=INK, linewidth=3)
        for place in np.linspace(-120, 120, 13):
            low, high = -20 + 0.03 * place, float(rocker.height_mm(place))
            left.plot([place, place], [low, high], color=QUIET, linewidth=1.0)
            left.plot([place], [high], marker="o", markersize=5, color=PRESENT)
        left.text(0, -28, "rail: it doesn't have to be parallel", ha="center", va="center")
        left.text(0, 22, "trace: a height at each position", ha="center", va="center")
        _heel_toe(left, 34)
        right = self.bare_axes((0.51, 0.02, 0.47, 0.86), (-150, 150), (-32, 42))
        right.fill_between(x, y, 40, color=STEEL, alpha=0.6, linewidth=0)
        right.plot(x, y, color=PRESENT, linewidth=2.2)
        feet = np.array([-85.0, 85.0])
        foot = float(rocker.height_mm(85.0))
        right.fill([-95, 95, 95, -95], [-20, -20, -9, -9], color=QUIET, alpha=0.35)
        for place in feet:
            right.plot([place, place], [-9, foot], color=INK, linewidth=5, solid_capstyle="butt")
        right.plot([0, 0], [-9, 0], color=INK, linewidth=3)
        right.plot(feet, [foot, foot], color=QUIET, linewidth=1.0, linestyle=(0, (6, 4)))
        arrow(right, (12, 0), (12, foot), both=True)
        right.text(19, foot + 4, "versine", ha="left", va="center")
        arrow(right, (-85, -25), (85, -25), both=True)
        right.text(0, -30, "chord", ha="center", va="center")
        right.text(0, 22, "a gauge with two feet and a plunger", ha="center", va="center")
        right.text(0, -15, "gauge", ha="center", va="center")
        _heel_toe(right, 34)
        self.title("Two ways to measure an edge (curve exaggerated)")


class SidesSymbols(Drawing):
    """Left laid over right, and the difference."""

    height_px = 250
    words = (
        "The left edge laid over the right, curve exaggerated, with a stretch near the toe where the right "
        "one has lost steel. What counts is the difference between them, after offset and tilt are taken out."
    )

    def draw(self) -> None:
        axes = self.bare_axes((0.02, 0.02, 0.96, 0.86), (-150, 150), (-4, 24))
        rocker = Rocker.single(900, 260)
        x = along(rocker, 241)
        left = rocker.height_mm(x)
        right = left + 3.2 * np.exp(-(((x - 62) / 24) ** 2))
        axes.fill_between(x, right, 23, color=STEEL, alpha=0.6, linewidth=0)
        axes.fill_between(x, left, right, color=TRIAL, alpha=0.3, linewidth=0)
        axes.plot(x, left, color=INK, linewidth=2.2)
        axes.plot(x, right, color=TRIAL, linewidth=2.2, linestyle=(0, (5, 2)))
        point(axes, (62, 3.6), "difference: the right has lost steel here", (35, 11.5))
        axes.text(-60, 0.2, "left edge", ha="center", va="center")
        axes.text(-60, 4.6, "right edge (dashed)", ha="center", va="center", color=TRIAL)
        _heel_toe(axes, 20.5)
        self.title("Left laid over right (curve exaggerated)")


class CutSymbols(Drawing):
    """The target placed inside the steel; what comes off; what is left."""

    height_px = 300
    words = (
        "The trial shape is moved up into the present steel until it fits inside everywhere. Between the two "
        "edges is the steel to take off, the cut. Above it is the steel that is left, which must stay higher "
        "than the maker's minimum."
    )

    def draw(self) -> None:
        axes = self.bare_axes((0.02, 0.02, 0.96, 0.87), (-150, 175), (-6, 40))
        present, target = Rocker.single(900, 260), Rocker((Zone(640, 90), Zone(4000, 90), Zone(560, 80)))
        cut = steel_to_remove(present, target)
        x, now, wanted = cut.x_mm, cut.present_mm, cut.target_mm
        axes.fill_between(x, wanted, 36, color=STEEL, alpha=0.6, linewidth=0)
        axes.fill_between(x, now, wanted, color=TRIAL, alpha=0.35, linewidth=0)
        axes.plot(x, now, color=PRESENT, linewidth=2.2)
        axes.plot(x, wanted, color=TRIAL, linewidth=2.2, linestyle=(0, (5, 2)))
        axes.axhline(26, color=INK, linewidth=1.2, xmax=0.86)
        axes.text(-5, 27.6, "maker's minimum: never grind up to this line", ha="center", va="center")
        deepest = cut.largest_at_mm
        middle = float(np.interp(0, x, wanted) + np.interp(0, x, now)) / 2
        point(axes, (0, middle), "cut: steel to take off", (-10, 12))
        axes.text(-60, -3.0, "present edge", ha="center", va="center", color=PRESENT)
        axes.text(-92, 14.5, "trial edge (dashed)", ha="center", va="center", color=TRIAL)
        low, high = float(np.interp(deepest, x, now)), float(np.interp(deepest, x, wanted))
        arrow(axes, (deepest + 5, low), (deepest + 5, high), both=True)
        point(axes, (deepest + 5, (low + high) / 2), "where it is deepest", (deepest + 45, -3.2))
        _heel_toe(axes, 33)
        self.title("The trial shape, moved up into the steel until it fits (curve exaggerated)")


class SeasonSymbols(Drawing):
    """Drift of the shape between re-profiles."""

    height_px = 280
    words = (
        "Left, drift: each sharpening takes a little more off the ends than the middle, so the edge loses "
        "its shape. Right, the drift grows week by week, and re-profiling takes it back to zero, at the cost "
        "of steel."
    )

    def draw(self) -> None:
        left = self.bare_axes((0.02, 0.02, 0.5, 0.85), (-150, 150), (-5, 30))
        rocker = Rocker.single(900, 260)
        x = along(rocker, 121)
        shape = rocker.height_mm(x)
        worn = shape + 5.5 * (x / 130) ** 2
        left.fill_between(x, worn, 29, color=STEEL, alpha=0.6, linewidth=0)
        left.fill_between(x, shape, worn, color=QUIET, alpha=0.3, linewidth=0)
        left.plot(x, shape, color=INK, linewidth=1.6, linestyle=(0, (5, 2)))
        left.plot(x, worn, color=PRESENT, linewidth=2.2)
        point(left, (118, 9.6), "drift", (70, 16))
        left.text(-62, 10.5, "the edge after a\nfew sharpenings", ha="center", va="center", color=PRESENT)
        left.text(0, -2.4, "the shape it should have (dashed)", ha="center", va="center")
        _heel_toe(left, 26)
        right = self.bare_axes((0.56, 0.06, 0.42, 0.78), (-1, 38), (-0.2, 1.35))
        weeks = np.array([0, 18, 18, 32, 32, 36])
        right.plot(weeks, [0, 0.95, 0, 0.74, 0, 0.21], color=PRESENT, linewidth=2.2)
        right.axhline(0, color=QUIET, linewidth=1.0)
        right.plot([0, 36], [0.85, 0.85], color=INK, linewidth=1.2)
        right.text(0, 0.9, "tolerance", ha="left", va="bottom")
        right.text(18, 1.22, "re-profiled", ha="center", va="center")
        for week, top in ((18, 0.97), (32, 0.76)):
            right.annotate(
                "", (week, top), (week - 1 if week > 20 else week, 1.16),
                arrowprops={"arrowstyle": "->", "color": INK, "linewidth": 1.1},
            )  # fmt: skip
        right.text(36, -0.13, "weeks", ha="right", va="center")
        right.text(0, -0.13, "drift over a season", ha="left", va="center")
        self.title("Drift: how far the edge is off its shape (curve exaggerated)")
