"""The trust panel: which differences between two blades are bigger than day-to-day variation."""

from __future__ import annotations

from dataclasses import dataclass, replace
from types import SimpleNamespace

import numpy as np

from bladelab.physics.days import SMALLEST_PITCH_DEG, Days, Difference
from bladelab.physics.glide import gliding_case
from bladelab.physics.ice import Ice
from bladelab.physics.over_ices import OverIces, case_over_ices
from bladelab.physics.solving import frictions_of, named_contacts
from bladelab.physics.stance import Stance
from bladelab.physics.uncertainty import Spread
from bladelab.shape.blade import Blade
from bladelab.show.canvas.narrow import NARROW_PX, make_readable
from bladelab.show.canvas.parts import BOTH
from bladelab.show.canvas.result import Result
from bladelab.show.canvas.style import INK, LINES, QUIET, TRIAL
from bladelab.show.canvas.view import View
from bladelab.show.controls import blade as controls
from bladelab.show.controls.control import Control, Slider
from bladelab.show.panel.declare import COPY_PRESENT, panel
from bladelab.show.wording.say import say_friction
from bladelab.show.wording.units_shown import UNITS
from bladelab.show.wording.words import minus

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


_SAID = (
    "Bigger than day-to-day variation",
    "Real, but within day-to-day variation, so try both blades on the same day",
    "Too small to feel or to measure",
    "One way on some ices, the other way on others",
)
_SHORT = "shows", "shows same day only", "too small to feel"
_DEPENDS = "depends on the ice"


@dataclass(frozen=True, kw_only=True)
class Differences(Result):
    """Every number of both blades, by key; one that means nothing upright is missing. Of the friction, the
    difference with all ices in its bands, and the range over them."""

    found: dict[str, Difference]
    over: OverIces


class TrustView(View[Differences]):
    """One row to each number: both blades with their bands, and the difference in day-to-day variations."""

    height_px = 470

    def draw(self) -> None:
        count = len(_NUMBERS)
        self.axes = axes = self.figure.add_axes((0.485, 0.105, 0.33, 0.755))
        axes.set(xlim=(-_WIDEST, _WIDEST), ylim=(count, 0), xticks=range(-3, 4), yticks=[])
        axes.set_xlabel("trial minus present; 1 = day-to-day variation")
        axes.axvspan(-1, 1, color="#E9E9E9", linewidth=0)
        axes.axvline(0, color=QUIET, linewidth=1.0)
        self.heads = [self.figure.text(0.65, 0.885, "day to day", ha="center", va="center", color=QUIET)]
        places = dict(zip(BOTH, (0.245, 0.395), strict=True))
        for name, x in places.items():
            look = {"color": LINES[name]["color"], "fontweight": "bold"}
            self.heads.append(self.figure.text(x, 0.885, name, ha="center", va="center", **look))
        self.rows, self.cells, self.numbers = [], [], []
        for i, (_, number, _) in enumerate(_NUMBERS):
            y = 0.86 - 0.755 * (i + 0.5) / count
            self.numbers.append(self.figure.text(0.015, y, number, va="center"))
            texts = {}
            for name, x in places.items():
                look = {"color": LINES[name]["color"], "ha": "center", "va": "center"}
                texts[name] = self.moving(self.figure.text(x, y, "", **look))
            texts["verdict"] = self.moving(self.figure.text(0.83, y, "", va="center", fontsize=10.5))
            self.cells.append(texts)
            same = self.new_polygon(axes, facecolor=TRIAL, alpha=0.85, linewidth=0)
            other = self.new_line(axes, color=TRIAL, linewidth=2.5, alpha=0.5)
            dot = self.new_line(axes, marker="o", markersize=7, color=INK)
            self.rows.append((same, other, dot, self.new_text(axes, y=i + 0.5, va="center")))

    def stack_up(self) -> None:
        """Each row in three lines: what it is and the verdict, both numbers, the difference."""
        self.width_px, self.height_px = NARROW_PX, 640
        bottom, tall, edge, count = 0.075, 0.80, 8 / NARROW_PX, len(_NUMBERS)
        self.axes.set_position((edge, bottom, 1 - 2 * edge, tall))
        for head, x, ha in zip(self.heads, (0.5, edge, 1 - edge), ("center", "left", "right"), strict=True):
            head.set(position=(x, bottom + tall + 0.02), ha=ha)
        for i, (number, cells) in enumerate(zip(self.numbers, self.cells, strict=True)):
            first, second = (bottom + tall * (1 - (i + share) / count) for share in (0.2, 0.5))
            number.set_position((edge, first))
            cells["verdict"].set(position=(1 - edge, first), ha="right")
            cells["present"].set(position=(edge, second), ha="left")
            cells["trial"].set(position=(1 - edge, second), ha="right")
        make_readable(self.figure, self.headline, self.height_px)

    def update(self, differences: Differences) -> None:
        for i, (key, _, form) in enumerate(_NUMBERS):
            cells, one = self.cells[i], differences.found.get(key)
            same, other, dot, beyond = self.rows[i]
            far = False
            if one is None:
                for name, words in (("present", ""), ("trial", ""), ("verdict", "upright: none")):
                    cells[name].set_text(words)
            else:
                for name, band in (("present", one.present), ("trial", one.trial)):
                    said, around = _say(key, form, band.value), _say(key, form, band.half_width, False)
                    # A band that rounds to nothing says nothing.
                    cells[name].set_text(f"{said} ± {around}" if float(around) else said)
                verdict = _short(one)
                if key == "friction":
                    for name, span in zip(BOTH, differences.over.spans, strict=True):
                        value = float(getattr(one, name).value)
                        cells[name].set_text(say_friction(value, span, "two lines"))
                    verdict = _DEPENDS if differences.over.disagree else verdict
                cells["verdict"].set_text(verdict)
                day = max(one.other_day.half_width, 1e-300)
                y = i + (0.8 if self.narrow else 0.5)
                beyond.set_y(y)
                change, low, high = (getattr(one.same_day, end) / day for end in ("value", "low", "high"))
                far = abs(change) > _WIDEST
                times = f"{abs(change):.0f}x day to day" if abs(change) < 20 else "far beyond day to day"
                if change > 0:
                    beyond.set(text=f"{times} →", x=_WIDEST - 0.1, ha="right")
                else:
                    beyond.set(text=f"← {times}", x=0.1 - _WIDEST, ha="left")
                tall = 0.1 if self.narrow else 0.17
                same.set_xy([(low, y - tall), (high, y - tall), (high, y + tall), (low, y + tall)])
                other.set_data([one.other_day.low / day, one.other_day.high / day], [y, y])
                dot.set_data([change], [y])
            for part in (same, other, dot):
                part.set_visible(one is not None and not far)
            beyond.set_visible(far)


def _say(key: str, form: str, value: float, signed: bool = True) -> str:
    if key == "carve_radius_m":
        return UNITS.say("distance", value) if signed else f"{UNITS.shown('distance', value):.1f}"
    text = (form if signed else form.split("}")[0] + "}").format(value)
    return minus(text.replace("-0.00", "0.00"))


def _short(one: Difference) -> str:
    return _SHORT[0 if one.shows else 1 if one.sure else 2]


def _differences(
    blades: dict[str, Blade], stance: Stance, ice: Ice, spread: Spread
) -> tuple[dict[str, Difference], OverIces]:
    """Every headline number of both blades, at rest; the friction is that of an upright glide."""
    days = Days.of(stance, ice, spread, _DRAWS)
    # As the frictions below ask for them.
    upright = replace(days.stance, lean_deg=0.0)
    if ice.is_pressed:
        upright = replace(upright, speed_m_s=_SPEED_M_S)
    ranges = {
        name: case_over_ices(blade, replace(stance, lean_deg=0.0), ice, _SPEED_M_S, spread)
        for name, blade in blades.items()
    }
    solved = named_contacts(
        {name: (blade, stance, ice, False) for name, blade in blades.items()}
        | {f"{name}, all days": (blade, days.stance, days.ice, False) for name, blade in blades.items()}
        # The frictions below need these: solved in the same call.
        | {f"{name}, gliding": (blade, upright, days.ice, True) for name, blade in blades.items()}
        | {f"{name}, on all ices": gliding_case(*case) for name, case in ranges.items()}
    )
    now, contacts = [solved[n] for n in blades], [solved[f"{n}, all days"] for n in blades]
    glides = frictions_of(
        [*((blade, upright, days.ice, _SPEED_M_S) for blade in blades.values()), *ranges.values()]
    )
    over = OverIces(*(np.asarray(glide.total) for glide in glides[2:]))
    found = {}
    for key, *_ in _NUMBERS:
        if key == "friction":
            values = [glide.total for glide in glides[:2]]
        elif key == "carve_radius_m" and not np.isfinite([c.carve_radius_m for c in now]).all():
            continue  # upright
        else:
            values = [getattr(contact, key) for contact in contacts]
        smallest = SMALLEST_PITCH_DEG if key == "pitch_deg" else 0.0
        found[key] = days.difference(values[0], values[1], smallest)
    found["friction"] = over.widen(found["friction"])
    return found, over


def answer(state: SimpleNamespace) -> Differences:
    """Two blades, one stance, and the spread of what nobody measures."""
    load, hardness = state.load_spread / 100, state.hardness_spread / 100
    spread = Spread(state.temperature_spread, load, state.position_spread, hardness)
    blades = controls.both_blades(state)
    found, over = _differences(blades, controls.skater_stance(state), controls.ice_of(state), spread)
    names = {key: name for key, name, _ in _NUMBERS}
    kinds: dict[str, list[str]] = {kind: [] for kind in (*_SHORT, _DEPENDS)}
    for key, one in found.items():
        kinds[_DEPENDS if key == "friction" and over.disagree else _short(one)].append(names[key])
    shows = kinds["shows"]
    said = zip(_SAID, kinds.values(), strict=True)
    words = [f"{kind}: {', '.join(some)}." for kind, some in said if some]
    words.append(
        f"Based on {_DRAWS} random days around the sliders, always the same ones; 90 of 100 days fall inside "
        f"a band. Friction is for an upright glide at {UNITS.say('speed', _SPEED_M_S)}, on the ices held "
        "possible."
    )
    finding = f"{len(shows)} of {len(found)} differences are bigger than day-to-day variation"
    if blades["present"] == blades["trial"]:
        finding = "Both blades are the same: nothing differs"
    return Differences(finding=finding, sentence="\n".join(words), found=found, over=over)


def _varies(key: str, what: str, group: str, high: float, default: float, quantity: str) -> Control:
    name, label = f"{key}_spread", f"{what} varies by"
    return Slider(name, label, group, 0, high, default, quantity)


trust_panel = panel(
    "trust",
    TrustView,
    answer,
    controls.blade_controls(radius_mm=3352.8),
    controls.mass_control(),
    controls.position_control(15, reach=60),
    controls.lean_control(20),
    _varies("load", "load", "skater", 20, 5, "percent"),
    _varies("position", "its place", "skater", 20, 5, "length"),
    controls.ice_controls(),
    _varies("temperature", "ice", "ice", 4, 1, "temperature difference"),
    _varies("hardness", "hardness", "ice", 30, 10, "percent"),
    buttons=[COPY_PRESENT],
)
