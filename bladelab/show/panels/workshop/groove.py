"""Did you get the hollow you ordered? The groove as ground, edge by edge, and what it does on the ice."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from types import SimpleNamespace
from typing import Any

import numpy as np

from bladelab.book.card import Card
from bladelab.book.steel_happenings import LEFT_AND_RIGHT
from bladelab.book.to_write import hollow_measured
from bladelab.physics.ice import Ice
from bladelab.physics.moments import MOMENTS
from bladelab.physics.stance import Stance
from bladelab.shape.blade import Blade
from bladelab.shape.hollow import Hollow
from bladelab.shape.rocker import Rocker
from bladelab.show.canvas.limits import Rising
from bladelab.show.canvas.parts import BarsPart
from bladelab.show.canvas.result import Result
from bladelab.show.canvas.style import LINES
from bladelab.show.canvas.view import View
from bladelab.show.controls import blade as controls
from bladelab.show.controls.control import Choice, Slider, preset
from bladelab.show.panel.card_buttons import CardButton, card_writer
from bladelab.show.panel.declare import panel
from bladelab.show.panel.engine import Panel
from bladelab.show.wording.units_shown import UNITS
from bladelab.show.wording.words import capital, more_or_less
from bladelab.units import feet
from bladelab.workshop.edge_level import EdgeLevel
from bladelab.workshop.groove import (
    HollowReading,
    groove_from_arc,
    groove_from_depth,
    groove_from_edges,
    hollow_difference,
)

#: The dials that say what was read.
_READ = ("how", "depth_a_mm", "depth_b_mm", "arc_mm", "arc_step_mm")
_DEPTH_MM = 0.075
_EXAMPLE = "This groove is an example: set what you measured. "
_HOW = (("depth of the groove", "depth"), ("depth from each edge", "edges"), ("which arc fits", "arc"))
#: The moments are told on one rocker, so that only the groove differs.
_LEANED = next(moment for moment in MOMENTS if moment.name == "tight turn")
_ROCKER = Rocker.single(feet(10), 280.0)
_DEPTHS_MM = (0.1, 0.2, 0.5, 1.0, 2.0, 4.0)
#: What a groove does on the ice: key of `hollow_difference`, its axis, the limits to choose from.
_EFFECTS = (
    ("bite_mm", "bite, mm", 0.56, (0.1, 0.2, 0.5, 1.0, 2.0, 5.0)),
    ("hold_deg", "hold angle, degrees", 0.15, (10.0, 20.0, 40.0, 90.0)),
)


@dataclass(frozen=True, kw_only=True)
class GroundGroove(Result):
    """The groove as read and as ordered, and what each does on the ice, as `hollow_difference` gives it."""

    reading: HollowReading
    ordered: Hollow
    effects: dict[str, dict[str, Any]]


def _reading(state: SimpleNamespace) -> HollowReading:
    if state.how == "arc":
        arc, step = state.arc_mm, state.arc_step_mm
        return groove_from_arc(arc, arc - step, arc + step, state.width_mm)
    if state.how == "edges":
        return groove_from_edges(state.depth_a_mm, state.depth_b_mm, state.width_mm, state.depth_error_mm)
    return groove_from_depth(state.depth_a_mm, state.width_mm, state.depth_error_mm)


def groove_answer(state: SimpleNamespace) -> GroundGroove:
    """The hollow as ground, in words."""
    reading, ordered = _reading(state), Hollow(state.asked_mm, state.width_mm)
    stance, ice = controls.moment_stance(state), controls.ice_of(state)
    effects = hollow_difference(reading, state.asked_mm, _ROCKER, stance, ice, gliding=state.moment.gliding)
    ground, wanted = effects["ground"], effects["asked"]
    agrees = reading.agrees_with(state.asked_mm)
    said, order = UNITS.say("hollow", reading.radius_mm), UNITS.say("hollow", state.asked_mm)
    high = UNITS.say("hollow", reading.high_mm) if np.isfinite(reading.high_mm) else "a flat bottom"
    moment = state.moment.name
    example = _EXAMPLE if (state.how, state.depth_a_mm) == ("depth", _DEPTH_MM) else ""
    bites = more_or_less(ground["bite_mm"], wanted["bite_mm"], "deeper", "less deep", "as deep as ordered")
    sentence = (
        f"The groove has a radius of {said}; by this reading it could be anything from "
        f"{UNITS.say('hollow', reading.low_mm)} to {high}. You ordered {order}, which "
        f"{'agrees' if agrees else 'does not agree'} with that. {capital(moment)}: the groove "
        f"as ground bites {bites}"
    )
    if stance.lean_deg > 0:
        holds = more_or_less(ground["hold_deg"], wanted["hold_deg"], "more", "less", "as ordered")
        sentence += f" and holds {holds}"
    return GroundGroove(
        reading=reading,
        ordered=ordered,
        effects=effects,
        finding=f"Ground at {said}: {'agrees with' if agrees else 'not'} the {order} you ordered",
        sentence=f"{example}{sentence}.{_edges_said(state, reading, stance, ice)}",
    )


def _to_keep(panel: Panel, card: Card) -> list[CardButton]:
    """Buttons that write the hollow on the card: not before a hand has set something of the reading."""
    result = panel.result
    if not isinstance(result, GroundGroove) or not any(panel.dials[name].touched for name in _READ):
        return []
    reading, found = result.reading, []
    for side in LEFT_AND_RIGHT:
        edge = card.edge(side)
        if edge is None or edge.hollow_mm != reading.radius_mm:
            write = card_writer(*hollow_measured(card, side, reading))
            found.append(CardButton(f"hollow_{side}", f"it is the {side} hollow", write))
    return found


def _edges_said(state: SimpleNamespace, reading: HollowReading, stance: Stance, ice: Ice) -> str:
    """Whether the edges are level with each other, by the depths and by the square."""
    sentence = ""
    if state.how == "edges" and abs(reading.proud_mm) >= 0.0005:
        high, low = "AB" if reading.proud_mm > 0 else "BA"
        sentence = f"\nBy these depths edge {high} is {abs(reading.proud_mm):.3f} mm higher than edge {low}."
    level = EdgeLevel(state.square_mm, state.arm_mm)
    if abs(level.tilt_deg) < 1e-9:
        return sentence if state.how == "edges" else "\nThe square sits level: both edges hold the same."
    sentence += (
        f"\nBy the square, edge {'A' if level.tilt_deg > 0 else 'B'} is "
        f"{abs(level.proud_mm(state.width_mm)):.3f} mm high ({abs(level.tilt_deg):.2f}°)"
    )
    if float(np.asarray(stance.lean_deg)) < abs(level.tilt_deg):
        sentence += ". Upright, both edges carry the load; choose a moment that leans to see what each"
        return f"{sentence} edge holds."
    a, b = level.hold_deg(Blade(_ROCKER, reading.hollow), stance, ice, gliding=state.moment.gliding)
    return f"{sentence}: leaning on edge A the blade holds {a:.1f}°, on edge B {b:.1f}°."


class GrooveReadingView(View[GroundGroove]):
    """The groove ordered and the groove as ground; beside it what they do on the ice."""

    height_px = 360

    def draw(self) -> None:
        cut = self.figure.add_axes((0.085, 0.15, 0.46, 0.71))
        cut.set(xlim=(-0.4, 4.4), xlabel="across the runner, mm from edge A")
        ground, ordered = LINES["present"], LINES["trial"]
        self.band = self.new_area(cut, color=ground["color"], alpha=0.2)
        self.ordered = self.new_line(cut, **ordered)
        self.ground = self.new_line(cut, **ground)
        self.ground_tag = self.new_text(cut, color=ground["color"], ha="center", va="bottom")
        self.ordered_tag = self.new_text(cut, color=ordered["color"], ha="center", va="top")
        self.edges = [self.new_text(cut, f"edge {n}", ha="center", va="top") for n in "AB"]
        self.height = Rising(cut, _DEPTHS_MM, spare=1.5, below=0.35, name="height above the edges, mm")
        self.bars, self.doubts = {}, {}
        for name, words, bottom, steps in _EFFECTS:
            axes = self.figure.add_axes((0.655, bottom, 0.33, 0.26))
            self.bars[name] = BarsPart(self, axes, words, ("as ground", "ordered"), steps)
            self.doubts[name] = self.new_line(axes, color="black", linewidth=1.6, marker="|", markersize=10)

    def update(self, result: GroundGroove) -> None:
        reading, ordered = result.reading, result.ordered
        width = reading.width_mm
        u = np.linspace(0, width, 61)
        tilt = reading.proud_mm / width * (u - width / 2)  # where edge A is high, its side is drawn lower
        ground = reading.hollow.height_mm(u)
        low = Hollow(reading.high_mm, width).height_mm(u) if np.isfinite(reading.high_mm) else 0 * u
        high = Hollow(max(reading.low_mm, width / 2 * 1.001), width).height_mm(u)
        self.band.set_data(u, low + tilt, high + tilt)
        self.ground.set_data(u, ground + tilt)
        self.ordered.set_data(u, ordered.height_mm(u))
        top = self.height.reach(max(float(high.max()), ordered.depth_mm))
        self.ground_tag.set_text(f"as ground {UNITS.say('hollow', reading.radius_mm)}")
        self.ground_tag.set_position((width / 2, float((ground + tilt).max()) + 0.09 * top))
        self.ordered_tag.set_text(f"ordered {UNITS.say('hollow', ordered.radius_mm)} (dashed)")
        self.ordered_tag.set_position((width / 2, 0.5 * min(ordered.depth_mm, float(ground.max()))))
        for text, x, side in zip(self.edges, (0, width), (0, -1), strict=True):
            text.set_position((x, min(float(tilt[side]), 0.0) - 0.05 * top))
        for name, bars in self.bars.items():
            effect = {groove: numbers[name] for groove, numbers in result.effects.items()}
            ends = [effect["lowest"], effect.get("highest", effect["ground"])]
            bars.update(effect["ground"], effect["asked"], max(ends))
            self.doubts[name].set_data(ends, [0, 0])


def _for(*ways: str) -> Callable[[SimpleNamespace], bool]:
    return lambda state: state.how in ways


groove_panel = panel(
    "hollow_as_ground",
    GrooveReadingView,
    groove_answer,
    Choice("how", "what you measured", "hollow", _HOW, "depth"),
    Slider("width_mm", "runner width", "hollow", 2.5, 4.0, 2.9, "fine length"),
    Slider(
        "depth_a_mm",
        "depth at edge A",
        "hollow",
        0.02,
        0.4,
        _DEPTH_MM,
        "depth",
        when=_for("depth", "edges"),
    ),
    Slider("depth_b_mm", "depth at edge B", "hollow", 0.02, 0.4, 0.065, "depth", when=_for("edges")),
    Slider(
        "depth_error_mm",
        "error in a depth",
        "hollow",
        0.001,
        0.02,
        0.003,
        "depth",
        when=_for("depth", "edges"),
    ),
    Slider("arc_mm", "arc that fits", "hollow", 6.35, 38.1, 14.2875, "hollow", when=_for("arc")),
    Slider("arc_step_mm", "step between arcs, mm", "hollow", 0.4, 6.0, 1.6, step=0.1, when=_for("arc")),
    Slider("asked_mm", "hollow ordered", "hollow", 6.35, 38.1, 15.875, "hollow"),
    Slider("square_mm", "square reads, mm", "hollow", -3, 3, 0.0, step=0.1),
    Slider("arm_mm", "square's arm", "hollow", 50, 200, 100, "length"),
    preset(controls.skater_controls(), moment=_LEANED),
    controls.ice_controls(),
    tabs=False,
    more=_to_keep,
)
