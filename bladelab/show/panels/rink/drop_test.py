"""How hard is this ice? Craters of a dropped ball, and what that hardness does to bite and friction."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import SimpleNamespace
from typing import Any

import numpy as np

from bladelab._data import data_file
from bladelab._errors import InputError
from bladelab.book.card import Card
from bladelab.book.rink_happenings import IceTested
from bladelab.physics.glide import Friction
from bladelab.physics.ice import GRAVITY_M_S2, Ice
from bladelab.physics.solving import frictions_of
from bladelab.rink.drop_test import DropTest, hardness_from_drop
from bladelab.rink.press_test import Exponent, PressTest, exponent_between, hardness_from_press
from bladelab.rink.reading import numbers_of_text, read_craters
from bladelab.shape.blade import Blade
from bladelab.shape.hollow import Hollow
from bladelab.shape.rocker import Rocker
from bladelab.show.canvas.limits import step_above
from bladelab.show.canvas.result import Result
from bladelab.show.canvas.style import INK, LINES, PRESENT, QUIET
from bladelab.show.canvas.view import View
from bladelab.show.controls import blade as controls
from bladelab.show.controls.control import Choice, Slider
from bladelab.show.panel.card_buttons import CardButton
from bladelab.show.panel.declare import panel
from bladelab.show.panel.engine import Panel
from bladelab.show.panel.panel_box import PanelBox
from bladelab.show.panels.rink.keep import ice_button
from bladelab.show.panels.rink.rink_card import RinkCardBox
from bladelab.show.panels.rink.written import WrittenDown, offer_more, text_field
from bladelab.show.wording.units_shown import UNITS
from bladelab.show.wording.words import more_or_less, plus_minus

_FREE, _WEIGHTED = "free", "weighted"
_WIDTH_MM = 2.9
_HARDNESSES_MPA = (10.0, 20.0, 30.0, 50.0, 80.0, 150.0, 400.0)
#: How long a gliding blade presses the ice under it, s: contact length over speed.
_BLADE_S = (0.005, 0.014)
_MOST_SHOWN = 30
_CAUTION = (
    "Only where the rink allows it and nobody skates; count the balls, and flood the holes before anyone "
    "steps on that ice."
)


@dataclass(frozen=True, kw_only=True)
class HardnessFound(Result):
    """What the craters say, the usual hardness for this temperature, and a glide on both ices."""

    test: DropTest
    usual_MPa: float
    press: PressTest | None
    exponent: Exponent | None
    here: Friction
    usual: Friction


def _test(state: SimpleNamespace) -> DropTest:
    if state.rebound_mm >= 1000 * state.height_m:
        raise InputError(
            f"the ball bounced {UNITS.say('length', state.rebound_mm)} high; it must be less than it fell, "
            f"{UNITS.say('distance', state.height_m)}"
        )
    return hardness_from_drop(
        state.ball_mm / 2,
        state.height_m,
        state.craters,
        state.weight_kg if state.falls == _WEIGHTED else None,
        state.rebound_mm / 1000,
    )


def drop_test_answer(state: SimpleNamespace) -> HardnessFound:
    """The hardness with its error, and what it changes."""
    test, usual = _test(state), Ice.of_kind(state.hardness, state.temperature_C)
    usual_MPa = float(Ice(state.temperature_C).hardness_MPa)
    try:
        pressed = usual.is_pressed
        ice = test.pressed_ice(state.temperature_C) if pressed else test.ice(state.temperature_C)
    except InputError:
        raise InputError(
            f"these craters give {test.hardness_MPa:.3g} MPa; it must be {0.2 * usual_MPa:.1f} to "
            f"{3 * usual_MPa:.0f} MPa at {UNITS.say('temperature', state.temperature_C)}: check the ball, "
            "the height, and that the diameters are in millimetres"
        ) from None
    blade = Blade(Rocker.single(state.radius_mm, 280.0), Hollow(state.hollow_mm, _WIDTH_MM))
    stance, speed = controls.skater_stance(state), state.speed_m_s
    here, there = frictions_of([(blade, stance, one, speed) for one in (ice, usual)])
    press = exponent = None
    if state.press_craters:
        load_N = state.press_kg * GRAVITY_M_S2
        press = hardness_from_press(state.ball_mm / 2, load_N, state.press_s, state.press_craters)
        exponent = exponent_between(test, press)
    low, high = test.interval_MPa
    agrees = low <= usual_MPa <= high
    versus = more_or_less(test.hardness_MPa, usual_MPa, "harder", "softer", "as hard")
    than = "as the usual fit" if versus == "as hard" else "than the usual fit"
    hardness = f"{plus_minus(test.hardness_MPa, test.standard_error_MPa, 1)} MPa"
    return HardnessFound(
        test=test,
        usual_MPa=usual_MPa,
        press=press,
        exponent=exponent,
        here=here,
        usual=there,
        finding=f"{hardness}: {'agrees with' if agrees else f'{versus} than'} the usual fit, {usual_MPa:.1f}",
        sentence="\n".join(
            part
            for part in (
                f"{_craters_said(test)} The usual fit for {UNITS.say('temperature', state.temperature_C)} "
                f"says {usual_MPa:.1f} MPa: this ice is {versus} {than}"
                f"{', which is within the error of the test' if agrees and versus != 'as hard' else ''}.",
                _time_said(test, press, exponent),
                _skating_said(here, there) + controls.softness_said(here.contact),
                _CAUTION,
            )
            if part
        ),
    )


def _craters_said(test: DropTest) -> str:
    count = len(test.crater_mm)
    low, high = test.interval_MPa
    one = 100 * test.craters.one_share
    said = (
        f"{'This crater gives' if count == 1 else f'These {count} craters give'} a hardness of "
        f"{plus_minus(test.hardness_MPa, test.standard_error_MPa, 1)} MPa, and anything from {low:.1f} to "
        f"{high:.1f} agrees with {'it' if count == 1 else 'them'}. One crater alone is off by "
        f"{one:.0f} %, ten together by {one / np.sqrt(10):.0f} %: near the fourth power of the diameter "
        "counts."
    )
    if count < 5:
        said += " With so few craters their error is taken as 3 % of the diameter."
    for at in test.craters.odd:
        said += (
            f" The crater of {test.crater_mm[at]:g} mm is far from the others: leave it out if the ice "
            "around it is cracked."
        )
    return said


def _time_said(test: DropTest, press: PressTest | None, exponent: Exponent | None) -> str:
    pressed = 1000 * test.loading_time_s
    said = f"The ball pressed for {pressed:.2g} ms; a gliding blade presses each spot for 5 to 14 ms"
    said += ", so that this hardness is close to the blade's own." if pressed > 2 else "."
    if press is None or exponent is None:
        return said
    value, error = exponent
    return (
        f"{said} Pressed for {press.loading_time_s:.0f} s the ice is at {press.hardness_MPa:.1f} MPa: it "
        f"softens with the power {plus_minus(value, error, 2)} of the time on average. Slow "
        "pressing creeps more, so between ball and blade the power is at most that; the model for pressed "
        "ice takes 0.15."
    )


def _skating_said(here: Friction, usual: Friction) -> str:
    bite = more_or_less(here.contact.depth_mm, usual.contact.depth_mm, "deeper", "less deep", "as deep")
    drag = more_or_less(here.total, usual.total, "more", "less", "the same")
    return (
        f"On this ice the gliding blade bites {UNITS.say('depth', here.contact.depth_mm)}, {bite}"
        f"{' as' if bite == 'as deep' else ' than'} on the usual ice, and the computed friction is "
        f"{here.total:.4f} of the load, {drag}."
    )


class DropTestView(View[HardnessFound]):
    """Each crater, the hardness against the time pressed, and bite and friction on this and the usual ice."""

    height_px = 360

    def draw(self) -> None:
        self.each = self.figure.add_axes((0.065, 0.15, 0.36, 0.7))
        self.each.set(xlabel="crater", ylabel="hardness, MPa")
        self.band = self.new_area(self.each, color=PRESENT, alpha=0.2)
        self.mean = self.new_level(self.each, **LINES["present"])
        self.fit = self.new_level(self.each, **LINES["trial"])
        self.dots = self.new_line(self.each, color=INK, marker="o", markersize=6, linestyle="none")
        self.odd = self.new_line(
            self.each, color=INK, marker="o", markersize=13, markerfacecolor="none", linestyle="none"
        )
        self.fit_tag = self.new_text(
            self.each, "usual fit (dashed)", color=LINES["trial"]["color"], ha="right", va="bottom"
        )
        self.mean_tag = self.new_text(self.each, "this ice", color=PRESENT, ha="left", va="bottom")
        self.time = self.figure.add_axes((0.49, 0.15, 0.24, 0.7))
        self.time.set(xscale="log", xlim=(1e-4, 300.0), xlabel="time pressed, s", yscale="log", ylim=(1, 100))
        self.time.set_yticks([1, 3, 10, 30, 100], labels=["1", "3", "10", "30", "100"])
        self.time.set_xticks([1e-3, 0.1, 10], labels=["0.001", "0.1", "10"])
        self.time.axvspan(*_BLADE_S, color=QUIET, alpha=0.25, linewidth=0)
        self.time.text(0.0085, 1.15, "blade", rotation=90, ha="center", va="bottom", color=INK, fontsize=10)
        self.tests = self.new_line(self.time, color=PRESENT, marker="o", markersize=8, linewidth=1.6)
        self.doubts = [self.new_line(self.time, color=INK, linewidth=1.6) for _ in range(2)]
        self.tags = [self.new_text(self.time, word, va="bottom") for word in ("ball", "slow press")]
        self.bars = []
        for bottom, name in ((0.56, "bite, mm"), (0.15, "computed friction")):
            axes = self.figure.add_axes((0.825, bottom, 0.16, 0.24))
            axes.set(ylim=(-0.6, 1.6), yticks=[0, 1], yticklabels=["this ice", "usual"])
            axes.grid(False, axis="y")
            axes.set_title(name, fontsize=11, fontweight="normal")
            axes.locator_params(axis="x", nbins=3)
            colours = (PRESENT, LINES["trial"]["color"])
            bars = [self.moving(axes.barh(y, 1, 0.6, color=c, alpha=0.6)[0]) for y, c in enumerate(colours)]
            self.bars.append((axes, bars))

    def update(self, result: HardnessFound) -> None:
        test = result.test
        each = test.craters.each_MPa[:_MOST_SHOWN]
        right = max(len(each), 4) + 0.6
        self.each.set_xlim(0.4, right)
        low, high = test.interval_MPa
        top = step_above(1.15 * max(float(each.max()), high, result.usual_MPa), _HARDNESSES_MPA)
        self.each.set_ylim(0, top)
        self.dots.set_data(np.arange(1, len(each) + 1), each)
        odd = [at for at in test.craters.odd if at < len(each)]
        self.odd.set_data([at + 1 for at in odd], each[odd])
        self.band.set_data([0.4, right], [low] * 2, [high] * 2)
        self.mean.set_ydata([test.hardness_MPa] * 2)
        self.fit.set_ydata([result.usual_MPa] * 2)
        gap = 0.015 * top
        above = result.usual_MPa >= test.hardness_MPa
        self.fit_tag.set_position((right - 0.1, result.usual_MPa + (gap if above else -gap)))
        self.fit_tag.set_verticalalignment("bottom" if above else "top")
        self.mean_tag.set_position((0.5, test.hardness_MPa + (-gap if above else gap)))
        self.mean_tag.set_verticalalignment("top" if above else "bottom")
        tests = [one for one in (test, result.press) if one is not None]
        self.tests.set_data([t.loading_time_s for t in tests], [t.hardness_MPa for t in tests])
        for at, (doubt, tag) in enumerate(zip(self.doubts, self.tags, strict=True)):
            shown = at < len(tests)
            doubt.set_visible(shown)
            tag.set_visible(shown)
            if shown:
                one = tests[at]
                doubt.set_data([one.loading_time_s] * 2, one.interval_MPa)
                tag.set_position((one.loading_time_s, 1.25 * one.interval_MPa[1]))
                tag.set_horizontalalignment("left" if at == 0 else "center")
        for (axes, bars), values, limits in zip(
            self.bars,
            (
                [one.contact.depth_mm for one in (result.here, result.usual)],
                [one.total for one in (result.here, result.usual)],
            ),
            ((0.1, 0.2, 0.5, 1.0, 2.0), (0.005, 0.01, 0.02, 0.05)),
            strict=True,
        ):
            axes.set_xlim(0, step_above(1.05 * max(values), limits))
            for bar, value in zip(bars, values, strict=True):
                bar.set_width(value)


_INVENTED = read_craters(data_file("demo/craters.csv"))


class DropTestPanel(Panel):
    """The panel, and the code of the rink whose ice it is.

    Attributes
    ----------
    rink : str
    invented : tuple
        Craters that nobody measured: they aren't kept on a card.
    """

    rink = ""
    invented: tuple[tuple[float, ...], ...] = (_INVENTED,)

    def tested(self) -> IceTested:
        """What the dials say, for the book."""
        state = self.state()
        weight = state.weight_kg if state.falls == _WEIGHTED else None
        return IceTested(
            self.rink,
            state.ball_mm / 2,
            state.height_m,
            state.craters,
            weight,
            state.rebound_mm / 1000,
            state.temperature_C,
        )


def _keep(made: DropTestPanel, card: Card) -> list[CardButton]:
    craters = made.state().craters
    return [] if any(craters is one for one in made.invented) else ice_button(card, made.tested)


_drop_test = panel(
    "drop_test",
    DropTestView,
    drop_test_answer,
    Choice(
        "craters",
        "craters",
        "ice",
        (("ten craters (invented)", _INVENTED),),
        _INVENTED,
    ),
    Slider("ball_mm", "ball, across", "ice", 10, 50, 25.4, "fine length"),
    Choice(
        "falls", "what fell", "ice", (("a free steel ball", _FREE), ("a guided weight", _WEIGHTED)), _FREE
    ),
    Slider(
        "weight_kg", "ball and weight", "ice", 0.5, 15, 5, "mass", 0.5, when=lambda s: s.falls == _WEIGHTED
    ),
    Slider("height_m", "height of the fall", "ice", 0.1, 3.0, 1.0, "distance", 0.1),
    Slider("rebound_mm", "it bounced", "ice", 0, 300, 0, "length"),
    controls.ice_controls(),
    Choice(
        "press_craters",
        "slow press beside it",
        "ice",
        (("none", ()), ("five craters (invented)", read_craters(data_file("demo/press_craters.csv")))),
        (),
    ),
    Slider("press_kg", "pressed by", "ice", 5, 150, 75, "mass", when=lambda s: bool(s.press_craters)),
    Slider("press_s", "pressed for, s", "ice", 1, 120, 10, when=lambda s: bool(s.press_craters)),
    Slider("hollow_mm", "hollow", "hollow", 6.35, 38.1, 15.875, "hollow"),
    controls.radius_control(),
    controls.mass_control(),
    controls.speed_control(),
    tabs=True,
    open_on="ice",
    kind=DropTestPanel,
    more=_keep,
)


def drop_test_panel() -> PanelBox:
    """Craters of a dropped ball, with fields for your own."""
    made = _drop_test()
    assert isinstance(made, DropTestPanel)

    def taken(words: str, found: Mapping[str, tuple[float, ...]] | tuple[float, ...]) -> str:
        craters = found if isinstance(found, Mapping) else {"craters": found}
        for dial, values in craters.items():
            offer_more(made, dial, words, values)
        return f"Taken over: {', '.join(f'{len(values)} craters' for values in craters.values())}."

    def read(fields: Mapping[str, str]) -> dict[str, tuple[float, ...]]:
        found = {"craters": numbers_of_text("craters", fields["craters"], 100.0)}
        if fields["press"].strip():
            found["press_craters"] = numbers_of_text("slow press", fields["press"], 100.0)
        return found

    code = text_field("rink's code", "such as R1; no name. For a skater's card")
    tests = RinkCardBox()

    def rink_given(change: dict[str, Any]) -> None:
        made.rink = str(change["new"]).strip()
        tests.choose(made.rink)
        made.refresh()

    code.continuous_update = False
    code.observe(rink_given, names="value")
    form = WrittenDown(
        "Your own craters",
        {
            "craters": text_field("craters, mm across", "such as 9.8 10.1 9.9 10.0"),
            "press": text_field("slow press, mm across", "may stay empty"),
        },
        read,
        taken,
        read_craters,
    )
    return PanelBox(made, below=[code, tests, form])
