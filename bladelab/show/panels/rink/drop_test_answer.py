"""What the craters of a dropped ball say of the ice, and what that hardness does to bite and friction."""

from __future__ import annotations

from dataclasses import dataclass
from types import SimpleNamespace

import numpy as np

from bladelab._errors import InputError
from bladelab.physics.glide import Friction
from bladelab.physics.ice import GRAVITY_M_S2, Ice
from bladelab.physics.possible_ices import Span
from bladelab.physics.solving import frictions_of
from bladelab.rink.drop_test import DropTest, hardness_from_drop, steel_ball_kg
from bladelab.rink.press_test import Exponent, PressTest, exponent_between, hardness_from_press
from bladelab.shape.blade import Blade
from bladelab.shape.hollow import Hollow
from bladelab.show.canvas.result import Result
from bladelab.show.controls import blade as controls
from bladelab.show.wording.say import say_friction
from bladelab.show.wording.units_shown import UNITS
from bladelab.show.wording.words import more_or_less, plus_minus

FREE, WEIGHTED = "free", "weighted"
_WIDTH_MM = 2.9
#: A ball with so many times its own mass presses at least twice as long as alone: usual ice then has to be
#: pressed as long, too, to be compared with.
_SLOW = 4.0
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
    span: Span


def _test(state: SimpleNamespace) -> DropTest:
    if state.rebound_mm >= 1000 * state.height_m:
        raise InputError(
            f"the ball bounced {UNITS.say('length', state.rebound_mm)} high; it must be less than it fell, "
            f"{UNITS.say('fall', state.height_m)}"
        )
    return hardness_from_drop(
        state.ball_mm / 2,
        state.height_m,
        state.craters,
        state.weight_kg if state.falls == WEIGHTED else None,
        state.rebound_mm / 1000,
    )


def drop_test_answer(state: SimpleNamespace) -> HardnessFound:
    """The hardness with its error, and what it changes."""
    test, usual = _test(state), Ice.of_kind(state.hardness, state.temperature_C)
    usual_MPa = float(Ice(state.temperature_C).hardness_MPa)
    if slow := test.mass_kg > _SLOW * steel_ball_kg(test.ball_radius_mm):
        usual = Ice.pressed(state.temperature_C, test.ball_radius_mm)
        usual_MPa = float(usual.pressed_hardness_MPa(test.loading_time_s))
    try:
        pressed = usual.is_pressed
        ice = test.pressed_ice(state.temperature_C) if pressed else test.ice(state.temperature_C)
    except InputError:
        raise InputError(
            f"these craters give {test.hardness_MPa:.3g} MPa; it must be {0.2 * usual_MPa:.1f} to "
            f"{3 * usual_MPa:.0f} MPa at {UNITS.say('temperature', state.temperature_C)}: check the ball, "
            "the height, and that the diameters are in millimetres"
        ) from None
    blade = Blade(controls.plain_rocker(state), Hollow(state.hollow_mm, _WIDTH_MM))
    stance, speed = controls.skater_stance(state), state.speed_m_s
    ices = test.possible_ices(state.temperature_C)
    here, there, over = frictions_of([(blade, stance, one, speed) for one in (ice, usual, ices)])
    span = Span.of(np.asarray(over.total))
    press = exponent = None
    if state.press_craters:
        load_N = state.press_kg * GRAVITY_M_S2
        press = hardness_from_press(state.ball_mm / 2, load_N, state.press_s, state.press_craters)
        exponent = exponent_between(test, press)
    low, high = test.interval_MPa
    versus = more_or_less(test.hardness_MPa, usual_MPa, "harder", "softer", "as hard")
    agrees = low <= usual_MPa <= high or versus == "as hard"
    doubt = ", which is within the error of the test" if agrees and versus != "as hard" else ""
    hardness = f"{plus_minus(test.hardness_MPa, test.standard_error_MPa, 1)} MPa"
    return HardnessFound(
        test=test,
        usual_MPa=usual_MPa,
        press=press,
        exponent=exponent,
        here=here,
        usual=there,
        span=span,
        finding=f"{hardness}: {'agrees with' if agrees else f'{versus} than'} the usual {usual_MPa:.1f}",
        sentence="\n".join(
            part
            for part in (
                f"{_craters_said(test)} At {UNITS.say('temperature', state.temperature_C)} ice usually has "
                f"{usual_MPa:.1f} MPa{_as_long(test) if slow else ''} (a published fit): this ice is "
                f"{versus}{doubt}.",
                _time_said(test, press, exponent),
                _skating_said(here, there, span)
                + controls.softness_said(here.contact, dropped_MPa=test.hardness_MPa),
                _CAUTION,
            )
            if part
        ),
    )


def _craters_said(test: DropTest) -> str:
    count = len(test.crater_mm)
    low, high = test.interval_MPa
    alone, common = test.craters.one_share, test.craters.common_share
    one, ten = (100 * np.hypot(alone / np.sqrt(count), common) for count in (1, 10))
    said = (
        f"{'This crater gives' if count == 1 else f'These {count} craters give'} a hardness of "
        f"{plus_minus(test.hardness_MPa, test.standard_error_MPa, 1)} MPa, and anything from {low:.1f} to "
        f"{high:.1f} agrees with {'it' if count == 1 else 'them'}. One crater alone would be off by "
        f"{one:.0f} %, ten together by {ten:.0f} %: the hardness goes with about the fourth power of the "
        "diameter."
    )
    if count < 5:
        said += " With so few craters their error is taken as 3 % of the diameter."
    for at in test.craters.odd:
        said += (
            f" The crater of {test.crater_mm[at]:g} mm is far from the others: leave it out if the ice "
            "around it is cracked."
        )
    return said


def _as_long(test: DropTest) -> str:
    return f" when pressed for {1000 * test.loading_time_s:.2g} ms"


def _time_said(test: DropTest, press: PressTest | None, exponent: Exponent | None) -> str:
    pressed = 1000 * test.loading_time_s
    said = f"The ball pressed for {pressed:.2g} ms; a gliding blade presses each spot for 5 to 14 ms"
    said += ", so this hardness is close to the blade's own." if pressed > 2 else ", and finds it softer."
    if press is None or exponent is None:
        return said
    value, error = exponent
    return (
        f"{said} Pressed for {press.loading_time_s:.0f} s, this ice gives way at {press.hardness_MPa:.1f} "
        f"MPa: it softens with the power {plus_minus(value, error, 2)} of the time, "
        f"{100 * (1 - 10**-value):.0f} % for every ten times as long. Ice creeps under a slow press, so from "
        "ball to blade it softens at most like that; the model for pressed ice takes the power 0.15."
    )


def _skating_said(here: Friction, usual: Friction, span: Span) -> str:
    bite = more_or_less(
        here.contact.depth_mm, usual.contact.depth_mm, "more than", "less than", "the same as"
    )
    drag = more_or_less(here.total, usual.total, "more than", "less than", "the same as")
    return (
        f"Here the gliding blade bites {UNITS.say('depth', here.contact.depth_mm)} deep, {bite} on the usual "
        f"ice, and the computed friction is {drag} there: {say_friction(float(here.total), span)} of the "
        "load, depending on how this ice softens."
    )
