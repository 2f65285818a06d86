"""What the model says about a cause, in numbers that the library computes for one example."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

from bladelab._checks import one_of
from bladelab.advice.causes import CAUSES
from bladelab.advice.dulling import DULL_MM, duller_than, hold_over_edges
from bladelab.physics.contact import Contact, solve_contact
from bladelab.physics.glide import solve_friction
from bladelab.physics.ice import Ice
from bladelab.physics.moments import MOMENTS, Moment
from bladelab.shape.blade import Blade
from bladelab.shape.hollow import USUAL_HOLLOWS_MM, Hollow
from bladelab.shape.rocker import Rocker
from bladelab.units import feet
from bladelab.workshop.edge_level import EdgeLevel

#: The example: a single 10 ft rocker with a 1/2 in hollow under a skater of 75 kg, on ice of -5 °C, gliding
#: at 6 m/s.
_MASS_KG, ON_ICE, _SPEED_M_S = 75.0, Ice(-5.0), 6.0
ON_BLADE = Blade(Rocker.single(feet(10), 280.0), Hollow(12.7, 2.9))
#: Warm and cold ice in a rink, °C; how far a level point moves, mm; how far two edges are from level.
WARM_C, COLD_C = -3.0, -8.0
MOVED_MM = 5.0
TILTED = EdgeLevel(reading_mm=1.0, arm_mm=100.0)
FLATTER = 1.1

SHARP_EDGES = "The model's numbers for the other causes are for sharp edges: first see that they are."

_PUSH = next(moment for moment in MOMENTS if moment.name == "stride push")
_GLIDE = next(moment for moment in MOMENTS if moment.name == "one-foot glide")
_TURN = next(moment for moment in MOMENTS if moment.name == "tight turn")


@lru_cache(maxsize=len(CAUSES))
def model_says(cause: str) -> str:
    """Say what the model has to say about a cause; nothing where it can't speak.

    Parameters
    ----------
    cause : str
        A key of `CAUSES`.

    Returns
    -------
    str
        A sentence or two with numbers for the example blade, or an empty text. No number in it depends on the
        units that the reader has chosen: per cent, degrees, millimetres along the blade.

    Raises
    ------
    ValueError
        If there is no such cause.

    Examples
    --------
    >>> model_says("bent")
    ''
    """
    one_of("the cause", cause, CAUSES)
    says = {
        "dull": _dull,
        "hollow": _hollow,
        "uneven": _uneven,
        "pivot": _pivot,
        "differ": _differ,
        "ice": _ice,
    }
    return says[cause]() if cause in says else ""


def _dull() -> str:
    dull = replace(ON_BLADE, hollow=replace(ON_BLADE.hollow, edge_radius_mm=DULL_MM))
    sharp, worn = (_contact(blade, _PUSH) for blade in (ON_BLADE, dull))
    gone = duller_than(hold_over_edges(ON_BLADE, _PUSH.stance(_MASS_KG), ON_ICE, _PUSH.gliding))
    return (
        f"By the model, edges rounded by {DULL_MM:g} mm hold a push up to {worn.hold_deg:.1f}° off the plane "
        f"of the blade, and sharp ones up to {sharp.hold_deg:.1f}°, though they bite only "
        f"{100 * (1 - worn.depth_mm / sharp.depth_mm):.0f} % less; at {gone:.2f} mm the hold is gone."
    )


def _hollow() -> str:
    usual = list(USUAL_HOLLOWS_MM)
    shallower = Blade(ON_BLADE.rocker, Hollow(usual[usual.index(12.7) + 1], 2.9))
    less = 100 * (1 - _contact(shallower, _GLIDE).depth_mm / _contact(ON_BLADE, _GLIDE).depth_mm)
    now, then = (_drag(blade) for blade in (ON_BLADE, shallower))
    sooner = _contact(ON_BLADE, _PUSH).hold_deg - _contact(shallower, _PUSH).hold_deg
    return (
        f"By the model, a hollow one usual step shallower bites {less:.0f} % less in a glide, with "
        f"{100 * (1 - then / now):.0f} % less drag, and slips out {sooner:.1f}° sooner in a push."
    )


def _uneven() -> str:
    level = _contact(ON_BLADE, _TURN).hold_deg
    high, low = TILTED.hold_deg(ON_BLADE, _TURN.stance(_MASS_KG), ON_ICE, _TURN.gliding)
    return (
        f"By the model, edges {TILTED.tilt_deg:.1f}° from level hold {high:.1f}° on the high side and "
        f"{low:.1f}° on the low side in a tight turn; level ones hold {level:.1f}°."
    )


def _pivot() -> str:
    moved = Blade(Rocker.single(feet(10), 280.0, -MOVED_MM), ON_BLADE.hollow)
    tips = _contact(moved, _GLIDE).pitch_deg - _contact(ON_BLADE, _GLIDE).pitch_deg
    return (
        f"By the model, a level point {MOVED_MM:.0f} mm further toward the heel tips the boot "
        f"{abs(tips):.2f}° {'forward' if tips > 0 else 'back'} under the same weight. Many people expect the "
        "opposite."
    )


def _differ() -> str:
    flatter = Blade(Rocker.single(FLATTER * feet(10), 280.0), ON_BLADE.hollow)
    wider = 100 * (_contact(flatter, _TURN).carve_radius_m / _contact(ON_BLADE, _TURN).carve_radius_m - 1)
    return (
        f"By the model, a rocker {100 * (FLATTER - 1):.0f} % flatter on one skate turns {wider:.0f} % wider "
        "there."
    )


def _ice() -> str:
    warm, cold = (_contact(ON_BLADE, _GLIDE, Ice(at)).depth_mm for at in (WARM_C, COLD_C))
    return f"By the model, the bite is {100 * (1 - cold / warm):.0f} % less on cold rink ice than on warm."


def _drag(blade: Blade) -> float:
    return float(solve_friction(blade, _GLIDE.stance(_MASS_KG), ON_ICE, _SPEED_M_S).total)


def _contact(blade: Blade, moment: Moment, ice: Ice = ON_ICE) -> Contact:
    return solve_contact(blade, moment.stance(_MASS_KG), ice, moment.gliding)
