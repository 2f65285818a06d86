"""Single change map: what each change alone would do to a blade, in every term and moment."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from types import MappingProxyType
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from bladelab._checks import takes
from bladelab._errors import InputError
from bladelab._types import Array, Truths
from bladelab._values import by_value
from bladelab.advice.evaluate import evaluate_and_draw_all, spread_of_days
from bladelab.advice.quantities import QUANTITIES, Conditions, change
from bladelab.physics.days import SMALLEST_PITCH_DEG, SMALLEST_SHARE
from bladelab.physics.glide import solve_frictions
from bladelab.physics.possible_ices import Span, all_possible
from bladelab.shape.blade import Blade
from bladelab.shape.hollow import USUAL_HOLLOWS_MM, Hollow
from bladelab.shape.rocker import Rocker, Zone
from bladelab.units import MM_PER_FOOT

if TYPE_CHECKING:
    import pandas as pd


# The size of one step of each kind: what a shop and a skater would call one change.
RADIUS_STEP_MM = MM_PER_FOOT
PIVOT_STEP_MM = 5.0
BLEND_STEP_MM = 20.0


@dataclass(frozen=True)
class Change:
    """One thing changed on a blade, in mm; the page finds the words for it, in the units chosen there.

    Attributes
    ----------
    part : str
        What changes: "whole shape" (every radius by the same amount), "radius" (of one zone), "blend", "level
        point" or "hollow".
    zone : str
        The zone whose radius it is, by `zone_names`; "" for the other parts.
    from_mm, to_mm : float
        Before and after it; for the whole shape the radius of the zone at the heel.
    blade : Blade
        The blade after it.
    """

    part: str
    zone: str
    from_mm: float
    to_mm: float
    blade: Blade

    @property
    def direction(self) -> int:
        """+1 for flatter, longer, toward the toe or shallower; -1 for the opposite."""
        return 1 if self.to_mm > self.from_mm else -1


def zone_names(rocker: Rocker) -> tuple[str, ...]:
    """Return the names of the zones, heel to toe: "heel", "middle", "toe", or numbers where there are
    more."""
    names: dict[int, tuple[str, ...]] = {1: ("",), 2: ("heel", "toe"), 3: ("heel", "middle", "toe")}
    count = len(rocker.zones)
    return names.get(count) or tuple(f"zone {i}" for i in range(1, count + 1))


def hollow_step(hollow: Hollow, direction: int) -> Hollow | None:
    """Return the next usual hollow, shallower (+1) or deeper (-1); None at the end of the usual ones."""
    usual = np.array(USUAL_HOLLOWS_MM)
    usual = usual[usual > hollow.width_mm / 2]
    ratio = usual / hollow.radius_mm
    # One that differs by less than 1 % is the same hollow written in another unit.
    beyond = usual[ratio > 1.01] if direction > 0 else usual[ratio < 0.99]
    if not len(beyond):
        return None
    return replace(hollow, radius_mm=float(beyond.min() if direction > 0 else beyond.max()))


@takes(blade=Blade)
def single_changes(blade: Blade) -> tuple[Change, ...]:
    """Return every single change of a blade that can be ground, one step either way.

    The whole shape a foot flatter or rounder, each zone's radius a foot, the blend 20 mm, the level point 5
    mm, and the hollow to the next usual fraction. Steps that the shape does not allow (a blend longer than a
    zone, a radius or a hollow below the least) are left out.

    Notes
    -----
    The steps are the same in whatever units the page is read: a log kept in feet and read in metres is about
    the same blades.

    Examples
    --------
    >>> from bladelab import Blade, Hollow, Rocker
    >>> blade = Blade(Rocker.single(3048.0, 280.0), Hollow(12.7, 3.0))
    >>> len(single_changes(blade)) > 4
    True
    """
    rocker, found = blade.rocker, []

    def add(part: str, zone: str, from_mm: float, to_mm: float, **parts: object) -> None:
        try:
            after = replace(blade, **parts)  # type: ignore[arg-type]
        except InputError:
            return  # cannot be made
        found.append(Change(part, zone, from_mm, to_mm, after))

    names = zone_names(rocker)
    radii = [zone.radius_mm for zone in rocker.zones]
    first = radii[0]
    for step in (RADIUS_STEP_MM, -RADIUS_STEP_MM):
        if shape := _with_radii(rocker, [radius + step for radius in radii]):
            add("whole shape", "", first, first + step, rocker=shape)
    for i, name in enumerate(names if len(names) > 1 else ()):
        for step in (RADIUS_STEP_MM, -RADIUS_STEP_MM):
            if shape := _with_radii(rocker, [radius + step * (k == i) for k, radius in enumerate(radii)]):
                add("radius", name, radii[i], radii[i] + step, rocker=shape)
    if len(names) > 1:
        for step in (BLEND_STEP_MM, -BLEND_STEP_MM):
            blend = max(rocker.blend_mm + step, 0.0)
            if blend != rocker.blend_mm and blend <= min(zone.length_mm for zone in rocker.zones):
                add("blend", "", rocker.blend_mm, blend, rocker=replace(rocker, blend_mm=blend))
    for step in (PIVOT_STEP_MM, -PIVOT_STEP_MM):
        pivot = rocker.pivot_mm + step
        if abs(pivot) <= rocker.length_mm / 2:
            add("level point", "", rocker.pivot_mm, pivot, rocker=replace(rocker, pivot_mm=pivot))
    for direction in (1, -1):
        if hollow := hollow_step(blade.hollow, direction):
            add("hollow", "", blade.hollow.radius_mm, hollow.radius_mm, hollow=hollow)
    return tuple(found)


def _with_radii(rocker: Rocker, radii: Sequence[float]) -> Rocker | None:
    """Return the rocker with other radii, or None if one would be shorter than a foot or the curve turn too
    far."""
    if min(radii) < RADIUS_STEP_MM:
        return None
    zones = tuple(Zone(radius, zone.length_mm) for radius, zone in zip(radii, rocker.zones, strict=True))
    try:
        return replace(rocker, zones=zones)
    except InputError:
        return None


@by_value
@dataclass(frozen=True, eq=False)
class ChangeMap:
    """What each single change alone does.

    Attributes
    ----------
    present : Blade
    conditions : Conditions
    changes : tuple of Change
        n of them.
    keys : tuple of str
        The quantities, q of them.
    values : array (q, moments)
        The present blade's.
    effects : array (n, q, moments)
        Per cent of the present value; for the pitch degrees. NaN where the quantity means nothing in the
        moment.
    bands : array (q, moments)
        In the same units: an effect smaller than this is lost in what nobody measures at a rink.
    over_ices : dict of (int, int) to Span
        By change and moment, the effect on friction over the ices held possible, where it is beyond its band
        on the ice of the conditions.
    """

    present: Blade
    conditions: Conditions
    changes: tuple[Change, ...]
    keys: tuple[str, ...]
    values: Array
    effects: Array
    bands: Array
    over_ices: Mapping[tuple[int, int], Span] = field(default_factory=lambda: MappingProxyType({}))

    @property
    def beyond_band(self) -> NDArray[np.bool_]:
        """Which effects are larger than their band, of friction on every ice held possible, and large enough
        to measure at all; (n, q, moments)."""
        least = [100 * SMALLEST_SHARE if QUANTITIES[key].percent else SMALLEST_PITCH_DEG for key in self.keys]
        sizes = np.abs(self.effects)
        for (i, m), span in self.over_ices.items():
            surely = min(abs(span.low), abs(span.high)) if span.low * span.high > 0 else 0.0
            sizes[i, self.keys.index("friction"), m] = surely
        with np.errstate(invalid="ignore"):
            beyond: Truths = sizes > np.maximum(self.bands, np.array(least)[:, None])
        return beyond

    def moment_index(self, name: str) -> int:
        """Return the place of a moment by its name; ValueError if it is not among the conditions."""
        names = [moment.name for moment in self.conditions.moments]
        if name not in names:
            raise InputError(f"no moment is called {name!r}; there are {', '.join(names)}")
        return names.index(name)

    def table(self, moment: str) -> pd.DataFrame:
        """Return the map in one moment: a row for each change (part, zone, from_mm, to_mm), a column for
        each quantity."""
        import pandas as pd

        columns = [f"{key}_percent" if QUANTITIES[key].percent else f"{key}_deg" for key in self.keys]
        names = ["part", "zone", "from_mm", "to_mm"]
        rows = [tuple(getattr(one, name) for name in names) for one in self.changes]
        index = pd.MultiIndex.from_tuples(rows, names=names)
        return pd.DataFrame(self.effects[:, :, self.moment_index(moment)], index=index, columns=columns)


@takes(blade=Blade, conditions=Conditions, keys=[str])
def single_change_map(
    blade: Blade, conditions: Conditions, keys: Sequence[str] = tuple(QUANTITIES)
) -> ChangeMap:
    """Compute what each single change of this blade alone does to each quantity in each moment.

    Parameters
    ----------
    blade : Blade
        The present blade.
    conditions : Conditions
        Their moments are the moments of the map.
    keys : sequence of str
        Quantities, of `QUANTITIES`.

    Returns
    -------
    ChangeMap

    Examples
    --------
    >>> from bladelab import MOMENTS, Blade, Conditions, Hollow, Rocker
    >>> blade = Blade(Rocker.single(3048.0, 280.0), Hollow(12.7, 3.0))
    >>> found = single_change_map(blade, Conditions(75.0, moments=MOMENTS[:1]), ["length"])
    >>> found.effects.shape == (len(found.changes), 1, 1)
    True
    """
    changes = single_changes(blade)
    found = evaluate_and_draw_all(map_cases(blade, changes), conditions, keys)
    return _on_all_ices(map_of(blade, conditions, keys, changes, found))


def _on_all_ices(found: ChangeMap) -> ChangeMap:
    """Look at the effects on friction that are beyond their band on every ice held possible."""
    if "friction" not in found.keys:
        return found
    beyond, on = found.beyond_band[:, found.keys.index("friction")], found.conditions
    places = [(int(i), int(m)) for i, m in np.argwhere(beyond)]
    if not places:
        return found
    ices = all_possible(float(on.ice.temperature_C), float(on.ice.hardness_factor))
    stances = [moment.stance(on.mass_kg) for moment in on.moments]
    before = list(dict.fromkeys(m for _, m in places))
    cases = [(found.present, m) for m in before] + [(found.changes[i].blade, m) for i, m in places]
    solved = solve_frictions([(blade, stances[m], ices, on.speed_m_s) for blade, m in cases])
    mu = [np.asarray(one.total) for one in solved]
    now = dict(zip(before, mu, strict=False))
    spans = {
        place: Span.of(100 * (after / now[place[1]] - 1))
        for place, after in zip(places, mu[len(before) :], strict=True)
    }
    return replace(found, over_ices=MappingProxyType(spans))


def map_cases(blade: Blade, changes: Sequence[Change]) -> list[tuple[Blade, tuple[int, ...]]]:
    """Return what has to be evaluated for the map of these changes: cases of `evaluate_and_draw_all`."""
    # Changes of the hollow share the present rocker: they are solved in one call with the present blade.
    radii = [blade.hollow.radius_mm, *(one.blade.hollow.radius_mm for one in changes if one.part == "hollow")]
    family = Blade(blade.rocker, replace(blade.hollow, radius_mm=np.array(radii)))
    others = [(one.blade, ()) for one in changes if one.part != "hollow"]
    return [(family, ()), (blade, (1,)), *others]


def map_of(
    blade: Blade,
    conditions: Conditions,
    keys: Sequence[str],
    changes: Sequence[Change],
    found: Sequence[tuple[dict[str, Array], ...]],
) -> ChangeMap:
    """Return the map of these changes from what was `found` for their `map_cases`."""
    (family,), days, *each = found
    values = {key: family[key][0] for key in keys}
    of_hollow, of_rest = iter(range(1, len(changes) + 1)), iter(each)
    effects = []
    for one in changes:
        if one.part == "hollow":
            i = next(of_hollow)
            after = {key: family[key][i] for key in keys}
        else:
            (after,) = next(of_rest)
        effects.append([change(values[key], after[key], key) for key in keys])
    bands = spread_of_days(*days)
    return ChangeMap(
        present=blade,
        conditions=conditions,
        changes=tuple(changes),
        keys=tuple(keys),
        values=np.array([values[key] for key in keys]),
        effects=np.array(effects),
        bands=np.array([bands[key] for key in keys]),
    )
