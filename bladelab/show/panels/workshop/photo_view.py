"""The picture of the photograph panel: the photograph, ruler's marks magnified, the trace beside its arc."""

from __future__ import annotations

from typing import TypeAlias

import numpy as np
from matplotlib.image import AxesImage
from matplotlib.lines import Line2D
from matplotlib.text import Text

from bladelab.show.canvas.style import LINES, QUIET, TRIAL, Look, heel_and_toe
from bladelab.show.canvas.view import View
from bladelab.show.panels.workshop.photo_answer import FromPhoto
from bladelab.show.panels.workshop.photo_upload import Grey, Photograph
from bladelab.show.panels.workshop.ruler_marks import Cross
from bladelab.workshop.photo import PhotoTrace

_SHOWN_PX = 1000

#: Where axes are in a figure: left, bottom, width and height, as shares of it.
SharesOfFigure: TypeAlias = tuple[float, float, float, float]
#: How a cross looks.
CROSS: Look = {"color": TRIAL, "marker": "+", "markersize": 14, "clip_on": False}
#: A mark of the ruler magnified: the picture, the two lines of the cross, and a word.
Lens: TypeAlias = tuple[AxesImage, list[Line2D], Text]


def new_lens(view: View, place: SharesOfFigure, words: str) -> Lens:
    """A small picture in which a mark of the ruler is magnified, for `show_lens`."""
    axes = view.figure.add_axes(place)
    axes.set(xticks=[], yticks=[], xlim=(0, 1), ylim=(1, 0))
    axes.set_title(f"{words}, magnified", fontsize=9, fontweight="normal")
    axes.grid(False)
    image = view.moving(
        axes.imshow(np.zeros((3, 3)), cmap="gray", vmin=0, vmax=255, extent=(0, 1, 1, 0), aspect="auto")
    )
    lines = [view.moving(line(0.5, color=TRIAL, linewidth=1.0)) for line in (axes.axvline, axes.axhline)]
    for line in lines:
        line.set_zorder(150)
    tag = view.new_text(axes, "", 0.5, 0.93, ha="center", va="center")
    tag.set_zorder(160)
    return image, lines, tag


def show_lens(lens: Lens, photo: Grey, cross: Cross) -> None:
    """Show what lies under a cross."""
    image, lines, tag = lens
    image.set_visible(cross.place is not None)
    for line in lines:
        line.set_visible(cross.place is not None)
        line.set_linestyle("-" if cross.on_mark else (0, (2, 2)))
    if cross.place:
        image.set_data(magnified(photo, *cross.place, max(20, photo.shape[1] // 80)))
    tag.set_text("" if cross.on_mark else "no mark here" if cross.place else "not set")


class PhotoPart:
    """A photograph, and where the crosses lie on the marks of its ruler; both marks magnified beside it.

    Parameters
    ----------
    view : View
    place, mark_1, mark_2 : (float, float, float, float)
        Of the photograph and of its marks in the figure: left, bottom, width and height, as shares.

    Attributes
    ----------
    axes : Axes
        They count the pixels of the photograph.
    marks : Line2D
        The crosses, joined once both lie on a mark.
    lenses : list of Lens
        Of both marks.
    """

    def __init__(
        self, view: View, place: SharesOfFigure, mark_1: SharesOfFigure, mark_2: SharesOfFigure
    ) -> None:
        self._view = view
        self.axes = view.figure.add_axes(place)
        self.axes.set_axis_off()
        self._image = self.axes.imshow(np.zeros((2, 2)), cmap="gray", vmin=0, vmax=255, aspect="equal")
        self._shown: Photograph | None = None
        self.marks = view.new_line(self.axes, linewidth=1.4, **CROSS)
        self.lenses = [new_lens(view, mark_1, "mark 1"), new_lens(view, mark_2, "mark 2")]

    def update(self, photograph: Photograph, crosses: tuple[Cross, Cross]) -> None:
        """Show a photograph, no finer than it is seen, and both crosses."""
        photo = photograph.grey
        rows, columns = photo.shape
        if self._shown is not photograph:
            step = max(1, max(columns, rows) // _SHOWN_PX)
            self._image.set_data(photo[::step, ::step])
            self._image.set_extent((-0.5, columns - 0.5, rows - 0.5, -0.5))
            self.axes.set(xlim=(-0.5, columns - 0.5), ylim=(rows - 0.5, -0.5))
            self._shown = photograph
            self._view.still_changed()
        places = np.array([cross.place for cross in crosses if cross.place]).reshape(-1, 2)
        self.marks.set_data(places[:, 0], places[:, 1])
        self.marks.set_linestyle("-" if all(cross.on_mark for cross in crosses) else "none")
        for lens, cross in zip(self.lenses, crosses, strict=True):
            show_lens(lens, photo, cross)


class PhotoView(View[FromPhoto]):
    """The photograph with what was set and found in it; the ruler's marks magnified; the trace against its
    arc.
    """

    height_px = 500

    def draw(self) -> None:
        mark_1, mark_2 = (0.01, 0.03, 0.125, 0.235), (0.15, 0.03, 0.125, 0.235)
        self.photo = PhotoPart(self, (0.01, 0.36, 0.98, 0.56), mark_1, mark_2)
        limit: Look = {"color": QUIET, "linewidth": 1.0, "linestyle": (0, (3, 2))}
        self.frame = self.new_line(self.photo.axes, **limit)
        self.straight = self.new_line(self.photo.axes, **limit)
        self.edge = self.new_line(self.photo.axes, color=LINES["present"]["color"], linewidth=2.0)
        rest = self.figure.add_axes((0.375, 0.095, 0.61, 0.17))
        rest.set(
            xlim=(-160, 160),
            xlabel="along the blade, mm",
            ylabel="distance from\nthe arc, mm",
            ylim=(-0.2, 0.2),
        )
        heel_and_toe(rest)
        dots: Look = {"color": LINES["present"]["color"], "marker": ".", "markersize": 2}
        self.dots = self.new_line(rest, linestyle="none", **dots)
        rest.axhline(0, color=QUIET, linewidth=0.8)
        self.scatter_tag = self.new_text(rest, "", 155, 0.19, ha="right", va="top")

    def update(self, result: FromPhoto) -> None:
        placed = result.placed
        self.photo.update(placed.photograph, placed.crosses)
        above, below = placed.rows_shown
        self.photo.axes.set_ylim(below + 0.5, above - 0.5)
        columns, rows = placed.frame
        _draw_frame(self.frame, columns, rows)
        _draw_frame(self.straight, columns, placed.straight)
        self.edge.set_visible(result.edge is not None)
        if result.edge is not None:
            column, row = result.edge
            thin = slice(None, None, max(1, len(column) // 200))
            self.edge.set_data(column[thin], row[thin])
        self._beside_arc(result.trace)

    def _beside_arc(self, trace: PhotoTrace | None) -> None:
        for artist in (self.dots, self.scatter_tag):
            artist.set_visible(trace is not None)
        if trace is not None:
            x = trace.trace.x_mm
            apart = trace.trace.y_mm - trace.fit.height_mm(x)
            dots = slice(None, None, max(1, len(x) // 300))
            self.dots.set_data(x[dots], np.clip(apart[dots], -0.2, 0.2))
            self.scatter_tag.set_text(f"scatter {trace.fit.noise_mm:.3f} mm")


def _draw_frame(line: Line2D, columns: tuple[int, int], rows: tuple[int, int] | None) -> None:
    line.set_visible(rows is not None)
    if rows is not None:
        (left, right), (top, bottom) = columns, rows
        line.set_data([left, right, right, left, left], [top, top, bottom, bottom, top])


def magnified(photo: Grey, x: float, y: float, half: int) -> Grey:
    """The pixels around a place, `half` to each side, white beyond the picture."""
    seen = np.full((2 * half + 1,) * 2, 255, dtype=np.uint8)
    row, column = round(y) - half, round(x) - half  # of its upper left corner
    part = photo[max(row, 0) : max(row + len(seen), 0), max(column, 0) : max(column + len(seen), 0)]
    top, left = max(-row, 0), max(-column, 0)
    seen[top : top + part.shape[0], left : left + part.shape[1]] = part
    return seen
