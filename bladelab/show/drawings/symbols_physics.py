"""Drawings that explain the words of balance, push and turn, glide and trust; not to scale."""

from __future__ import annotations

import numpy as np
from matplotlib.patches import Arc

from bladelab.physics.contact import solve_contact
from bladelab.physics.ice import Ice
from bladelab.physics.stance import Stance
from bladelab.shape.blade import Blade
from bladelab.shape.hollow import Hollow
from bladelab.shape.rocker import Rocker
from bladelab.show.canvas.drawing import Drawing
from bladelab.show.canvas.style import ICE, INK, PRESENT, QUIET, STEEL, TRIAL
from bladelab.show.drawings.symbols import arrow, point


class BalanceSymbols(Drawing):
    """The load over the middle and ahead of it: pitch, rock, lift."""

    height_px = 300
    words = (
        "Side view of a blade on the ice, twice, curve exaggerated. Left, the load is over the middle and "
        "the boot is level. Right, the load is ahead of the middle: the blade rolls until the contact is "
        "under the load, and the boot tips forward by the pitch; the heel lifts."
    )

    def draw(self) -> None:
        rocker = Rocker.single(620, 240)
        x = np.linspace(-120, 120, 121)
        y = rocker.height_mm(x)
        for left, roll, title in (
            (0.02, 0.0, "weight over the middle"),
            (0.52, 7.0, "weight ahead of the middle"),
        ):
            axes = self.bare_axes((left, 0.02, 0.46, 0.86), (-150, 150), (-16, 92))
            turn = -np.radians(roll)
            place = 620 * np.sin(np.radians(roll))
            spin = np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]])

            def rolled(points: np.ndarray, spin: np.ndarray = spin, place: float = place) -> np.ndarray:
                """Roll about the circle's centre, and shift back so that the runner stays in the picture."""
                return (points - [0, 620]) @ spin + [0, 620] + [place * 0.9, 0]

            steel = np.column_stack([np.r_[x, x[::-1]], np.r_[y, np.full_like(x, 42)]])
            axes.axhspan(-16, 0, color=ICE, linewidth=0)
            axes.axhline(0, color=QUIET, linewidth=1.0)
            axes.fill(*rolled(steel).T, color=STEEL)
            sole = rolled(np.array([[-128.0, 46], [128, 46]]))
            axes.plot(*sole.T, color=PRESENT, linewidth=3)
            touch = place * 0.9
            axes.plot([touch - 16, touch + 16], [0, 0], color=INK, linewidth=5, solid_capstyle="butt")
            arrow(axes, (touch, 78), (touch, 50))
            axes.text(touch + 5, 70, "load", ha="left", va="center")
            axes.text(touch, -9, "contact", ha="center", va="center")
            axes.text(-146, 88, title, ha="left", va="center", fontweight="bold")
            axes.text(-146, -9, "heel", ha="left", va="center", color=QUIET)
            axes.text(146, -9, "toe", ha="right", va="center", color=QUIET)
            if roll:
                axes.plot(
                    [sole[0, 0], sole[0, 0] + 120],
                    [sole[0, 1]] * 2,
                    color=QUIET,
                    linewidth=0.9,
                    linestyle="--",
                )
                axes.add_patch(
                    Arc(tuple(sole[0]), 170, 170, theta1=-roll, theta2=0, color=INK, linewidth=1.2)
                )
                axes.text(sole[0, 0] + 92, sole[0, 1] - 5, "pitch", ha="left", va="center")
                axes.text(
                    sole[0, 0] - 2, sole[0, 1] + 6, "the heel lifts", ha="left", va="bottom", color=PRESENT
                )
            else:
                axes.text(-60, 52, "sole of the boot: level", ha="center", va="bottom", color=PRESENT)
        self.title("Balance: the boot tips until the contact is under the load")


class HoldSymbols(Drawing):
    """A leaned edge with the hold angle; the trace on the ice with the turn and the yaw hold."""

    height_px = 320
    words = (
        "Left: a leaned blade in cross-section. You can push a little outside the plane of the blade, up to "
        "the hold angle, before the edge climbs out of its groove. Right: seen from above, the curved "
        "contact carves a turn, and it resists twisting: the yaw hold."
    )

    def draw(self) -> None:
        axes = self.bare_axes((0.02, 0.02, 0.44, 0.86), (-3.4, 4.6), (-1.3, 3.6))
        axes.set_aspect("equal")
        hollow, turn, depth = Hollow(2.4, 3.0), np.radians(35.0), 0.65
        u = np.linspace(0, 3, 81)
        corners = np.column_stack([np.r_[u, 3.0, 0.0], np.r_[hollow.height_mm(u), 2.6, 2.6]])
        corners = corners @ [[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]]
        axes.axhspan(-1.3, depth, color=ICE, linewidth=0)
        axes.axhline(depth, color=QUIET, linewidth=1.2)
        axes.fill(*corners.T, facecolor=STEEL, edgecolor=INK, linewidth=1.2)
        tip = (0.28, 0.2)
        for angle, colour in ((0.0, PRESENT), (24.0, TRIAL)):
            along = np.radians(125.0 + angle)
            start = (tip[0] + 3.3 * np.cos(along), tip[1] + 3.3 * np.sin(along))
            style = {"arrowstyle": "-|>", "color": colour, "linewidth": 2.2, "shrinkA": 0, "shrinkB": 0}
            axes.annotate("", tip, start, arrowprops=style)
        axes.add_patch(Arc(tip, 5.0, 5.0, theta1=125, theta2=149, color=INK, linewidth=1.2))
        axes.text(-1.95, 2.3, "hold\nangle", ha="center", va="center")
        axes.text(-3.35, 3.35, "push in the plane of the blade", ha="left", va="center", color=PRESENT)
        axes.text(-3.35, 1.35, "the most\nthat holds", ha="left", va="center", color=TRIAL)
        axes.text(4.5, depth + 0.1, "ice line", ha="right", va="bottom", color=QUIET)
        axes = self.bare_axes((0.5, 0.02, 0.48, 0.86), (-150, 190), (-95, 100))
        axes.set_aspect("equal")
        contact = solve_contact(
            Blade(Rocker.single(900, 250), Hollow(12.7, 3.0)), Stance(735, 0, 40.0), Ice()
        )
        x = np.linspace(contact.heel_end_mm, contact.toe_end_mm, 61)
        bend = 1 / 300.0
        axes.plot([-125, 125], [0, 0], color=STEEL, linewidth=9, solid_capstyle="round", zorder=1)
        axes.plot(x, x**2 * bend / 2, color=PRESENT, linewidth=5, solid_capstyle="butt")
        wide = np.linspace(-140, 175, 80)
        axes.plot(wide, wide**2 * bend / 2, color=QUIET, linewidth=1.0, linestyle="--")
        axes.text(118, 62, "turn: the circle\nthe edge carves", ha="right", va="center", color=QUIET)
        point(axes, (-28, 3), "curved contact", (-60, 42))
        for low, high in ((205, 245), (295, 335)):
            axes.add_patch(Arc((0, 0), 150, 150, theta1=low, theta2=high, color=TRIAL, linewidth=2))
        arrow(axes, (62, -42), (70, -28))
        arrow(axes, (-62, -42), (-70, -28))
        axes.text(0, -82, "yaw hold: the torque that resists a twist", ha="center", va="center", color=TRIAL)
        axes.text(-148, -14, "heel", ha="left", va="top", color=QUIET)
        axes.text(148, -14, "toe", ha="right", va="top", color=QUIET)
        self.title("Push, hold and turn (angles exaggerated)")


class GlideSymbols(Drawing):
    """Ploughing and the melt film."""

    height_px = 300
    words = (
        "Left: side view of a gliding blade, curve exaggerated. Its front presses a groove into the ice: "
        "ploughing. Between steel and ice is a film of meltwater, less than a thousandth of a millimetre "
        "thick. Right: a cross-section of the groove that the two edges leave behind."
    )

    def draw(self) -> None:
        axes = self.bare_axes((0.02, 0.02, 0.55, 0.86), (-105, 105), (-14, 44))
        x = np.linspace(-100, 100, 201)
        y = x**2 / 330 - 6
        surface = np.where(x > 0, np.minimum(y, 0.0), -6.0)
        axes.fill_between(x, -14, surface, color=ICE, linewidth=0)
        axes.fill_between(x, y, 40, where=y < 40, color=STEEL, linewidth=0)
        front = x[(x >= 0) & (y <= 0)]
        axes.plot(front, front**2 / 330 - 6, color=PRESENT, linewidth=7, solid_capstyle="butt")
        point(axes, (24, -4.3), "melt film, far thinner\nthan drawn", (-4, 20))
        point(axes, (43, -0.6), "ploughing: ice pressed away", (58, 8), ha="center")
        axes.text(-98, -10, "ice already cut", ha="left", va="center", color=QUIET)
        arrow(axes, (-70, 28), (-30, 28))
        axes.text(-70, 31, "gliding toward the toe", ha="left", va="bottom")
        axes = self.bare_axes((0.6, 0.02, 0.38, 0.86), (-0.8, 3.8), (-0.75, 1.5))
        hollow, depth = Hollow(2.6, 3.0), 0.3
        u = np.linspace(0, 3, 121)
        groove = hollow.height_mm(u)
        axes.fill_between([-0.8, 3.8], -0.75, depth, color=ICE, linewidth=0)
        axes.fill_between(u, groove, 1.35, color=STEEL, linewidth=0)
        axes.fill_between(u, groove, depth, where=groove < depth, color=PRESENT, alpha=0.8, linewidth=0)
        axes.axhline(depth, color=QUIET, linewidth=1.0)
        point(axes, (0.12, 0.15), "pressed away", (0.9, -0.45))
        axes.text(1.5, 1.1, "steel, cross-section", ha="center", va="center")
        axes.text(3.75, depth + 0.03, "ice line", ha="right", va="bottom", color=QUIET)
        self.title("Glide: the front of the contact ploughs, riding on a film of meltwater")


class TrustSymbols(Drawing):
    """Same-day band and other-day band of a difference."""

    height_px = 230
    words = (
        "Three differences between two blades, each as a dot with two bands: how far it moves when both "
        "blades are skated on the same day, and on different days. The first band clears zero: it shows. "
        "The second clears it on the same day only. The third straddles zero: too small to feel."
    )

    def draw(self) -> None:
        axes = self.bare_axes((0.02, 0.03, 0.96, 0.83), (-3.0, 5.2), (-0.4, 3.1))
        axes.axvline(0, color=QUIET, linewidth=1.2)
        axes.text(0, 3.05, "no difference", ha="center", va="top", color=QUIET)
        rows = (
            (2.2, 2.0, 0.35, "shows on different days too"),
            (1.2, 0.8, 0.35, "shows only on the same day"),
            (0.2, 0.15, 0.35, "too small to feel or to measure"),
        )
        for y, at, same, verdict in rows:
            axes.plot([at - 1.3, at + 1.3], [y, y], color=TRIAL, linewidth=3, alpha=0.45)
            axes.plot([at - same, at + same], [y, y], color=TRIAL, linewidth=9, solid_capstyle="butt")
            axes.plot([at], [y], "o", markersize=8, color=INK)
            axes.text(3.55, y, verdict, ha="left", va="center")
        axes.text(-2.95, 2.2, "thick: same day", ha="left", va="center", color=TRIAL)
        axes.text(-2.95, 1.7, "thin: different days", ha="left", va="center", color=TRIAL)
        self.title("A difference, and how far it moves from day to day")
