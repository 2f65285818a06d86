"""The map of single changes: what each of them does to each quantity, in each moment."""

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
from bladelab.advice.single_change import Change, single_changes
from bladelab.physics.days import SMALLEST_PITCH_DEG, SMALLEST_SHARE
from bladelab.physics.glide import solve_frictions
from bladelab.physics.possible_ices import Span, all_possible
from bladelab.shape.blade import Blade

if TYPE_CHECKING:
    import pandas as pd


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
