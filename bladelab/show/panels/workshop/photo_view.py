"""The picture of the photograph panel: the photograph, ruler's marks magnified, the trace beside its arc."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from bladelab.show.canvas.style import LINES, QUIET, TRIAL, heel_and_toe, label
from bladelab.show.canvas.view import View
from bladelab.workshop.photo import PhotoTrace

_SHOWN_PX = 1000


@dataclass(frozen=True)
class Cross:
    """One mark of the ruler as the dials say: where its cross lies, px, and whether it lies on a dark mark.

    `place` is None while nothing is set. It is the middle of the dark mark once one is found.
    """

    place: tuple[float, float] | None = None
    on_mark: bool = False


class PhotoView(View):
    """The photograph with what was set and found in it; the ruler's marks magnified; the trace against its
    arc.
    """

    height_px = 500

    def draw(self) -> None:
        self.photo = self.figure.add_axes((0.01, 0.36, 0.98, 0.56))
        self.photo.set_axis_off()
        self.picture = self.photo.imshow(np.zeros((2, 2)), cmap="gray", vmin=0, vmax=255, aspect="equal")
        self.shown: Any = None
        limit: dict[str, Any] = {"color": QUIET, "linewidth": 1.0, "linestyle": (0, (3, 2))}
        self.frame = self.moving(self.photo.plot([], [], **limit)[0])
        self.straight = self.moving(self.photo.plot([], [], **limit)[0])
        self.edge = self.moving(self.photo.plot([], [], color=LINES["present"]["color"], linewidth=2.0)[0])
        cross: dict[str, Any] = {"color": TRIAL, "marker": "+", "markersize": 14, "clip_on": False}
        self.ruler = self.moving(self.photo.plot([], [], linewidth=1.4, **cross)[0])
        self.lenses = []
        for left, words in ((0.01, "mark 1"), (0.15, "mark 2")):
            axes = self.figure.add_axes((left, 0.03, 0.125, 0.235))
            axes.set(xticks=[], yticks=[], xlim=(0, 1), ylim=(1, 0))
            axes.set_title(f"{words}, magnified", fontsize=9, fontweight="normal")
            axes.grid(False)
            image = self.moving(
                axes.imshow(
                    np.zeros((3, 3)), cmap="gray", vmin=0, vmax=255, extent=(0, 1, 1, 0), aspect="auto"
                )
            )
            lines = [
                self.moving(line(0.5, color=TRIAL, linewidth=1.0)) for line in (axes.axvline, axes.axhline)
            ]
            for line in lines:
                line.set_zorder(150)
            tag = self.moving(label(axes, 0.5, 0.93, "", ha="center", va="center"))
            tag.set_zorder(160)
            self.lenses.append((image, lines, tag))
        self.rest = self.figure.add_axes((0.375, 0.095, 0.61, 0.17))
        self.rest.set(
            xlim=(-160, 160),
            xlabel="along the blade, mm",
            ylabel="edge beside\nits arc, mm",
            ylim=(-0.2, 0.2),
        )
        heel_and_toe(self.rest)
        dots: dict[str, Any] = {"color": LINES["present"]["color"], "marker": ".", "markersize": 2}
        self.dots = self.moving(self.rest.plot([], [], linestyle="none", **dots)[0])
        self.rest.axhline(0, color=QUIET, linewidth=0.8)
        self.scatter_tag = self.moving(label(self.rest, 155, 0.19, "", ha="right", va="top"))

    def update(
        self,
        *,
        key: object,
        photo: Any,
        frame: Any,
        rows_shown: tuple[float, float],
        crosses: tuple[Cross, Cross],
        finding: str,
        straight: Any = None,
        edge: Any = None,
        trace: PhotoTrace | None = None,
    ) -> None:
        """Show one photograph, and what is set and found in it so far; `key` tells photographs apart."""
        rows, columns = photo.shape
        if self.shown != key:
            step = max(1, max(columns, rows) // _SHOWN_PX)
            self.picture.set_data(photo[::step, ::step])
            self.picture.set_extent((-0.5, columns - 0.5, rows - 0.5, -0.5))
            self.photo.set_xlim(-0.5, columns - 0.5)
            self.shown = key
            self.still_changed()
        above, below = rows_shown
        self.photo.set_ylim(below + 0.5, above - 0.5)
        (left, right), (top, bottom) = frame
        self.frame.set_data([left, right, right, left, left], [top, top, bottom, bottom, top])
        self.straight.set_visible(straight is not None)
        if straight is not None:
            high, low = straight
            self.straight.set_data([left, right, right, left, left], [high, high, low, low, high])
        self.edge.set_visible(edge is not None)
        if edge is not None:
            thin = slice(None, None, max(1, len(edge[0]) // 200))
            self.edge.set_data(edge[0][thin], edge[1][thin])
        self._mark(photo, crosses)
        for artist in (self.dots, self.scatter_tag):
            artist.set_visible(trace is not None)
        if trace is not None:
            x = trace.trace.x_mm
            apart = trace.trace.y_mm - trace.fit.height_mm(x)
            dots = slice(None, None, max(1, len(x) // 300))
            self.dots.set_data(x[dots], np.clip(apart[dots], -0.2, 0.2))
            self.scatter_tag.set_text(f"scatter {trace.fit.noise_mm:.3f} mm")
        self.title(finding)

    def _mark(self, photo: Any, crosses: tuple[Cross, Cross]) -> None:
        places = np.array([cross.place for cross in crosses if cross.place]).reshape(-1, 2)
        self.ruler.set_data(places[:, 0], places[:, 1])
        self.ruler.set_linestyle("-" if all(cross.on_mark for cross in crosses) else "none")
        half = max(20, photo.shape[1] // 80)
        for (image, lines, tag), cross in zip(self.lenses, crosses, strict=True):
            image.set_visible(cross.place is not None)
            for line in lines:
                line.set_visible(cross.place is not None)
                line.set_linestyle("-" if cross.on_mark else (0, (2, 2)))
            if cross.place:
                image.set_data(magnified(photo, *cross.place, half))
            tag.set_text("" if cross.on_mark else "no mark here" if cross.place else "not set")


def magnified(photo: Any, x: float, y: float, half: int) -> Any:
    """The pixels around a place, `half` to each side, white beyond the picture."""
    seen = np.full((2 * half + 1,) * 2, 255, dtype=np.uint8)
    row, column = round(y) - half, round(x) - half  # of its upper left corner
    part = photo[max(row, 0) : max(row + len(seen), 0), max(column, 0) : max(column + len(seen), 0)]
    top, left = max(-row, 0), max(-column, 0)
    seen[top : top + part.shape[0], left : left + part.shape[1]] = part
    return seen
