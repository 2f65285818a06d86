"""The glide panel: what slows two blades, against one thing that changes, and how far they glide out."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import numpy as np

from bladelab.physics.days import Days, Difference
from bladelab.physics.glide import Friction, FrictionCase
from bladelab.physics.glide_out import slowing, speeds_between
from bladelab.physics.ice import GRAVITY_M_S2, VISCOUS_FILM_FACTOR, Ice
from bladelab.physics.solving import frictions_of
from bladelab.physics.stance import Stance
from bladelab.shape.blade import Blade
from bladelab.shape.hollow import Hollow
from bladelab.shape.rocker import Rocker
from bladelab.show.canvas.limits import step_above
from bladelab.show.canvas.parts import BOTH
from bladelab.show.canvas.style import INK, LINES, QUIET, label
from bladelab.show.canvas.view import View
from bladelab.show.controls.blade import hollow_controls, ice_control, mass_control
from bladelab.show.controls.control import Choice, Slider, Tick, for_both
from bladelab.show.panel.engine import Answer, Panel
from bladelab.show.wording.units_shown import UNITS
from bladelab.show.wording.words import more_or_less

_LENGTH_MM, _UNTIL_M_S = 280.0, 1.0
_DRAWS = 60
#: What friction is drawn against: words, quantity, lowest, highest, points.
_AGAINST: dict[str, tuple[str, str, float, float, int]] = {
    "hollow_mm": ("radius of hollow", "hollow", 6.35, 38.1, 33),
    "radius_mm": ("radius of the rocker", "radius", 1500.0, 9200.0, 9),
    "temperature_C": ("ice temperature", "temperature", -12.0, -1.0, 23),
    "mass_kg": ("mass on the blade", "mass", 25.0, 130.0, 22),
    "speed_m_s": ("speed", "speed", 1.0, 12.0, 23),
}


_OF_BLADE = ("hollow_mm", "radius_mm")
_TRUST = {
    1.0: "Measured friction is about half as much again as this model computes: trust the difference between "
    "two blades, not the number.",
    VISCOUS_FILM_FACTOR: "Meltwater is taken as three times as viscous as water, chosen to fit a speed "
    "skate: an option, not the default.",
}


class GlideView(View):
    """Friction against one thing; ploughing and film; speed against distance."""

    height_px = 440

    def draw(self) -> None:
        self.mu = self.figure.add_axes((0.075, 0.12, 0.4, 0.745))
        self.mu.set(ylim=(0, 0.008), ylabel="friction, share of the load")
        self.parts = self.figure.add_axes((0.585, 0.66, 0.395, 0.205))
        self.parts.set(ylim=(0, 2), yticks=(0.5, 1.5), yticklabels=("trial", "present"))
        self.parts.set_title("what the friction is made of", fontsize=11.5)
        self.parts.grid(False, axis="y")
        self.out = self.figure.add_axes((0.585, 0.12, 0.395, 0.37))
        self.out.set(xlabel=f"distance, {UNITS.unit('distance')}", ylabel=f"speed, {UNITS.unit('speed')}")
        self.out.set_title("gliding out", fontsize=11.5)
        self.curves = {n: self.moving(self.mu.plot([], [], **LINES[n])[0]) for n in BOTH}
        self.plough = {
            n: self.moving(self.mu.plot([], [], color=LINES[n]["color"], linewidth=1, alpha=0.7)[0])
            for n in BOTH
        }
        self.bands = {
            n: self.moving(self.mu.plot([], [], color=LINES[n]["color"], linewidth=7, alpha=0.3)[0])
            for n in BOTH
        }
        self.dots = {
            n: self.moving(self.mu.plot([], [], "o", markersize=8, color=LINES[n]["color"])[0]) for n in BOTH
        }
        self.tags = {n: self.moving(label(self.mu, 0, 0, n, color=LINES[n]["color"])) for n in BOTH}
        self.thin = self.moving(label(self.mu, 0, 0, "ploughing alone", color=QUIET, va="bottom", ha="right"))
        self.bars, self.says = {}, {}
        for lane, n in ((1, "present"), (0, "trial")):
            colour = LINES[n]["color"]
            self.bars[n] = [
                self.moving(self.parts.barh(lane + 0.5, 0, 0.62, color=colour, alpha=a)[0])
                for a in (0.95, 0.4)
            ]
            style = {"ha": "center", "va": "center", "bbox": None, "fontsize": 10}
            self.says[n] = [
                self.moving(label(self.parts, 0, lane + 0.5, text, color=c, **style))
                for text, c in (("ploughing", "white"), ("melt film", INK))
            ]
        self.slow = {n: self.moving(self.out.plot([], [], **LINES[n])[0]) for n in BOTH}
        corner = {"ha": "right", "va": "top", "transform": self.out.transAxes}
        self.ends = {
            n: self.moving(label(self.out, 0.985, y, "", color=LINES[n]["color"], **corner))
            for n, y in zip(BOTH, (0.97, 0.85), strict=True)
        }
        self._now = ""

    def update(
        self,
        *,
        against: str,
        x: Any,
        here: dict[str, float],
        curves: dict[str, Friction],
        frictions: dict[str, Friction],
        found: Difference,
        slowing: dict[str, tuple[Any, Any]],
        finding: str,
    ) -> None:
        """Show both blades."""
        self.title(finding)
        words, quantity, *_ = _AGAINST[against]
        shown = UNITS.shown(quantity, x)
        if self._now != against:
            self._now = against
            self.mu.set_xlabel(f"{words}, {UNITS.unit(quantity)}")
            self.mu.set_xlim(float(np.min(shown)), float(np.max(shown)))
            self.still_changed()
        top = step_above(
            1.1 * max(float(np.nanmax(curves[n].total)) for n in BOTH),
            (0.006, 0.008, 0.01, 0.014, 0.02, 0.04),
        )
        if self.mu.get_ylim()[1] != top:
            self.mu.set_ylim(0, top)
        widest = step_above(1.05 * max(frictions[n].total for n in BOTH), (0.006, 0.009, 0.015, 0.03))
        if self.parts.get_xlim()[1] != widest:
            self.parts.set_xlim(0, widest)
        farthest = max(float(slowing[n][0][-1]) for n in BOTH)
        reach = step_above(1.1 * farthest, (50, 100, 200, 400, 800, 1600, 3200))
        if self.out.get_xlim()[1] != UNITS.shown("distance", reach):
            self.out.set_xlim(0, UNITS.shown("distance", reach))
        start = float(slowing["present"][1][0])
        fastest = UNITS.shown("speed", step_above(1.05 * start, (5.0, 9.0, 13.0)))
        if self.out.get_ylim()[1] != fastest:
            self.out.set_ylim(0, fastest)
        width = self.mu.get_xlim()[1] - self.mu.get_xlim()[0]
        upper = max(BOTH, key=lambda n: float(np.nanmean(curves[n].total)))
        for n in BOTH:
            self.curves[n].set_data(shown, curves[n].total)
            self.plough[n].set_data(shown, curves[n].plough)
            at = UNITS.shown(quantity, here[n])
            self.dots[n].set_data([at], [frictions[n].total])
            one = found.present if n == "present" else found.trial
            aside = at + (-0.008 if n == "present" else 0.008) * width
            self.bands[n].set_data([aside, aside], [one.low, one.high])
            k = 2 * len(x) // 3
            self.tags[n].set_position((shown[k], curves[n].total[k] + (0.03 if n == upper else -0.03) * top))
            self.tags[n].set_verticalalignment("bottom" if n == upper else "top")
            split, total = frictions[n].plough, frictions[n].total
            for bar, left, size in zip(self.bars[n], (0, split), (split, total - split), strict=True):
                bar.set_x(left)
                bar.set_width(size)
            for text, at in zip(self.says[n], (split / 2, (split + total) / 2), strict=True):
                text.set_x(at)
            distance, speed = slowing[n]
            self.slow[n].set_data(UNITS.shown("distance", distance), UNITS.shown("speed", speed))
            self.ends[n].set_text(f"{n}: {_far(distance[-1])}")
        self.thin.set_position((shown[-2], 0.02 * top + max(float(curves[n].plough[-2]) for n in BOTH)))


def _far(distance_m: float) -> str:
    """A long way in words, in whole feet or metres."""
    return f"{UNITS.shown('distance', distance_m):.0f} {UNITS.unit('distance')}"


def _all_else(
    against: str, blade: Blade, stance: Stance, ice: Ice, speed_m_s: float
) -> tuple[str, Blade, Stance, Ice, float]:
    """The arguments of `_curve_cases`, without the value of what is drawn against: it moves no curve."""
    low = _AGAINST[against][2]
    if against == "hollow_mm":
        blade = replace(blade, hollow=Hollow(low, blade.hollow.width_mm))
    elif against == "radius_mm":
        blade = replace(blade, rocker=Rocker.single(low, _LENGTH_MM))
    elif against == "temperature_C":
        ice = replace(ice, temperature_C=low)
    elif against == "mass_kg":
        stance = replace(stance, load_N=low * GRAVITY_M_S2)
    else:
        speed_m_s = low
    return against, blade, stance, ice, speed_m_s


def _curve_cases(
    against: str, blade: Blade, stance: Stance, ice: Ice, speed_m_s: float
) -> list[FrictionCase]:
    """What to solve for the friction of one blade against one thing, all else as it is."""
    x = _places(against)
    if against == "hollow_mm":
        return [(replace(blade, hollow=Hollow(x, blade.hollow.width_mm)), stance, ice, speed_m_s)]
    if against == "temperature_C":
        return [(blade, stance, replace(ice, temperature_C=x), speed_m_s)]
    if against == "mass_kg":
        return [(blade, Stance(x * GRAVITY_M_S2, 0.0, stance.lean_deg), ice, speed_m_s)]
    if against == "speed_m_s":
        return [(blade, stance, ice, x)]
    return [(replace(blade, rocker=Rocker.single(r, _LENGTH_MM)), stance, ice, speed_m_s) for r in x]


def _places(against: str) -> Any:
    _, _, low, high, count = _AGAINST[against]
    # Radii in equal ratios: friction falls quickly among small ones.
    return np.geomspace(low, high, count) if against == "radius_mm" else np.linspace(low, high, count)


def _curve(against: str, solved: list[Friction]) -> tuple[Any, Friction]:
    """The curve of what `_curve_cases` asked for."""
    x = _places(against)
    if len(solved) == 1:
        return x, solved[0]
    # Each radius is a rocker of its own: few are solved, and drawn as one smooth curve.
    from scipy.interpolate import PchipInterpolator

    fine = np.geomspace(x[0], x[-1], 41)
    joined: dict[str, Any] = {
        name: PchipInterpolator(np.log(x), [getattr(f, name) for f in solved])(np.log(fine))
        for name in ("plough", "film", "film_thickness_um")
    }
    return fine, replace(solved[0], **joined)


def glide_answer(state: SimpleNamespace) -> Answer:
    """Two single-radius blades, each carrying all the weight."""
    ice = Ice(state.temperature_C, viscosity_factor=state.film)
    stance = Stance(state.mass_kg * GRAVITY_M_S2, 0.0, state.lean_deg)
    speed, air = state.speed_m_s, 0.5 if state.air else 0.0
    days, speeds = Days.of(stance, ice, n=_DRAWS), speeds_between(speed, _UNTIL_M_S)
    blades, cases = {}, []
    for name in BOTH:
        side = getattr(state, name)
        blades[name] = blade = Blade(
            Rocker.single(side.radius_mm, _LENGTH_MM), Hollow(side.hollow_mm, side.width_mm)
        )
        cases += [(blade, stance, ice, speed), (blade, stance, ice, speeds)]
        cases += [(blade, days.stance, days.ice, speed)]
        cases += _curve_cases(*_all_else(state.against, blade, stance, ice, speed))
    solved = frictions_of(cases)
    parts = dict(zip(BOTH, (solved[: len(solved) // 2], solved[len(solved) // 2 :]), strict=True))
    frictions = {name: part[0] for name, part in parts.items()}
    out = {name: slowing(part[1], speed, _UNTIL_M_S, air) for name, part in parts.items()}
    curves = {name: _curve(state.against, part[3:])[1] for name, part in parts.items()}
    x = _curve(state.against, solved[3 : len(solved) // 2])[0]
    found = days.difference(*(part[2].total for part in parts.values()))
    present, trial = frictions["present"], frictions["trial"]
    far = {n: float(out[n][0][-1]) for n in BOTH}
    less = more_or_less(trial.total, present.total, "more", "less", "the same")
    further = more_or_less(far["trial"], far["present"], "further", "less far", "as far")
    day = [f"{one.low:.4f} to {one.high:.4f}" for one in (found.present, found.trial)]
    same = blades["present"] == blades["trial"]
    words = (
        f"Computed friction: {present.total:.4f} of the load on the present blade, {trial.total:.4f} on the "
        f"trial; from day to day, {day[0]} and {day[1]}. "
        f"{'' if same else f'The difference is {found.sentence}.'}\n"
        f"From {UNITS.say('speed', speed)} down to {UNITS.say('speed', _UNTIL_M_S)} on one skate, slowed by "
        f"the ice{' and the air' if air else ' alone'}: {_far(far['present'])} on the present blade, "
        f"{_far(far['trial'])} on the trial. The film of meltwater is {present.film_thickness_um:.2f} and "
        f"{trial.film_thickness_um:.2f} thousandths of a millimetre thick.\n{_TRUST[state.film]}"
    )
    here = {
        n: getattr(getattr(state, n) if state.against in _OF_BLADE else state, state.against) for n in BOTH
    }
    finding = f"The trial has {less} friction and glides {further}"
    if less == "the same":
        finding = "Both blades glide alike"
    return Answer(
        words,
        {
            "against": state.against,
            "x": x,
            "here": here,
            "curves": curves,
            "frictions": frictions,
            "found": found,
            "slowing": out,
            "finding": finding,
        },
    )


def glide_panel() -> Panel:
    """Two blades, what slows them, and how far they glide."""
    films = (("as water (nothing fitted)", 1.0), ("three times as viscous (option)", VISCOUS_FILM_FACTOR))
    return Panel(
        "glide",
        GlideView(),
        [
            *for_both(
                Slider("radius_mm", "radius", "rocker", low=1500, high=9200, default=3048, quantity="radius"),
                *hollow_controls(),
                trial={"hollow_mm": 25.4},
            ),
            mass_control(),
            Slider("speed_m_s", "speed", "skater", low=2, high=12, default=6, quantity="speed"),
            Slider(
                "lean_deg", "side tilt of the boot", "skater", low=0, high=30, default=0, quantity="angle"
            ),
            Tick("air", "slowed by the air too", "skater"),
            ice_control(),
            Choice("film", "meltwater", "ice", options=films, default=1.0),
            Choice(
                "against",
                "draw friction over",
                "view",
                options=tuple((words, key) for key, (words, *_) in _AGAINST.items()),
                default="hollow_mm",
            ),
        ],
        glide_answer,
        buttons=[
            ("start the trial from the present blade", lambda panel: panel.copy_column("present", "trial"))
        ],
    )
