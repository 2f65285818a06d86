"""A picture for a phone: its axes one below the other, as wide as the screen, in letters one can read."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Sequence
from dataclasses import dataclass
from operator import attrgetter

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.text import Text

from bladelab.show.canvas.limits import exaggeration, times
from bladelab.show.wording.words import unbroken

#: Width of a narrow picture. A phone shows it about a tenth larger.
NARROW_PX = 330
#: Letters of a narrow picture are at least so large, and its headline is of this size.
LEAST_PT, HEADLINE_PT = 10.0, 13.0
#: Space at the edges of the picture, and under the headline, which has so many lines.
_EDGE, _LINES = 8.0, 3
TOP_PX = 2 * _EDGE + _LINES * 1.25 * HEADLINE_PT
#: Width of a letter as a share of its size, on average; of a bold one.
_LETTER, _BOLD = 0.56, 0.64
#: Space for half of the last number of a level axis.
_LAST = 16.0
#: Axes no wider than this in the wide picture keep their width, and share a row; a colour bar is thinner.
_SMALL_PX, _THIN_PX = 130.0, 25.0
_EXAGGERATED = re.compile(times(0).replace("0", r"\d+"))


@dataclass(frozen=True)
class AxesBox:
    """Axes and their box, px from the top left of the picture."""

    axes: Axes
    left: float
    top: float
    wide: float
    tall: float

    @property
    def right(self) -> float:
        return self.left + self.wide

    @property
    def bottom(self) -> float:
        return self.top + self.tall


def headline_lines(finding: str) -> str:
    """A headline broken into lines that fit."""
    return _broken(finding, NARROW_PX - 2 * _EDGE, _BOLD * HEADLINE_PT)


def _broken(words: str, wide_px: float, letter_px: float) -> str:
    """Words with their own breaks, and more where a line is too long; a number stays with its unit."""
    letters = max(int(wide_px / letter_px), 8)
    return "\n".join(textwrap.fill(line, letters) for line in unbroken(words).split("\n"))


def stack_axes(figure: Figure, wide_px: tuple[int, int], headline: Text) -> int:
    """Put the axes of a picture that was laid out for `wide_px` one below the other, each over all the width.

    Columns follow each other from left to right, and in a column axes from top to bottom. Small axes keep
    their width, and share a row if they are neighbours. A colour bar is left out: its colours are on an axis
    too.

    Returns
    -------
    int
        Height of the narrow picture, px.
    """
    width, height = wide_px
    before = []
    for axes in figure.axes:
        box = axes.get_position(original=True)
        place = AxesBox(axes, box.x0 * width, (1 - box.y1) * height, box.width * width, box.height * height)
        if place.wide < _THIN_PX:
            axes.set_visible(False)
        else:
            before.append(place)
    for one in before:
        one.axes.set_ylabel(_broken(one.axes.get_ylabel(), one.tall, _LETTER * 10.5))
    lefts = _lefts(before)
    ordered, after, y = reading_order(before), list[AxesBox](), TOP_PX
    while ordered:
        row = [ordered.pop(0)]
        while row[-1].wide < _SMALL_PX and ordered and ordered[0].wide < _SMALL_PX:
            if sum(lefts[one.axes] + one.wide for one in (*row, ordered[0])) > NARROW_PX - _EDGE:
                break
            row.append(ordered.pop(0))
        y += max(_above(one.axes) for one in row)
        x, placed = 0.0, []
        for one in row:
            placed.append(_placed(one, x + lefts[one.axes], y))
            x = placed[-1].right
        after += placed
        for one in placed:
            one.axes.set_xlabel(_broken(one.axes.get_xlabel(), one.wide, _LETTER * 10.5))
        y = max(one.bottom + _below(one.axes) for one in placed)
    total = y + _EDGE
    for one in after:
        one.axes.set_position(
            (one.left / NARROW_PX, 1 - one.bottom / total, one.wide / NARROW_PX, one.tall / total)
        )
    ends = [(one.top / height, one.bottom / height) for one in reading_order(before)]
    places = [(one.top / total, one.bottom / total) for one in after]
    for line in figure.artists:  # through several axes: from the top of one to the bottom of another
        assert isinstance(line, Line2D)
        bottom, top = 1 - np.asarray(line.get_ydata(), dtype=float)
        low = min(range(len(ends)), key=lambda i: abs(ends[i][1] - bottom))
        high = min(range(len(ends)), key=lambda i: abs(ends[i][0] - top))
        line.set_ydata([1 - places[low][1], 1 - places[high][0]])
    make_readable(figure, headline, total)
    return int(total)


def say_exaggerations(figure: Figure) -> None:
    """Say in the names of upright axes how much heights are exaggerated in the boxes they have now."""
    for axes in figure.axes:
        if _EXAGGERATED.search(name := axes.get_ylabel()):
            axes.set_ylabel(_EXAGGERATED.sub(times(exaggeration(axes)), name))


def widen(figure: Figure, height_px: int, above: float, below: float) -> int:
    """Give a stacked picture of this height space above and below its axes; return its new height, px."""
    total = height_px + above + below
    for axes in figure.axes:
        box = axes.get_position(original=True)
        axes.set_position(
            (box.x0, (box.y0 * height_px + below) / total, box.width, box.height * height_px / total)
        )
    return int(total)


def make_readable(figure: Figure, headline: Text, height_px: float) -> None:
    """Give a narrow picture of this height letters that can be read, and its headline a place."""
    for text in figure.findobj(Text):
        if isinstance(text, Text) and float(text.get_fontsize()) < LEAST_PT:
            text.set_fontsize(LEAST_PT)
    headline.set(position=(_EDGE / NARROW_PX, 1 - _EDGE / height_px), fontsize=HEADLINE_PT)


def reading_order(places: Sequence[AxesBox]) -> list[AxesBox]:
    """From left to right where there are columns, else from top to bottom."""
    if len(places) < 2:
        return list(places)
    for low, high in (("left", "right"), ("top", "bottom")):
        parts: list[list[AxesBox]] = []
        reach = -np.inf
        for one in sorted(places, key=attrgetter(low)):
            if getattr(one, low) >= reach:
                parts.append([])
            parts[-1].append(one)
            reach = max(reach, getattr(one, high))
        if len(parts) > 1:
            return [one for part in parts for one in reading_order(part)]
    return sorted(places, key=lambda one: (one.top, one.left))


def _placed(one: AxesBox, left: float, y: float) -> AxesBox:
    """The place of axes in the narrow picture, from left on and from y down."""
    axes = one.axes
    wide = NARROW_PX - left - (_LAST if axes.axison else _EDGE)
    if one.wide < _SMALL_PX:
        return AxesBox(axes, left, y, min(one.wide, wide), min(one.tall, 1.6 * one.wide))
    # What is drawn to scale shrinks as a whole.
    share = 1.0 if axes.get_aspect() == "auto" and axes.axison else wide / one.wide
    return AxesBox(axes, left, y, wide, one.tall * min(share, 1.0))


def _lefts(places: Sequence[AxesBox]) -> dict[Axes, float]:
    """Space left of the axes. Those that were one above the other, as wide as each other, still are: what is
    at one place along the blade is told in all of them.
    """
    lefts = {one.axes: _left(one.axes) for one in places}

    def column(one: AxesBox) -> list[AxesBox]:
        apart = [(other, abs(other.left - one.left) + abs(other.right - one.right)) for other in places]
        return [other for other, px in apart if px < 1 and other.axes.axison == one.axes.axison]

    return {one.axes: max(lefts[other.axes] for other in column(one)) for one in places}


def _left(axes: Axes) -> float:
    """Space for the numbers and the name of the upright axis."""
    ticks = [label.get_text() for label in axes.get_yticklabels() if label.get_visible()]
    if not axes.axison:
        return _EDGE
    if not (ticks or axes.get_ylabel()):
        return _EDGE + _LAST  # half of the first number of the level axis
    words = max((len(line) for text in ticks for line in text.split("\n")), default=0)
    numbers = max(words * _LETTER * 10.0, 26.0) + 6.0
    lines = axes.get_ylabel().count("\n") + 1
    return _EDGE + numbers + (15.0 * lines if axes.get_ylabel() else 0.0)


def _above(axes: Axes) -> float:
    """Space for a title, or for the heads of a table."""
    heads = [label.get_text() for label in axes.get_xticklabels()]
    if axes.xaxis.get_tick_params().get("labeltop") and any(heads):
        return 12.0 + 13.0 * (1 + max(head.count("\n") for head in heads))
    if any(axes.get_title(where) for where in ("left", "center", "right")):
        return 30.0
    over = any(text.get_transform() == axes.transAxes and text.get_position()[1] > 1 for text in axes.texts)
    return 30.0 if over else 8.0


def _below(axes: Axes) -> float:
    """Space for the numbers and the name of the level axis; a picture may name it later."""
    if not axes.axison or not len(axes.get_xticks()):
        return 4.0
    lines = axes.get_xlabel().count("\n")
    return 40.0 + 13.0 * lines if axes.xaxis.get_tick_params()["labelbottom"] else 4.0
