"""The hollow panel: two grooves, and how deep each bites."""

from __future__ import annotations

from types import SimpleNamespace

from bladelab.physics.contact import Contact
from bladelab.physics.ice import GRAVITY_M_S2, Ice
from bladelab.physics.solving import named_contacts
from bladelab.physics.stance import Stance
from bladelab.shape.blade import Blade
from bladelab.shape.hollow import Hollow
from bladelab.shape.rocker import Rocker
from bladelab.show.canvas.parts import (
    BOTH,
    GroovePart,
)
from bladelab.show.canvas.view import View
from bladelab.show.controls.blade import (
    hollow_controls,
    ice_control,
    lean_control,
    mass_control,
    radius_control,
)
from bladelab.show.controls.control import for_both
from bladelab.show.panel.engine import Answer, Panel
from bladelab.show.wording.units_shown import UNITS
from bladelab.show.wording.words import more_or_less, percent


class BiteView(View):
    """Both grooves in the ice, side by side on one scale."""

    height_px = 330

    def draw(self) -> None:
        self.part = {}
        for name, left in zip(BOTH, (0.08, 0.575), strict=True):
            axes = self.figure.add_axes((left, 0.15, 0.41, 0.68))
            axes.set_xlabel("across the runner, mm from the active edge")
            self.part[name] = GroovePart(self, axes, name)

    def update(self, *, contacts: dict[str, Contact], finding: str) -> None:  # type: ignore[override]
        """Show one contact for each name."""
        for name, contact in contacts.items():
            self.part[name].update(contact)
        tallest = max(part.axes.get_ylim()[1] for part in self.part.values())
        for part in self.part.values():
            part.limits(tallest)
        self.title(finding)


def bite_answer(state: SimpleNamespace) -> Answer:
    """Two grooves under the same skater, on the same rocker."""
    rocker = Rocker.single(state.radius_mm, 280.0)
    stance = Stance(state.mass_kg * GRAVITY_M_S2, 0.0, state.lean_deg)
    sides = {name: getattr(state, name) for name in BOTH}
    blades = {name: Blade(rocker, Hollow(side.hollow_mm, side.width_mm)) for name, side in sides.items()}
    ice = Ice(state.temperature_C)
    contacts = named_contacts({name: (blades[name], stance, ice, False) for name in BOTH})
    lines = []
    for name, contact in contacts.items():
        hollow = contact.blade.hollow
        lines.append(
            f"{name.capitalize()}, {UNITS.say('hollow', hollow.radius_mm)}: the groove is "
            f"{UNITS.say('depth', hollow.depth_mm)} deep, its sides meet the edge at "
            f"{hollow.edge_angle_deg:.1f}°; it bites {UNITS.say('depth', contact.depth_mm)} along "
            f"{UNITS.say('length', contact.length_mm)}"
            + (", and the ice fills the groove." if _flooded(contact) else ".")
        )
    present, trial = contacts["present"], contacts["trial"]
    deeper = more_or_less(trial.depth_mm, present.depth_mm, "deeper", "shallower", "as deep")
    lines.append(
        f"From present to trial: bite {percent(trial.depth_mm, present.depth_mm)}, contact length "
        f"{percent(trial.length_mm, present.length_mm)}."
    )
    posture = "upright" if state.lean_deg == 0 else f"leaned {state.lean_deg:.0f}°"
    finding = f"On one skate, {posture}: the trial bites {deeper}" + (
        " as the present" if deeper == "as deep" else ""
    )
    return Answer("\n".join(lines), {"contacts": contacts, "finding": finding})


def _flooded(contact: Contact) -> bool:
    u1, u2 = contact.footprint_mm(contact.deepest_mm)
    return bool(u1 >= u2)


def bite_panel() -> Panel:
    """Two hollows, and how deep each bites."""
    return Panel(
        "hollow",
        BiteView(),
        [
            radius_control(),
            *for_both(*hollow_controls(), trial={"hollow_mm": 9.525}),
            mass_control(),
            lean_control(0),
            ice_control(),
        ],
        bite_answer,
        tabs=False,
    )
