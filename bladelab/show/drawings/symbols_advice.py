"""Drawings that explain the pictures of advice: the scorecard's bar, the match, the frontier, the log."""

from __future__ import annotations

import numpy as np
from matplotlib.patches import Rectangle

from bladelab.show.canvas.drawing import Drawing
from bladelab.show.canvas.ladder import LADDER_WIDTH, RUNG_STEP, LadderPart
from bladelab.show.canvas.style import INK, LINES, PRESENT, QUIET, TRIAL
from bladelab.show.drawings.symbols import point


class ScorecardSymbols(Drawing):
    """One bar of the scorecard."""

    height_px = 190
    words = (
        "One bar of the scorecard. It starts at the present blade and ends at the trial. The grey band "
        "behind it is day-to-day variation of one and the same blade. A bar that reaches out of the band "
        "shows on the ice; a pale bar that stays inside shows only if both blades are skated on the same "
        "day."
    )

    def draw(self) -> None:
        axes = self.bare_axes((0.02, 0.02, 0.96, 0.8), (-10, 10), (-1.4, 1.6))
        for x, size in ((-5.5, 2.6), (4.5, 0.7)):
            axes.add_patch(Rectangle((x - 1.5, -0.5), 3, 1, facecolor="#DDDDDD"))
            axes.add_patch(
                Rectangle((x, -0.28), size, 0.56, facecolor=TRIAL, alpha=1 if size > 1.5 else 0.35)
            )
            axes.plot([x, x], [-0.7, 0.7], color=INK, linewidth=1)
        point(axes, (-5.5, 0.7), "present", (-6.6, 1.3))
        point(axes, (-2.9, 0.28), "trial: outside the band, so it shows", (-1.6, 1.2))
        point(axes, (-6.6, -0.5), "day-to-day variation", (-6.6, -1.15))
        point(axes, (5.2, -0.28), "inside the band: shows only on the same day", (5.6, -1.15))


class MatchSymbols(Drawing):
    """What it means to match a hollow."""

    height_px = 270
    words = (
        "Two falling curves: a score of the blade, such as its bite, plotted against the radius of the "
        "hollow, for the present and the trial rocker. From the present hollow, go straight across to the "
        "other curve: the hollow directly below gives the trial rocker the same score."
    )

    def draw(self) -> None:
        axes = self.figure.add_axes((0.1, 0.15, 0.8, 0.68))
        x = np.linspace(0, 10, 80)
        present, trial = 6 * np.exp(-x / 4), 8.2 * np.exp(-x / 4)
        axes.plot(x, present, **LINES["present"])
        axes.plot(x, trial, **LINES["trial"])
        axes.set(xlim=(0, 10), ylim=(0, 8.2), xticks=[], yticks=[])
        axes.set_xlabel("radius of hollow →")
        axes.set_ylabel("score →")
        axes.grid(False)
        score = 6 * np.exp(-1)
        match = 4 * np.log(8.2 / score)
        axes.plot([0, 10], [score, score], color=QUIET, linestyle=":")
        axes.plot([4], [score], "o", markersize=10, color=PRESENT)
        axes.plot([match], [score], "D", markersize=10, color=TRIAL)
        axes.plot([match, match], [0, score], color=TRIAL, linewidth=1)
        point(axes, (4, score), "the present blade", (2.2, 1.1))
        point(axes, (match, score), "the trial rocker, same score", (7.4, 4.2))
        point(axes, (match, 0.3), "the matched hollow", (3.3, 0.42))


class FrontierSymbols(Drawing):
    """What a frontier is."""

    height_px = 280
    words = (
        "Every dot is a blade. Further right is more of one wish, higher up is more of the other. A blade is "
        "beaten if another is at least as far right and as far up. The blades that nothing beats form the "
        "frontier: there, more of one wish costs some of the other. Blades to the right of and above the "
        "present one give you more of both."
    )

    def draw(self) -> None:
        axes = self.figure.add_axes((0.1, 0.14, 0.8, 0.70))
        rng = np.random.default_rng(4)
        angle = np.linspace(0.12, 1.45, 11)
        edge = np.column_stack([10 * np.cos(angle), 7 * np.sin(angle)])
        inside = edge[rng.integers(0, 11, 70)] * rng.uniform(0.15, 0.9, (70, 1)) + rng.normal(
            0, 0.25, (70, 2)
        )
        axes.plot(*inside.T, "o", color="#CFCFCF", markersize=6)
        axes.plot(*edge.T, "o", color="#8FB8DE", markersize=8)
        axes.plot(*edge[3:8].T, "o", color="#1B9E77", markersize=8)
        axes.plot([4.5], [2.6], "s", color=PRESENT, markersize=10)
        axes.plot(*edge[5], "D", color=TRIAL, markersize=12)
        axes.plot([4.5, 4.5, 11], [8, 2.6, 2.6], color=QUIET, linewidth=0.9, linestyle=":")
        axes.set(xlim=(-0.5, 12.5), ylim=(-0.5, 8), xticks=[], yticks=[])
        axes.set_xlabel("one wish →")
        axes.set_ylabel("another wish →")
        axes.grid(False)
        point(axes, (4.5, 2.6), "present blade", (2.0, 1.0))
        point(axes, tuple(edge[5]), "picked", (9.2, 6.6))
        point(axes, tuple(edge[7]), "more of both", (6.9, 7.6))
        point(axes, tuple(edge[0]), "more of one costs you the other", (10.9, 3.6))


class TrialSymbols(Drawing):
    """The steps of a trial: change one thing, skate it, rate it, write it down."""

    height_px = 150
    words = (
        "Four steps, over and over: change one thing on the blade; skate it, warmed up, in the same drills; "
        "rate it right away; write it down. Then change the next thing, or go back."
    )

    def draw(self) -> None:
        axes = self.bare_axes((0.01, 0.0, 0.98, 0.85), (0, 12), (-1, 1))
        steps = ("change\none thing", "skate it:\nsame drills", "rate it\nright away", "write it\ndown")
        for i, words in enumerate(steps):
            x = 0.2 + 3 * i
            axes.add_patch(Rectangle((x, -0.6), 2.2, 1.2, facecolor="#EAF1F8", edgecolor=PRESENT))
            axes.text(x + 1.1, 0, words, ha="center", va="center", fontsize=12)
            if i < 3:
                axes.annotate("", (x + 2.95, 0), (x + 2.25, 0), arrowprops={"arrowstyle": "->", "color": INK})


class ComplaintSymbols(Drawing):
    """The rungs of the ladder of causes."""

    width_px = LADDER_WIDTH
    height_px = 4 * RUNG_STEP + 10
    words = (
        "A ladder with four rungs. Each has a number, what may be wrong, the check that settles it and the "
        "minutes it takes. The rung to check next has a dark frame; one that was ruled out is grey and says "
        "what that means; one that was found is orange; one that nobody has checked yet is plain."
    )

    def draw(self) -> None:
        LadderPart(self, 4, top=8).update(
            [
                ("no", "what may be wrong", "What that tells you.", ""),
                ("next", "likeliest for the time it takes", "the check that settles it", "2 min"),
                ("", "not checked yet", "its check, and how long it takes", "3 min"),
                ("yes", "this is it", "put it right and skate it", ""),
            ]
        )
