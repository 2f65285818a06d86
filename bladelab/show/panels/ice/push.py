"""How does a leaned edge hold, bite and turn? Two blades, over lean or along the blade."""

from __future__ import annotations

from dataclasses import dataclass, replace
from types import SimpleNamespace

import numpy as np

from bladelab._types import Array, SomeNumbers
from bladelab.physics.contact import Contact
from bladelab.physics.solving import named_contacts
from bladelab.physics.stance import Stance
from bladelab.shape.blade import Blade
from bladelab.show.canvas.limits import Rising
from bladelab.show.canvas.parts import BOTH, CurvesPart, blade_tags
from bladelab.show.canvas.result import Result
from bladelab.show.canvas.style import Look
from bladelab.show.canvas.view import View
from bladelab.show.controls import blade as controls
from bladelab.show.controls.control import Choice
from bladelab.show.panel.declare import COPY_PRESENT, panel
from bladelab.show.wording.say import say_hold
from bladelab.show.wording.units_shown import UNITS
from bladelab.show.wording.words import RUNS_OFF, more_or_less

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


@dataclass(frozen=True, kw_only=True)
class Pushes(Result):
    """Each blade by name where the sliders are (`here`, degrees or mm), and over all of what the pictures run
    over: ``"lean"`` or ``"place"``."""

    across: str
    here: float
    contacts: dict[str, Contact]
    curves: dict[str, Contact]


def answer(state: SimpleNamespace) -> Pushes:
    """Two blades under one leaned push."""
    stance = controls.skater_stance(state, controls.PUSH_S)
    ice, blades = controls.ice_of(state), controls.both_blades(state)
    over_lean = state.across == "lean"
    wide = {f"{name}, over all": (blade, _all(blade, stance, over_lean)) for name, blade in blades.items()}
    cases = {name: (blade, stance) for name, blade in blades.items()} | wide
    solved = named_contacts({name: (*case, ice, state.gliding) for name, case in cases.items()})
    present, trial = solved["present"], solved["trial"]
    say, leaned = UNITS.say, f"Leaned {state.lean_deg:.0f}°, the"
    words = [
        f"{leaned} {name} edge bites {say('depth', one.depth_mm)} deep along {say('length', one.length_mm)}, "
        f"{say_hold(one.hold_deg)}, and takes {one.yaw_hold_Nm:.1f} N m to spin out."
        for name, one in (("present", present), ("trial", trial))
    ]
    if state.lean_deg:
        turns = [
            f"{say('distance', c.carve_radius_m)} radius, balanced at {say('speed', c.balanced_speed_m_s)}"
            for c in (present, trial)
        ]
        words.append(f"The present edge carves a turn of {turns[0]}; the trial edge, one of {turns[1]}.")
    else:
        words.append("Upright, the blade runs straight: it turns only when you turn your foot.")
    if ice.is_pressed:
        words.append(controls.softness_said(present, " under the present edge").strip())
    if present.reaches_end or trial.reaches_end:
        words.append(RUNS_OFF)
    spins = more_or_less(trial.yaw_hold_Nm, present.yaw_hold_Nm, "harder", "easier", "as hard")
    finding = f"{leaned} trial is {spins} to spin out"
    gone = [name for name, one in (("present", present), ("trial", trial)) if one.hold_deg < -0.05]
    if len(gone) == 2:
        finding = f"Leaned {state.lean_deg:.0f}°, neither edge holds"
    elif gone:
        finding = f"{leaned} {gone[0]} edge has lost its hold"
    elif min(present.hold_deg, trial.hold_deg) > 0.05:  # upright neither edge holds more than the other
        holds = more_or_less(trial.hold_deg, present.hold_deg, "larger", "smaller", "the same")
        finding += f"; its hold angle is {holds}"
    return Pushes(
        across=state.across,
        here=state.lean_deg if over_lean else state.position_mm,
        contacts={name: solved[name] for name in BOTH},
        curves={name: solved[f"{name}, over all"] for name in BOTH},
        finding=finding,
        sentence="\n".join(words),
    )


def _all(blade: Blade, stance: Stance, over_lean: bool) -> Stance:
    """The stance over every lean, or over every place of the load."""
    if over_lean:
        # Closer at first, where the far edge leaves the ice.
        leans = np.concatenate([np.linspace(0, 6, 13), np.linspace(7.5, _MOST_LEAN_DEG, 36)])
        return replace(stance, lean_deg=leans)
    half = blade.rocker.length_mm / 2
    return replace(stance, position_mm=np.linspace(-half + 5, half - 5, 51))


def _shown(quantity: str, value: SomeNumbers) -> SomeNumbers:
    return value if quantity == "torque" else UNITS.shown(quantity, value)


class PushView(View[Pushes]):
    """Six numbers of both blades, over lean or along the blade."""

    height_px = 440

    def draw(self) -> None:
        self.parts, self.limits = [], []
        for i, (_, name, quantity, tops) in enumerate(_NUMBERS):
            row, column = divmod(i, 3)
            axes = self.figure.add_axes((0.06 + 0.325 * column, 0.58 - 0.47 * row, 0.27, 0.29))
            unit = "N m" if quantity == "torque" else UNITS.unit(quantity)
            axes.set_title(f"{name}, {unit}", fontsize=11.5)
            self.limits.append(Rising(axes, [_shown(quantity, top) for top in tops], spare=1.05))
            self.parts.append(CurvesPart(self, axes))
        bite = self.parts[0].axes
        self.tags = blade_tags(self, bite)
        self._across = ""

    def update(self, pushes: Pushes) -> None:
        self._run_over(pushes.across)
        part = "lean_deg" if pushes.across == "lean" else "position_mm"
        x = {name: np.asarray(getattr(curve.stance, part)) for name, curve in pushes.curves.items()}
        for (attribute, _, quantity, _), curves, limit in zip(_NUMBERS, self.parts, self.limits, strict=True):
            # Upright no edge turns: a radius is endless there, and drawn nowhere.
            values = {name: _finite(getattr(pushes.curves[name], attribute), 1e3) for name in BOTH}
            now = {name: _finite(getattr(pushes.contacts[name], attribute)) for name in BOTH}
            largest = max(float(np.nanmax(value, initial=0.0)) for value in values.values())
            lowest = min(float(np.nanmin(value, initial=0.0)) for value in values.values())
            limit.reach(_shown(quantity, largest), _shown(quantity, lowest))
            y = {name: (x[name], _shown(quantity, values[name])) for name in BOTH}
            curves.update(y, pushes.here, {name: _shown(quantity, float(now[name])) for name in BOTH})
        depth = {name: np.nan_to_num(np.asarray(pushes.curves[name].depth_mm)) for name in BOTH}
        upper = max(BOTH, key=lambda name: float(depth[name].mean()))
        for name, tag in self.tags.items():
            middle, above = len(x[name]) // 2, name == upper
            aside = 0.07 * self.limits[0].top * (1 if above else -1)
            tag.set_position((x[name][middle], depth[name][middle] + aside))
            tag.set(ha="right" if above else "left", va="bottom" if above else "top")

    def _run_over(self, across: str) -> None:
        if self._across == across:
            return
        self._across, place = across, across == "place"
        runs: Look = {"xlim": (-145, 145), "xticks": [-100, 0, 100]}
        if not place:
            runs = {"xlim": (0, _MOST_LEAN_DEG), "xticks": [0, 15, 30, 45, 60]}
        for part in self.parts:
            part.axes.set(**runs)
            part.axes.set_xlabel("load, mm: heel ← → toe" if place else "lean, °", fontsize=10)
        self.still_changed()


def _finite(value: Array, most: float = np.inf) -> Array:
    """The value, or nan where it is not finite or more than `most`."""
    return np.where(np.isfinite(value) & (np.asarray(value) <= most), value, np.nan)


push_panel = panel(
    "push",
    PushView,
    answer,
    controls.blade_controls(hollow_mm=12.7),
    controls.mass_control(),
    controls.load_control("push, share of weight", 130, high=250),
    controls.position_control(15),
    controls.lean_control(35),
    controls.gliding_control(),
    controls.ice_controls(),
    Choice("across", "plot against", "view", (("lean", "lean"), ("load position", "place")), "lean"),
    buttons=(COPY_PRESENT,),
)
