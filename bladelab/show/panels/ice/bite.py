"""How deep do the edges bite? Two grooves under the same skater, on the same rocker."""

from __future__ import annotations

from types import SimpleNamespace

from bladelab.physics.contact import Contact
from bladelab.physics.solving import named_contacts
from bladelab.shape.blade import Blade
from bladelab.show.canvas.parts import BOTH, GroovePart
from bladelab.show.canvas.result import OnIce
from bladelab.show.canvas.view import View
from bladelab.show.controls import blade as controls
from bladelab.show.controls.control import for_both
from bladelab.show.panel.declare import panel
from bladelab.show.wording.say import say_hold, say_hollow
from bladelab.show.wording.units_shown import UNITS
from bladelab.show.wording.words import more_or_less, percent, posture


def answer(state: SimpleNamespace) -> OnIce:
    """Both grooves on the ice."""
    rocker, stance, ice = controls.plain_rocker(state), controls.skater_stance(state), controls.ice_of(state)
    grooves = {name: controls.hollow_of(getattr(state, name)) for name in BOTH}
    contacts = named_contacts({name: (Blade(rocker, grooves[name]), stance, ice, False) for name in BOTH})
    present, trial = contacts["present"], contacts["trial"]
    deeper = more_or_less(trial.depth_mm, present.depth_mm, "deeper", "shallower", "as deep as the present")
    return OnIce(
        contacts=contacts,
        finding=f"On one skate, {posture(state.lean_deg)}: the trial bites {deeper}",
        sentence=f"Present, {_said(present)}\nTrial, {_said(trial)}\n"
        f"From present to trial: bite {percent(trial.depth_mm, present.depth_mm)}, contact length "
        f"{percent(trial.length_mm, present.length_mm)}.{controls.softness_said(present)}",
    )


def _said(contact: Contact) -> str:
    hollow, across, say = contact.blade.hollow, contact.footprint_mm(contact.deepest_mm), UNITS.say
    words = (
        f"{say_hollow(hollow)}: the groove is {say('depth', hollow.depth_mm)} deep, its "
        f"sides meet the edge at {hollow.edge_angle_deg:.1f}°; it bites {say('depth', contact.depth_mm)} "
        f"along {say('length', contact.length_mm)}"
    )
    if contact.stance.lean_deg:
        words += f", and {say_hold(contact.hold_deg)}"
    return words + (", and the ice fills the groove." if across.near_inner >= across.far_inner else ".")


class BiteView(View[OnIce]):
    """Both grooves in the ice, side by side on one scale."""

    height_px = 330

    def draw(self) -> None:
        self.part = {}
        for name, left in zip(BOTH, (0.08, 0.575), strict=True):
            axes = self.figure.add_axes((left, 0.15, 0.41, 0.68))
            axes.set_xlabel("across the runner, mm from the active edge")
            self.part[name] = GroovePart(self, axes, name)

    def update(self, bites: OnIce) -> None:
        for name, contact in bites.contacts.items():
            self.part[name].update(contact)
        tallest = max(part.height.top for part in self.part.values())
        for part in self.part.values():
            part.height.set(tallest)


bite_panel = panel(
    "hollow",
    BiteView,
    answer,
    controls.radius_control(),
    for_both(*controls.hollow_controls(), trial={"hollow_mm": 9.525}),
    controls.mass_control(),
    controls.lean_control(0),
    controls.ice_controls(),
    tabs=False,
)
