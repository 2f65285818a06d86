"""Glide: what slows a blade that runs along its groove, and how far it glides out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise

import numpy as np

from bladelab._checks import as_rows, numbers, takes
from bladelab._errors import InputError
from bladelab._types import Array, Numbers, OneOrMany, Places
from bladelab._values import by_value
from bladelab.physics.contact import Contact, ContactCase, all_solved, solve_contacts
from bladelab.physics.film import FilmStretch, march_film, packed
from bladelab.physics.film_terms import PLAIN, FilmTerms
from bladelab.physics.ice import Ice
from bladelab.physics.ice_line import Groove, groove_of, line_at
from bladelab.physics.problem import Problem, in_kinds
from bladelab.physics.stance import FASTEST_M_S, SLOWEST_M_S, Stance
from bladelab.shape.blade import Blade
from bladelab.shape.curve import Curve

# Cells on each stretch of the contact, packed toward its ends, where the contact width may grow like a root.
_PLACES = packed(12)[:, None]


@by_value
@dataclass(frozen=True, eq=False)
class Friction:
    """What slows the gliding blade.

    Every number has the broadcast shape; NaN where the contact's `reason` says why.

    Attributes
    ----------
    contact : Contact
        The contact, gliding.
    speed_m_s : float or array
        Speed along the blade, m/s.
    plough : float or array
        Friction coefficient of ploughing: force to press the groove into the ice, over the load.
    film : float or array
        Friction coefficient of the melt film: force to shear it, over the load.
    film_thickness_um : float or array
        Mean thickness of the melt film over the contact, weighted by contact width, micrometres.

    Examples
    --------
    >>> from bladelab import Blade, Hollow, Ice, Rocker, Stance, solve_friction
    >>> blade = Blade(Rocker.single(3048.0, 280.0), Hollow(12.7, 3.0))
    >>> friction = solve_friction(blade, Stance(736.0), Ice(-5.0), speed_m_s=6.0)
    >>> print(f"{friction.plough:.5f} + {friction.film:.5f} = {friction.total:.5f}")
    0.00263 + 0.00199 = 0.00462
    """

    contact: Contact = field(repr=False)
    speed_m_s: OneOrMany
    plough: OneOrMany
    film: OneOrMany
    film_thickness_um: OneOrMany

    @property
    def total(self) -> OneOrMany:
        """Friction coefficient: ploughing and film together."""
        return self.plough + self.film

    @property
    def force_N(self) -> OneOrMany:
        """Friction force, N."""
        return self.total * self.contact.stance.load_N


FrictionCase = tuple[Blade, Stance, Ice, Numbers]


@takes(blade=Blade, stance=Stance, ice=Ice, terms=FilmTerms)
def solve_friction(
    blade: Blade, stance: Stance, ice: Ice, speed_m_s: Numbers, terms: FilmTerms = PLAIN
) -> Friction:
    """Find the friction coefficient of a gliding blade.

    Definition
    ----------
    Ploughing force = hardness * cross-section of the groove pressed at the deepest point. The melt film, from
    front to back and per edge strip of width b_e: V dh/ds = (eta V^2/h - q)/(rho L) - h^3 p_H/(eta b_e^2),
    with the heat drawn into the ice q = k (0 - T)/sqrt(pi a s/V); film force = integral of eta V b / h ds.
    Both divided by the load.

    Parameters
    ----------
    blade, stance, ice
        As in `solve_contact`; arrays broadcast.
    speed_m_s : float or array
        Speed along the blade, m/s, 0.2 to 30; broadcasts with the rest. It takes the place of the stance's
        own, on pressed ice too.
    terms : FilmTerms
        What the film takes into account besides; nothing by default.

    Returns
    -------
    Friction

    Raises
    ------
    ValueError
        If the speed is out of range, the shapes do not broadcast, or one stance can't be solved (see
        `solve_contact`).

    Notes
    -----
    First principles: no constant is fitted. With the hardness that a dropped ball finds, the default, it
    computes two thirds of what was measured; on pressed ice (`Ice.pressed`) both measured coefficients, with
    a range from two thirds to a seventh above them that the choice of ball, exponent and age leaves open. Use
    it for differences between blades. Below about 0.2 m/s the film model fails: it would melt ice without end
    at no speed. Not in it: drag on the side of the blade, rough or dirty ice, air, and, unless `terms` say
    so, the density of the film's water, pressure melting and heat drawn into the steel. Film after Lozowski &
    Szilder 2013 and van Leeuwen 2017.

    Examples
    --------
    >>> from bladelab import Hollow, Rocker
    >>> friction = solve_friction(Blade(Rocker.single(3048, 280), Hollow(12.7, 3.0)), Stance(736), Ice(), 6.0)
    >>> round(friction.total, 4)
    0.0046
    """
    friction = solve_frictions([(blade, stance, ice, speed_m_s)], terms)[0]
    all_solved([friction.contact])
    return friction


def solve_frictions(cases: Sequence[FrictionCase], terms: FilmTerms = PLAIN) -> list[Friction]:
    """Find the friction of several blades in one call; it takes little longer than a single one.

    Parameters
    ----------
    cases : sequence of (blade, stance, ice, speed_m_s)
        For each, the arguments of `solve_friction`.
    terms : FilmTerms
        For all of them.

    Returns
    -------
    list of Friction
        Of a stance that can't be solved NaN; the `reason` of its contact says why.

    Raises
    ------
    ValueError
        If a speed is out of range or the shapes do not broadcast.
    """
    contacts = solve_contacts([gliding_case(*case) for case in cases])
    return frictions_of_contacts(contacts, [speed for *_, speed in cases], terms)


def gliding_case(blade: Blade, stance: Stance, ice: Ice, speed_m_s: Numbers) -> ContactCase:
    """Return the contact on which a friction rests: only on pressed ice it depends on the speed."""
    if ice.is_pressed:
        stance = replace(stance, speed_m_s=numbers("speed_m_s", speed_m_s, "m/s", SLOWEST_M_S, FASTEST_M_S))
    return blade, stance, ice, True


def frictions_of_contacts(
    contacts: Sequence[Contact], speeds_m_s: Sequence[Numbers], terms: FilmTerms = PLAIN
) -> list[Friction]:
    """Find the friction where the contacts, gliding, are solved already, at a speed for each (m/s, or arrays
    that broadcast with it).

    Raises
    ------
    ValueError
        If a contact is one at rest, or on pressed ice at another speed, a speed is out of range or the shapes
        do not broadcast.
    """
    if not contacts:
        return []
    if not all(contact.gliding for contact in contacts):
        raise InputError("gliding is False for one of the contacts; friction is found for gliding ones")
    speeds = [numbers("speed_m_s", speed, "m/s", SLOWEST_M_S, FASTEST_M_S) for speed in speeds_m_s]
    for contact, speed in zip(contacts, speeds, strict=True):
        if contact.ice.is_pressed and np.any(np.asarray(contact.stance.speed_m_s) != speed):
            raise InputError(
                f"speed_m_s is {speed}; on pressed ice it must be that of the contact, "
                f"{contact.stance.speed_m_s} m/s"
            )
    shapes, rows = zip(*map(_flat, contacts, speeds), strict=True)
    sizes = [len(row[0]) for row in rows]
    runner = np.repeat(np.arange(len(contacts)), sizes)
    whole = np.concatenate(rows, axis=1)
    good = np.nonzero(~np.isnan(whole[7]))[0]  # the depth: NaN where no contact was found
    curve = Curve.joined([contact.blade.rocker.curve for contact in contacts])
    columns = np.full((3, whole.shape[1]), np.nan)
    for kind in in_kinds(whole[5], good, max(len(good), 1)):
        columns[:, kind] = _coefficients(curve, runner[kind], whole[:, kind], terms)
    found = []
    parts = np.split(columns, np.cumsum(sizes)[:-1], axis=1)
    for contact, speed, shape, part in zip(contacts, speeds, shapes, parts, strict=True):
        found.append(
            Friction(contact, speed, *(float(c[0]) if shape == () else c.reshape(shape) for c in part))
        )
    return found


def _coefficients(curve: Curve, runner: Places, rows: Array, terms: FilmTerms) -> Array:
    """Return plough, film and film thickness (um), (3, n), of rows as from `_flat`, (14, n)."""
    load, place, lean_deg, radius, width, edge, hardness, depth, pitch_deg, v, eta, cold, k, a = rows
    lean, slope = np.radians(lean_deg), np.tan(np.radians(pitch_deg))
    glides, area = np.ones(len(load), dtype=bool), load / np.cos(lean) / hardness
    problem = Problem(curve, runner, glides, radius, width, area, place, lean, np.zeros_like(area), edge)
    melt = terms.melt_J_m3
    cooling = k * np.maximum(terms.film_C(hardness) - cold, 0.0) * np.sqrt(v / (np.pi * a))
    groove = groove_of(problem)
    film = march_film(
        _stretches(problem, groove, depth, slope),
        heating=2 * eta * v / melt,
        cooling=2 * cooling / (melt * v),
        squeeze=2 * hardness * 1e6 / (eta * v),
        steel=2 * terms.steel_W_m2 / (melt * v),
    )
    return np.stack(
        [
            hardness * groove.section(depth) / load,
            eta * v * film.width_over_thickness_m / load,
            film.mean_thickness_m * 1e6,
        ]
    )


def _flat(contact: Contact, speed: Numbers) -> tuple[tuple[int, ...], Array]:
    """Return the broadcast shape of contact and speed, and what the friction needs of them, (14, n)."""
    ice, stance, hollow = contact.ice, contact.stance, contact.blade.hollow
    return as_rows(
        {
            "load_N": stance.load_N,
            "position_mm": stance.position_mm,
            "lean_deg": stance.lean_deg,
            "radius_mm": hollow.radius_mm,
            "width_mm": hollow.width_mm,
            "edge_radius_mm": hollow.edge_radius_mm,
            "hardness_MPa": contact.hardness_MPa,
            "depth_mm": contact.depth_mm,
            "pitch_deg": contact.pitch_deg,
            "speed_m_s": speed,
            "film_viscosity_Pa_s": ice.film_viscosity_Pa_s,
            "temperature_C": ice.temperature_C,
            "conductivity_W_mK": ice.conductivity_W_mK,
            "diffusivity_m2_s": ice.diffusivity_m2_s,
        }
    )


def _stretches(problem: Problem, groove: Groove, depth: Array, slope: Array) -> list[FilmStretch]:
    """Cut the contact, from the front, at the levels of the groove: where the far edge touches, where the
    groove floods; in m."""
    line = line_at(problem, groove, depth, slope)
    deepest, tip = line.deepest, line.crossings[0, 0]
    stretches = []
    for strips, (front, back) in zip(groove.strips, pairwise([*line.crossings[0], deepest]), strict=True):
        if np.any(front > back):
            x = front + (np.minimum(back, front) - front) * _PLACES
            bearing = groove.bearing(line.gap(x) * line.upright) / 1000
            stretches.append(FilmStretch((tip - x) / 1000, bearing, strips))
    return stretches
