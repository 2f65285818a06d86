"""Drawings that explain the words and letters of the pictures: the rocker, the groove, the contact.

They are computed with the model itself, for a blade rounder and a groove deeper than anyone skates on, so
that you can see what the words mean.
"""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes

from bladelab.physics.contact import solve_contact
from bladelab.physics.ice import Ice
from bladelab.physics.stance import Stance
from bladelab.shape.blade import Blade
from bladelab.shape.hollow import Hollow
from bladelab.shape.rocker import Rocker, Zone
from bladelab.show.canvas.drawing import Drawing
from bladelab.show.canvas.parts import along
from bladelab.show.canvas.style import ICE, INK, PRESENT, QUIET, STEEL, label, radius_colour


def arrow(axes: Axes, start: tuple[float, float], end: tuple[float, float], both: bool = False) -> None:
    """A thin arrow in data coordinates; with two heads it marks a length."""
    style = {
        "arrowstyle": "<->" if both else "->",
        "color": INK,
        "linewidth": 1.1,
        "shrinkA": 0,
        "shrinkB": 0,
    }
    axes.annotate("", end, start, arrowprops=style)


def point(
    axes: Axes, at: tuple[float, float], words: str, text_at: tuple[float, float], ha: str = "center"
) -> None:
    """Words with a thin leader line to what they name."""
    line = {"arrowstyle": "-", "color": QUIET, "linewidth": 0.9, "shrinkA": 2, "shrinkB": 2}
    axes.annotate(words, at, text_at, ha=ha, va="center", fontsize=11, arrowprops=line)


class RockerSymbols(Drawing):
    """Zones, junction, blend, level point, radius."""

    height_px = 290
    words = (
        "Side view of a blade, heel left and toe right, height greatly exaggerated. The edge is a curve made "
        "of zones, each part of a circle with its own radius; a large radius is flat, a small one round. Two "
        "zones meet at a junction, or over a blend. The level point is where the edge is lowest and level."
    )

    def draw(self) -> None:
        axes = self.bare_axes((0.02, 0.02, 0.96, 0.88), (-150, 150), (-2.6, 9.5))
        rocker = Rocker((Zone(1700, 90), Zone(3400, 110), Zone(1100, 80)), blend_mm=30)
        x = along(rocker, 281)
        y = rocker.height_mm(x)
        axes.fill_between(x, y, 9.5, color=STEEL, alpha=0.5, linewidth=0)
        for start, end in ((-140, -65), (-35, 45), (75, 140)):
            part = (x >= start - 0.1) & (x <= end + 0.1)
            radius = float(rocker.radius_mm((start + end) / 2))
            axes.plot(x[part], y[part], color=radius_colour(radius), linewidth=5, solid_capstyle="butt")
        for start, end in ((-65, -35), (45, 75)):
            part = (x >= start - 0.1) & (x <= end + 0.1)
            axes.plot(x[part], y[part], color=INK, linewidth=5, solid_capstyle="butt")
        axes.axhline(0, color=QUIET, linewidth=0.8, linestyle=(0, (6, 4)))
        axes.plot([0], [0], marker="^", markersize=11, color=INK, clip_on=False)
        axes.text(0, -1.75, "level point", ha="center", va="center")
        axes.text(-143, -0.8, "level ice", ha="left", va="center", color=QUIET)
        axes.text(-102, 3.9, "zone with a\nmedium radius", ha="center", va="center")
        axes.text(5, 2.2, "zone with a large radius: flat", ha="center", va="center")
        axes.text(103, 5.4, "zone with a\nsmall radius: round", ha="center", va="center")
        point(axes, (-50, float(rocker.height_mm(-50))), "blend", (-62, -1.75))
        point(axes, (60, float(rocker.height_mm(60))), "blend", (68, -1.75))
        axes.text(-137, 8.6, "heel", ha="left", va="center", fontweight="bold")
        axes.text(137, 8.6, "toe", ha="right", va="center", fontweight="bold")
        self.title("The rocker: the lengthwise curve of the bottom edge (height exaggerated)")


class GrooveSymbols(Drawing):
    """Hollow, its depth, the edges, edge angle, bite depth; upright and leaned."""

    height_px = 320
    words = (
        "A blade in cross-section. Its bottom is a groove, part of a circle whose radius is the hollow, "
        "between two edges. Left, upright: both edges sink in by the bite depth. Right, leaned: only one, "
        "the active edge, is in the ice, so it bites deeper."
    )

    def draw(self) -> None:
        hollow = Hollow(2.6, 3.0)
        for left, lean, depth, name in ((0.02, 0.0, 0.28, "upright"), (0.52, 30.0, 0.62, "leaned")):
            axes = self.bare_axes((left, 0.02, 0.46, 0.88), (-2.9, 5.3), (-0.85, 3.35))
            axes.set_aspect("equal")
            turn = np.radians(lean)
            u = np.linspace(0.0, 3.0, 81)
            corners = np.column_stack([np.r_[u, 3.0, 0.0], np.r_[hollow.height_mm(u), 1.9, 1.9]])
            corners = corners @ [[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]]
            axes.axhspan(-0.85, depth, color=ICE, linewidth=0)
            axes.axhline(depth, color=QUIET, linewidth=1.2)
            axes.fill(*corners.T, facecolor=STEEL, edgecolor=INK, linewidth=1.2)
            arrow(axes, (-0.35, 0.0), (-0.35, depth), both=True)
            axes.text(
                -0.45, depth / 2, "bite depth", ha="right", va="center", color=PRESENT, fontweight="bold"
            )
            axes.text(5.2, depth + 0.08, "ice line", ha="right", va="bottom", color=QUIET)
            if not lean:
                top = float(hollow.depth_mm)
                point(axes, (1.5, top), "groove: its radius\nis the hollow", (1.5, 1.5))
                point(axes, (3.0, 0.0), "edge", (3.7, -0.45), ha="left")
                point(axes, (0.0, 0.0), "active edge", (-0.3, -0.6))
            else:
                point(axes, (0.0, 0.0), "active edge", (0.3, -0.6))
            axes.text(-2.8, 3.0, name, ha="left", va="center", fontweight="bold")
        self.title("The groove and its bite (groove depth exaggerated)")


class ContactSymbols(Drawing):
    """At rest and gliding: contact length, bite, pitch, load, footprint."""

    height_px = 300
    words = (
        "Side view of a blade pressed into the ice, height exaggerated. At rest, all the steel in the ice "
        "carries the load, and the load is over its middle. Gliding, the ice behind the deepest point is "
        "already cut, so only the front part carries the load."
    )

    def draw(self) -> None:
        blade = Blade(Rocker.single(1500, 160), Hollow(6.0, 3.0))
        for left, gliding in ((0.02, False), (0.52, True)):
            axes = self.bare_axes((left, 0.03, 0.46, 0.85), (-85, 85), (-0.62, 1.75))
            contact = solve_contact(blade, Stance(1500.0), Ice(-5), gliding)
            x = np.linspace(-80, 80, 161)
            bottom = -contact.tip_depth_mm(x)
            heel, toe = contact.heel_end_mm, contact.toe_end_mm
            cut = contact.deepest_mm if gliding else -86.0
            surface = [-contact.depth_mm, -contact.depth_mm, 0.0, 0.0]
            axes.fill_between([-85, cut, cut, 85], -0.62, surface, color=ICE, linewidth=0)
            axes.plot([-85, cut, cut, 85], surface, color=QUIET, linewidth=1.2, zorder=0.5)
            axes.fill_between(x, np.minimum(bottom, 1.55), 1.55, color=STEEL, linewidth=0)
            if gliding:
                axes.text(-82, -0.5, "ice already cut", ha="left", va="center", color=QUIET)
            part = np.linspace(heel, toe, 41)
            axes.plot(part, -contact.tip_depth_mm(part), color=PRESENT, linewidth=6, solid_capstyle="butt")
            arrow(axes, (heel, 0.32), (toe, 0.32), both=True)
            axes.text((heel + toe) / 2, 0.42, "contact length", ha="center", va="bottom", color=PRESENT)
            arrow(axes, (0, 1.5), (0, 0.85))
            axes.text(4, 1.2, "load", ha="left", va="center")
            deep = contact.deepest_mm
            point(axes, (deep, -contact.depth_mm), "deepest point", (deep + 38, -0.5))
            axes.text(
                -82, 1.66, "gliding to the right" if gliding else "at rest", ha="left", fontweight="bold"
            )
            axes.text(82, 1.66, "toe", ha="right", color=QUIET)
            label(axes, 60, 0.06, "ice line", bbox=None, color=QUIET)
        self.title("The contact: the stretch of edge that carries the skater (height exaggerated)")
