"""The balance panel: how the boot stands on two blades, and how it answers when the weight moves."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np

from bladelab.physics.balance import BootTip, ZoneReach, places_along, zone_reaches
from bladelab.physics.contact import Contact
from bladelab.physics.days import SMALLEST_PITCH_DEG, Days
from bladelab.physics.ice import GRAVITY_M_S2, Ice
from bladelab.physics.solving import contacts_of, named_contacts
from bladelab.physics.stance import Stance
from bladelab.shape.blade import Blade
from bladelab.shape.hollow import Hollow
from bladelab.show.canvas.limits import step_above
from bladelab.show.canvas.parts import BOTH, REACH_MM, polygon
from bladelab.show.canvas.style import INK, LINES, QUIET, heel_and_toe, label, radius_colour
from bladelab.show.canvas.view import View
from bladelab.show.controls.blade import (
    gliding_control,
    hollow_controls,
    ice_control,
    lean_control,
    mass_control,
    position_control,
    rocker_controls,
    rocker_of,
)
from bladelab.show.controls.control import Slider, for_both
from bladelab.show.panel.engine import Answer, Panel
from bladelab.show.wording.units_shown import UNITS

_DRAWS = 60
_TOO_FAR = 10.0  # how many times too far the boots are drawn tipped
_MOST_ZONES = 4
# A boot from the side, mm: along from its middle, and up from the sole.
_BOOT = np.array(
    [
        (-145, 0),
        (145, 0),
        (148, 28),
        (120, 62),
        (60, 84),
        (26, 120),
        (12, 190),
        (18, 238),
        (-112, 238),
        (-128, 120),
    ]
)


class BalanceView(View):
    """Pitch and rock along the blade, where a zone holds the contact, and both boots."""

    height_px = 460

    def draw(self) -> None:
        left, wide = 0.085, 0.575
        self.pitch, self.rock, self.zones = (
            self.figure.add_axes((left, bottom, wide, height))
            for bottom, height in ((0.58, 0.325), (0.305, 0.225), (0.105, 0.15))
        )
        for axes in (self.pitch, self.rock):
            axes.tick_params(labelbottom=False)
        for axes in (self.pitch, self.rock, self.zones):
            axes.set_xlim(-REACH_MM, REACH_MM)
        self.pitch.axhline(0, color=QUIET, linewidth=1.0)
        self.zones.set_xlabel("place of the load, mm ahead of the middle")
        self.zones.set(ylim=(0, 2), yticks=(0.5, 1.5), yticklabels=("trial", "present"))
        self.zones.set_ylabel("contact on\none zone")
        self.zones.grid(False)
        self.curves = {
            axes: {name: self.moving(axes.plot([], [], **LINES[name])[0]) for name in BOTH}
            for axes in (self.pitch, self.rock)
        }
        self.dots = {
            axes: {
                name: self.moving(axes.plot([], [], marker="o", markersize=8, color=LINES[name]["color"])[0])
                for name in BOTH
            }
            for axes in (self.pitch, self.rock)
        }
        self.load = [
            self.moving(axes.plot([0, 0], [-90, 90], color=INK, linewidth=1.0, linestyle=":")[0])
            for axes in (self.pitch, self.rock, self.zones)
        ]
        self.tags = {
            name: self.moving(label(self.pitch, 0, 0, name, color=LINES[name]["color"])) for name in BOTH
        }
        self.bars = {
            name: [polygon(self, self.zones, edgecolor=INK, linewidth=0.8) for _ in range(_MOST_ZONES)]
            for name in BOTH
        }
        for axes in (self.pitch, self.rock, self.zones):
            heel_and_toe(axes)
        self.boots = self.figure.add_axes((0.69, 0.08, 0.3, 0.78))
        self.boots.set(xlim=(-170, 170), ylim=(-70, 300), aspect="equal")
        self.boots.set_axis_off()
        self.boots.axhline(0, color=QUIET, linewidth=0.8, linestyle=":")
        self.boots.text(
            0, -66, f"tip drawn {_TOO_FAR:.0f} × too large", ha="center", color=QUIET, fontsize=10
        )
        heel_and_toe(self.boots)
        self.boot = {
            name: polygon(
                self,
                self.boots,
                facecolor="none",
                edgecolor=LINES[name]["color"],
                linewidth=2.2,
                linestyle=LINES[name]["linestyle"],
            )
            for name in BOTH
        }
        self.lift = self.moving(label(self.boots, 0, 296, "", ha="center", va="top"))
        self._limits(0.0, 0.0)

    def update(
        self,
        *,
        along: dict[str, Any],
        reach: dict[str, ZoneReach],
        tip: BootTip,
        rocks: dict[str, float],
        place_mm: float,
        finding: str,
    ) -> None:
        """Show both blades with the load at one place."""
        self.title(finding)
        # Under a great load on a short blade the contact meets an end wherever the load stands.
        steepest = max(float(np.nan_to_num(np.abs(along[name][1])).max()) for name in BOTH)
        quickest = max(float(np.nan_to_num(along[name][2]).max()) for name in BOTH)
        self._limits(steepest, quickest)
        pitches = {"present": float(tip.present_deg), "trial": float(tip.trial_deg)}
        for line in self.load:
            line.set_xdata([place_mm, place_mm])
        for lane, name in ((1, "present"), (0, "trial")):
            x, pitch, rock, radii = along[name]
            for axes, y, here in ((self.pitch, pitch, pitches[name]), (self.rock, rock, rocks[name])):
                self.curves[axes][name].set_data(x, y)
                self.dots[axes][name].set_data([place_mm], [here])
            # The first blade is named at the toe, above its line, the second at the heel.
            solved = np.nonzero(~np.isnan(pitch))[0]
            aside = min(9, len(solved))
            at = solved[-aside] if name == "present" else solved[aside - 1]
            self.tags[name].set_position((x[at], pitch[at]))
            self.tags[name].set_horizontalalignment("right" if name == "present" else "left")
            self.tags[name].set_verticalalignment("bottom" if name == "present" else "top")
            for i, bar in enumerate(self.bars[name]):
                shown = i < len(radii) and bool(np.isfinite(reach[name].low_mm[i]))
                bar.set_visible(shown)
                if shown:
                    low, high = reach[name].low_mm[i], reach[name].high_mm[i]
                    bar.set_xy(
                        [(low, lane + 0.15), (high, lane + 0.15), (high, lane + 0.85), (low, lane + 0.85)]
                    )
                    bar.set_facecolor(radius_colour(radii[i]))
            turn = -np.radians(np.clip(pitches[name] * _TOO_FAR, -25, 25))
            spin = np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]])
            self.boot[name].set_xy(_BOOT @ spin)
        lift = float(tip.heel_lift_mm)
        self.lift.set_text(
            "the boots stand alike"
            if abs(lift) < 0.05
            else f"trial: like {abs(lift):.1f} mm under the {'heel' if lift > 0 else 'toe'}"
        )

    def _limits(self, steepest: float, quickest: float) -> None:
        top = step_above(1.1 * steepest, (1.5, 3.0, 5.0, 8.0, 12.0))
        if self.pitch.get_ylim()[1] != top:
            self.pitch.set(ylim=(-top, top))
            self.pitch.set_ylabel("boot tips\nback ← ° → forward")
        top = step_above(1.1 * quickest, (0.3, 0.5, 1.0, 2.0))
        if self.rock.get_ylim()[1] != top:
            self.rock.set(ylim=(0.0, top))
            self.rock.set_ylabel("rock, °\nper 10 mm")


def _along(contact: Contact) -> Any:
    """Places of the load, pitch and rock there, and the radii of the zones."""
    # Where the contact meets an end of the runner, the boot answers to that end and not to the shape.
    rock = np.where(contact.reaches_end, np.nan, contact.rock_deg)
    radii = [zone.radius_mm for zone in contact.blade.rocker.zones]
    return contact.stance.position_mm, contact.pitch_deg, rock, radii


def balance_answer(state: SimpleNamespace) -> Answer:
    """Two rockers with one hollow, under one load."""
    hollow, ice = Hollow(state.hollow_mm, state.width_mm), Ice(state.temperature_C)
    stance = Stance(state.mass_kg * GRAVITY_M_S2, state.position_mm, state.lean_deg)
    blades = {name: Blade(rocker_of(getattr(state, name)), hollow) for name in BOTH}
    days = Days.of(stance, ice, n=_DRAWS)
    contacts = named_contacts(
        {
            f"{name}{what}": (blades[name], where, weather, state.gliding)
            for name in BOTH
            for what, where, weather in (
                ("", stance, ice),
                (", along", Stance(stance.load_N, places_along(blades[name]), stance.lean_deg), ice),
                (", on other days", days.stance, days.ice),
            )
        }
    )
    tip = BootTip(contacts["present"].pitch_deg, contacts["trial"].pitch_deg, state.boot_mm)
    solved = {n: contacts[f"{n}, along"] for n in BOTH}
    along = {n: _along(solved[n]) for n in BOTH}
    reach = dict(zip(BOTH, zone_reaches(list(solved.values()), state.position_mm, contacts_of), strict=True))
    rocks = {n: contacts[n].rock_deg for n in BOTH}
    quicker = rocks["trial"] / rocks["present"] - 1
    change, lift = float(tip.change_deg), float(tip.heel_lift_mm)
    alike = abs(lift) < 0.05
    before, after = (contacts[f"{n}, on other days"].pitch_deg for n in BOTH)
    shows = "" if alike else f" That is {days.difference(before, after, SMALLEST_PITCH_DEG).sentence}."
    words = (
        f"{tip.sentence}{shows}\n"
        f"Shift the weight 10 mm forward and the boot rocks {rocks['present']:.2f}° on the present blade, "
        f"{rocks['trial']:.2f}° on the trial"
        + ("." if abs(quicker) < 0.03 else f": the trial is {'quicker' if quicker > 0 else 'steadier'} here.")
        + "\n"
        + " ".join(_leaves(name, blades[name], reach[name], state.position_mm) for name in BOTH)
    )
    if alike:
        finding = "The boot stands the same on both blades"
    else:
        digits = 1 if abs(change) > 0.095 else 2
        finding = f"The trial tips the boot {abs(change):.{digits}f}° {'forward' if change > 0 else 'back'}"
    return Answer(
        words,
        {"along": along, "reach": reach, "tip": tip, "rocks": rocks, "place_mm": state.position_mm,
         "finding": finding},
    )  # fmt: skip


def _leaves(name: str, blade: Blade, reach: ZoneReach, place_mm: float) -> str:
    """How far the weight may shift on this blade before the contact leaves its zone."""
    zones = blade.rocker.zones
    if len(zones) == 1:
        return f"The {name} blade has one radius: no shift of weight meets another."
    for i, (low, high) in enumerate(zip(reach.low_mm, reach.high_mm, strict=True)):
        if low <= place_mm <= high:
            return (
                f"On the {name} blade the contact lies in zone {i + 1} "
                f"({UNITS.say('radius', zones[i].radius_mm)}); it leaves it after {high - place_mm:.0f} mm "
                f"of shift forward or {place_mm - low:.0f} mm back."
            )
    return f"On the {name} blade the contact lies across two zones."


def balance_panel() -> Panel:
    """Two blades, and how the boot stands on them."""
    return Panel(
        "balance",
        BalanceView(),
        [
            *for_both(*rocker_controls(), trial={"shape": "blended", "pivot_mm": -10.0}),
            *hollow_controls(),
            mass_control(),
            position_control(15),
            lean_control(0),
            Slider("boot_mm", "boot length", "skater", low=180, high=340, default=290, quantity="length"),
            gliding_control(),
            ice_control(),
        ],
        balance_answer,
        buttons=[
            ("start the trial from the present blade", lambda panel: panel.copy_column("present", "trial"))
        ],
    )
