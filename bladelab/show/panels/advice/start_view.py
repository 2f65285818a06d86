"""The picture of a frontier: every blade searched, the unbeaten ones, and the one picked."""

from __future__ import annotations

import numpy as np

from bladelab.advice.starting import Frontier
from bladelab.advice.wishes import in_percent
from bladelab.shape.blade import Blade
from bladelab.show.canvas.limits import step_above
from bladelab.show.canvas.parts import RadiusPart
from bladelab.show.canvas.style import INK, PRESENT, QUIET, TRIAL, label
from bladelab.show.canvas.view import View

_CELLS = 60
_SHOWN = 400  # dots at most: the ones with the fewest changes
_ENDS_PERCENT = (12.0, 25.0, 50.0, 100.0, 200.0, 600.0)
_ENDS_DEG = (0.1, 0.25, 0.5, 1.0, 3.0, 10.0)


class FrontierView(View):
    """Every blade of the family as grey, the unbeaten as dots, the picked one; beside it both rockers'
    radius."""

    height_px = 440

    def draw(self) -> None:
        self.axes = axes = self.figure.add_axes((0.085, 0.13, 0.46, 0.73))
        axes.set(xlim=(-25, 25), ylim=(-25, 25))
        axes.axvline(0, color=QUIET, linewidth=0.9)
        axes.axhline(0, color=QUIET, linewidth=0.9)
        self.cloud = self.moving(
            axes.imshow(
                np.zeros((_CELLS, _CELLS, 4)),
                extent=(-25, 25, -25, 25),
                origin="lower",
                aspect="auto",
                interpolation="nearest",
            )
        )
        self.others = self.moving(
            axes.plot([], [], "o", markersize=4.5, color="#8FB8DE", markeredgewidth=0)[0]
        )
        self.granting = self.moving(
            axes.plot([], [], "o", markersize=6.5, color="#1B9E77", markeredgewidth=0)[0]
        )
        self.present = self.moving(axes.plot([0], [0], "s", markersize=9, color=PRESENT)[0])
        self.picked = self.moving(
            axes.plot([], [], "D", markersize=11, color=TRIAL, markeredgecolor="white")[0]
        )
        self.tags = {
            "present": self.moving(label(axes, 0, 0, "present", color=PRESENT, ha="right", va="top")),
            "picked": self.moving(label(axes, 0, 0, "picked", color=TRIAL, ha="left", va="bottom")),
        }
        self.names = [
            self.moving(
                axes.text(0.5, -0.13, "", transform=axes.transAxes, ha="center", va="top", fontsize=11)
            ),
            self.moving(
                axes.text(
                    -0.13,
                    0.5,
                    "",
                    transform=axes.transAxes,
                    ha="center",
                    va="center",
                    rotation=90,
                    fontsize=11,
                )
            ),
        ]
        self.radius = RadiusPart(self, self.figure.add_axes((0.635, 0.60, 0.355, 0.26)))
        self.radius.axes.set_xlabel("along the blade, mm")
        self.lines = [
            self.moving(self.figure.text(0.59, 0.435 - 0.058 * i, "", fontsize=10, color=INK, va="top"))
            for i in range(7)
        ]
        key = "grey: every blade searched; blue: beaten by none on all\n"
        key += "wishes at once; green: of these, grants every wish"
        self.figure.text(0.59, 0.03, key, fontsize=9, color=QUIET)

    def update(
        self,
        *,
        found: Frontier,
        pick: int,
        across: tuple[int, int],
        blades: dict[str, Blade],
        lines: list[str],
        finding: str,
    ) -> None:
        """Show a frontier and the blade picked on it; `across` are the wishes along the axes, -1 for the
        steps."""
        self.title(finding)
        places, spans = [], []
        for axis, k in enumerate(across):
            gains = found.gains[:, k] if k >= 0 else found.steps.astype(float)
            everything = found.all_gains[:, k] if k >= 0 else found.scores.family.steps_away.astype(float)
            ends = _ENDS_PERCENT if k >= 0 and in_percent(found.wishes[k]) else _ENDS_DEG
            if k >= 0:
                top = step_above(1.1 * float(np.abs(gains).max()), ends)
                span, unit = (-top, top), "%" if in_percent(found.wishes[k]) else "°"
                self.names[axis].set_text(f"{found.wishes[k].word}, {unit} →")
            else:
                span = (-1.0, 12.0)
                self.names[axis].set_text("changes from the present blade →")
            set_ends = (self.axes.set_xlim, self.axes.set_ylim)[axis]
            if (self.axes.get_xlim, self.axes.get_ylim)[axis]() != span:
                set_ends(*span)
            places.append(gains)
            spans.append((everything, span))
        usable = np.isfinite(spans[0][0]) & np.isfinite(spans[1][0])
        counts, _, _ = np.histogram2d(
            spans[1][0][usable], spans[0][0][usable], bins=_CELLS, range=[spans[1][1], spans[0][1]]
        )
        pixels = np.full((_CELLS, _CELLS, 4), 0.86)
        pixels[..., 3] = counts > 0
        self.cloud.set_data(pixels)
        self.cloud.set_extent((*spans[0][1], *spans[1][1]))
        few = np.arange(len(found.members)) < _SHOWN
        grants = found.grants_all if len(found.wishes) > 1 else np.zeros(len(found.members), dtype=bool)
        self.others.set_data(places[0][few & ~grants], places[1][few & ~grants])
        self.granting.set_data(places[0][few & grants], places[1][few & grants])
        x, y = places[0][pick], places[1][pick]
        self.picked.set_data([x], [y])
        right = x < 0.5 * spans[0][1][1]
        wide, tall = (span[1] - span[0] for _, span in spans)
        self.tags["picked"].set_position((x + (0.025 if right else -0.025) * wide, y + 0.02 * tall))
        self.tags["picked"].set_horizontalalignment("left" if right else "right")
        self.tags["present"].set_position((-0.02 * wide, -0.02 * tall))
        self.tags["picked"].set_visible(found.steps[pick] > 0)
        self.radius.update(blades)
        for i, text in enumerate(self.lines):
            text.set_text(lines[i] if i < len(lines) else "")
