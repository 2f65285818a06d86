"""How deep do the edges bite? Two grooves under the same skater, on the same rocker."""

from __future__ import annotations

from dataclasses import dataclass
from types import SimpleNamespace

from bladelab.physics.contact import Contact
from bladelab.physics.solving import named_contacts
from bladelab.shape.blade import Blade
from bladelab.shape.rocker import Rocker
from bladelab.show.canvas.parts import BOTH, GroovePart
from bladelab.show.canvas.result import Result
from bladelab.show.canvas.view import View
from bladelab.show.controls import blade as controls
from bladelab.show.controls.control import for_both
from bladelab.show.panel.declare import panel
from bladelab.show.wording.say import say_edges, say_hold
from bladelab.show.wording.units_shown import UNITS
from bladelab.show.wording.words import more_or_less, percent


@dataclass(frozen=True, kw_only=True)
class Bites(Result):
    """The contact of each blade, by name."""

    contacts: dict[str, Contact]


def answer(state: SimpleNamespace) -> Bites:
    """Both grooves on the ice."""
    rocker = Rocker.single(state.radius_mm, 280.0)
    sides = {name: getattr(state, name) for name in BOTH}
    blades = {name: Blade(rocker, controls.hollow_of(side)) for name, side in sides.items()}
    stance, ice = controls.skater_stance(state), controls.ice_of(state)
    contacts = named_contacts({name: (blades[name], stance, ice, False) for name in BOTH})
    present, trial = contacts["present"], contacts["trial"]
    deeper = more_or_less(trial.depth_mm, present.depth_mm, "deeper", "shallower", "as deep as the present")
    posture = "upright" if state.lean_deg == 0 else f"leaned {state.lean_deg:.0f}°"
    return Bites(
        contacts=contacts,
        finding=f"On one skate, {posture}: the trial bites {deeper}",
        sentence=f"Present, {_said(present)}\nTrial, {_said(trial)}\n"
        f"From present to trial: bite {percent(trial.depth_mm, present.depth_mm)}, contact length "
        f"{percent(trial.length_mm, present.length_mm)}.{controls.softness_said(present)}",
    )


def _said(contact: Contact) -> str:
    hollow, across, say = contact.blade.hollow, contact.footprint_mm(contact.deepest_mm), UNITS.say
    edges = f", edges {say_edges(hollow.edge_radius_mm)}" if hollow.edge_radius_mm else ""
    words = (
        f"{say('hollow', hollow.radius_mm)}{edges}: the groove is {say('depth', hollow.depth_mm)} deep, its "
        f"sides meet the edge at {hollow.edge_angle_deg:.1f}°; it bites {say('depth', contact.depth_mm)} "
        f"along {say('length', contact.length_mm)}"
    )
    if contact.stance.lean_deg:
        words += f", and {say_hold(contact.hold_deg)}"
    return words + (", and the ice fills the groove." if across.near_inner >= across.far_inner else ".")


class BiteView(View[Bites]):
    """Both grooves in the ice, side by side on one scale."""

    height_px = 330

    def draw(self) -> None:
        self.part = {}
        for name, left in zip(BOTH, (0.08, 0.575), strict=True):
            axes = self.figure.add_axes((left, 0.15, 0.41, 0.68))
            axes.set_xlabel("across the runner, mm from the active edge")
            self.part[name] = GroovePart(self, axes, name)

    def update(self, bites: Bites) -> None:
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
