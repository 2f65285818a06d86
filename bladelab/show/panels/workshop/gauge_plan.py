"""The gauge panel: what a gauge can tell, before anything is measured."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np

from bladelab.show.canvas.limits import step_above
from bladelab.show.canvas.style import INK, LINES, label
from bladelab.show.canvas.view import View
from bladelab.show.controls.control import Choice, Slider
from bladelab.show.panel.engine import Answer, Panel
from bladelab.show.wording.units_shown import UNITS
from bladelab.workshop.gauge_plan import GaugePlan

_KINDS = (("two feet and a plunger", "versine"), ("heights along the edge", "heights"))
_WORST = 0.025


class GaugePlanView(View):
    """What two blades would read, many times over; and how the error falls with the chord."""

    height_px = 340

    def draw(self) -> None:
        unit = UNITS.unit("radius")
        self.bells = self.figure.add_axes((0.05, 0.16, 0.5, 0.72))
        self.bells.set(xlabel=f"radius that the gauge would name, {unit}", yticks=[], ylim=(0, 1.25))
        self.bells.grid(False)
        self.curves, self.fills, self.names = {}, {}, {}
        for key, style in (("a", LINES["present"]), ("b", LINES["trial"])):
            self.fills[key] = self.moving(
                self.bells.fill_between([0, 1], 0, 0, color=style["color"], alpha=0.25, linewidth=0)
            )
            self.curves[key] = self.moving(self.bells.plot([], [], **style)[0])
            self.names[key] = self.moving(
                label(self.bells, 0, 0, "", color=style["color"], ha="center", va="bottom")
            )
        self.line = self.figure.add_axes((0.665, 0.16, 0.32, 0.72))
        self.line.set(
            xlim=(20, 200),
            ylim=(0.03, 30) if unit == "ft" else (0.01, 10),
            yscale="log",
            xlabel="chord, or length looked over, mm",
            ylabel=f"error of the radius, {unit}",
        )
        ticks = (0.1, 0.3, 1, 3, 10) if unit == "ft" else (0.03, 0.1, 0.3, 1, 3)
        self.line.set_yticks(ticks, labels=[f"{t:g}" for t in ticks])
        self.line.minorticks_off()
        self.falls = self.moving(self.line.plot([], [], color=INK)[0])
        self.here = self.moving(self.line.plot([], [], marker="o", markersize=9, color=INK)[0])
        self.apart = self.moving(self.line.axhline(1, color=LINES["trial"]["color"], linestyle=(0, (5, 2))))
        self.apart_tag = self.moving(label(self.line, 198, 1, "small enough below", ha="right", va="top"))

    def update(self, *, plan: GaugePlan, radii: tuple[float, float], finding: str) -> None:
        """Show a plan for telling two radii apart."""
        widest = 1.3 * float(UNITS.shown("radius", max(radii)))
        self.bells.set_xlim(0, step_above(widest, (15, 20, 30) if UNITS.unit("radius") == "ft" else (5, 9)))
        low, high = self.bells.get_xlim()
        shown = np.linspace(max(low, 0.01), high, 400)
        bend = 1 / (shown / UNITS.shown("radius", 1.0))
        for key, radius in zip("ab", radii, strict=True):
            tall = np.exp(-(((bend - 1 / radius) / plan.curvature_error) ** 2) / 2)
            self.curves[key].set_data(shown, tall)
            self.fills[key].set_data(shown, 0 * tall, tall)
            self.names[key].set_text(f"a {UNITS.say('radius', radius)} blade")
            side = 0.09 * (high - low) * (1 if radius == max(radii) else -1) * (radii[0] != radii[1])
            place = float(UNITS.shown("radius", radius)) + side
            self.names[key].set_position((min(max(place, 0.12 * high), 0.88 * high), 1.03))
        chord = np.geomspace(20, 200, 40)
        middle = 2 / (1 / radii[0] + 1 / radii[1])
        errors = [
            GaugePlan(plan.error_mm, c, plan.readings, plan.kind).radius_error_mm(middle) for c in chord
        ]
        self.falls.set_data(chord, UNITS.shown("radius", np.array(errors)))
        self.here.set_data([plan.chord_mm], [UNITS.shown("radius", plan.radius_error_mm(middle))])
        needed = abs(1 / radii[0] - 1 / radii[1]) / 2 / 1.96 * middle**2
        seen = needed > 0
        for artist in (self.apart, self.apart_tag):
            artist.set_visible(seen)
        if seen:
            level = float(UNITS.shown("radius", needed))
            self.apart.set_ydata([level, level])
            self.apart_tag.set_position((198, 0.93 * level))
        self.title(finding)


def gauge_plan_answer(state: SimpleNamespace) -> Answer:
    """Whether the gauge is good enough, in words."""
    readings = state.readings if state.kind == "versine" else max(state.readings, 4)
    plan = GaugePlan(state.error_mm, state.chord_mm, round(readings), state.kind)
    a, b = state.radius_a_mm, state.radius_b_mm
    wrong = plan.wrong_share(a, b)
    names = f"{UNITS.say('radius', a)} from {UNITS.say('radius', b)}"
    error = UNITS.shown("radius", float(plan.radius_error_mm(a)))
    unit = UNITS.unit("radius")
    if abs(a / b - 1) < 1e-6:
        return Answer(
            f"Both radii are {UNITS.say('radius', a)}: set two that differ. The error of the radius is "
            f"{error:.2f} {unit}.",
            {"plan": plan, "radii": (a, b), "finding": "Two equal radii can't be told apart"},
        )
    needed = plan.error_needed_mm(a, b, _WORST)
    able = wrong <= _WORST
    share = (
        f"{100 * wrong:.0f} in 100"
        if wrong >= 0.01
        else f"{1000 * wrong:.0f} in 1000"
        if wrong >= 0.001
        else "fewer than 1 in 1000"
    )
    decimals = 2 if error >= 0.005 else 4
    times = f"{plan.readings} reading{'s' if plan.readings > 1 else ''}"
    what = f"{times} on a chord of" if state.kind == "versine" else f"{plan.readings} heights along"
    return Answer(
        f"With {what} {plan.chord_mm:.0f} mm, each good to {plan.error_mm:.3f} mm, the radius of a "
        f"{UNITS.say('radius', a)} blade comes out to within {max(error, 1e-4):.{decimals}f} {unit} (one "
        f"standard error). Calling each blade by the nearer radius, {share} would be called wrong.\n"
        f"To be wrong in no more than 25 of 1000, one reading must be good to {needed:.4f} mm"
        + (", and it is." if able else ": use a longer chord, more readings, or a finer gauge."),
        {
            "plan": plan,
            "radii": (a, b),
            "finding": f"This gauge {'can' if able else 'cannot'} tell {names}",
        },
    )


def gauge_plan_panel() -> Panel:
    """How good must the gauge be?"""
    return Panel(
        "gauge_plan",
        GaugePlanView(),
        [
            Slider(
                "radius_a_mm",
                "one blade's radius",
                "rocker",
                low=1200,
                high=6100,
                default=2743.2,
                quantity="radius",
            ),
            Slider(
                "radius_b_mm", "the other's", "rocker", low=1200, high=6100, default=3048, quantity="radius"
            ),
            Choice("kind", "kind of gauge", "view", options=_KINDS, default="versine"),
            Slider("chord_mm", "chord, or length", "view", low=20, high=200, default=50, quantity="length"),
            Slider(
                "error_mm",
                "reading error",
                "view",
                low=0.001,
                high=0.05,
                default=0.005,
                quantity="depth",
            ),
            Slider("readings", "number of readings", "view", low=1, high=60, default=1),
        ],
        gauge_plan_answer,
    )
