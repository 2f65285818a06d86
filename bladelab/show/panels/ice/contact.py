"""Where does one blade touch the ice, and how deep does it bite?"""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np

from bladelab.physics.solving import contacts_of
from bladelab.show.canvas.limits import Rising
from bladelab.show.canvas.parts import REACH_MM, EndLines, FootprintPart, RockerPart, along
from bladelab.show.canvas.result import OnIce
from bladelab.show.canvas.style import LINES, PRESENT, QUIET, heel_and_toe
from bladelab.show.canvas.view import View
from bladelab.show.controls import blade as controls
from bladelab.show.panel.declare import panel
from bladelab.show.wording.units_shown import UNITS
from bladelab.show.wording.words import RUNS_OFF, along_the_blade, posture, tipped


def answer(state: SimpleNamespace) -> OnIce:
    """One blade on the ice."""
    blade, stance, ice = controls.blade_of(state), controls.skater_stance(state), controls.ice_of(state)
    contact = contacts_of([(blade, stance, ice, state.gliding)])[0]
    length = UNITS.say("length", contact.length_mm)
    sentence = (
        f"The edge touches along {length}, from {along_the_blade(contact.heel_end_mm)} to "
        f"{along_the_blade(contact.toe_end_mm)}, and bites {UNITS.say('depth', contact.depth_mm)} deep; the "
        f"boot {tipped(contact.pitch_deg)}.\n"
        f"{UNITS.say('force', stance.load_N)} press on {contact.area_mm2:.0f} mm² of ice"
    )
    if ice.is_pressed:
        sentence += f".{controls.softness_said(contact)}"
    else:
        cold = UNITS.say("temperature", state.temperature_C)
        sentence += f", which at {cold} gives way under {contact.hardness_MPa:.1f} N a mm²."
    if contact.reaches_end:
        sentence += f" {RUNS_OFF}"
    if state.lean_deg:
        turn = UNITS.say("distance", contact.carve_radius_m)
        sentence += f" Leaned {state.lean_deg:.0f}°, the edge carves a turn of {turn} radius."
    how = f"{'Gliding' if state.gliding else 'At rest'}, {posture(state.lean_deg)}"
    finding = f"{how}: {length} of edge carries the skater"
    return OnIce(contacts={"present": contact}, finding=finding, sentence=sentence)


class ContactView(View[OnIce]):
    """Where the blade touches: from the side, how deep along the blade, and from above."""

    height_px = 430

    def draw(self) -> None:
        side, depth, foot = self.stack(0.085, 0.895, (0.655, 0.25), (0.36, 0.235), (0.105, 0.185))
        self.lines = EndLines(self, foot, 0.105, 0.905, ["present"])
        self.side = RockerPart(self, side, ["present"])
        self.side.tag["present"].set_visible(False)
        depth.set_xlim(-REACH_MM, REACH_MM)
        depth.axhline(0, color=QUIET, linewidth=1.0)
        heel_and_toe(depth)
        self.profile = self.new_line(depth, **{**LINES["present"], "alpha": 0.45})
        self.bearing = self.new_area(depth, color=PRESENT, alpha=0.6)
        self.deepest = self.new_text(depth, ha="center", va="top")
        steps = (0.1, 0.2, 0.5, 1.0, 2.0, 5.0)
        self.depth = Rising(depth, steps, spare=1.5, below=0.25, name="depth, mm", down=True, ticks=3)
        self.foot = FootprintPart(self, foot, ["present"])

    def update(self, touch: OnIce) -> None:
        for part in (self.side, self.foot, self.lines):
            part.update(touch.contacts)
        contact = touch.contacts["present"]
        top = self.depth.reach(contact.depth_mm)
        x = along(contact.blade.rocker)
        z = contact.tip_depth_mm(x)
        near = z > -0.25 * top
        self.profile.set_data(x[near], z[near])
        bears = np.linspace(contact.heel_end_mm, contact.toe_end_mm, 61)
        self.bearing.set_data(bears, 0 * bears, contact.tip_depth_mm(np.clip(bears, x[0], x[-1])))
        self.deepest.set_text(f"{UNITS.say('depth', contact.depth_mm)} at the deepest point")
        self.deepest.set_position((contact.deepest_mm, 1.08 * contact.depth_mm))


contact_panel = panel(
    "contact",
    ContactView,
    answer,
    controls.length_control(),
    controls.radius_control(),
    controls.hollow_controls(),
    controls.mass_control(),
    controls.load_control("share of weight", 100),
    controls.position_control(0),
    controls.lean_control(0),
    controls.gliding_control(),
    controls.ice_controls(),
    tabs=False,
)
