"""The picture of the crater panel: the photograph, the crater and the ruler's marks magnified."""

from __future__ import annotations

import numpy as np

from bladelab.show.canvas.style import LINES, TRIAL, Look
from bladelab.show.canvas.view import View
from bladelab.show.panels.rink.crater_photo_answer import CraterSeen
from bladelab.show.panels.workshop.photo_upload import Photograph
from bladelab.show.panels.workshop.photo_view import magnified, new_lens, put_photograph, show_lens

_MOST_SHOWN_PX = 240


class CraterPhotoView(View[CraterSeen]):
    """The photograph with circle and crosses; the crater and the ruler's marks magnified."""

    height_px = 430

    def draw(self) -> None:
        self.photo = self.figure.add_axes((0.01, 0.05, 0.58, 0.84))
        self.photo.set_axis_off()
        self.picture = self.photo.imshow(np.zeros((2, 2)), cmap="gray", vmin=0, vmax=255, aspect="equal")
        self.shown: Photograph | None = None
        cross: Look = {"color": TRIAL, "marker": "+", "markersize": 14, "clip_on": False}
        self.marks = self.new_line(self.photo, linewidth=1.4, **cross)
        set_look: Look = {"color": TRIAL, "linewidth": 1.2, "linestyle": (0, (3, 2))}
        self.circle = self.new_line(self.photo, **set_look)
        self.middle = self.new_line(self.photo, linestyle="none", **cross)
        near = self.figure.add_axes((0.68, 0.41, 0.24, 0.47))
        near.set(xticks=[], yticks=[], xlim=(-1, 1), ylim=(1, -1))
        near.set_title("the crater, magnified", fontsize=9, fontweight="normal")
        near.grid(False)
        self.near = self.moving(
            near.imshow(
                np.zeros((3, 3)), cmap="gray", vmin=0, vmax=255, extent=(-1, 1, 1, -1), aspect="equal"
            )
        )
        self.near_circle = self.new_line(near, **set_look)
        self.rim = self.new_line(
            near, color=LINES["present"]["color"], marker=".", markersize=4, linestyle="none"
        )
        self.tag = self.new_text(near, "", 0, 0.86, ha="center", va="center")
        for above, artist in enumerate((self.near_circle, self.rim, self.tag)):
            artist.set_zorder(150 + above)
        self.lenses = [
            new_lens(self, (left, 0.03, 0.14, 0.27), words)
            for left, words in ((0.64, "mark 1"), (0.82, "mark 2"))
        ]

    def update(self, result: CraterSeen) -> None:
        photo = result.photograph.grey
        if self.shown is not result.photograph:
            put_photograph(self.picture, photo)
            self.photo.set_ylim(photo.shape[0] - 0.5, -0.5)
            self.shown = result.photograph
            self.still_changed()
        places = np.array([cross.place for cross in result.crosses if cross.place]).reshape(-1, 2)
        self.marks.set_data(places[:, 0], places[:, 1])
        self.marks.set_linestyle("-" if all(cross.on_mark for cross in result.crosses) else "none")
        for lens, cross in zip(self.lenses, result.crosses, strict=True):
            show_lens(lens, photo, cross)
        self._near(result)

    def _near(self, result: CraterSeen) -> None:
        for artist in (self.circle, self.middle, self.near, self.near_circle):
            artist.set_visible(result.circle is not None)
        self.rim.set_visible(result.rim is not None)
        self.tag.set_text("" if result.rim else "no rim yet" if result.circle else "not set")
        if result.circle is None:
            return
        photo, (column, row, radius) = result.photograph.grey, result.circle
        turn = np.linspace(0, 2 * np.pi, 73)
        self.circle.set_data(column + radius * np.cos(turn), row + radius * np.sin(turn))
        self.middle.set_data([column], [row])
        half = int(np.ceil(1.4 * radius)) if radius > 10 else max(20, photo.shape[1] // 10)
        seen = magnified(photo, column, row, half)
        step = max(1, len(seen) // _MOST_SHOWN_PX)
        self.near.set_data(seen[::step, ::step])
        left, top = (round(column) - column - 0.5) / half - 1, (round(row) - row - 0.5) / half - 1
        width = len(seen) / half
        self.near.set_extent((left, left + width, top + width, top))
        self.near.axes.set(xlim=(-1, 1), ylim=(1, -1))
        self.near_circle.set_data(radius / half * np.cos(turn), radius / half * np.sin(turn))
        if result.rim is not None:
            self.rim.set_data((result.rim[0] - column) / half, (result.rim[1] - row) / half)
