"""From blades, a skater and moments to numbers, in one call; the basis of all advice."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import fields, replace

import numpy as np

from bladelab._checks import number, takes
from bladelab._errors import InputError
from bladelab._types import Array
from bladelab.advice.quantities import QUANTITIES, Conditions, change, stance_of
from bladelab.physics.contact import ContactCase, solve_contacts
from bladelab.physics.glide import frictions_of_contacts, gliding_case
from bladelab.physics.ice import Ice
from bladelab.physics.over_ices import case_over_ices
from bladelab.physics.stance import Stance
from bladelab.physics.uncertainty import between, sample
from bladelab.shape.blade import Blade


@takes(blade=Blade, conditions=Conditions, want=[str])
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

    Examples
    --------
    >>> from bladelab import Blade, Conditions, Hollow, Rocker
    >>> blade = Blade(Rocker.single(3048.0, 280.0), Hollow(12.7, 3.0))
    >>> values = evaluate(blade, Conditions(75.0), ["rock", "bite"])
    >>> values["bite"].shape
    (6,)
    """
    return evaluate_and_draw_all([(blade, ())], conditions, want)[0][0]


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
    return evaluate_and_draw(blade, conditions, want, n, (seed,))[1]


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

    return evaluate_and_draw_all([(blade, tuple(seeds))], conditions, want, n)[0]


def evaluate_and_draw_all(
    cases: Sequence[tuple[Blade, Sequence[int]]],
    conditions: Conditions,
    want: Sequence[str] = tuple(QUANTITIES),
    n: int = 100,
    over_ices: bool = False,
) -> list[tuple[dict[str, Array], ...]]:
    """Compute what `evaluate_and_draw` returns of several blades, all in one call.

    Parameters
    ----------
    cases : sequence of (blade, seeds)
        A blade without seeds is evaluated only, and its hollow may hold arrays, as in `evaluate`.
    conditions, want, n
        As in `evaluate_and_draw`.
    over_ices : bool
        Whether to add, for each blade with seeds, a last dict: its friction as `OverIces` takes it, (rows,
        number of moments), or nothing if it isn't wanted.

    Returns
    -------
    list of tuple of dict of str to array
    """
    n = int(number("n", n, "draws", 8, 100_000))
    blades = []
    for blade, seeds in cases:
        hollow = blade.hollow
        if not seeds:  # its arrays come before the moments
            sizes = {f.name: np.asarray(getattr(hollow, f.name)) for f in fields(hollow)}
            hollow = replace(hollow, **{name: size[..., None] for name, size in sizes.items()})
        blades.append((Blade(blade.rocker, hollow), tuple(seeds)))
    found: list[tuple[dict[str, Array], ...]] = []
    solved, on_ices = _by_moment(blades, conditions, want, n, over_ices)
    for k, ((_, seeds), rows) in enumerate(zip(cases, solved, strict=True)):
        if not seeds:
            found.append((rows,))
            continue
        lots = [slice(1 + n * k, 1 + n * (k + 1)) for k in range(len(seeds))]
        draws = ({key: v[lot] for key, v in rows.items()} for lot in lots)
        last = [on_ices.get(k, {})] if over_ices else []
        found.append(({key: v[0] for key, v in rows.items()}, *draws, *last))
    return found


def _situation(stance: Stance, ice: Ice, n: int, seeds: Sequence[int]) -> tuple[Stance, Ice]:
    """Return what is believed and, below it, `n` draws for each seed; without seeds that alone."""
    if not seeds:
        return stance, ice
    lots = [sample(stance, ice, None, n, seed) for seed in seeds]
    believed = [np.full(stance.shape, value) for value in (ice.temperature_C, ice.hardness_factor)]
    return (
        replace(
            stance,
            load_N=np.vstack([stance.load_N, *(drawn.load_N for drawn, _ in lots)]),
            position_mm=np.vstack([stance.position_mm, *(drawn.position_mm for drawn, _ in lots)]),
        ),
        replace(
            ice,
            temperature_C=np.vstack([believed[0], *(drawn.temperature_C for _, drawn in lots)]),
            hardness_factor=np.vstack([believed[1], *(drawn.hardness_factor for _, drawn in lots)]),
        ),
    )


def _by_moment(
    blades: Sequence[tuple[Blade, tuple[int, ...]]],
    conditions: Conditions,
    want: Sequence[str],
    n: int,
    over_ices: bool,
) -> tuple[list[dict[str, Array]], dict[int, dict[str, Array]]]:
    """Compute quantities of several blades, each with draws for its seeds, and by the place of a blade its
    friction over the ices; moments in the last axis.

    One call solves every stance at rest and every glide.
    """
    if unknown := set(want) - set(QUANTITIES):
        raise InputError(f"no quantity is called {sorted(unknown)}; known are {', '.join(QUANTITIES)}")
    moments = conditions.moments
    # By kind: whether it glides, in which moments, and their stance.
    kinds, who = [], (conditions.mass_kg, conditions.speed_m_s)
    for gliding in (False, True):
        if chosen := [i for i, moment in enumerate(moments) if moment.gliding is gliding]:
            kinds.append((gliding, chosen, stance_of([moments[i] for i in chosen], *who)))
    asked: list[tuple[int, list[int]]] = []  # for which blade, in which moments
    cases: list[ContactCase] = []
    out = []
    for k, (blade, seeds) in enumerate(blades):
        rows = (1 + n * len(seeds),) if seeds else ()
        shape = np.broadcast_shapes(blade.hollow.shape, (*rows, len(moments)))
        out.append({key: np.full(shape, np.nan) for key in want})
        for gliding, chosen, stance in kinds:
            asked.append((k, chosen))
            cases.append((blade, *_situation(stance, conditions.ice, n, seeds), gliding))
    sliding = [(chosen, stance) for gliding, chosen, stance in kinds if gliding and "friction" in want]
    ranged = [(k, *rest) for k, (_, seeds) in enumerate(blades) for rest in sliding if seeds and over_ices]
    for k, _, stance in ranged:
        case = case_over_ices(blades[k][0], stance, conditions.ice, conditions.speed_m_s)
        cases.append(gliding_case(*case))
    contacts = solve_contacts(cases)
    gliding_ones = [contact for contact in contacts if contact.gliding and "friction" in want]
    speeds = [conditions.speed_m_s] * len(gliding_ones)
    frictions = iter(frictions_of_contacts(gliding_ones, speeds))
    for (k, chosen), contact in zip(asked, contacts, strict=False):  # those over the ices follow
        friction = next(frictions).total if contact.gliding and "friction" in want else np.nan
        leaned = np.asarray(contact.stance.lean_deg) > 0
        for key in want:
            if key == "friction":
                value = friction
            else:
                value = getattr(contact, _OF_CONTACT[key])
                if key in ("hold", "carve"):
                    value = np.where(leaned, value, np.nan)
            out[k][key][..., chosen] = value
    on_ices = {}
    for k, chosen, _ in ranged:
        total = np.asarray(next(frictions).total)
        on_ices[k] = {"friction": np.full((*total.shape[:-1], len(moments)), np.nan)}
        on_ices[k]["friction"][..., chosen] = total
    return out, on_ices


_OF_CONTACT = {
    "length": "length_mm",
    "bite": "depth_mm",
    "hold": "hold_deg",
    "yaw_hold": "yaw_hold_Nm",
    "carve": "carve_radius_m",
    "rock": "rock_deg",
    "pitch": "pitch_deg",
}


def day_to_day(
    blade: Blade, conditions: Conditions, want: Sequence[str] = tuple(QUANTITIES), n: int = 100
) -> dict[str, Array]:
    """Return the day-to-day variation of each quantity of one and the same blade.

    Definition
    ----------
    sqrt(2) times half the width between the 5th and the 95th percentile of `n` draws of ice, load and where
    the load sits: the spread between two independent days. A smaller change of the blade is lost in it.

    Returns
    -------
    dict of str to array
        Shape (number of moments,); per cent, for the pitch degrees. NaN where the quantity means nothing.
    """
    return spread_of_days(*evaluate_and_draw(blade, conditions, want, n))


def spread_of_days(today: dict[str, Array], days: dict[str, Array]) -> dict[str, Array]:
    """Return what `day_to_day` returns, from the values of today and draws of other days."""
    out = {}
    for key in today:
        of_days = change(today[key], days[key], key)
        low, high = between(of_days)
        out[key] = (high - low) / np.sqrt(2)
    return out
