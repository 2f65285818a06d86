"""Drawings that explain the pictures of the book: a skater's timeline, and a row of the team."""

from __future__ import annotations

from matplotlib.patches import Rectangle

from bladelab.show.canvas.drawing import Drawing
from bladelab.show.canvas.style import INK, PRESENT, QUIET, TRIAL
from bladelab.show.drawings.symbols import point


class SkaterSymbols(Drawing):
    """Steel over the days, and below it what happened."""

    height_px = 330
    words = (
        "Upper part: a line that falls in steps, the steel above the maker's minimum. A small step is a "
        "sharpening, a large one a profiling; where some came off and nobody measured it the line breaks "
        "off, and it begins again where the height was measured. Lower part: a row for each kind of entry, "
        "with a dot on each day that it happened."
    )

    def draw(self) -> None:
        steel = self.figure.add_axes((0.16, 0.44, 0.82, 0.44))
        steel.set(xlim=(0, 30), ylim=(-0.7, 6.4), xticks=[], yticks=[])
        steel.set_ylabel("steel above\nthe minimum")
        steel.grid(False)
        steel.axhline(0, color=INK, linewidth=1.6)
        steel.text(0.4, 0.15, "0: never grind below this", va="bottom")
        days, height = [0, 3, 6, 8, 12, 14], [4.9, 4.7, 4.5, 3.3, 3.1, 3.1]
        steel.step(days, height, where="post", color=PRESENT, linewidth=2.2)
        steel.step([19, 22, 26, 30], [2.2, 2.0, 1.8, 1.8], where="post", color=PRESENT, linewidth=2.2)
        point(steel, (3, 4.8), "sharpened: a little", (5.4, 5.8))
        point(steel, (8, 3.9), "profiled: more", (12.2, 5.0))
        point(steel, (14, 3.1), "came off unmeasured: not known", (18.6, 4.3), ha="left")
        point(steel, (19, 2.2), "measured again", (22.2, 2.8), ha="left")
        rows = self.figure.add_axes((0.16, 0.05, 0.82, 0.33), xlim=(0, 30), ylim=(2.6, -0.6), xticks=[])
        rows.set_yticks(range(3), ["sharpened", "profiled", "measured"])
        rows.grid(False)
        for row, found in enumerate(([3, 6, 12, 14, 22, 26], [8], [0, 19])):
            rows.plot(found, [row] * len(found), "o", color=PRESENT, markersize=7, clip_on=False)
        rows.text(15, 1.35, "a dot for each entry, days from left to right", ha="center", va="center")
        self.title("One set of steel, day by day")


class TeamSymbols(Drawing):
    """Two rows of the team: one that is due, one that isn't."""

    height_px = 250
    words = (
        "Two rows of the team. In each, a bar for the hours on the ice since the last sharpening and a bar "
        "for the steel above the maker's minimum, with a dashed line at the limit that this skater goes by. "
        "A bar is orange where something is due, and the end of the row says what. No bar: nobody wrote it "
        "down."
    )

    def draw(self) -> None:
        hours = self.figure.add_axes((0.09, 0.20, 0.33, 0.58))
        steel = self.figure.add_axes((0.45, 0.20, 0.24, 0.58))
        for axes, name in ((hours, "hours since sharpening"), (steel, "steel above minimum")):
            axes.set(ylim=(2.15, -0.85), yticks=[], xticks=[], xlabel=name)
            axes.grid(False)
        hours.set_xlim(0, 14)
        steel.set_xlim(0, 6)
        for row, (code, spent, limit) in enumerate((("K07", 11, 8), ("K08", 6, 12))):
            late = spent >= limit
            colour = TRIAL if late else PRESENT
            hours.add_patch(Rectangle((0, row - 0.3), spent, 0.6, facecolor=colour))
            hours.plot([limit, limit], [row - 0.5, row + 0.5], color=INK, linestyle=(0, (5, 2)))
            hours.text(-0.4, row, code, ha="right", va="center", clip_on=False)
            said = "sharpening" if late else "nothing is due"
            steel.text(6.2, row, said, va="center", color=INK if late else QUIET, clip_on=False)
        steel.add_patch(Rectangle((0, -0.3), 3.6, 0.6, facecolor=PRESENT))
        steel.plot([1, 1], [-0.5, 1.5], color=INK, linestyle=(0, (5, 2)))
        steel.text(1.3, 1, "not known", va="center", color=QUIET)
        point(hours, (8, 0.48), "the limit that K07 goes by", (8.6, 1.85))
        point(hours, (11, -0.3), "past it: due", (12.4, -0.6))
        self.title("A row for each skater")
