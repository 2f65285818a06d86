"""The groove panel: the hollow as it was really ground, edge by edge, and what that does on the ice."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import numpy as np

from bladelab._errors import InputError
from bladelab.physics.ice import Ice
from bladelab.physics.moments import MOMENTS
from bladelab.shape.blade import Blade
from bladelab.shape.hollow import Hollow
from bladelab.shape.rocker import Rocker
from bladelab.show.canvas.limits import exaggeration, step_above, times
from bladelab.show.canvas.style import LINES, label
from bladelab.show.canvas.view import View
from bladelab.show.controls.blade import ice_control, skater_controls
from bladelab.show.controls.control import Choice, Slider
from bladelab.show.panel.engine import Answer, Panel
from bladelab.show.wording.units_shown import UNITS
from bladelab.show.wording.words import more_or_less
from bladelab.units import feet
from bladelab.workshop.edge_level import EdgeLevel
from bladelab.workshop.groove import (
    HollowReading,
    groove_from_arc,
    groove_from_depth,
    groove_from_edges,
    hollow_difference,
)

_HOW = (("depth of the groove", "depth"), ("depth from each edge", "edges"), ("which arc fits", "arc"))
#: The moments are told on one rocker, so that only the groove differs.
_LEANED = next(moment for moment in MOMENTS if moment.name == "tight turn")
_ROCKER = Rocker.single(feet(10), 280.0)


_REACH = {"bite_mm": (0.1, 0.2, 0.5, 1.0, 2.0, 5.0), "hold_deg": (10.0, 20.0, 40.0, 90.0)}


class GrooveReadingView(View):
    """The groove asked for and the groove as ground; beside it what they do on the ice."""

    height_px = 360

    def draw(self) -> None:
        self.cut = self.figure.add_axes((0.085, 0.15, 0.46, 0.71))
        self.cut.set(xlim=(-0.4, 4.4), xlabel="across the runner, mm from edge A")
        ground, asked = LINES["present"], LINES["trial"]
        self.band = self.moving(
            self.cut.fill_between([0, 1], 0, 0, color=ground["color"], alpha=0.2, linewidth=0)
        )
        self.asked = self.moving(self.cut.plot([], [], **asked)[0])
        self.ground = self.moving(self.cut.plot([], [], **ground)[0])
        self.ground_tag = self.moving(
            label(self.cut, 0, 0, "", color=ground["color"], ha="center", va="bottom")
        )
        self.asked_tag = self.moving(label(self.cut, 0, 0, "", color=asked["color"], ha="center", va="top"))
        self.edges = [self.moving(label(self.cut, 0, 0, f"edge {n}", ha="center", va="top")) for n in "AB"]
        self.bars: dict[str, Any] = {}
        for name, bottom, words in (("bite_mm", 0.56, "bite, mm"), ("hold_deg", 0.15, "hold angle, degrees")):
            axes = self.figure.add_axes((0.655, bottom, 0.33, 0.26))
            axes.set(ylim=(-0.6, 1.6), yticks=[0, 1], yticklabels=["as ground", "asked for"])
            axes.grid(False, axis="y")
            axes.set_title(words, fontsize=11, fontweight="normal")
            self.bars[name] = (
                axes,
                [
                    self.moving(axes.barh([y], [1.0], height=0.6, color=style["color"], alpha=0.6)[0])
                    for y, style in ((0, ground), (1, asked))
                ],
                self.moving(axes.plot([], [], color="black", linewidth=1.6, marker="|", markersize=10)[0]),
            )

    def update(self, *, reading: HollowReading, asked: Hollow, result: Any, finding: str) -> None:
        """Show one reading against what was asked for."""
        width = reading.width_mm
        u = np.linspace(0, width, 61)
        tilt = reading.proud_mm / width * (u - width / 2)  # edge A proud: its side stands lower
        ground = reading.hollow.height_mm(u)
        low = Hollow(reading.high_mm, width).height_mm(u) if np.isfinite(reading.high_mm) else 0 * u
        high = Hollow(max(reading.low_mm, width / 2 * 1.001), width).height_mm(u)
        self.band.set_data(u, low + tilt, high + tilt)
        self.ground.set_data(u, ground + tilt)
        self.asked.set_data(u, asked.height_mm(u))
        top = step_above(1.5 * max(float(high.max()), asked.depth_mm), (0.1, 0.2, 0.5, 1.0, 2.0, 4.0))
        if self.cut.get_ylim()[1] != top or not self.cut.get_ylabel():
            self.cut.set_ylim(-0.35 * top, top)
            self.cut.set_ylabel(f"height above the edges, mm\n({times(exaggeration(self.cut))})")
        self.ground_tag.set_text(f"as ground {UNITS.say('hollow', reading.radius_mm)}")
        self.ground_tag.set_position((width / 2, float((ground + tilt).max()) + 0.09 * top))
        self.asked_tag.set_text(f"asked for {UNITS.say('hollow', asked.radius_mm)} (dashed)")
        self.asked_tag.set_position((width / 2, 0.5 * min(asked.depth_mm, float(ground.max()))))
        for text, x, side in zip(self.edges, (0, width), (0, -1), strict=True):
            text.set_position((x, min(float(tilt[side]), 0.0) - 0.05 * top))
        for name, (axes, bars, doubt) in self.bars.items():
            values = [result["ground"][name], result["asked"][name]]
            ends = [result[key][name] for key in ("lowest", "highest") if key in result]
            ends = ends if len(ends) == 2 else [*ends, values[0]]
            axes.set_xlim(0, step_above(1.1 * max(*values, *ends), _REACH[name]))
            for bar, value in zip(bars, values, strict=True):
                bar.set_width(value)
            doubt.set_data(ends, [0, 0])
        self.title(finding)


def _reading(state: SimpleNamespace) -> HollowReading:
    if state.how == "arc":
        step = state.arc_step_mm
        if state.arc_mm - step <= 0:
            raise InputError(
                f"the step between arcs is {step:g} mm; it must be below the arc that fits, {state.arc_mm:g} "
                "mm"
            )
        return groove_from_arc(state.arc_mm, state.arc_mm - step, state.arc_mm + step, state.width_mm)
    if state.how == "edges":
        return groove_from_edges(state.depth_a_mm, state.depth_b_mm, state.width_mm, state.depth_error_mm)
    return groove_from_depth(state.depth_a_mm, state.width_mm, state.depth_error_mm)


def _pair(result: dict[str, dict[str, Any]], name: str) -> tuple[float, float]:
    return float(result["ground"][name]), float(result["asked"][name])


def groove_answer(state: SimpleNamespace) -> Answer:
    """The hollow as ground, in words."""
    reading, asked = _reading(state), Hollow(state.asked_mm, state.width_mm)
    stance, ice = state.moment.stance(state.mass_kg), Ice(state.temperature_C)
    result = hollow_difference(reading, state.asked_mm, _ROCKER, stance, ice, gliding=state.moment.gliding)
    agrees = reading.agrees_with(state.asked_mm)
    high = UNITS.say("hollow", reading.high_mm) if np.isfinite(reading.high_mm) else "a flat bottom"
    sentence = (
        f"The groove has a radius of {UNITS.say('hollow', reading.radius_mm)}; the reading allows "
        f"{UNITS.say('hollow', reading.low_mm)} to "
        f"{high}. {UNITS.say('hollow', state.asked_mm)} was asked for, and that "
        f"{'agrees' if agrees else 'does not agree'} with the reading. "
        f"In the {state.moment.name} the groove as ground bites "
        f"{more_or_less(*_pair(result, 'bite_mm'), 'deeper', 'less deep', 'as deep as asked')}"
    )
    if stance.lean_deg > 0:
        sentence += f" and holds {more_or_less(*_pair(result, 'hold_deg'), 'more', 'less', 'as asked')}"
    sentence += "."
    level = EdgeLevel(state.square_mm, state.arm_mm)
    tilt = level.tilt_deg
    if state.how == "edges" and abs(reading.proud_mm) >= 0.0005:
        proud = "A" if reading.proud_mm > 0 else "B"
        sentence += (
            f"\nBy these depths edge {proud} stands {abs(reading.proud_mm):.3f} mm further out than the "
            "other."
        )
    if abs(tilt) < 1e-9:
        if state.how != "edges":
            sentence += "\nThe square lies level: both edges hold alike."
    elif float(np.asarray(stance.lean_deg)) < abs(tilt):
        proud = "A" if tilt > 0 else "B"
        sentence += (
            f"\nThe square says that edge {proud} is proud by {abs(level.proud_mm(state.width_mm)):.3f} mm "
            f"({abs(tilt):.2f}°). In this upright "
            "moment both edges bear; choose a moment that leans to see what each edge holds."
        )
    else:
        a, b = level.hold_deg(Blade(_ROCKER, reading.hollow), stance, ice, gliding=state.moment.gliding)
        proud = "A" if tilt > 0 else "B"
        sentence += (
            f"\nThe square says that edge {proud} is proud by {abs(level.proud_mm(state.width_mm)):.3f} mm "
            f"({abs(tilt):.2f}°): leaning on edge A "
            f"the blade holds {a:.1f}°, on edge B {b:.1f}°."
        )
    says = "agrees with" if agrees else "is not"
    finding = (
        f"Ground {UNITS.say('hollow', reading.radius_mm)}: {says} the {UNITS.say('hollow', state.asked_mm)} "
        "asked for"
    )
    if not agrees:
        finding = (
            f"Ground {UNITS.say('hollow', reading.radius_mm)}: not the {UNITS.say('hollow', state.asked_mm)} "
            "asked for"
        )
    return Answer(sentence, {"reading": reading, "asked": asked, "result": result, "finding": finding})


def groove_panel() -> Panel:
    """The hollow as ground."""
    return Panel(
        "hollow_as_ground",
        GrooveReadingView(),
        [
            Choice("how", "what was read", "hollow", options=_HOW, default="depth"),
            Slider(
                "width_mm", "runner width", "hollow", low=2.5, high=4.0, default=2.9, quantity="fine length"
            ),
            Slider(
                "depth_a_mm",
                "depth at edge A",
                "hollow",
                low=0.02,
                high=0.4,
                default=0.075,
                quantity="depth",
                when=lambda state: state.how != "arc",
            ),
            Slider(
                "depth_b_mm",
                "depth at edge B",
                "hollow",
                low=0.02,
                high=0.4,
                default=0.065,
                quantity="depth",
                when=lambda state: state.how == "edges",
            ),
            Slider(
                "depth_error_mm",
                "error of a depth",
                "hollow",
                low=0.001,
                high=0.02,
                default=0.003,
                quantity="depth",
                when=lambda state: state.how != "arc",
            ),
            Slider(
                "arc_mm",
                "arc that fits",
                "hollow",
                low=6.35,
                high=38.1,
                default=14.2875,
                quantity="hollow",
                when=lambda state: state.how == "arc",
            ),
            Slider(
                "arc_step_mm",
                "step of the arcs, mm",
                "hollow",
                low=0.4,
                high=6.0,
                default=1.6,
                step=0.1,
                when=lambda state: state.how == "arc",
            ),
            Slider(
                "asked_mm",
                "hollow asked for",
                "hollow",
                low=6.35,
                high=38.1,
                default=15.875,
                quantity="hollow",
            ),
            Slider(
                "square_mm",
                "square reads, mm",
                "hollow",
                low=-3,
                high=3,
                default=0.0,
                step=0.1,
            ),
            Slider(
                "arm_mm",
                "square's arm",
                "hollow",
                low=50,
                high=200,
                default=100,
                quantity="length",
            ),
            *[
                replace(control, default=_LEANED) if control.key == "moment" else control  # type: ignore[call-arg]
                for control in skater_controls()
            ],
            ice_control(),
        ],
        groove_answer,
        tabs=False,
    )
