"""The push panel: how a leaned blade holds, bites and turns, over lean or along the blade."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np

from bladelab.physics.contact import Contact
from bladelab.physics.ice import GRAVITY_M_S2, Ice
from bladelab.physics.solving import named_contacts
from bladelab.physics.stance import Stance
from bladelab.shape.blade import Blade
from bladelab.show.canvas.limits import step_above
from bladelab.show.canvas.parts import BOTH
from bladelab.show.canvas.style import INK, LINES, label
from bladelab.show.canvas.view import View
from bladelab.show.controls.blade import (
    both_blades,
    gliding_control,
    hollow_controls,
    ice_control,
    lean_control,
    load_control,
    mass_control,
    position_control,
    rocker_controls,
)
from bladelab.show.controls.control import Choice, for_both
from bladelab.show.panel.engine import Answer, Panel
from bladelab.show.wording.units_shown import UNITS
from bladelab.show.wording.words import more_or_less

_MOST_LEAN_DEG = 60.0
#: attribute of the contact, what it is called, quantity, upper ends of its axis in house units.
_NUMBERS = (
    ("depth_mm", "bite", "depth", (0.25, 0.5, 1.0, 2.0, 4.0)),
    ("length_mm", "contact length", "length", (60.0, 120.0, 200.0, 320.0)),
    ("hold_deg", "hold angle", "angle", (4.0, 8.0, 16.0, 32.0)),
    ("yaw_hold_Nm", "yaw hold", "torque", (2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0)),
    ("carve_radius_m", "turn radius", "distance", (10.0, 20.0)),
    ("balanced_speed_m_s", "speed of that turn", "speed", (8.0, 12.0, 20.0)),
)


def _shown(quantity: str, value: Any) -> Any:
    return value if quantity == "torque" else UNITS.shown(quantity, value)


def _unit(quantity: str) -> str:
    return "N m" if quantity == "torque" else UNITS.unit(quantity)


class PushView(View):
    """Six numbers of both blades, over lean or along the blade."""

    height_px = 440

    def draw(self) -> None:
        self.axes, self.curves, self.dots, self.here = [], [], [], []
        for i, (_, name, quantity, tops) in enumerate(_NUMBERS):
            row, column = divmod(i, 3)
            axes = self.figure.add_axes((0.06 + 0.325 * column, 0.58 - 0.47 * row, 0.27, 0.29))
            axes.set_title(f"{name}, {_unit(quantity)}", fontsize=11.5)
            axes.set_ylim(0, _shown(quantity, tops[0]))
            self.axes.append(axes)
            self.curves.append({n: self.moving(axes.plot([], [], **LINES[n])[0]) for n in BOTH})
            self.dots.append(
                {
                    n: self.moving(axes.plot([], [], "o", markersize=7, color=LINES[n]["color"])[0])
                    for n in BOTH
                }
            )
            self.here.append(
                self.moving(axes.plot([0, 0], [-1e4, 1e4], color=INK, linewidth=1, linestyle=":")[0])
            )
        self.tags = {n: self.moving(label(self.axes[0], 0, 0, n, color=LINES[n]["color"])) for n in BOTH}
        self._across("")

    def update(
        self,
        *,
        across: str,
        here: float,
        curves: dict[str, Contact],
        contacts: dict[str, Contact],
        finding: str,
    ) -> None:
        """Show each number of both blades over lean or place, and where the sliders stand."""
        self.title(finding)
        self._across(across)
        part = "lean_deg" if across == "lean" else "position_mm"
        x = {n: np.asarray(getattr(curves[n].stance, part)) for n in BOTH}
        for i, (attribute, _, quantity, tops) in enumerate(_NUMBERS):
            axes = self.axes[i]
            values = {n: np.asarray(getattr(curves[n], attribute)) for n in BOTH}
            finite = [v[np.isfinite(v)] for v in values.values()]
            largest = max((float(v.max()) for v in finite if v.size), default=0.0)  # upright no edge turns
            top = _shown(quantity, step_above(1.05 * largest, tops))
            if axes.get_ylim()[1] != top:
                axes.set_ylim(0, top)
            for n in BOTH:
                y = _shown(quantity, np.where(values[n] > 1e3, np.nan, values[n]))
                self.curves[i][n].set_data(x[n], y)
                at = float(getattr(contacts[n], attribute))
                self.dots[i][n].set_data([here], [_shown(quantity, at) if np.isfinite(at) else np.nan])
            self.here[i].set_xdata([here, here])
        depth = {n: np.nan_to_num(np.asarray(curves[n].depth_mm), nan=0.0) for n in BOTH}
        upper = max(BOTH, key=lambda n: float(depth[n].mean()))
        top = self.axes[0].get_ylim()[1]
        for n in BOTH:
            k = len(x[n]) // 2
            self.tags[n].set_position((x[n][k], depth[n][k] + (0.07 if n == upper else -0.07) * top))
            self.tags[n].set_horizontalalignment("right" if n == upper else "left")
            self.tags[n].set_verticalalignment("bottom" if n == upper else "top")

    def _across(self, across: str) -> None:
        if getattr(self, "_now", None) == across and self.axes[0].get_xlabel():
            return
        self._now = across
        along = across == "place"
        for axes in self.axes:
            axes.set_xlim((-145, 145) if along else (0, _MOST_LEAN_DEG))
            axes.set_xticks([-100, 0, 100] if along else [0, 15, 30, 45, 60])
            axes.set_xlabel("load, mm: heel ← → toe" if along else "lean, °", fontsize=10)
        self.still_changed()


def _across(blade: Blade, stance: Stance, over_lean: bool) -> Stance:
    """The stance over every lean, or over every place of the load."""
    if over_lean:
        # Closer at first, where the far edge leaves the ice.
        leans = np.concatenate([np.linspace(0, 6, 13), np.linspace(7.5, _MOST_LEAN_DEG, 36)])
        return Stance(stance.load_N, stance.position_mm, leans)
    half = blade.rocker.length_mm / 2
    return Stance(stance.load_N, np.linspace(-half + 5, half - 5, 51), stance.lean_deg)


def push_answer(state: SimpleNamespace) -> Answer:
    """Two blades under one leaned push."""
    ice, load = Ice(state.temperature_C), state.load_percent / 100 * state.mass_kg * GRAVITY_M_S2
    stance = Stance(load, state.position_mm, state.lean_deg)
    over_lean = state.across == "lean"
    blades = both_blades(state)
    solved = named_contacts(
        {name: (blades[name], stance, ice, state.gliding) for name in BOTH}
        | {
            f"{name}, over all": (blades[name], _across(blades[name], stance, over_lean), ice, state.gliding)
            for name in BOTH
        }
    )
    contacts = {name: solved[name] for name in BOTH}
    curves = {name: solved[f"{name}, over all"] for name in BOTH}
    present, trial = contacts["present"], contacts["trial"]
    words = [
        f"Leaned {state.lean_deg:.0f}°, the {n} edge bites {UNITS.say('depth', c.depth_mm)} along "
        f"{UNITS.say('length', c.length_mm)}, holds a push up to {c.hold_deg:.1f}° outside the plane of the "
        f"blade, and resists spinning out with {c.yaw_hold_Nm:.1f} N m."
        for n, c in contacts.items()
    ]
    if state.lean_deg:
        words.append(
            f"The present edge steers a turn of {UNITS.say('distance', present.carve_radius_m)} radius, in "
            f"balance at {UNITS.say('speed', present.balanced_speed_m_s)}; the trial edge one of "
            f"{UNITS.say('distance', trial.carve_radius_m)}, at "
            f"{UNITS.say('speed', trial.balanced_speed_m_s)}."
        )
    else:
        words.append("Upright, the blade runs straight: it turns only as the foot turns it.")
    if present.reaches_end or trial.reaches_end:
        words.append("The contact reaches an end of the runner: past it the model knows no steel.")
    spins = more_or_less(trial.yaw_hold_Nm, present.yaw_hold_Nm, "more", "less", "alike")
    finding = f"Leaned {state.lean_deg:.0f}°, the trial resists spinning out {spins}"
    if min(present.hold_deg, trial.hold_deg) > 0.05:  # upright neither edge holds more than the other
        holds = more_or_less(trial.hold_deg, present.hold_deg, "larger", "smaller", "the same")
        finding += f"; its hold angle is {holds}"
    return Answer(
        "\n".join(words),
        {"across": state.across, "here": state.lean_deg if over_lean else state.position_mm,
         "curves": curves, "contacts": contacts, "finding": finding},
    )  # fmt: skip


def push_panel() -> Panel:
    """Two blades, and how they hold, bite and turn."""
    return Panel(
        "push",
        PushView(),
        [
            *for_both(*rocker_controls(), *hollow_controls(), trial={"hollow_mm": 12.7}),
            mass_control(),
            load_control("push, share of weight", 130, high=250),
            position_control(15),
            lean_control(35),
            gliding_control(),
            ice_control(),
            Choice(
                "across",
                "draw over",
                "view",
                options=(("lean", "lean"), ("place of the load", "place")),
                default="lean",
            ),
        ],
        push_answer,
        buttons=[
            ("start the trial from the present blade", lambda panel: panel.copy_column("present", "trial"))
        ],
    )
