"""The stride panel: one stride of one foot on two blades, as curves and as a moving picture."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache
from types import SimpleNamespace
from typing import Any

import numpy as np

from bladelab._errors import InputError
from bladelab.physics.contact import Contact
from bladelab.physics.ice import Ice
from bladelab.physics.solving import named_contacts
from bladelab.physics.stance import Stance
from bladelab.physics.stride import Stride, read_stride
from bladelab.show.canvas.limits import step_above
from bladelab.show.canvas.parts import BOTH, EndLines, FootprintPart, RockerPart
from bladelab.show.canvas.style import INK, LINES, QUIET, label
from bladelab.show.canvas.view import View
from bladelab.show.controls.blade import (
    both_blades,
    gliding_control,
    hollow_controls,
    ice_control,
    mass_control,
    rocker_controls,
)
from bladelab.show.controls.control import Frames, for_both
from bladelab.show.panel.engine import Answer, Panel
from bladelab.show.wording.units_shown import UNITS
from bladelab.show.wording.words import more_or_less

FRAMES = 41
_TOPS = {
    "depth_mm": (0.25, 0.5, 1.0, 2.0, 4.0),
    "length_mm": (60.0, 120.0, 200.0, 320.0),
    "hold_deg": (4.0, 8.0, 16.0, 32.0),
}


class StrideView(View):
    """Both blades at one moment of the stride; beside them, the stride and its numbers against time."""

    height_px = 470

    def draw(self) -> None:
        left, wide = 0.085, 0.5
        side = self.figure.add_axes((left, 0.58, wide, 0.31))
        foot = self.figure.add_axes((left, 0.105, wide, 0.38))
        side.tick_params(labelbottom=False)
        self.lines = EndLines(self, foot, 0.105, 0.89)
        self.side = RockerPart(self, side)
        self.foot = FootprintPart(self, foot)
        self.times, self.curves, self.dots, self.here = {}, {}, {}, []
        places = (("stride", 0.79), ("depth_mm", 0.565), ("length_mm", 0.335), ("hold_deg", 0.105))
        names = {
            "stride": "",
            "depth_mm": "bite, mm",
            "length_mm": "contact\nlength, mm",
            "hold_deg": "hold\nangle, °",
        }
        for key, bottom in places:
            axes = self.figure.add_axes((0.685, bottom, 0.3, 0.165 if key != "stride" else 0.11))
            axes.set_xlim(0, 0.8)
            axes.tick_params(labelbottom=key == "hold_deg")
            axes.set_ylabel(names[key], fontsize=10)
            self.times[key] = axes
            self.here.append(
                self.moving(axes.plot([0, 0], [-1e3, 1e3], color=INK, linewidth=1, linestyle=":")[0])
            )
            if key == "stride":
                continue
            axes.set_ylim(0, _TOPS[key][0])
            self.curves[key] = {n: self.moving(axes.plot([], [], **LINES[n])[0]) for n in BOTH}
            self.dots[key] = {
                n: self.moving(axes.plot([], [], "o", markersize=6, color=LINES[n]["color"])[0]) for n in BOTH
            }
        self.times["hold_deg"].set_xlabel("time, s")
        drive = self.times["stride"]
        drive.set(ylim=(0, 1.6), yticks=[0, 1])
        drive.set_ylabel("load ×\nweight", fontsize=10)
        self.load = self.moving(drive.plot([], [], color=QUIET, linewidth=2)[0])
        self.moment = self.moving(label(side, 0.02, 0.96, "", transform=side.transAxes, va="top"))

    def update(
        self,
        *,
        stride: Stride,
        wholes: dict[str, Contact],
        contacts: dict[str, Contact],
        frame: int,
        finding: str,
    ) -> None:
        """Show one moment of the stride."""
        self.title(finding)
        self.side.update(contacts)
        self.foot.update(contacts)
        self.lines.update(contacts)
        time = stride.time_s
        here = time[frame]
        for line in self.here:
            line.set_xdata([here, here])
        self.load.set_data(time, stride.load_share)
        for key, axes in self.times.items():
            if axes.get_xlim()[1] != time[-1]:
                axes.set_xlim(0, time[-1])
            if key == "stride":
                continue
            values = {n: getattr(wholes[n], key) for n in BOTH}
            top = step_above(1.05 * max(float(np.nanmax(v)) for v in values.values()), _TOPS[key])
            if axes.get_ylim()[1] != top:
                axes.set_ylim(0, top)
            for n in BOTH:
                self.curves[key][n].set_data(time, values[n])
                self.dots[key][n].set_data([here], [values[n][frame]])
        self.moment.set_text(
            f"{here:.2f} s: lean {stride.lean_deg[frame]:.0f}°, "
            f"{100 * stride.load_share[frame]:.0f} % of the weight"
        )


@lru_cache(maxsize=1)
def _stride() -> Stride:
    return read_stride().at_times(FRAMES)


def one_of(contact: Contact, i: int) -> Contact:
    """One stance out of a contact solved for a row of them."""
    stance = contact.stance
    row = np.shape(contact.depth_mm)
    fields: dict[str, Any] = {
        name: value[i] for name, value in vars(contact).items() if isinstance(value, np.ndarray)
    }
    given = (np.broadcast_to(v, row)[i] for v in (stance.load_N, stance.position_mm, stance.lean_deg))
    return replace(contact, stance=Stance(*given), **fields)


def stride_answer(state: SimpleNamespace) -> Answer:
    """Two blades at one moment of a stride."""
    stride, ice, frame = _stride(), Ice(state.temperature_C), int(state.frame)
    stance = stride.stance(state.mass_kg)
    wholes = named_contacts(
        {name: (blade, stance, ice, state.gliding) for name, blade in both_blades(state).items()}
    )
    for name, whole in wholes.items():
        if bad := [text for text in whole.reason if text]:
            raise InputError(f"{name} blade: at one moment of the stride, {bad[0]}")
    contacts = {name: one_of(whole, frame) for name, whole in wholes.items()}
    present, trial = contacts["present"], contacts["trial"]
    push = int(np.argmax(stride.load_share))
    longest = {n: float(np.max(wholes[n].length_mm)) for n in BOTH}
    say, time = UNITS.say, stride.time_s
    words = (
        f"At {time[frame]:.2f} s the load stands {_place(stride.position_mm[frame])} and the blade leans "
        f"{stride.lean_deg[frame]:.0f}°. The present blade bites {say('depth', present.depth_mm)} along "
        f"{say('length', present.length_mm)}, the trial {say('depth', trial.depth_mm)} along "
        f"{say('length', trial.length_mm)}.\n"
        f"In the hardest push, at {time[push]:.2f} s, the present edge holds "
        f"{wholes['present'].hold_deg[push]:.1f}° and the trial edge {wholes['trial'].hold_deg[push]:.1f}°. "
        f"The longest contact is {say('length', longest['present'])} on the present blade and "
        f"{say('length', longest['trial'])} on the trial.\n"
        "The stride is an assumption of ours, not a measurement: data/demo/stride.csv, to be edited."
    )
    deeper = more_or_less(
        wholes["trial"].depth_mm[push], wholes["present"].depth_mm[push], "deeper", "shallower", "as deep"
    )
    finding = f"In the hardest push, the trial bites {deeper}" + (
        " as the present" if deeper == "as deep" else ""
    )
    return Answer(
        words,
        {"stride": stride, "wholes": wholes, "contacts": contacts, "frame": frame, "finding": finding},
    )


def _place(x_mm: float) -> str:
    if abs(x_mm) < 0.5:
        return "over the middle of the blade"
    return f"{abs(x_mm):.0f} mm {'ahead of' if x_mm > 0 else 'behind'} the middle"


def stride_panel() -> Panel:
    """Two blades through one stride."""
    return Panel(
        "stride",
        StrideView(),
        [
            *for_both(*rocker_controls(), *hollow_controls(), trial={"hollow_mm": 9.525}),
            mass_control(),
            gliding_control(),
            ice_control(),
            Frames("frame", "moment of the stride", "view", count=FRAMES, default=22, interval_ms=60),
        ],
        stride_answer,
        buttons=[
            ("start the trial from the present blade", lambda panel: panel.copy_column("present", "trial"))
        ],
        open_on="view",  # where the play button is
    )
