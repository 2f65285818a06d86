"""The trust panel: which differences between two blades are larger than what the day itself changes."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np

from bladelab.physics.days import SMALLEST_PITCH_DEG, Days, Difference
from bladelab.physics.ice import GRAVITY_M_S2, Ice
from bladelab.physics.solving import frictions_of, named_contacts
from bladelab.physics.stance import Stance
from bladelab.physics.uncertainty import Spread
from bladelab.shape.blade import Blade
from bladelab.show.canvas.parts import polygon
from bladelab.show.canvas.style import INK, LINES, QUIET, TRIAL, label
from bladelab.show.canvas.view import View
from bladelab.show.controls.blade import (
    both_blades,
    hollow_controls,
    ice_control,
    lean_control,
    mass_control,
    position_control,
    rocker_controls,
)
from bladelab.show.controls.control import Slider, for_both
from bladelab.show.panel.engine import Answer, Panel
from bladelab.show.wording.units_shown import UNITS

_DRAWS = 60
_SPEED_M_S = 6.0
_WIDEST = 3.2  # widths of the other-day band, either side
#: key, what it is called, how a number of it is said.
_NUMBERS: tuple[tuple[str, str, str], ...] = (
    ("length_mm", "contact length", "{:.1f} mm"),
    ("depth_mm", "bite", "{:.3f} mm"),
    ("pitch_deg", "pitch of the boot", "{:.2f}°"),
    ("rock_deg", "rock per 10 mm", "{:.3f}°"),
    ("hold_deg", "hold angle", "{:.2f}°"),
    ("yaw_hold_Nm", "yaw hold", "{:.2f} N m"),
    ("carve_radius_m", "turn radius", ""),
    ("friction", "glide friction", "{:.4f}"),
)


class TrustView(View):
    """One row to each headline number: both blades with their bands, and the difference against the day's."""

    height_px = 470

    def draw(self) -> None:
        count = len(_NUMBERS)
        self.axes = axes = self.figure.add_axes((0.485, 0.105, 0.33, 0.755))
        axes.set(xlim=(-_WIDEST, _WIDEST), ylim=(count, 0), xticks=range(-3, 4), yticks=[])
        axes.set_xlabel("trial less present, 1 = what another day makes of it")
        axes.axvspan(-1, 1, color="#E9E9E9", linewidth=0)
        axes.axvline(0, color=QUIET, linewidth=1.0)
        self.figure.text(0.65, 0.885, "lost in the day", ha="center", va="center", color=QUIET)
        heads = (("present", 0.245, LINES["present"]["color"]), ("trial", 0.395, LINES["trial"]["color"]))
        for words, at, colour in heads:
            self.figure.text(at, 0.885, words, ha="center", va="center", color=colour, fontweight="bold")
        self.same = [polygon(self, axes, facecolor=TRIAL, alpha=0.85, linewidth=0) for _ in range(count)]
        self.other = [
            self.moving(axes.plot([], [], color=TRIAL, linewidth=2.5, alpha=0.5)[0]) for _ in range(count)
        ]
        self.dots = [self.moving(axes.plot([], [], "o", markersize=7, color=INK)[0]) for _ in range(count)]
        self.cells: list[dict[str, Any]] = []
        for i, (_, name, _) in enumerate(_NUMBERS):
            row = 0.86 - 0.755 * (i + 0.5) / count
            self.figure.text(0.015, row, name, ha="left", va="center", fontsize=11)
            cells = {}
            for key, at, colour in heads:
                cells[key] = self.moving(
                    self.figure.text(at, row, "", ha="center", va="center", color=colour)
                )
            cells["verdict"] = self.moving(
                self.figure.text(0.83, row, "", ha="left", va="center", fontsize=10.5)
            )
            self.cells.append(cells)
        self.beyond = [self.moving(label(axes, 0, i + 0.5, "", va="center")) for i in range(count)]

    def update(self, *, found: dict[str, Difference], finding: str) -> None:
        """Show every number."""
        self.title(finding)
        for i, (key, _, form) in enumerate(_NUMBERS):
            cells, one = self.cells[i], found.get(key)
            parts = [self.same[i], self.other[i], self.dots[i], self.beyond[i]]
            if one is None:
                for part in parts:
                    part.set_visible(False)
                cells["present"].set_text("")
                cells["trial"].set_text("")
                cells["verdict"].set_text("upright: none")
                continue
            for name, band in (("present", one.present), ("trial", one.trial)):
                said, around = _say(key, form, band.value), _say(key, form, band.half_width, False)
                # A band that rounds to nothing says nothing.
                cells[name].set_text(f"{said} ± {around}" if float(around) else said)
            day = max(one.other_day.half_width, 1e-300)
            change, low, high = (v / day for v in (one.same_day.value, one.same_day.low, one.same_day.high))
            far = abs(change) > _WIDEST
            y = i + 0.5
            for part in parts:
                part.set_visible(not far)
            self.beyond[i].set_visible(far)
            times = f"{abs(change):.0f} times the day's" if abs(change) < 20 else "far beyond the day's"
            self.beyond[i].set_text(f"{times} →" if change > 0 else f"← {times}")
            self.beyond[i].set_x(_WIDEST - 0.1 if change > 0 else 0.1 - _WIDEST)
            self.beyond[i].set_horizontalalignment("right" if change > 0 else "left")
            self.same[i].set_xy([(low, y - 0.17), (high, y - 0.17), (high, y + 0.17), (low, y + 0.17)])
            self.other[i].set_data([one.other_day.low / day, one.other_day.high / day], [y, y])
            self.dots[i].set_data([change], [y])
            cells["verdict"].set_text(_short(one))


def _say(key: str, form: str, value: float, signed: bool = True) -> str:
    if key == "carve_radius_m":
        return UNITS.say("distance", value) if signed else f"{UNITS.shown('distance', value):.1f}"
    if not signed:
        form = form.split("}")[0] + "}"
    text = form.format(value)
    return text.replace("-0.00", "0.00").replace("-", "−")


def _short(one: Difference) -> str:
    if one.shows:
        return "shows"
    return "shows on the same day" if one.sure else "too small to feel"


def _differences(blades: dict[str, Blade], stance: Stance, ice: Ice, spread: Spread) -> dict[str, Difference]:
    """Every headline number of both blades, at rest; the friction is that of an upright glide."""
    days = Days.of(stance, ice, spread, _DRAWS)
    upright = Stance(days.stance.load_N, days.stance.position_mm, 0.0)
    solved = named_contacts(
        {name: (blade, stance, ice, False) for name, blade in blades.items()}
        | {f"{name}, all days": (blade, days.stance, days.ice, False) for name, blade in blades.items()}
        # These are what the frictions below rest on: solved in the same call.
        | {f"{name}, gliding": (blade, upright, days.ice, True) for name, blade in blades.items()}
    )
    now, contacts = [solved[n] for n in blades], [solved[f"{n}, all days"] for n in blades]
    glides = frictions_of([(blade, upright, days.ice, _SPEED_M_S) for blade in blades.values()])
    found = {}
    for key, *_ in _NUMBERS:
        if key == "friction":
            values = [glide.total for glide in glides]
        elif key == "carve_radius_m" and not np.isfinite([c.carve_radius_m for c in now]).all():
            continue  # upright
        else:
            values = [getattr(contact, key) for contact in contacts]
        smallest = SMALLEST_PITCH_DEG if key == "pitch_deg" else 0.0
        found[key] = days.difference(values[0], values[1], smallest)
    return found


def trust_answer(state: SimpleNamespace) -> Answer:
    """Two blades, one stance, and the spread of what nobody measures."""
    spread = Spread(
        state.temperature_spread,
        state.load_spread / 100,
        state.position_spread,
        state.hardness_spread / 100,
    )
    stance = Stance(state.mass_kg * GRAVITY_M_S2, state.position_mm, state.lean_deg)
    blades = both_blades(state)
    found = _differences(blades, stance, Ice(state.temperature_C), spread)
    names = {key: name for key, name, _ in _NUMBERS}
    shows = [names[key] for key, one in found.items() if one.shows]
    sure = [names[key] for key, one in found.items() if one.sure and not one.shows]
    small = [names[key] for key, one in found.items() if not one.sure]
    words = []
    if shows:
        words.append(f"Larger than what another day makes of it: {', '.join(shows)}.")
    if sure:
        words.append(
            f"Real, but smaller than the difference from one day to the next, so try both blades on the same "
            f"day: {', '.join(sure)}."
        )
    if small:
        words.append(f"Too small to feel or to measure: {', '.join(small)}.")
    words.append(
        f"Skaters and ices were drawn {_DRAWS} times around the sliders, always the same ones; 90 of 100 lie "
        f"inside a band. Friction is that of an upright glide at {UNITS.say('speed', _SPEED_M_S)}."
    )
    finding = f"{len(shows)} of {len(found)} differences are larger than what another day makes of them"
    if blades["present"] == blades["trial"]:
        finding = "Both blades are the same: no difference is left"
    return Answer("\n".join(words), {"found": found, "finding": finding})


def trust_panel() -> Panel:
    """Two blades, and which of their differences show."""
    return Panel(
        "trust",
        TrustView(),
        [
            *for_both(*rocker_controls(), *hollow_controls(), trial={"radius_mm": 3352.8}),
            mass_control(),
            position_control(15, reach=60),
            lean_control(20),
            Slider("load_spread", "load varies by", "skater", low=0, high=20, default=5, quantity="percent"),
            Slider(
                "position_spread",
                "its place varies by",
                "skater",
                low=0,
                high=20,
                default=5,
                quantity="length",
            ),
            ice_control(),
            Slider(
                "temperature_spread",
                "ice varies by",
                "ice",
                low=0,
                high=4,
                default=1,
                quantity="temperature difference",
            ),
            Slider(
                "hardness_spread",
                "hardness varies by",
                "ice",
                low=0,
                high=30,
                default=10,
                quantity="percent",
            ),
        ],
        trust_answer,
        buttons=[
            ("start the trial from the present blade", lambda panel: panel.copy_column("present", "trial"))
        ],
    )
