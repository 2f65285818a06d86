"""A table of coloured tiles with words in them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import PathPatch
from matplotlib.path import Path

from bladelab.show.canvas.style import Look
from bladelab.show.canvas.view import View


class Tiles:
    """A table that fills an axes, a unit to each column and row: a coloured tile with words in each place.

    All tiles of one colour are one patch: a few artists to move, not a hundred.

    Parameters
    ----------
    view : View
        The picture they belong to, in which they move.
    axes : Axes
    heads, names : sequence of str
        Written above the columns and before the rows; "" where there is nothing to write.
    colours : sequence of colours
    inset : (float, float)
        Left free on either side of a tile, and above and below it.
    **look
        More properties of the patches.

    Attributes
    ----------
    words : list of list of Text
        What is written in each place: ``tiles.words[row][column].set_text("+9 %")``.
    """

    def __init__(
        self,
        view: View,
        axes: Axes,
        heads: Sequence[str],
        names: Sequence[str],
        colours: Sequence[object],
        inset: tuple[float, float] = (0.0, 0.0),
        **look: object,
    ) -> None:
        axes.set(xlim=(0, len(heads)), ylim=(len(names), 0))
        axes.grid(False)
        axes.set_xticks(np.arange(len(heads)) + 0.5, labels=heads)
        axes.set_yticks(np.arange(len(names)) + 0.5, labels=names)
        axes.tick_params(top=True, labeltop=True, bottom=False, labelbottom=False, length=0)
        for spine in axes.spines.values():
            spine.set_visible(False)
        self.inset(inset[0], inset[1], inset[1])
        self._patches = {}
        for colour in colours:
            patch = axes.add_patch(PathPatch(Path([(0, 0)]), facecolor=colour, **look))
            self._patches[colour] = view.moving(patch)
        middle: Look = {"ha": "center", "va": "center", "fontsize": 10}
        self.words = [
            [view.moving(axes.text(column + 0.5, row + 0.5, "", **middle)) for column in range(len(heads))]
            for row in range(len(names))
        ]

    def inset(self, aside: float, above: float, below: float) -> None:
        """Leave so much of each place free on either side, above and below its tile."""
        right, low = 1 - aside, 1 - below
        self._outline = np.array([(aside, above), (right, above), (right, low), (aside, low), (aside, above)])

    def show(self, tiles: Mapping[Any, Sequence[tuple[int, int]]]) -> None:
        """Show for each colour the tiles in these columns and rows, and no others."""
        for colour, patch in self._patches.items():
            places = tiles.get(colour, ())
            patch.set_visible(bool(places))
            if places:
                corners = np.reshape(places, (-1, 1, 2)) + self._outline
                patch.set_path(Path(corners.reshape(-1, 2), _CLOSED * len(places)))  # type: ignore[attr-defined]


_CLOSED = [Path.MOVETO, Path.LINETO, Path.LINETO, Path.LINETO, Path.CLOSEPOLY]
