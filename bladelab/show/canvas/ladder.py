"""A ladder of checks: one rung below the other, numbered, each with its state in words and in colour."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from bladelab.show.canvas.result import SomeResult
from bladelab.show.canvas.style import ICE, INK, QUIET, Look
from bladelab.show.canvas.view import View

#: Size of a ladder, px: narrow, so that a phone hardly shrinks it. The headline has the space above it.
LADDER_WIDTH, LADDER_TOP, RUNG_STEP = 480, 62, 50

_FILLS = {"next": ICE, "yes": "#F2A65A", "no": "#FFFFFF", "": "#F1F1F1"}
_WORDS = {"next": "next", "yes": "found", "no": "ruled out", "": ""}


class LadderPart:
    """A ladder with up to `count` rungs, over the whole picture of a view that is `LADDER_WIDTH` wide, from
    `top` px down."""

    def __init__(self, view: View[SomeResult], count: int, top: float = LADDER_TOP) -> None:
        self._top = top
        axes = view.figure.add_axes((0, 0, 1, 1))
        axes.set(xlim=(0, view.width_px), ylim=(view.height_px, 0))
        axes.axis("off")
        self.rail = view.new_line(axes, color=QUIET, linewidth=3, solid_capstyle="butt")
        self.rungs = []
        plain: Look = {"bbox": None, "va": "center", "fontsize": 15}
        for i in range(count):
            y = top + i * RUNG_STEP
            box = view.new_polygon(axes)
            box.set_xy([(42, y), (474, y), (474, y + RUNG_STEP - 6), (42, y + RUNG_STEP - 6)])
            words = {
                "number": view.new_text(axes, str(i + 1), 20, y + 22, ha="center", **plain),
                "name": view.new_text(axes, "", 50, y + 13, fontweight="bold", **plain),
                "state": view.new_text(axes, "", 466, y + 13, ha="right", **plain),
                "detail": view.new_text(axes, "", 50, y + 32, **plain),
                "time": view.new_text(axes, "", 466, y + 32, ha="right", **plain),
            }
            self.rungs.append((box, words))

    def update(self, rungs: Sequence[tuple[str, str, str, str]]) -> None:
        """Show these rungs, each with its state (``"next"``, ``"yes"``, ``"no"`` or ``""``), name, detail and
        time."""
        for i, (box, words) in enumerate(self.rungs):
            for artist in (box, *words.values()):
                artist.set_visible(i < len(rungs))
            if i >= len(rungs):
                continue
            state, name, detail, time = rungs[i]
            box.set(facecolor=_FILLS[state], edgecolor="#BDBDBD", linewidth=1)
            if state in ("next", "yes"):
                box.set(edgecolor=INK, linewidth=2.2)
            for key, text in (("name", name), ("state", _WORDS[state]), ("detail", detail), ("time", time)):
                words[key].set_text(text)
            for artist in words.values():
                artist.set_color(QUIET if state == "no" else INK)
        self.rail.set_data(np.array([36, 36]), np.array([self._top, self._top + len(rungs) * RUNG_STEP - 6]))
