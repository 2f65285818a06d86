"""The terms in which two blades are compared, and their values for one blade in every moment.

This room is the one place that turns a blade, a skater and moments into numbers; all advice stands on it.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from bladelab._checks import number
from bladelab.physics.contact import solve_contact
from bladelab.physics.glide import solve_friction
from bladelab.physics.ice import Ice
from bladelab.physics.moments import MOMENTS, Moment
from bladelab.physics.stance import Stance
from bladelab.physics.uncertainty import sample
from bladelab.shape.blade import Blade
from bladelab.shape.hollow import Hollow

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Quantity:
    """One term of the ice.

    Attributes
    ----------
    key : str
        Its name in tables: "bite".
    said : str
        Its name in a sentence.
    unit : str
    more, less : str
        What a skater would call more and less of it: "bites deeper".
    percent : bool
        Whether a ratio means anything; a pitch may be 0, so its difference is given in degrees.
    """

    key: str
    said: str
    unit: str
    more: str
    less: str
    percent: bool = True


QUANTITIES: dict[str, Quantity] = {
    q.key: q
    for q in (
        Quantity("friction", "glide friction", "", "glides shorter", "glides further"),
        Quantity("length", "contact length", "mm", "touches the ice longer", "touches the ice shorter"),
        Quantity("bite", "bite", "mm", "bites deeper", "bites shallower"),
        Quantity("hold", "hold angle", "deg", "holds a wider push", "holds a narrower push"),
        Quantity("yaw_hold", "yaw hold", "N m", "resists spinning out more", "spins more easily"),
        Quantity("carve", "carve radius", "m", "turns wider", "turns tighter"),
        Quantity("rock", "rock", "deg/10 mm", "rocks more for the same weight shift", "rocks less"),
        Quantity("pitch", "pitch", "deg", "tips the boot forward", "tips the boot back", percent=False),
    )
}


@dataclass(frozen=True)
class Conditions:
    """Who skates, on what ice, how fast, and the moments that matter to this skater.

    Parameters
    ----------
    mass_kg : float
        The skater with equipment, kg, 20 to 200.
    ice : Ice
        At one temperature.
    speed_m_s : float
        For glide friction, m/s, 0.2 to 30.
    moments : sequence of Moment
        At least one.

    Raises
    ------
    ValueError
        If a number is out of range or there is no moment.
    """

    mass_kg: float = 75.0
    ice: Ice = field(default_factory=Ice)
    speed_m_s: float = 6.0
    moments: tuple[Moment, ...] = MOMENTS

    def __post_init__(self) -> None:
        object.__setattr__(self, "mass_kg", number("mass_kg", self.mass_kg, "kg", 20.0, 200.0))
        object.__setattr__(self, "speed_m_s", number("speed_m_s", self.speed_m_s, "m/s", 0.2, 30.0))
        object.__setattr__(self, "moments", tuple(self.moments))
        if np.ndim(self.ice.temperature_C) != 0:
            raise ValueError(
                f"the ice holds an array of shape {np.shape(self.ice.temperature_C)}; it must be one number"
            )
        if not self.moments:
            raise ValueError("moments is empty; it must hold at least one moment")


def stance_of(moments: Sequence[Moment], mass_kg: float) -> Stance:
    """Return the stances of several moments as one `Stance` of arrays (n,)."""
    each = [moment.stance(mass_kg) for moment in moments]
    return Stance(
        *(np.array([getattr(s, name) for s in each]) for name in ("load_N", "position_mm", "lean_deg"))
    )


def evaluate(
    blade: Blade, conditions: Conditions, want: Sequence[str] = tuple(QUANTITIES)
) -> dict[str, Array]:
    """Compute quantities of one blade, or of one rocker with a family of hollows, in every moment.

    Parameters
    ----------
    blade : Blade
        Its hollow may hold arrays of one shape S.
    conditions : Conditions
    want : sequence of str
        Keys of `QUANTITIES`; fewer are faster.

    Returns
    -------
    dict of str to array
        Shape S + (number of moments,). NaN where the quantity means nothing in the moment (friction at rest,
        hold and carve radius upright) or the stance can't be solved.

    Raises
    ------
    ValueError
        If a key is unknown.
    """
    hollow = Hollow(*(np.asarray(v)[..., None] for v in (blade.hollow.radius_mm, blade.hollow.width_mm)))
    return _by_moment(Blade(blade.rocker, hollow), conditions, want, lambda stance: (stance, conditions.ice))


def draw(
    blade: Blade, conditions: Conditions, want: Sequence[str] = tuple(QUANTITIES), n: int = 100, seed: int = 1
) -> dict[str, Array]:
    """Compute quantities of one blade on `n` days that differ in what nobody measures at a rink.

    Parameters
    ----------
    blade : Blade
        One blade, no arrays.
    conditions, want
        As in `evaluate`.
    n, seed
        As in `bladelab.physics.uncertainty.sample`.

    Returns
    -------
    dict of str to array
        Shape (n, number of moments); each row is one day, the same for every moment and quantity.
    """
    return _by_moment(
        blade, conditions, want, lambda stance: sample(stance, conditions.ice, None, n, seed), n
    )


def evaluate_and_draw(
    blade: Blade,
    conditions: Conditions,
    want: Sequence[str] = tuple(QUANTITIES),
    n: int = 100,
    seeds: Sequence[int] = (1,),
) -> tuple[dict[str, Array], ...]:
    """Compute what `evaluate` and, for each of the seeds, `draw` return of one blade, all in one call.

    It costs little more than one of them.

    Parameters
    ----------
    blade, conditions, want, n
        As in `draw`.
    seeds : sequence of int

    Returns
    -------
    tuple of dict of str to array
        As from `evaluate`, shape (number of moments,); then for each seed as from `draw`.
    """

    def situation(stance: Stance) -> tuple[Stance, Ice]:
        lots = [sample(stance, conditions.ice, None, n, seed) for seed in seeds]
        believed = Ice(
            np.full(stance.shape, conditions.ice.temperature_C),
            np.full(stance.shape, conditions.ice.hardness_factor),
        )
        return (
            Stance(
                np.vstack([stance.load_N, *(drawn.load_N for drawn, _ in lots)]),
                np.vstack([stance.position_mm, *(drawn.position_mm for drawn, _ in lots)]),
                stance.lean_deg,
            ),
            Ice(
                np.vstack([believed.temperature_C, *(drawn.temperature_C for _, drawn in lots)]),
                np.vstack([believed.hardness_factor, *(drawn.hardness_factor for _, drawn in lots)]),
                conditions.ice.viscosity_factor,
            ),
        )

    found = _by_moment(blade, conditions, want, situation, 1 + n * len(seeds))
    draws = ({key: found[key][1 + n * k : 1 + n * (k + 1)] for key in want} for k in range(len(seeds)))
    return {key: found[key][0] for key in want}, *draws


def _by_moment(
    blade: Blade,
    conditions: Conditions,
    want: Sequence[str],
    situation: Callable[[Stance], tuple[Stance, Ice]],
    *rows: int,
) -> dict[str, Array]:
    """Fill the moments, at rest and gliding; `situation` turns their stances into what is solved."""
    if unknown := set(want) - set(QUANTITIES):
        raise ValueError(f"no quantity is called {sorted(unknown)}; known are {', '.join(QUANTITIES)}")
    moments = conditions.moments
    shape = np.broadcast_shapes(
        np.shape(blade.hollow.radius_mm), np.shape(blade.hollow.width_mm), (*rows, len(moments))
    )
    out = {key: np.full(shape, np.nan) for key in want}
    for gliding in (False, True):
        chosen = [i for i, moment in enumerate(moments) if moment.gliding is gliding]
        if not chosen:
            continue
        stance, ice = situation(stance_of([moments[i] for i in chosen], conditions.mass_kg))
        found: dict[str, Any] = {}
        if gliding and "friction" in want:
            friction = solve_friction(blade, stance, ice, conditions.speed_m_s)
            contact, found["friction"] = friction.contact, friction.total
        else:
            contact = solve_contact(blade, stance, ice, gliding=gliding)
        if "rock" in want:
            found["rock"] = contact.rock_deg
        leaned = np.asarray(stance.lean_deg) > 0
        for key, name in _OF_CONTACT.items():
            if key in want:
                value = getattr(contact, name)
                found[key] = np.where(leaned, value, np.nan) if key in ("hold", "carve") else value
        for key, value in found.items():
            out[key][..., chosen] = value
    return out


_OF_CONTACT = {
    "length": "length_mm",
    "bite": "depth_mm",
    "hold": "hold_deg",
    "yaw_hold": "yaw_hold_Nm",
    "carve": "carve_radius_m",
    "pitch": "pitch_deg",
}


def change(present: Any, trial: Any, key: str) -> Any:
    """Return trial less present, per cent of the present value; for the pitch, which may be 0, in degrees."""
    return 100 * (trial / present - 1) if QUANTITIES[key].percent else trial - present


def day_to_day(
    blade: Blade, conditions: Conditions, want: Sequence[str] = tuple(QUANTITIES), n: int = 100
) -> dict[str, Array]:
    """Return how much another day alone changes each quantity of one and the same blade.

    Definition
    ----------
    sqrt(2) times half the width between the 5th and the 95th percentile of `n` draws of ice, load and where
    the load sits: the spread between two independent days. A change of the blade that does less is lost in
    it.

    Returns
    -------
    dict of str to array
        Shape (number of moments,); per cent, for the pitch degrees. NaN where the quantity means nothing.
    """
    today, days = evaluate_and_draw(blade, conditions, want, n)
    out = {}
    for key in want:
        of_days = change(today[key], days[key], key)
        meaningless = np.isnan(of_days).all(axis=0)
        low, high = np.nanpercentile(np.where(meaningless, 0.0, of_days), [5, 95], axis=0)
        out[key] = np.where(meaningless, np.nan, (high - low) / np.sqrt(2))
    return out
