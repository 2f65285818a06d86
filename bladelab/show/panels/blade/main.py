"""What does a change of blade do on the ice? A present and a trial blade in one moment."""

from __future__ import annotations

from types import SimpleNamespace

from bladelab.physics.solving import named_contacts
from bladelab.shape.blade import what_differs
from bladelab.show.canvas.parts import BOTH, EndLines, FootprintPart, GroovePart, RadiusPart, RockerPart
from bladelab.show.canvas.result import OnIce
from bladelab.show.canvas.view import View
from bladelab.show.controls import blade as controls
from bladelab.show.panel.declare import COPY_PRESENT, panel
from bladelab.show.wording.units_shown import UNITS
from bladelab.show.wording.words import capital, more_or_less, percent, tipped


def answer(state: SimpleNamespace) -> OnIce:
    """Both blades in the chosen moment."""
    moment, ice = state.moment, controls.ice_of(state)
    stance, blades = controls.moment_stance(state), controls.both_blades(state)
    contacts = named_contacts({name: (blade, stance, ice, moment.gliding) for name, blade in blades.items()})
    present, trial = contacts["present"], contacts["trial"]
    things = what_differs(present.blade, trial.blade)
    longer = more_or_less(trial.length_mm, present.length_mm, "longer", "shorter", "as long")
    deeper = more_or_less(trial.depth_mm, present.depth_mm, "deeper", "shallower", "as deep")
    finding = f"the trial touches {longer} and bites {deeper}" if things else "both blades are the same"
    change = (
        f"From present to trial: contact length {percent(trial.length_mm, present.length_mm)}, bite "
        f"{percent(trial.depth_mm, present.depth_mm)}"
    )
    if stance.lean_deg:
        change += f", turn {percent(trial.carve_radius_m, present.carve_radius_m)} ("
        change += f"{UNITS.say('distance', trial.carve_radius_m)} radius on the trial)"
    told = " ".join(
        f"{name.capitalize()} blade: touches the ice along {UNITS.say('length', contact.length_mm)}, bites "
        f"{UNITS.say('depth', contact.depth_mm)} deep, the boot {tipped(contact.pitch_deg)}."
        for name, contact in contacts.items()
    )
    return OnIce(
        contacts=contacts,
        finding=f"{capital(moment.name)}: {finding}",
        sentence=f"{told}\n{change}. {verdict(things)}{controls.softness_said(present)}",
    )


def verdict(things: tuple[str, ...]) -> str:
    """What skating the trial blade could tell, given what differs."""
    if not things:
        return "The two blades are the same."
    if len(things) == 1:
        return f"One thing differs: {things[0]}. Skate it to find out."
    return (
        f"{len(things)} things differ: {', '.join(things)}. You won't know which change did it; change one "
        "at a time."
    )


class MainView(View[OnIce]):
    """Rocker, radius and footprint over one shared x axis; beside them both grooves in the ice."""

    height_px = 430

    def draw(self) -> None:
        rocker, radius, foot = self.stack(0.085, 0.585, (0.645, 0.26), (0.395, 0.19), (0.105, 0.235))
        self.lines = EndLines(self, foot, 0.105, 0.905)
        self.rocker, self.radius = RockerPart(self, rocker), RadiusPart(self, radius)
        self.foot = FootprintPart(self, foot)
        self.groove = {}
        for name, bottom in zip(BOTH, (0.56, 0.105), strict=True):
            axes = self.figure.add_axes((0.775, bottom, 0.215, 0.345))
            self.groove[name] = GroovePart(self, axes, name)
        axes.set_xlabel("across, mm from the active edge")

    def update(self, both: OnIce) -> None:
        for part in (self.rocker, self.foot, self.lines):
            part.update(both.contacts)
        self.radius.update({name: contact.blade for name, contact in both.contacts.items()})
        for name, groove in self.groove.items():
            groove.update(both.contacts[name])


main_panel = panel(
    "two-blades",
    MainView,
    answer,
    controls.blade_controls(radius_mm=3352.8),
    controls.skater_controls(),
    controls.ice_controls(),
    buttons=(COPY_PRESENT,),
)
