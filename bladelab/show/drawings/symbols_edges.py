"""A drawing that explains what a dull edge is, and why it holds less; not to scale."""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes

from bladelab._types import Array
from bladelab.shape.hollow import Hollow
from bladelab.show.canvas.drawing import Drawing
from bladelab.show.canvas.style import ICE, INK, PRESENT, QUIET, STEEL, TRIAL, Look
from bladelab.show.drawings.symbols import point


class EdgeSymbols(Drawing):
    """A sharp and a dull edge in the ice, and which way the ice pushes on them."""

    height_px = 320
    words = (
        "A leaned edge in the ice, much enlarged. Left, sharp: the ice in the groove pushes back sideways; "
        "that is the hold. Right, dull: the edge is an arc, and on its outside the ice pushes the other way, "
        "so that less of the hold is left, or none."
    )

    def draw(self) -> None:
        lean, depth = np.radians(30.0), 1.0
        turn = np.array([[np.cos(lean), np.sin(lean)], [-np.sin(lean), np.cos(lean)]])
        for left, edge, name in ((0.02, 0.0, "sharp"), (0.52, 0.32, "dull")):
            axes = self.bare_axes((left, 0.02, 0.46, 0.87), (-2.2, 3.0), (-0.75, 2.2))
            axes.set_aspect("equal")
            hollow = Hollow(5.2, 4.0, edge)
            u = 4.0 * (1 - np.cos(np.linspace(0, np.pi, 241))) / 2
            bottom = np.column_stack([u, hollow.height_mm(u)])
            steel = np.vstack([bottom, [(4.0, 6.0), (0.0, 6.0)]]) @ turn
            bottom = bottom @ turn
            low = float(bottom[:, 1].min())
            steel[:, 1] -= low
            bottom[:, 1] -= low
            axes.axhspan(-0.75, depth, color=ICE, linewidth=0)
            axes.axhline(depth, color=QUIET, linewidth=1.2)
            axes.fill(*steel.T, facecolor=STEEL, edgecolor=INK, linewidth=1.2)
            _pushes(axes, bottom, depth, lean)
            axes.text(-2.1, 2.0, name, ha="left", va="center", fontweight="bold")
            axes.text(2.95, depth + 0.05, "ice line", ha="right", va="bottom", color=QUIET)
            if edge:
                at = tuple(bottom[int(np.argmin(np.abs(u - 0.12)))])
                point(axes, at, "on the outside of the arc\nit pushes the other way", (-1.25, -0.4))
            else:
                at = tuple(bottom[int(np.argmin(np.abs(u - 0.55)))])
                point(axes, at, "the ice in the groove\npushes back: the hold", (1.75, -0.4))
        self.title("Why a dull edge holds less (edge and groove exaggerated)")


def _pushes(axes: Axes, bottom: Array, depth: float, lean: float) -> None:
    """Arrows square to the steel, wherever it lies in the ice."""
    along = np.gradient(bottom, axis=0)
    square = np.column_stack([-along[:, 1], along[:, 0]]) / np.linalg.norm(along, axis=1)[:, None]
    way = np.array([np.cos(lean), np.sin(lean)])  # across the blade
    length = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(bottom, axis=0), axis=1))])
    wet = length[bottom[:, 1] < depth - 0.05]
    for at in np.linspace(wet[0] + 0.05, wet[-1] - 0.05, 9):
        k = int(np.argmin(np.abs(length - at)))
        colour = TRIAL if float(square[k] @ way) > 0.02 else PRESENT
        style: Look = {"arrowstyle": "-|>", "color": colour, "linewidth": 1.6, "shrinkA": 0, "shrinkB": 0}
        axes.annotate("", bottom[k], bottom[k] - 0.42 * square[k], arrowprops=style)
