"""The contact panel: where one blade touches the ice, and how deep."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np

from bladelab.physics.contact import Contact
from bladelab.physics.ice import GRAVITY_M_S2, Ice
from bladelab.physics.solving import contacts_of
from bladelab.physics.stance import Stance
from bladelab.shape.blade import Blade
from bladelab.shape.hollow import Hollow
from bladelab.shape.rocker import Rocker
from bladelab.show.canvas.limits import exaggeration, step_above, times
from bladelab.show.canvas.parts import REACH_MM, EndLines, FootprintPart, RockerPart, along
from bladelab.show.canvas.style import LINES, PRESENT, QUIET, heel_and_toe, label
from bladelab.show.canvas.view import View
from bladelab.show.controls.blade import (
    gliding_control,
    hollow_controls,
    ice_control,
    lean_control,
    load_control,
    mass_control,
    position_control,
    radius_control,
)
from bladelab.show.controls.control import Slider
from bladelab.show.panel.engine import Answer, Panel
from bladelab.show.wording.units_shown import UNITS


class ContactView(View):
    """Where the blade touches: from the side, how deep along the blade, and from above."""

    height_px = 430

    def draw(self) -> None:
        side, depth, foot = (
            self.figure.add_axes((0.085, bottom, 0.895, height))
            for bottom, height in ((0.655, 0.25), (0.36, 0.235), (0.105, 0.185))
        )
        for axes in (side, depth):
            axes.tick_params(labelbottom=False)
        self.lines = EndLines(self, foot, 0.105, 0.905, ["present"])
        self.side = RockerPart(self, side, ["present"])
        self.side.tag["present"].set_visible(False)
        self.depth = depth
        depth.set_xlim(-REACH_MM, REACH_MM)
        depth.axhline(0, color=QUIET, linewidth=1.0)
        heel_and_toe(depth)
        self.profile = self.moving(depth.plot([], [], **{**LINES["present"], "alpha": 0.45})[0])
        self.bearing = self.moving(depth.fill_between([0, 1], 0, 0, color=PRESENT, alpha=0.6, linewidth=0))
        self.deepest = self.moving(label(depth, 0, 0, "", ha="center", va="top"))
        self.foot = FootprintPart(self, foot, ["present"])
        self._depth_limits(0.1)

    def update(self, *, contact: Contact, finding: str) -> None:
        """Show one contact."""
        both = {"present": contact}
        self.side.update(both)
        self.foot.update(both)
        self.lines.update(both)
        self._depth_limits(step_above(1.5 * contact.depth_mm, (0.1, 0.2, 0.5, 1.0, 2.0, 5.0)))
        x = along(contact.blade.rocker)
        z = contact.tip_depth_mm(x)
        near = z > self.depth.get_ylim()[1]
        self.profile.set_data(x[near], z[near])
        part = np.linspace(contact.heel_end_mm, contact.toe_end_mm, 61)
        half = contact.blade.rocker.length_mm / 2
        self.bearing.set_data(part, 0 * part, contact.tip_depth_mm(np.clip(part, -half, half)))
        self.deepest.set_text(f"{UNITS.say('depth', contact.depth_mm)} at the deepest point")
        self.deepest.set_position((contact.deepest_mm, 1.08 * contact.depth_mm))
        self.title(finding)

    def _depth_limits(self, deepest: float) -> None:
        if self.depth.get_ylim()[0] != deepest:
            self.depth.set_ylim(deepest, -0.25 * deepest)  # depth grows downward
            self.depth.set_yticks([0.0, deepest / 2, deepest])
            self.depth.set_ylabel(f"depth, mm\n({times(abs(exaggeration(self.depth)))})")


def contact_answer(state: SimpleNamespace) -> Answer:
    """One blade on the ice."""
    blade = Blade(Rocker.single(state.radius_mm, state.length_mm), Hollow(state.hollow_mm, state.width_mm))
    stance = Stance(
        state.load_percent / 100 * state.mass_kg * GRAVITY_M_S2, state.position_mm, state.lean_deg
    )
    ice = Ice(state.temperature_C)
    contact = contacts_of([(blade, stance, ice, state.gliding)])[0]
    tip = contact.pitch_deg
    boot = "stands level" if abs(tip) < 0.05 else f"tips {abs(tip):.1f}° {'forward' if tip > 0 else 'back'}"
    words = (
        f"The edge touches along {UNITS.say('length', contact.length_mm)}, from "
        f"{_place(contact.heel_end_mm)} to {_place(contact.toe_end_mm)}, and bites "
        f"{UNITS.say('depth', contact.depth_mm)} deep; the boot {boot}.\n"
        f"{stance.load_N:.0f} N of load stand on {contact.area_mm2:.0f} mm² of steel; ice at "
        f"{UNITS.say('temperature', state.temperature_C)} gives way at {ice.hardness_MPa:.1f} N on each mm²."
    )
    if contact.reaches_end:
        words += " The contact reaches the end of the runner: past it the model knows no steel."
    if state.lean_deg:
        words += (
            f" Leaned {state.lean_deg:.0f}°, the edge steers a turn of "
            f"{UNITS.say('distance', contact.carve_radius_m)} radius."
        )
    how = "gliding" if state.gliding else "at rest"
    finding = (
        f"{how.capitalize()}, {'upright' if not state.lean_deg else f'leaned {state.lean_deg:.0f}°'}: "
        f"{UNITS.say('length', contact.length_mm)} of edge carry the skater"
    )
    return Answer(words, {"contact": contact, "finding": finding})


def _place(x_mm: float) -> str:
    side = "ahead of" if x_mm > 0 else "behind"
    return f"{abs(x_mm):.0f} mm {side} mid-length"


def contact_panel() -> Panel:
    """One blade, and where it touches the ice."""
    return Panel(
        "contact",
        ContactView(),
        [
            Slider("length_mm", "blade length", "rocker", low=220, high=320, default=280, quantity="length"),
            radius_control(),
            *hollow_controls(),
            mass_control(),
            load_control("share of weight", 100),
            position_control(0, "place of the load"),
            lean_control(0),
            gliding_control(),
            ice_control(),
        ],
        contact_answer,
        tabs=False,
    )
