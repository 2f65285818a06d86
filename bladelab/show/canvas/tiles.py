"""The coloured tiles of a table."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import PathPatch
from matplotlib.path import Path

from bladelab.show.canvas.view import View


class Tiles:
    """The coloured tiles of a table, a unit of the axes to each column and row.

    All tiles of one colour are one patch: a few artists to move, not a hundred.

    Parameters
    ----------
    view : View
        The picture they belong to, in which they move.
    axes : Axes
    colours : sequence of colours
    inset : (float, float)
        Left free on either side of a tile, and above and below it.
    **look
        More properties of the patches.
    """

    def __init__(
        self, view: View, axes: Axes, colours: Sequence[Any], inset: tuple[float, float], **look: Any
    ) -> None:
        aside, above = inset
        right, below = 1 - aside, 1 - above
        self._outline = np.array(
            [(aside, above), (right, above), (right, below), (aside, below), (aside, above)]
        )
        self._patches = {}
        for colour in colours:
            patch = axes.add_patch(PathPatch(Path([(0, 0)]), facecolor=colour, **look))
            self._patches[colour] = view.moving(patch)

    def show(self, tiles: Mapping[Any, Sequence[tuple[int, int]]]) -> None:
        """Show for each colour the tiles in these columns and rows, and no others."""
        for colour, patch in self._patches.items():
            places = tiles.get(colour, ())
            patch.set_visible(bool(places))
            if places:
                corners = np.reshape(places, (-1, 1, 2)) + self._outline
                patch.set_path(Path(corners.reshape(-1, 2), _CLOSED * len(places)))  # type: ignore[attr-defined]


_CLOSED = [Path.MOVETO, Path.LINETO, Path.LINETO, Path.LINETO, Path.CLOSEPOLY]
