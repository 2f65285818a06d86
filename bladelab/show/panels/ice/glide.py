"""What slows a blade, and how far does it glide? Two blades, against one thing that changes."""

from __future__ import annotations

from dataclasses import dataclass, replace
from types import SimpleNamespace

import numpy as np

from bladelab._types import Array
from bladelab.physics.days import Days, Difference
from bladelab.physics.glide import Friction, FrictionCase
from bladelab.physics.glide_out import STANDING_DRAG_M2, slowing, speeds_between
from bladelab.physics.ice import GRAVITY_M_S2, PRESSED_ICE, VISCOUS_FILM_FACTOR
from bladelab.physics.over_ices import OverIces, case_over_ices
from bladelab.physics.possible_ices import Span
from bladelab.physics.solving import frictions_of
from bladelab.shape.rocker import Rocker
from bladelab.show.canvas.limits import Rising
from bladelab.show.canvas.parts import BOTH, blade_lines, blade_tags
from bladelab.show.canvas.result import Result
from bladelab.show.canvas.style import INK, LINES, QUIET, Look
from bladelab.show.canvas.view import View
from bladelab.show.controls import blade as controls
from bladelab.show.controls.control import Choice, Slider, Tick, for_both
from bladelab.show.panel.declare import COPY_PRESENT, panel
from bladelab.show.wording.say import say_frictions, say_over_ices
from bladelab.show.wording.units_shown import UNITS
from bladelab.show.wording.words import more_or_less

_UNTIL_M_S = 1.0
_DRAWS = 60
#: What friction is drawn against: words, quantity, and its values.
_AGAINST: dict[str, tuple[str, str, Array]] = {
    "hollow_mm": ("radius of hollow", "hollow", np.linspace(6.35, 38.1, 33)),
    # In equal ratios: friction falls quickly among small radii.
    "radius_mm": ("radius of the rocker", "radius", np.geomspace(1500.0, 9200.0, 9)),
    "temperature_C": ("ice temperature", "temperature", np.linspace(-12.0, -1.0, 23)),
    "mass_kg": ("mass on the blade", "mass", np.linspace(25.0, 130.0, 22)),
    "speed_m_s": ("speed", "speed", np.linspace(1.0, 12.0, 23)),
}
_PLOTS = tuple((words, key) for key, (words, *_) in _AGAINST.items())
_FILMS = (("as water", 1.0), ("three times as viscous (option)", VISCOUS_FILM_FACTOR))
_DROP_TEST = (
    "On ice as hard as under a dropped ball the model gives two thirds of the friction that was measured, on "
    "pressed ice about all of it: trust the difference between two blades, not the number."
)
_PRESSED = (
    "On ice that is softer the longer it is pressed the model gives the friction measured on a speed skate "
    "and on a sled, but how soft is known only roughly: trust the difference between two blades, not the "
    "number."
)
_VISCOUS = (
    "Meltwater is taken as three times as viscous as water, chosen to fit a speed skate: an option, not the "
    "default."
)


@dataclass(frozen=True, kw_only=True)
class Glides(Result):
    """Both blades by name: the friction here and over the values `x` of what changes, its difference from day
    to day and its span over the ices held possible, and distance in m and speed in m/s while gliding out."""

    against: str
    x: Array
    curves: dict[str, Friction]
    here: dict[str, float]
    frictions: dict[str, Friction]
    found: Difference
    spans: dict[str, Span]
    slowing: dict[str, tuple[Array, Array]]


def answer(state: SimpleNamespace) -> Glides:
    """Two single-radius blades, each carrying all the weight."""
    # On pressed ice the friction goes by its own speed, and each of these solves the contact at its own.
    ice, stance = controls.ice_of(state), replace(controls.skater_stance(state), speed_m_s=None)
    if not ice.is_pressed:
        ice = replace(ice, viscosity_factor=state.film)
    speed, air = state.speed_m_s, STANDING_DRAG_M2 if state.air else 0.0
    days, speeds = Days.of(stance, ice, n=_DRAWS), speeds_between(speed, _UNTIL_M_S)
    blades, cases = controls.both_blades(state), []
    for blade in blades.values():
        here = (blade, stance, ice, speed)
        cases += [here, (blade, stance, ice, speeds), (blade, days.stance, days.ice, speed)]
        cases += [case_over_ices(blade, stance, ice, speed), *_curve_cases(state.against, here)]
    solved = frictions_of(cases)
    half = len(solved) // 2
    parts = dict(zip(BOTH, (solved[:half], solved[half:]), strict=True))
    frictions = {name: part[0] for name, part in parts.items()}
    out = {name: slowing(part[1], speed, _UNTIL_M_S, air) for name, part in parts.items()}
    far = {name: float(distance[-1]) for name, (distance, _) in out.items()}
    over = OverIces(*(np.asarray(part[3].total) for part in parts.values()))
    found = days.difference(*(part[2].total for part in parts.values()))
    curves = {name: _curve(state.against, part[4:]) for name, part in parts.items()}
    present, trial = frictions.values()
    of_blade = state.against in ("hollow_mm", "radius_mm")
    less = more_or_less(trial.total, present.total, "more", "less", "the same")
    longer = more_or_less(far["trial"], far["present"], "longer", "shorter", "the same")
    day = [f"{one.low:.4f} to {one.high:.4f}" for one in (found.present, found.trial)]
    differ = "" if blades["present"] == blades["trial"] else f" {say_over_ices(over, over.widen(found))}"
    finding = f"The trial: {less} friction, {longer} glide"
    sentence = (
        f"{say_frictions(present.total, trial.total, over)}{differ} From day to day, on one ice, {day[0]} "
        f"and {day[1]}.\n"
        f"From {UNITS.say('speed', speed)} down to {UNITS.say('speed', _UNTIL_M_S)} on one skate, slowed by "
        f"the ice{' and the air' if air else ' alone'}: {_far(far['present'])} on the present blade, "
        f"{_far(far['trial'])} on the trial. The film of meltwater is {present.film_thickness_um:.2f} and "
        f"{trial.film_thickness_um:.2f} thousandths of a millimetre thick.\n{_trust(state)}"
    )
    return Glides(
        against=state.against,
        x=curves["present"][0],
        curves={name: curve for name, (_, curve) in curves.items()},
        here={name: getattr(getattr(state, name) if of_blade else state, state.against) for name in BOTH},
        frictions=frictions,
        found=found,
        spans=dict(zip(BOTH, over.spans, strict=True)),
        slowing=out,
        finding="Both blades glide the same" if less == "the same" else finding,
        sentence=sentence,
    )


def _trust(state: SimpleNamespace) -> str:
    if state.hardness == PRESSED_ICE:
        return _PRESSED
    return _VISCOUS if state.film == VISCOUS_FILM_FACTOR else _DROP_TEST


def _far(distance_m: float) -> str:
    """A long way in words, in whole feet or metres."""
    return f"{UNITS.shown('distance', distance_m):.0f} {UNITS.unit('distance')}"


def _curve_cases(against: str, case: FrictionCase) -> list[FrictionCase]:
    """What to solve for the friction of one blade against one thing, all else as it is.

    The value that the thing has now leaves no trace in the cases: a slider that changes it finds them solved.
    """
    x, (blade, stance, ice, speed) = _AGAINST[against][2], case
    if against == "hollow_mm":
        return [(replace(blade, hollow=replace(blade.hollow, radius_mm=x)), stance, ice, speed)]
    if against == "temperature_C":
        return [(blade, stance, replace(ice, temperature_C=x), speed)]
    if against == "mass_kg":
        return [(blade, replace(stance, load_N=x * GRAVITY_M_S2), ice, speed)]
    if against == "speed_m_s":
        return [(blade, stance, ice, x)]
    length = blade.rocker.length_mm
    return [(replace(blade, rocker=Rocker.single(radius, length)), stance, ice, speed) for radius in x]


def _curve(against: str, solved: list[Friction]) -> tuple[Array, Friction]:
    """The curve of what `_curve_cases` asked for."""
    x = _AGAINST[against][2]
    if len(solved) == 1:
        return x, solved[0]
    # Each radius is a rocker of its own: few are solved, and drawn as one smooth curve.
    from scipy.interpolate import PchipInterpolator

    fine = np.geomspace(x[0], x[-1], 41)
    parts = [(one.plough, one.film, one.film_thickness_um) for one in solved]
    plough, film, thickness = PchipInterpolator(np.log(x), parts)(np.log(fine)).T
    return fine, replace(solved[0], plough=plough, film=film, film_thickness_um=thickness)


class GlideView(View[Glides]):
    """Friction against one thing; ploughing and film; speed against distance."""

    height_px = 440

    def draw(self) -> None:
        self.mu = self.figure.add_axes((0.075, 0.12, 0.4, 0.745), ylabel="friction, share of the load")
        self.most = Rising(self.mu, (0.006, 0.008, 0.01, 0.014, 0.02, 0.04))
        colours = {name: LINES[name]["color"] for name in BOTH}
        self.curves = blade_lines(self, self.mu)
        self.plough = blade_lines(self, self.mu, linewidth=1, alpha=0.7)
        self.bands = blade_lines(self, self.mu, linewidth=7, alpha=0.3)
        self.ranges = blade_lines(self, self.mu, linewidth=1.2)
        self.dots = blade_lines(self, self.mu, marker="o", markersize=8, linestyle="none")
        self.tags = blade_tags(self, self.mu)
        self.thin = self.new_text(self.mu, "ploughing alone", color=QUIET, va="bottom", ha="right")
        parts = self.figure.add_axes((0.585, 0.66, 0.395, 0.205))
        parts.set(ylim=(0, 2), yticks=(0.5, 1.5), yticklabels=("trial", "present"))
        parts.set_title("what the friction is made of", fontsize=11.5)
        parts.grid(False, axis="y")
        self.widest = Rising(parts, (0.006, 0.009, 0.015, 0.03), spare=1.05, across=True)
        self.bars, self.says = {}, {}
        centred: Look = {"ha": "center", "va": "center", "bbox": None, "fontsize": 10}
        for y, (n, c) in zip((1.5, 0.5), colours.items(), strict=True):
            self.bars[n] = [self.moving(parts.barh(y, 0, 0.62, color=c, alpha=a)[0]) for a in (0.95, 0.4)]
            self.says[n] = [
                self.new_text(parts, text, y=y, color=colour, **centred)
                for text, colour in (("ploughing", "white"), ("melt film", INK))
            ]
        out = self.figure.add_axes((0.585, 0.12, 0.395, 0.37))
        distance, speed = UNITS.unit("distance"), UNITS.unit("speed")
        out.set(xlabel=f"distance, {distance}", ylabel=f"speed, {speed}")
        out.set_title("gliding out", fontsize=11.5)
        steps = [UNITS.shown("distance", step) for step in (50, 100, 200, 400, 800, 1600, 3200)]
        self.farthest = Rising(out, steps, across=True)
        self.fastest = Rising(out, [UNITS.shown("speed", step) for step in (5.0, 9.0, 13.0)], spare=1.05)
        self.slow = blade_lines(self, out)
        corner: Look = {"ha": "right", "va": "top", "transform": out.transAxes}
        self.ends = {
            n: self.new_text(out, x=0.985, y=y, color=colours[n], **corner)
            for n, y in zip(BOTH, (0.97, 0.85), strict=True)
        }
        self._against = ""

    def update(self, glides: Glides) -> None:
        words, quantity, _ = _AGAINST[glides.against]
        x = UNITS.shown(quantity, glides.x)
        if self._against != glides.against:
            self._against = glides.against
            self.mu.set(xlabel=f"{words}, {UNITS.unit(quantity)}", xlim=(float(x.min()), float(x.max())))
            self.still_changed()
        self._show_friction(glides, x, {n: UNITS.shown(quantity, at) for n, at in glides.here.items()})
        self._show_parts(glides.frictions)
        self._show_slowing(glides.slowing)

    def _show_friction(self, glides: Glides, x: Array, here: dict[str, float]) -> None:
        curves, found = glides.curves, glides.found
        highest = [float(np.nanmax(curve.total)) for curve in curves.values()]
        top = self.most.reach(max(*highest, *(span.high for span in glides.spans.values())))
        upper = max(BOTH, key=lambda name: float(np.nanmean(curves[name].total)))
        aside, k = 0.008 * float(x.max() - x.min()), 2 * len(x) // 3
        for n, band, away in (("present", found.present, -aside), ("trial", found.trial, aside)):
            self.curves[n].set_data(x, curves[n].total)
            self.plough[n].set_data(x, curves[n].plough)
            self.dots[n].set_data([here[n]], [glides.frictions[n].total])
            self.ranges[n].set_data([here[n] + away] * 2, [glides.spans[n].low, glides.spans[n].high])
            self.bands[n].set_data([here[n] + away, here[n] + away], [band.low, band.high])
            self.tags[n].set_position((x[k], curves[n].total[k] + (0.03 if n == upper else -0.03) * top))
            self.tags[n].set_verticalalignment("bottom" if n == upper else "top")
        self.thin.set_position((x[-2], 0.02 * top + max(float(c.plough[-2]) for c in curves.values())))

    def _show_parts(self, frictions: dict[str, Friction]) -> None:
        self.widest.reach(max(friction.total for friction in frictions.values()))
        for name, friction in frictions.items():
            split, total = friction.plough, friction.total
            ends = ((0.0, split), (split, total))
            for bar, text, (left, right) in zip(self.bars[name], self.says[name], ends, strict=True):
                bar.set(x=left, width=right - left)
                text.set_x((left + right) / 2)

    def _show_slowing(self, slowing: dict[str, tuple[Array, Array]]) -> None:
        self.farthest.reach(UNITS.shown("distance", max(float(way[-1]) for way, _ in slowing.values())))
        self.fastest.reach(UNITS.shown("speed", float(slowing["present"][1][0])))
        for name, (way, speed) in slowing.items():
            self.slow[name].set_data(UNITS.shown("distance", way), UNITS.shown("speed", speed))
            self.ends[name].set_text(f"{name}: {_far(way[-1])}")


glide_panel = panel(
    "glide",
    GlideView,
    answer,
    for_both(controls.radius_control(label="radius"), *controls.hollow_controls(), trial={"hollow_mm": 25.4}),
    controls.mass_control(),
    Slider("speed_m_s", "speed", "skater", 2, 12, 6, "speed"),
    Slider("lean_deg", "side tilt of the boot", "skater", 0, 30, 0, "angle"),
    Tick("air", "slowed by the air too", "skater"),
    controls.ice_controls(),
    Choice("film", "meltwater", "ice", _FILMS, 1.0, when=lambda state: state.hardness != PRESSED_ICE),
    Choice("against", "plot friction against", "view", _PLOTS, "hollow_mm"),
    buttons=(COPY_PRESENT,),
)
