"""How good must the gauge be? What it can tell, before anything is measured."""

from __future__ import annotations

from dataclasses import dataclass, replace
from types import SimpleNamespace

import numpy as np

from bladelab.show.canvas.limits import step_above
from bladelab.show.canvas.result import Result
from bladelab.show.canvas.style import INK, LINES
from bladelab.show.canvas.view import View
from bladelab.show.controls.control import Choice, Slider
from bladelab.show.panel.declare import panel
from bladelab.show.wording.units_shown import UNITS
from bladelab.show.wording.words import articles, counted
from bladelab.workshop.gauge_plan import GaugePlan

_KINDS = (("two feet and a plunger", "versine"), ("heights along the edge", "heights"))
_WORST = 0.025


@dataclass(frozen=True, kw_only=True)
class Planned(Result):
    """A plan for telling two radii apart, mm."""

    plan: GaugePlan
    radii: tuple[float, float]


def gauge_plan_answer(state: SimpleNamespace) -> Planned:
    """Whether the gauge is good enough, in words."""
    readings = state.readings if state.kind == "versine" else max(state.readings, 4)
    plan = GaugePlan(state.error_mm, state.chord_mm, round(readings), state.kind)
    a, b = state.radius_a_mm, state.radius_b_mm
    wrong = plan.wrong_share(a, b)
    names = f"{UNITS.say('radius', a)} from {UNITS.say('radius', b)}"
    error = UNITS.shown("radius", float(plan.radius_error_mm(a)))
    unit = UNITS.unit("radius")
    if abs(a / b - 1) < 1e-6:
        return Planned(
            plan=plan,
            radii=(a, b),
            finding="Two equal radii can't be told apart",
            sentence=f"Both radii are {UNITS.say('radius', a)}: set two that differ. The error in the radius "
            f"is {error:.2f} {unit}.",
        )
    needed = plan.error_needed_mm(a, b, _WORST)
    able = wrong <= _WORST
    share = f"{100 * wrong:.0f} in 100" if wrong >= 0.01 else f"{1000 * wrong:.0f} in 1000"
    share = share if wrong >= 0.001 else "fewer than 1 in 1000"
    decimals = 2 if error >= 0.005 else 4
    times = counted(plan.readings, "reading")
    what = f"{times} on a chord of" if state.kind == "versine" else f"{plan.readings} heights along"
    return Planned(
        plan=plan,
        radii=(a, b),
        finding=f"This gauge {'can' if able else 'cannot'} tell {names}",
        sentence=f"With {what} {plan.chord_mm:.0f} mm, each good to {plan.error_mm:.3f} mm, the radius of a "
        f"{UNITS.say('radius', a)} blade comes out to within {max(error, 1e-4):.{decimals}f} {unit} (one "
        f"standard error). Take each blade for the nearer of the two radii, and {share} would be wrong.\n"
        f"For at most 1 blade in 40 to be wrong, each reading must be good to {needed:.4f} mm"
        + (", and it is." if able else ": use a longer chord, more readings, or a finer gauge."),
    )


class GaugePlanView(View[Planned]):
    """What two blades would read, many times over; and how the error falls with the chord."""

    height_px = 340

    def draw(self) -> None:
        unit = UNITS.unit("radius")
        self.bells = self.figure.add_axes((0.05, 0.16, 0.5, 0.72))
        self.bells.set(xlabel=f"radius the gauge would give, {unit}", yticks=[], ylim=(0, 1.25))
        self.bells.grid(False)
        self.fills, self.curves, self.names = [], [], []
        for style in LINES.values():
            self.fills.append(self.new_area(self.bells, color=style["color"], alpha=0.25))
            self.curves.append(self.new_line(self.bells, **style))
            self.names.append(self.new_text(self.bells, color=style["color"], ha="center", va="bottom"))
        line = self.figure.add_axes((0.665, 0.16, 0.32, 0.72))
        line.set(xlim=(20, 200), ylim=(0.03, 30) if unit == "ft" else (0.01, 10), yscale="log")
        line.set(xlabel="chord or length measured, mm", ylabel=f"error in the radius, {unit}")
        ticks = (0.1, 0.3, 1, 3, 10) if unit == "ft" else (0.03, 0.1, 0.3, 1, 3)
        line.set_yticks(ticks, labels=[f"{t:g}" for t in ticks])
        line.minorticks_off()
        self.falls = self.new_line(line, color=INK)
        self.here = self.new_line(line, marker="o", markersize=9, color=INK)
        self.apart = self.new_level(line, color=LINES["trial"]["color"], linestyle=(0, (5, 2)))
        self.apart_tag = self.new_text(line, "good enough below", ha="right", va="top")

    def update(self, planned: Planned) -> None:
        plan, radii = planned.plan, planned.radii
        widest = 1.3 * float(UNITS.shown("radius", max(radii)))
        self.bells.set_xlim(0, step_above(widest, (15, 20, 30) if UNITS.unit("radius") == "ft" else (5, 9)))
        low, high = self.bells.get_xlim()
        shown = np.linspace(max(low, 0.01), high, 400)
        bend = 1 / (shown / UNITS.shown("radius", 1.0))
        for radius, fill, curve, name in zip(radii, self.fills, self.curves, self.names, strict=True):
            tall = np.exp(-(((bend - 1 / radius) / plan.curvature_error) ** 2) / 2)
            curve.set_data(shown, tall)
            fill.set_data(shown, 0 * tall, tall)
            name.set_text(articles(f"a {UNITS.say('radius', radius)} blade"))
            side = 0.09 * (high - low) * (1 if radius == max(radii) else -1) * (radii[0] != radii[1])
            place = float(UNITS.shown("radius", radius)) + side
            above = 1.03 if radius == min(radii) else 1.13  # so that names close together don't overlap
            name.set_position((min(max(place, 0.12 * high), 0.88 * high), above))
        chord = np.geomspace(20, 200, 40)
        middle = 2 / (1 / radii[0] + 1 / radii[1])
        errors = [replace(plan, chord_mm=c).radius_error_mm(middle) for c in chord]
        self.falls.set_data(chord, UNITS.shown("radius", np.array(errors)))
        self.here.set_data([plan.chord_mm], [UNITS.shown("radius", plan.radius_error_mm(middle))])
        needed = abs(1 / radii[0] - 1 / radii[1]) / 2 / 1.96 * middle**2
        for artist in (self.apart, self.apart_tag):
            artist.set_visible(needed > 0)
        if needed > 0:
            level = float(UNITS.shown("radius", needed))
            self.apart.set_ydata([level, level])
            self.apart_tag.set_position((198, 0.93 * level))


gauge_plan_panel = panel(
    "gauge_plan",
    GaugePlanView,
    gauge_plan_answer,
    Slider("radius_a_mm", "one blade's radius", "rocker", 1200, 6100, 2743.2, "radius"),
    Slider("radius_b_mm", "the other blade's", "rocker", 1200, 6100, 3048, "radius"),
    Choice("kind", "kind of gauge", "view", _KINDS, "versine"),
    Slider("chord_mm", "chord or length", "view", 20, 200, 50, "length"),
    Slider("error_mm", "reading error", "view", 0.001, 0.05, 0.005, "depth"),
    Slider("readings", "number of readings", "view", 1, 60, 1),
)
