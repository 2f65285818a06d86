"""What do two blades do through a stride? One foot's stride as curves and as a moving picture."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache
from types import SimpleNamespace
from typing import Any

import numpy as np

from bladelab._errors import InputError
from bladelab.physics.contact import Contact
from bladelab.physics.solving import named_contacts
from bladelab.physics.stride import Stride, read_stride
from bladelab.show.canvas.limits import Rising
from bladelab.show.canvas.parts import BOTH, CurvesPart, EndLines, FootprintPart, RockerPart
from bladelab.show.canvas.result import Result
from bladelab.show.canvas.style import INK, QUIET
from bladelab.show.canvas.view import View
from bladelab.show.controls import blade as controls
from bladelab.show.controls.control import Frames
from bladelab.show.panel.declare import COPY_PRESENT, panel
from bladelab.show.wording.say import say_hold
from bladelab.show.wording.units_shown import UNITS
from bladelab.show.wording.words import along_the_blade, more_or_less

FRAMES = 41
#: attribute of the contact: what it is called, the bottom of its axes in the picture, upper ends of its axis.
_NUMBERS = {
    "depth_mm": ("bite, mm", 0.565, (0.25, 0.5, 1.0, 2.0, 4.0)),
    "length_mm": ("contact\nlength, mm", 0.335, (60.0, 120.0, 200.0, 320.0)),
    "hold_deg": ("hold\nangle, °", 0.105, (4.0, 8.0, 16.0, 32.0, 64.0)),
}


@dataclass(frozen=True, kw_only=True)
class Strides(Result):
    """Both blades by name, through the whole stride and at one moment of it."""

    stride: Stride
    frame: int
    wholes: dict[str, Contact]
    contacts: dict[str, Contact]


def answer(state: SimpleNamespace) -> Strides:
    """Two blades at one moment of a stride."""
    stride, ice, frame = _stride(), controls.ice_of(state), int(state.frame)
    stance = controls.paced(stride.stance(state.mass_kg), state, controls.PUSH_S)
    blades = controls.both_blades(state)
    wholes = named_contacts({name: (blade, stance, ice, state.gliding) for name, blade in blades.items()})
    for name, whole in wholes.items():
        if bad := [text for text in whole.reason if text]:
            raise InputError(f"{name} blade: at one moment of the stride, {bad[0]}")
    contacts = {name: at_frame(whole, frame) for name, whole in wholes.items()}
    push, say = int(np.argmax(stride.load_share)), UNITS.say
    bites = [f"{say('depth', c.depth_mm)} along {say('length', c.length_mm)}" for c in contacts.values()]
    holds = [say_hold(float(whole.hold_deg[push])) for whole in wholes.values()]
    longest = [say("length", float(np.max(whole.length_mm))) for whole in wholes.values()]
    sentence = (
        f"At {stride.time_s[frame]:.2f} s the load is {along_the_blade(stride.position_mm[frame])} and the "
        f"blade leans {stride.lean_deg[frame]:.0f}°. The present blade bites {bites[0]}, the trial "
        f"{bites[1]}.\n"
        f"In the hardest push, at {stride.time_s[push]:.2f} s, the present edge {holds[0]}; the trial edge "
        f"{holds[1]}. The longest contact is {longest[0]} on the present blade and "
        f"{longest[1]} on the trial.\n"
        "The stride is our own assumption, not a measurement: data/demo/stride.csv, which you can edit."
    )
    before, after = (wholes[name].depth_mm[push] for name in BOTH)
    deeper = more_or_less(after, before, "deeper", "shallower", "as deep as the present")
    finding = f"In the hardest push, the trial bites {deeper}"
    return Strides(
        stride=stride, frame=frame, wholes=wholes, contacts=contacts, finding=finding, sentence=sentence
    )


@lru_cache(maxsize=1)
def _stride() -> Stride:
    return read_stride().at_times(FRAMES)


def at_frame(contact: Contact, i: int) -> Contact:
    """One stance out of a contact solved for a row of them."""
    stance, row = contact.stance, np.shape(contact.depth_mm)
    fields: dict[str, Any] = {k: v[i] for k, v in vars(contact).items() if isinstance(v, np.ndarray)}
    return replace(contact, stance=stance.changed(lambda v: np.broadcast_to(v, row)[i]), **fields)


class StrideView(View[Strides]):
    """Both blades at one moment of the stride; beside them, the stride and its numbers against time."""

    height_px = 470

    def draw(self) -> None:
        side, foot = self.stack(0.085, 0.5, (0.58, 0.31), (0.105, 0.38))
        self.lines = EndLines(self, foot, 0.105, 0.89)
        self.side, self.foot = RockerPart(self, side), FootprintPart(self, foot)
        heights = [(bottom, 0.165) for _, bottom, _ in _NUMBERS.values()]
        self.times = drive, *below = self.stack(0.685, 0.3, (0.79, 0.11), *heights)
        below[-1].set_xlabel("time, s")
        drive.set(ylim=(0, 1.6), yticks=[0, 1])
        drive.set_ylabel("load ×\nweight", fontsize=10)
        self.here = self.new_upright(drive, color=INK, linewidth=1, linestyle=":")
        self.load = self.new_line(drive, color=QUIET, linewidth=2)
        self.curves, self.limits = {}, {}
        for (key, (name, _, tops)), axes in zip(_NUMBERS.items(), below, strict=True):
            axes.set_ylabel(name, fontsize=10)
            self.curves[key], self.limits[key] = CurvesPart(self, axes, dot=6), Rising(axes, tops, spare=1.05)
        self.moment = self.new_text(side, x=0.02, y=0.96, transform=side.transAxes, va="top")

    def update(self, shown: Strides) -> None:
        stride, frame = shown.stride, shown.frame
        for part in (self.side, self.foot, self.lines):
            part.update(shown.contacts)
        time, here = stride.time_s, stride.time_s[frame]
        for axes in self.times:
            axes.set_xlim(0, time[-1])
        self.here.set_xdata([here, here])
        self.load.set_data(time, stride.load_share)
        for key, curves in self.curves.items():
            values = {name: getattr(whole, key) for name, whole in shown.wholes.items()}
            lowest, highest = (
                end([end(value) for value in values.values()]) for end in (np.nanmin, np.nanmax)
            )
            self.limits[key].reach(float(highest), float(lowest) if lowest < -0.05 else 0.0)
            both = {name: (time, value) for name, value in values.items()}
            curves.update(both, here, {name: value[frame] for name, value in values.items()})
        self.moment.set_text(
            f"{here:.2f} s: lean {stride.lean_deg[frame]:.0f}°, "
            f"{100 * stride.load_share[frame]:.0f} % of the weight"
        )


stride_panel = panel(
    "stride",
    StrideView,
    answer,
    controls.blade_controls(hollow_mm=9.525),
    controls.mass_control(),
    controls.gliding_control(),
    controls.ice_controls(),
    Frames("frame", "moment of the stride", "view", count=FRAMES, default=22, interval_ms=60),
    buttons=(COPY_PRESENT,),
    open_on="view",  # where the play button is
)
