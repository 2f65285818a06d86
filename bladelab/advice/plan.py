"""The steps from the present blade to the one chosen: one change at a time, in the order worth trying."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from bladelab._checks import takes
from bladelab._errors import InputError
from bladelab._values import by_value
from bladelab.advice.quantities import Conditions
from bladelab.advice.single_change import Change, zone_names
from bladelab.advice.wishes import Wish, gains_along
from bladelab.shape.blade import Blade
from bladelab.shape.rocker import Rocker, Zone


@by_value
@dataclass(frozen=True, eq=False)
class PlanStep:
    """One step of the plan.

    Attributes
    ----------
    change : Change
        What to grind, and the blade after it.
    gains : array, shape (wishes,)
        What the step alone adds to each of the wishes, as `Frontier.gains`.
    """

    change: Change
    gains: np.ndarray

    @property
    def blade(self) -> Blade:
        """The blade after this step."""
        return self.change.blade


@takes(present=Blade, goal=Blade, conditions=Conditions, wishes=[Wish])
def plan_steps(
    present: Blade, goal: Blade, conditions: Conditions, wishes: Sequence[Wish]
) -> tuple[PlanStep, ...]:
    """Lead from the present blade to the chosen one, changing one thing at a time.

    The shape comes first (its size, then each zone, then the blend), then the pivot, all with the hollow that
    the skater knows; the hollow comes last, once the shape is known.

    Parameters
    ----------
    present, goal : Blade
        The goal has the zones of the present blade, or is one of the family around it.
    conditions : Conditions
    wishes : sequence of Wish
        What the skater wished for.

    Returns
    -------
    tuple of PlanStep
        Empty if there is nothing to change.

    Raises
    ------
    ValueError
        If the two blades have different lengths, widths or zones, so that no such steps lead from one to the
        other.

    Examples
    --------
    >>> from bladelab import Blade, Conditions, Hollow, Rocker
    >>> present = Blade(Rocker.single(3048.0, 280.0), Hollow(12.7, 3.0))
    >>> goal = Blade(Rocker.single(3352.8, 280.0), Hollow(15.875, 3.0))
    >>> [step.change.part for step in plan_steps(present, goal, Conditions(75.0), [])]
    ['whole shape', 'hollow']
    """
    start = _with_zones_of(present, goal)
    changes = list(_changes(start, goal))
    all_gains = gains_along([start, *(change.blade for change in changes)], conditions, wishes)
    return tuple(map(PlanStep, changes, all_gains))


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
            "the two blades have zones of different lengths; steps from one to the other need the same zones"
        )
    if abs(present.hollow.width_mm - goal.hollow.width_mm) > 1e-6:
        raise InputError(
            f"the goal's width_mm is {goal.hollow.width_mm:g} mm; it must be that of the present blade, "
            f"{present.hollow.width_mm:g} mm"
        )
    if abs(present.hollow.edge_radius_mm - goal.hollow.edge_radius_mm) > 1e-6:
        raise InputError(
            f"the goal's edge_radius_mm is {goal.hollow.edge_radius_mm:g} mm; it must be that of the present "
            f"blade, {present.hollow.edge_radius_mm:g} mm: sharpening changes no shape"
        )
    return present


def _changes(start: Blade, goal: Blade) -> Iterator[Change]:
    """Yield the changes in order."""
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
        was, radii = radii[0], [radius + common for radius in radii]
        blade = replace(blade, rocker=_radii(rocker, radii))
        yield Change("whole shape", "", was, radii[0], blade)
    for i, name in enumerate(zone_names(rocker)):
        if abs(aims[i] - radii[i]) > 0.5:
            was, radii[i] = radii[i], aims[i]
            blade = replace(blade, rocker=_radii(blade.rocker, radii))
            yield Change("radius" if name else "whole shape", name, was, aims[i], blade)
    if len(target.zones) > 1 and abs(target.blend_mm - rocker.blend_mm) > 1e-6:
        blade = replace(blade, rocker=replace(blade.rocker, blend_mm=target.blend_mm))
        yield Change("blend", "", rocker.blend_mm, target.blend_mm, blade)
    if abs(target.pivot_mm - rocker.pivot_mm) > 1e-6:
        blade = replace(blade, rocker=replace(blade.rocker, pivot_mm=target.pivot_mm))
        yield Change("level point", "", rocker.pivot_mm, target.pivot_mm, blade)
    if abs(goal.hollow.radius_mm / start.hollow.radius_mm - 1) > 1e-6:
        yield Change(
            "hollow",
            "",
            start.hollow.radius_mm,
            goal.hollow.radius_mm,
            replace(blade, hollow=goal.hollow),
        )


def _radii(rocker: Rocker, radii: Sequence[float]) -> Rocker:
    zones = tuple(Zone(radius, zone.length_mm) for radius, zone in zip(radii, rocker.zones, strict=True))
    return replace(rocker, zones=zones)
