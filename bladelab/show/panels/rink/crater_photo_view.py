"""The picture of the crater panel: the photograph, the crater and the ruler's marks magnified."""

from __future__ import annotations

import numpy as np

from bladelab.show.canvas.style import LINES, TRIAL, Look
from bladelab.show.canvas.view import View
from bladelab.show.panels.rink.crater_photo_answer import CraterSeen
from bladelab.show.panels.workshop.photo_view import CROSS, PhotoPart, magnified

_MOST_SHOWN_PX = 240


class CraterPhotoView(View[CraterSeen]):
    """The photograph with circle and crosses; the crater and the ruler's marks magnified."""

    height_px = 430

    def draw(self) -> None:
        mark_1, mark_2 = (0.64, 0.03, 0.14, 0.27), (0.82, 0.03, 0.14, 0.27)
        self.photo = PhotoPart(self, (0.01, 0.05, 0.58, 0.84), mark_1, mark_2)
        set_look: Look = {"color": TRIAL, "linewidth": 1.2, "linestyle": (0, (3, 2))}
        self.circle = self.new_line(self.photo.axes, **set_look)
        self.middle = self.new_line(self.photo.axes, linestyle="none", **CROSS)
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

    def update(self, result: CraterSeen) -> None:
        self.photo.update(result.photograph, result.crosses)
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
