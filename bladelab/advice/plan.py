"""The way from the present blade to the one chosen: one change at a time, in the order worth trying."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from bladelab._errors import InputError
from bladelab.advice.quantities import QUANTITIES, Conditions
from bladelab.advice.single_change import zone_names
from bladelab.advice.wishes import Wish, gains_along
from bladelab.shape.blade import Blade
from bladelab.shape.rocker import Rocker, Zone
from bladelab.units import MM_PER_FOOT, as_fraction


@dataclass(frozen=True)
class Step:
    """One change on the way.

    label : what to grind, in words.  blade : the blade after it.  gains : what the step alone adds to each
    wish, (wishes,), as `Frontier.gains`.  reason : one sentence.
    """

    label: str
    blade: Blade
    gains: np.ndarray
    reason: str


def plan_steps(
    present: Blade, goal: Blade, conditions: Conditions, wishes: Sequence[Wish]
) -> tuple[Step, ...]:
    """Lead from the present blade to the chosen one, changing one thing at a time.

    The shape comes first (its size, then each zone, then the blend), then the pivot, all with the hollow that
    the skater knows; the hollow comes last, once the shape is known.

    Parameters
    ----------
    present, goal : Blade
        The goal has the zones of the present blade, or is one of the family around it.
    conditions : Conditions
    wishes : sequence of Wish
        What the skater wished for; the reasons speak of these.

    Returns
    -------
    tuple of Step
        Empty if nothing is to be changed.

    Raises
    ------
    ValueError
        If the two blades have other lengths, widths or zones, so that no such way leads from one to the
        other.
    """
    start = _with_zones_of(present, goal)
    changes = list(_changes(start, goal))
    all_gains = gains_along([start, *(blade for _, blade in changes)], conditions, wishes)
    return tuple(
        Step(label, blade, gains, _reason(label, gains, wishes))
        for (label, blade), gains in zip(changes, all_gains, strict=True)
    )


def _with_zones_of(present: Blade, goal: Blade) -> Blade:
    """Return the present blade cut into the zones of the goal, if that changes nothing of its shape."""
    rocker, target = present.rocker, goal.rocker
    if len(rocker.zones) == 1 and len(target.zones) > 1:
        radius = rocker.zones[0].radius_mm
        zones = tuple(Zone(radius, zone.length_mm) for zone in target.zones)
        present = replace(present, rocker=replace(rocker, zones=zones))
    elif len(target.zones) == 1 and len(rocker.zones) > 1:
        return present
    lengths = [[zone.length_mm for zone in blade.rocker.zones] for blade in (present, goal)]
    if len(lengths[0]) != len(lengths[1]) or not np.allclose(lengths[0], lengths[1], atol=1e-6):
        raise InputError(
            "the two blades have zones of other lengths; a way from one to the other needs the same zones"
        )
    if abs(present.hollow.width_mm - goal.hollow.width_mm) > 1e-6:
        raise InputError(
            f"the goal's width_mm is {goal.hollow.width_mm:g} mm; it must be that of the present blade, "
            f"{present.hollow.width_mm:g} mm"
        )
    return present


def _changes(start: Blade, goal: Blade) -> Iterator[tuple[str, Blade]]:
    """Yield label and blade after each change, in order."""
    rocker, target = start.rocker, goal.rocker
    radii = [zone.radius_mm for zone in rocker.zones]
    aims = [zone.radius_mm for zone in target.zones] * (len(radii) if len(target.zones) == 1 else 1)
    # The size of the whole shape takes up what all zones have in common, where that leaves less to do.
    moves = np.array(aims) - np.array(radii)
    shift = float(moves[np.abs(moves - np.median(moves)).argmin()])
    common = (
        shift
        if abs(shift) > 0.5 and np.sum(np.abs(moves - shift) > 0.5) + 1 < np.sum(np.abs(moves) > 0.5)
        else 0.0
    )
    blade = start
    if common and len(radii) > 1:
        radii = [radius + common for radius in radii]
        blade = replace(blade, rocker=_radii(rocker, radii))
        size = f"{abs(common) / MM_PER_FOOT:g} ft {'longer' if common > 0 else 'shorter'}"
        yield f"the whole shape {size}", blade
    names = zone_names(rocker)
    for i, name in enumerate(names):
        if abs(aims[i] - radii[i]) > 0.5:
            was, radii[i] = radii[i], aims[i]
            blade = replace(blade, rocker=_radii(blade.rocker, radii))
            which = f"{name} radius" if name else "radius"
            yield f"the {which} from {was / MM_PER_FOOT:g} to {aims[i] / MM_PER_FOOT:g} ft", blade
    if len(target.zones) > 1 and abs(target.blend_mm - rocker.blend_mm) > 1e-6:
        blade = replace(blade, rocker=replace(blade.rocker, blend_mm=target.blend_mm))
        yield f"the blend from {rocker.blend_mm:g} to {target.blend_mm:g} mm", blade
    if (move := target.pivot_mm - rocker.pivot_mm) and abs(move) > 1e-6:
        blade = replace(blade, rocker=replace(blade.rocker, pivot_mm=target.pivot_mm))
        yield f"the level point {abs(move):g} mm toward the {'toe' if move > 0 else 'heel'}", blade
    if abs(goal.hollow.radius_mm / start.hollow.radius_mm - 1) > 1e-6:
        blade = replace(blade, hollow=goal.hollow)
        yield (
            f"the hollow from {as_fraction(start.hollow.radius_mm)} to {as_fraction(goal.hollow.radius_mm)}",
            blade,
        )


def _radii(rocker: Rocker, radii: Sequence[float]) -> Rocker:
    zones = tuple(Zone(radius, zone.length_mm) for radius, zone in zip(radii, rocker.zones, strict=True))
    return replace(rocker, zones=zones)


def _reason(label: str, gains: np.ndarray, wishes: Sequence[Wish]) -> str:
    """Say what the step does for the wishes, and what it costs them."""
    helps = [_said(wish, gain) for wish, gain in zip(wishes, gains, strict=True) if gain > _least(wish)]
    costs = [_said(wish, gain) for wish, gain in zip(wishes, gains, strict=True) if gain < -_least(wish)]
    start = f"{label[:1].upper()}{label[1:]}"
    if helps and costs:
        return f"{start}: {' and '.join(helps)}, at the price of {' and '.join(costs)}."
    if helps:
        return f"{start}: {' and '.join(helps)}."
    if costs:
        return f"{start}: by itself {' and '.join(costs)}; the other changes need it."
    return f"{start}: by itself it does nothing for the wishes; the other changes need it."


def _least(wish: Wish) -> float:
    return 0.25 if wish.quantity != "step" and QUANTITIES[wish.quantity].percent else 0.01


def _said(wish: Wish, gain: float) -> str:
    percent = wish.quantity != "step" and QUANTITIES[wish.quantity].percent
    size = f"{abs(gain):.1f} %" if percent else f"{abs(gain):.2f}°"
    return f"{size} {wish.word if gain > 0 else wish.less}"
