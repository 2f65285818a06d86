"""The main panel: a present and a trial blade in one moment, and what the difference does on the ice."""

from __future__ import annotations

from types import SimpleNamespace

from bladelab.physics.contact import Contact
from bladelab.physics.ice import Ice
from bladelab.physics.solving import named_contacts
from bladelab.shape.blade import what_differs
from bladelab.show.canvas.parts import BOTH, EndLines, FootprintPart, GroovePart, RadiusPart, RockerPart
from bladelab.show.canvas.view import View
from bladelab.show.controls.blade import (
    both_blades,
    hollow_controls,
    ice_control,
    rocker_controls,
    skater_controls,
)
from bladelab.show.controls.control import for_both
from bladelab.show.panel.engine import Answer, Panel
from bladelab.show.wording.units_shown import UNITS
from bladelab.show.wording.words import more_or_less, percent


class MainView(View):
    """Rocker, radius and footprint over one shared x axis; beside them both grooves in the ice."""

    height_px = 430

    def draw(self) -> None:
        left, wide = 0.085, 0.585
        rocker, radius, foot = (
            self.figure.add_axes((left, bottom, wide, height))
            for bottom, height in ((0.645, 0.26), (0.395, 0.19), (0.105, 0.235))
        )
        for axes in (rocker, radius):
            axes.tick_params(labelbottom=False)
        self.lines = EndLines(self, foot, 0.105, 0.905)
        self.rocker = RockerPart(self, rocker)
        self.radius = RadiusPart(self, radius)
        self.foot = FootprintPart(self, foot)
        self.groove = {}
        for name, bottom in zip(BOTH, (0.56, 0.105), strict=True):
            axes = self.figure.add_axes((0.775, bottom, 0.215, 0.345))
            self.groove[name] = GroovePart(self, axes, name)
        axes.set_xlabel("across, mm from the active edge")

    def update(self, *, contacts: dict[str, Contact], finding: str) -> None:
        """Show one contact for each name."""
        self.title(finding)
        self.rocker.update(contacts)
        self.radius.update({name: contact.blade for name, contact in contacts.items()})
        self.foot.update(contacts)
        self.lines.update(contacts)
        for name, part in self.groove.items():
            part.update(contacts[name])


def verdict(things: tuple[str, ...]) -> str:
    """What a trial on the ice could tell, given what differs."""
    if not things:
        return "Nothing differs between the two."
    if len(things) == 1:
        return f"One thing differs: {things[0]}. A trial on the ice would tell what it does."
    return (
        f"{len(things)} things differ: {', '.join(things)}. A trial would not tell which one did it; "
        "change one at a time."
    )


def _tell(name: str, contact: Contact) -> str:
    tip = f"{abs(contact.pitch_deg):.1f}° {'forward' if contact.pitch_deg > 0 else 'back'}"
    boot = "the boot stands level" if abs(contact.pitch_deg) < 0.05 else f"the boot tips {tip}"
    return (
        f"{name} blade: touches the ice along {UNITS.say('length', contact.length_mm)}, bites "
        f"{UNITS.say('depth', contact.depth_mm)} deep, {boot}."
    )


def answer(state: SimpleNamespace) -> Answer:
    """Both blades in the chosen moment."""
    moment, ice = state.moment, Ice(state.temperature_C)
    stance = moment.stance(state.mass_kg)
    contacts = named_contacts(
        {name: (blade, stance, ice, moment.gliding) for name, blade in both_blades(state).items()}
    )
    present, trial = contacts["present"], contacts["trial"]
    longer = more_or_less(trial.length_mm, present.length_mm, "longer", "shorter", "as long")
    deeper = more_or_less(trial.depth_mm, present.depth_mm, "deeper", "shallower", "as deep")
    change = (
        f"From present to trial: contact length {percent(trial.length_mm, present.length_mm)}, bite "
        f"{percent(trial.depth_mm, present.depth_mm)}"
    )
    if stance.lean_deg:
        change += f", turn {percent(trial.carve_radius_m, present.carve_radius_m)} ("
        change += f"{UNITS.say('distance', trial.carve_radius_m)} radius on the trial)"
    things = what_differs(present.blade, trial.blade)
    same = not things
    finding = f"{moment.name}: " + (
        "both blades are the same" if same else f"the trial touches {longer} and bites {deeper}"
    )
    return Answer(
        f"{_tell('Present', present)} {_tell('Trial', trial)}\n{change}. {verdict(things)}",
        {"contacts": contacts, "finding": finding[:1].upper() + finding[1:]},
    )


def main_panel() -> Panel:
    """The main panel of the collection."""
    both = for_both(*rocker_controls(), *hollow_controls(), trial={"radius_mm": 3352.8})
    return Panel(
        "two-blades",
        MainView(),
        [*both, *skater_controls(), ice_control()],
        answer,
        buttons=[
            ("start the trial from the present blade", lambda panel: panel.copy_column("present", "trial"))
        ],
    )
