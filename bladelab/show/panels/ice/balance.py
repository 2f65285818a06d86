"""Where is your weight? How the boot sits on two blades, and how it answers when the weight moves."""

from __future__ import annotations

from dataclasses import dataclass, replace
from types import SimpleNamespace

import numpy as np

from bladelab.physics.balance import BootTip, ZoneReach, places_along, zone_reaches
from bladelab.physics.contact import Contact
from bladelab.physics.days import SMALLEST_PITCH_DEG, Days
from bladelab.physics.solving import contacts_of, named_contacts
from bladelab.shape.blade import Blade
from bladelab.show.canvas.limits import Rising, times
from bladelab.show.canvas.parts import BOTH, REACH_MM, CurvesPart
from bladelab.show.canvas.result import Result
from bladelab.show.canvas.style import INK, LINES, QUIET, Look, heel_and_toe, radius_colour
from bladelab.show.canvas.view import View
from bladelab.show.controls import blade as controls
from bladelab.show.controls.control import Slider, for_both
from bladelab.show.panel.declare import COPY_PRESENT, panel
from bladelab.show.wording.units_shown import UNITS

_DRAWS = 60
_TOO_FAR = 10.0  # how many times too far the boots are drawn tipped
# A boot from the side, mm: along from its middle, and up from the sole.
_BOOT_X = -145, 145, 148, 120, 60, 26, 12, 18, -112, -128
_BOOT_Y = 0, 0, 28, 62, 84, 120, 190, 238, 238, 120
_BOOT = np.column_stack([_BOOT_X, _BOOT_Y])


@dataclass(frozen=True, kw_only=True)
class Balance(Result):
    """Each blade by name with the load at its place, and `along` the blade at every place; how far the weight
    may shift within a zone, and how the trial tips the boot."""

    contacts: dict[str, Contact]
    along: dict[str, Contact]
    reach: dict[str, ZoneReach]
    tip: BootTip
    place_mm: float


def answer(state: SimpleNamespace) -> Balance:
    """Two rockers with one hollow, under one load."""
    hollow, ice, stance = controls.hollow_of(state), controls.ice_of(state), controls.skater_stance(state)
    blades = {name: Blade(controls.rocker_of(getattr(state, name)), hollow) for name in BOTH}
    days, cases = Days.of(stance, ice, n=_DRAWS), {}
    for name, blade in blades.items():
        everywhere = replace(stance, position_mm=places_along(blade))
        cases[name] = blade, stance, ice, state.gliding
        cases[f"{name}, along"] = blade, everywhere, ice, state.gliding
        cases[f"{name}, on other days"] = blade, days.stance, days.ice, state.gliding
    solved = named_contacts(cases)
    present, trial = (solved[name] for name in BOTH)
    along = {name: solved[f"{name}, along"] for name in BOTH}
    reach = dict(zip(BOTH, zone_reaches(list(along.values()), state.position_mm, contacts_of), strict=True))
    tip = BootTip(present.pitch_deg, trial.pitch_deg, state.boot_mm)
    sentence, finding = tip.sentence, "The boot sits the same on both blades"
    if not _alike(tip):
        before, after = (solved[f"{name}, on other days"].pitch_deg for name in BOTH)
        sentence += f" That is {days.difference(before, after, SMALLEST_PITCH_DEG).sentence}."
        change = float(tip.change_deg)
        size = f"{abs(change):.{1 if abs(change) > 0.095 else 2}f}"
        finding = f"The trial tips the boot {size}° {'forward' if change > 0 else 'back'}"
    quicker = trial.rock_deg / present.rock_deg - 1
    how = "" if abs(quicker) < 0.03 else f": the trial is {'quicker' if quicker > 0 else 'steadier'} here"
    leaves = " ".join(_leaves(name, blades[name], reach[name], state.position_mm) for name in BOTH)
    sentence += (
        f"\nShift your weight 10 mm forward and the boot rocks {present.rock_deg:.2f}° on the present blade, "
        f"{trial.rock_deg:.2f}° on the trial{how}.\n{leaves}"
    )
    return Balance(
        contacts={name: solved[name] for name in BOTH},
        along=along,
        reach=reach,
        tip=tip,
        place_mm=state.position_mm,
        finding=finding,
        sentence=sentence,
    )


def _alike(tip: BootTip) -> bool:
    return abs(float(tip.heel_lift_mm)) < 0.05


def _leaves(name: str, blade: Blade, reach: ZoneReach, place_mm: float) -> str:
    """How far the weight may shift on this blade before the contact leaves its zone."""
    zones = blade.rocker.zones
    if len(zones) == 1:
        return f"The {name} blade has one radius, so there is no other zone to move onto."
    for i, (low, high) in enumerate(zip(reach.low_mm, reach.high_mm, strict=True)):
        if low <= place_mm <= high:
            return (
                f"On the {name} blade you are on zone {i + 1} ({UNITS.say('radius', zones[i].radius_mm)}); "
                f"you leave it {high - place_mm:.0f} mm further forward or {place_mm - low:.0f} mm further "
                "back."
            )
    return f"On the {name} blade you are across two zones."


class BalanceView(View[Balance]):
    """Pitch and rock along the blade, where a zone holds the contact, and both boots."""

    height_px = 460

    def draw(self) -> None:
        pitch, rock, zones = self.stack(0.085, 0.575, (0.58, 0.325), (0.305, 0.225), (0.105, 0.15))
        for axes in (pitch, rock, zones):
            axes.set_xlim(-REACH_MM, REACH_MM)
            heel_and_toe(axes)
        pitch.axhline(0, color=QUIET, linewidth=1.0)
        pitch.set_ylabel("boot tips\nback ← ° → forward")
        rock.set_ylabel("rock, °\nper 10 mm")
        zones.set(ylim=(0, 2), yticks=(0.5, 1.5), yticklabels=("trial", "present"))
        zones.set(xlabel="load, mm ahead of the middle", ylabel="contact on\none zone")
        zones.grid(False)
        self.pitch, self.rock = CurvesPart(self, pitch, dot=8), CurvesPart(self, rock, dot=8)
        self.steepest = Rising(pitch, (1.5, 3.0, 5.0, 8.0, 12.0), below=1.0)
        self.quickest = Rising(rock, (0.3, 0.5, 1.0, 2.0))
        self.here = self.new_upright(zones, color=INK, linewidth=1.0, linestyle=":")
        # The first blade is named at the toe, above its line, the second at the heel.
        self.tags = {
            name: self.new_text(pitch, name, color=LINES[name]["color"], ha=ha, va=va)
            for name, ha, va in (("present", "right", "bottom"), ("trial", "left", "top"))
        }
        bar: Look = {"edgecolor": INK, "linewidth": 0.8}
        each = range(controls.MOST_ZONES)
        self.bars = {name: [self.new_polygon(zones, **bar) for _ in each] for name in BOTH}
        boots = self.figure.add_axes((0.69, 0.08, 0.3, 0.78))
        boots.set(xlim=(-170, 170), ylim=(-70, 300), aspect="equal")
        boots.set_axis_off()
        boots.axhline(0, color=QUIET, linewidth=0.8, linestyle=":")
        boots.text(0, -66, f"tip {times(_TOO_FAR)}", ha="center", color=QUIET, fontsize=10)
        heel_and_toe(boots)
        self.boot = {}
        for name, line in LINES.items():
            look = {"edgecolor": line["color"], "linestyle": line["linestyle"], "linewidth": 2.2}
            self.boot[name] = self.new_polygon(boots, fill=False, **look)
        self.lift = self.new_text(boots, y=296, ha="center", va="top")

    def update(self, balance: Balance) -> None:
        pitches, rocks = {}, {}
        for name, along in balance.along.items():
            x = np.asarray(along.stance.position_mm)
            pitches[name] = x, along.pitch_deg
            # Where the contact meets an end of the runner, the boot answers to that end and not to the shape.
            rocks[name] = x, np.where(along.reaches_end, np.nan, along.rock_deg)
        # Under a great load on a short blade the contact meets an end wherever the load is.
        self.steepest.reach(max(float(np.nan_to_num(np.abs(y)).max()) for _, y in pitches.values()))
        self.quickest.reach(max(float(np.nan_to_num(y).max()) for _, y in rocks.values()))
        now, place = balance.contacts, balance.place_mm
        self.pitch.update(pitches, place, {name: float(one.pitch_deg) for name, one in now.items()})
        self.rock.update(rocks, place, {name: float(one.rock_deg) for name, one in now.items()})
        self.here.set_xdata([place, place])
        for name, floor in (("present", 1.15), ("trial", 0.15)):
            x, pitch = pitches[name]
            solved = np.nonzero(~np.isnan(pitch))[0]
            aside = min(9, len(solved))
            at = solved[-aside] if name == "present" else solved[aside - 1]
            self.tags[name].set_position((x[at], pitch[at]))
            self._show_zones(name, floor, balance.along[name].blade, balance.reach[name])
            turn = -np.radians(np.clip(float(now[name].pitch_deg) * _TOO_FAR, -25, 25))
            spin = np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]])
            self.boot[name].set_xy(_BOOT @ spin)
        lift = float(balance.tip.heel_lift_mm)
        shim = f"trial: like {abs(lift):.1f} mm under the {'heel' if lift > 0 else 'toe'}"
        self.lift.set_text("both boots sit the same" if _alike(balance.tip) else shim)

    def _show_zones(self, name: str, floor: float, blade: Blade, reach: ZoneReach) -> None:
        for i, bar in enumerate(self.bars[name]):
            bar.set_visible(i < len(blade.rocker.zones) and bool(np.isfinite(reach.low_mm[i])))
            if bar.get_visible():
                low, high, top = reach.low_mm[i], reach.high_mm[i], floor + 0.7
                bar.set_xy([(low, floor), (high, floor), (high, top), (low, top)])
                bar.set_facecolor(radius_colour(blade.rocker.zones[i].radius_mm))


balance_panel = panel(
    "balance",
    BalanceView,
    answer,
    for_both(*controls.rocker_controls(), trial={"shape": "blended", "pivot_mm": -10.0}),
    controls.hollow_controls(),
    controls.mass_control(),
    controls.position_control(15),
    controls.lean_control(0),
    Slider("boot_mm", "boot length", "skater", 180, 340, 290, "length"),
    controls.gliding_control(),
    controls.ice_controls(),
    buttons=(COPY_PRESENT,),
)
