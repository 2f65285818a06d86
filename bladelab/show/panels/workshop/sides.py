"""Are left and right the same? Where two edges differ, and whether the readings can tell."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache, partial
from types import SimpleNamespace

import numpy as np

from bladelab.book.steel_happenings import LEFT_AND_RIGHT, Ordered
from bladelab.show.canvas.edge_parts import ApartPart, RadiusScale, Stretches, axes_along
from bladelab.show.canvas.result import Result
from bladelab.show.canvas.style import INK, TRIAL, Look, label
from bladelab.show.canvas.view import View
from bladelab.show.controls.control import Choice, Slider
from bladelab.show.panel.card_bar import Offer
from bladelab.show.panel.declare import panel
from bladelab.show.panel.engine import Panel
from bladelab.show.panels.workshop.measured_files import (
    edges_on_card,
    for_the_card,
    measured,
    notes_on,
    offered,
)
from bladelab.show.panels.workshop.measurement import curve_along
from bladelab.show.wording.words import along_the_blade, minus
from bladelab.workshop.compare import SideDifference, left_against_right
from bladelab.workshop.gauge import GaugeReadings
from bladelab.workshop.trace import LocalCurve, Trace

_SIDES: dict[str, Look] = {
    "left": {"color": INK, "linewidth": 2.0},
    "right": {"color": TRIAL, "linewidth": 2.0, "linestyle": (0, (5, 2))},
}
_STRETCHES = 8
_BY_GAUGE = (
    "Gauge readings are rebuilt into heights, which are less sure than heights read from a rail: a spot much "
    "shorter than the chord between the feet doesn't show."
)
#: What an order allows unless it says otherwise.
_ALLOWED_MM = Ordered.tolerance_mm
_UNEVEN = (
    "Skates that differ make each foot turn differently. Have both ground to the same shape, by "
    "someone trained for it, before you try any change."
)
_FINE = (
    f"That is less than the {_ALLOWED_MM:g} mm that an order usually allows a grinder: no reason to have "
    "anything ground."
)
_LEVEL = "Both edges are levelled first, so this can't show whether one has its level point further forward."


@dataclass(frozen=True, kw_only=True)
class Sides(Result):
    """The radius along each edge, by side, and the difference of their heights."""

    curves: dict[str, LocalCurve]
    apart: SideDifference


@lru_cache(maxsize=16)
def _compare(
    left: Trace | GaugeReadings, right: Trace | GaugeReadings, window: float
) -> tuple[dict[str, LocalCurve], SideDifference]:
    heights = {
        side: edge.trace if isinstance(edge, GaugeReadings) else edge
        for side, edge in (("left", left), ("right", right))
    }
    curves = {side: curve_along(trace.level(), window) for side, trace in heights.items()}
    return curves, left_against_right(left, right, window)


def sides_answer(state: SimpleNamespace) -> Sides:
    """Whether left and right differ, in words."""
    edges = {"left": measured(state.left), "right": measured(state.right)}
    curves, apart = _compare(edges["left"], edges["right"], state.window_mm)
    where = [
        minus(f"along {a:.0f} to {b:.0f} mm" if b - a >= 1 else f"at {a:.0f} mm")
        for a, b in apart.stretches_mm
    ]
    poorer = "left" if apart.largest_mm > 0 else "right"
    place = along_the_blade(apart.largest_at_mm)
    size = f"{abs(apart.largest_mm):.3f} mm"
    doubt = f"{float(np.median(apart.threshold_mm)):.3f} mm"
    if not where:
        finding = "These readings show no difference between left and right"
        sentence = (
            f"The largest difference, {size} {place}, could come from reading error alone (about {doubt}). "
            f"That doesn't prove the edges equal: any real difference is smaller than that. {_LEVEL}"
        )
    else:
        finding = f"Left and right differ most {place}: the {poorer} has lost {size}"
        sentence = (
            f"They differ by more than reading error can explain {', '.join(where)} from the middle "
            f"(heel negative). The {poorer} edge has lost the most, {size}, {place}; below about {doubt} "
            f"these readings can't tell. {_LEVEL}\n"
            f"{_UNEVEN if abs(apart.largest_mm) > _ALLOWED_MM else _FINE}"
        )
    if any(isinstance(edge, GaugeReadings) for edge in edges.values()):
        sentence += f"\n{_BY_GAUGE}"
    sentence += notes_on(*dict.fromkeys((state.left, state.right)))
    keep = for_the_card(edges, state.left, state.right)
    return Sides(curves=curves, apart=apart, finding=finding, sentence=sentence, edges=keep)


class SidesView(View[Sides]):
    """Radius of both edges, and the difference of their heights, over one shared x axis."""

    height_px = 430

    def draw(self) -> None:
        radius, apart = axes_along(self, 0.895, (0.54, 0.37), (0.11, 0.35))
        self.scale = RadiusScale(radius)
        self.curves = {side: self.new_line(radius, **style) for side, style in _SIDES.items()}
        for side, x, words in (
            ("left", 0.01, "left"),
            ("right", 0.14 if self.narrow else 0.07, "right (dashed)"),
        ):
            look: Look = {"color": _SIDES[side]["color"], "transform": radius.transAxes}
            label(radius, x, 0.97, words, va="top", bbox=None, **look)
        self.apart = ApartPart(self, apart)
        self.stretches = Stretches(self, apart, _STRETCHES)

    def update(self, sides: Sides) -> None:
        for side, curve in sides.curves.items():
            self.curves[side].set_data(curve.x_mm, self.scale.shown(curve.radius_mm))
        self.apart.update(sides.apart)
        self.stretches.update(sides.apart.stretches_mm)


def sides_panel() -> Panel:
    """Left against right. CSV files in a folder ``measured`` beside the notebook are offered too."""
    files = offered(".csv")

    def on_card(side: str) -> Offer:
        return lambda card: tuple(pair for pair in edges_on_card(card) if pair[0].startswith(side))

    return panel(
        "left_and_right",
        SidesView,
        sides_answer,
        Choice("left", "left edge", "rocker", files, files[0][1]),
        Choice("right", "right edge", "rocker", files, files[1][1]),
        Slider("window_mm", "smooth over", "view", 15, 50, 30, "length"),
        offers={side: on_card(side) for side in LEFT_AND_RIGHT},
        own=dict.fromkeys(LEFT_AND_RIGHT, partial(offered, ".csv")),
    )()
