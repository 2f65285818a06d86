"""Drawings that explain the words of the rink: drop test, slow press, glide-out and timed trial."""

from __future__ import annotations

import numpy as np
from matplotlib.patches import Circle, Rectangle

from bladelab.show.canvas.drawing import Drawing
from bladelab.show.canvas.style import ICE, ICE_LINE, INK, PRESENT, QUIET, STEEL, TRIAL, Look
from bladelab.show.drawings.symbols import arrow

_CENTRED: Look = {"ha": "center", "va": "center"}


class DropTestSymbols(Drawing):
    """A ball above its crater, the crater's diameter, and the same ball under a steady load."""

    height_px = 280
    words = (
        "Left, the drop test: a steel ball falls from a known height and leaves a crater; its diameter is "
        "measured from rim to rim at the level of the ice. Middle, the same ball under a guided weight, "
        "which presses longer. Right, the slow press: the ball under a known load for some seconds."
    )

    def draw(self) -> None:
        axes = self.bare_axes((0.01, 0.02, 0.98, 0.84), (0, 92), (-7, 17))
        axes.set_aspect("equal")
        axes.add_patch(Rectangle((0, -6), 92, 6, color=ICE, linewidth=0))
        axes.plot([0, 92], [0, 0], color=ICE_LINE, linewidth=1.4)
        for place, reach in ((15, 3.0), (46, 3.4), (77, 3.4)):
            along = np.linspace(-reach, reach, 41)
            axes.fill_between(
                place + along, -np.sqrt(26 - along**2) + np.sqrt(26 - reach**2), 0, color="white", zorder=2
            )
            axes.plot(
                place + along, -np.sqrt(26 - along**2) + np.sqrt(26 - reach**2), color=ICE_LINE, linewidth=1.4
            )
            arrow(axes, (place - reach, -4.3), (place + reach, -4.3), both=True)
            axes.text(place, -5.6, "diameter", **_CENTRED)
        axes.add_patch(Circle((15, 13), 3, facecolor=STEEL, edgecolor=INK, zorder=3))
        arrow(axes, (8, 0), (8, 10), both=True)
        axes.text(6.6, 5, "height", rotation=90, **_CENTRED)
        axes.text(19.5, 13, "a steel ball falls", ha="left", va="center")
        axes.add_patch(Circle((46, 6.6), 3, facecolor=STEEL, edgecolor=INK, zorder=3))
        axes.add_patch(Rectangle((41.5, 9.6), 9, 5, facecolor=STEEL, edgecolor=INK, zorder=3))
        axes.text(52, 12, "a guided weight", ha="left", va="center")
        axes.add_patch(Circle((77, 2), 3, facecolor=STEEL, edgecolor=INK, zorder=3))
        arrow(axes, (77, 14), (77, 5.4))
        axes.text(78.5, 11, "a known load\nfor some seconds", ha="left", va="center")
        self.title("The craters that tell how hard the ice is (not to scale)")


class GlideOutSymbols(Drawing):
    """Marks on the ice, a skater who coasts past them, and the way back."""

    height_px = 220
    words = (
        "A glide-out, from above: marks taped at equal distances. The skater pushes off before the first "
        "mark, then coasts without a push, and the time at each mark is written down; the next run goes the "
        "other way, so that a slope and a wind cancel."
    )

    def draw(self) -> None:
        axes = self.bare_axes((0.01, 0.02, 0.98, 0.8), (-14, 84), (-9, 9))
        axes.add_patch(Rectangle((-14, -9), 98, 18, color=ICE, linewidth=0))
        for mark in range(0, 71, 10):
            axes.plot([mark, mark], [-5.5, 5.5], color=INK, linewidth=2)
            axes.text(mark, -7.3, f"mark {mark // 10 + 1}", fontsize=9, **_CENTRED)
        for x, spread in zip(range(0, 70, 10), (0.0,) * 7, strict=True):
            axes.plot([x + 5], [2.5 + spread], color=PRESENT, marker=">", markersize=9 - x / 12)
            axes.plot([x + 5], [-2.5], color=TRIAL, marker="<", markersize=4 + x / 12)
        axes.text(-13, 2.5, "run 1: push,\nthen coast", ha="left", va="center", fontsize=10)
        axes.text(83, -2.5, "run 2:\nback again", ha="right", va="center", fontsize=10)
        self.title("A glide-out from above: the time at each mark, in both directions")


class TimedSymbols(Drawing):
    """How runs on two blades are ordered: pairs, blocks, and all of one then all of the other."""

    height_px = 230
    words = (
        "Three orders of runs on two blades A and B. Pairs: in each, the order is drawn at random. Blocks of "
        "four, ABBA or BAAB, drawn at random: half as many changes of steel. A, B, A: all on A, all on B, "
        "all on A again."
    )

    def draw(self) -> None:
        axes = self.bare_axes((0.01, 0.02, 0.98, 0.82), (0, 100), (0, 9))
        rows = (
            (7.5, "pairs", ("BA", "AB", "AB", "BA", "AB", "BA")),
            (4.5, "blocks", ("ABBA", "BAAB", "ABBA")),
            (1.5, "A, B, A", ("AAAA", "BBBB", "AAAA")),
        )
        for height, name, blocks in rows:
            axes.text(1, height, name, ha="left", va="center", fontweight="bold")
            x = 14.0
            for block in blocks:
                for blade in block:
                    colour = PRESENT if blade == "A" else TRIAL
                    axes.add_patch(
                        Rectangle(
                            (x, height - 0.95), 4.6, 1.9, facecolor=colour, alpha=0.35, edgecolor=colour
                        )
                    )
                    axes.text(x + 2.3, height, blade, fontweight="bold", **_CENTRED)
                    x += 5.2
                x += 2.0
            axes.plot([14, x - 2.6], [height - 1.2] * 2, color=QUIET, linewidth=0.8)
        self.title("In which order two blades are skated")
