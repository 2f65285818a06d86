"""How a blade meets the ice: depth, pitch, length, area, hold and turn for a stance."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from bladelab._checks import as_rows, takes
from bladelab._errors import InputError
from bladelab._types import Array, Numbers, OneOrMany
from bladelab._values import by_value
from bladelab.physics.bracketing import balanced_numbers
from bladelab.physics.ice import Ice
from bladelab.physics.measures import RESULTS
from bladelab.physics.pressing import pressing
from bladelab.physics.problem import Problem, in_kinds
from bladelab.physics.stance import Stance
from bladelab.physics.unsolvable import refusals, why_unsolved
from bladelab.shape.blade import Blade
from bladelab.shape.curve import Curve
from bladelab.shape.dull import DullGroove, Footprint
from bladelab.shape.hollow import wetted
from bladelab.shape.rocker import Rocker

_BLOCK = 1024  # stances at a time: the working arrays stay in the processor's cache


@by_value
@dataclass(frozen=True, eq=False)
class Contact:
    """The solved contact of a blade with the ice.

    Every number has the broadcast shape of the stance; it is NaN where `reason` says why.

    Attributes
    ----------
    blade : Blade
    stance : Stance
    ice : Ice
        As they were given to `solve_contact`.
    gliding : bool
        False: at rest, all the steel in the ice bears. True: gliding, only the stretch from the deepest
        point forward bears.
    depth_mm : float or array
        Greatest vertical depth of the edge below the ice (edge bite depth), mm.
    pitch_deg : float or array
        Angle at which the blade settles, degrees; positive when the boot tips forward.
    heel_end_mm, toe_end_mm : float or array
        Ends of the bearing stretch along the runner, mm.
    deepest_mm : float or array
        Place of the deepest point, mm.
    area_mm2 : float or array
        Bearing area, mm2; area times hardness is load / cos(lean).
    hold_deg : float or array
        How far outside the blade's plane a push may point before the edge climbs out of its groove,
        degrees.
    yaw_hold_Nm : float or array
        Moment that resists spinning out, N m. Gliding, of the stretch that bears; with the walls of the track
        it has cut it is some 4.6 times as much: `bladelab.physics.track`.
    carve_radius_m : float or array
        Radius of the trace, m: 1 / (mean curvature over the contact times sin(lean)); infinite upright.
    balanced_speed_m_s : float or array
        Speed at which that turn and that lean balance, m/s: v^2 = g r tan(lean); upright, its limit.
    rock_deg : float or array
        How far the boot tips for a shift of the load of 10 mm, degrees. From the Jacobian of the balance:
        mostly within 1e-5 of a central difference of solved pitches, within 0.1 % where the groove is
        just about to flood.
    hardness_MPa : float or array
        Pressure under the steel, MPa: the ice's own or, on pressed ice, what comes of how long this contact
        presses.
    reaches_end : bool or array of bool
        True where the bearing stretch ends at an end of the runner; the model knows no steel beyond it.
    reason : str or array of str
        "" where solved, else a sentence.
    force_error, moment_error : float or array
        How far force and moment are from balance, relative.

    Examples
    --------
    >>> from bladelab import Blade, Hollow, Ice, Rocker, Stance, solve_contact
    >>> blade = Blade(Rocker.single(3048.0, 280.0), Hollow(12.7, 3.0))
    >>> contact = solve_contact(blade, Stance(736.0), Ice(-5.0), gliding=True)
    >>> print(f"{contact.length_mm:.1f} mm long, {contact.depth_mm:.3f} mm deep")
    24.2 mm long, 0.096 mm deep
    """

    blade: Blade = field(repr=False)
    stance: Stance = field(repr=False)
    ice: Ice = field(repr=False)
    gliding: bool
    depth_mm: OneOrMany
    pitch_deg: OneOrMany
    heel_end_mm: OneOrMany
    toe_end_mm: OneOrMany
    deepest_mm: OneOrMany
    area_mm2: OneOrMany
    hold_deg: OneOrMany
    yaw_hold_Nm: OneOrMany
    carve_radius_m: OneOrMany
    balanced_speed_m_s: OneOrMany
    rock_deg: OneOrMany
    hardness_MPa: OneOrMany
    reaches_end: OneOrMany
    reason: OneOrMany
    force_error: OneOrMany = field(repr=False)
    moment_error: OneOrMany = field(repr=False)

    @property
    def length_mm(self) -> OneOrMany:
        """Length of the bearing stretch, mm."""
        return self.toe_end_mm - self.heel_end_mm

    def tip_depth_mm(self, x_mm: Numbers) -> OneOrMany:
        """Return the vertical depth of the active edge below the ice at `x_mm`, mm; negative above the ice.

        For stances of shape S and `x_mm` of shape X the result has shape S + X. Gliding, the stretch behind
        the deepest point runs in ice already cut and bears nothing, whatever the depth.
        """
        x = np.asarray(x_mm, dtype=float)
        rocker, wide = self.blade.rocker, _beside(x)
        slope = np.tan(np.radians(wide(self.pitch_deg)))
        upright = np.cos(np.radians(wide(self.pitch_deg))) * np.cos(np.radians(wide(self.stance.lean_deg)))
        # From the deepest point down: the depth there is known, and the line falls away from it with the
        # pitch.
        drop = slope * (x - wide(self.deepest_mm)) - rocker.height_mm(x)
        at_deepest = np.where(np.isnan(self.deepest_mm), 0.0, self.deepest_mm)
        return wide(self.depth_mm) + (drop + wide(rocker.height_mm(at_deepest))) * upright

    def footprint_mm(self, x_mm: Numbers) -> Footprint:
        """Return where across the blade it bears at `x_mm`, mm: from `near_outer` to `near_inner` on the
        active edge and from `far_inner` to `far_outer` on the far edge.

        Shapes as in `tip_depth_mm`; outside the bearing stretch either pair is one place. Sharp edges bear
        right from the sides of the blade: `near_outer` is 0 and `far_outer` the width.
        """
        x = np.asarray(x_mm, dtype=float)
        z, wide = self.tip_depth_mm(x), _beside(x)
        inside = (x >= wide(self.heel_end_mm)) & (x <= wide(self.toe_end_mm))
        hollow = self.blade.hollow
        z, lean = np.where(inside, z, 0.0), np.radians(wide(self.stance.lean_deg))
        radius, width, edge = (wide(v) for v in (hollow.radius_mm, hollow.width_mm, hollow.edge_radius_mm))
        if edge.any():
            return DullGroove(lean, radius, width, edge).footprint(z)
        near, far = wetted(z, lean, radius, width)
        return Footprint(np.zeros_like(near), near, far, width + np.zeros_like(far))


def _beside(x: Array) -> Callable[[Numbers], OneOrMany]:
    """Return what lets the numbers of stances broadcast with places along the blade: S becomes S + 1s."""
    return lambda value: np.asarray(value)[(...,) + (None,) * x.ndim]


ContactCase = tuple[Blade, Stance, Ice, bool]


@takes(blade=Blade, stance=Stance, ice=Ice, gliding=bool)
def solve_contact(blade: Blade, stance: Stance, ice: Ice, gliding: bool = False) -> Contact:
    """Find how the blade settles in the ice under a load.

    Definition
    ----------
    Perfectly plastic ice: where steel presses, the pressure is the hardness p_H. With the load N vertical and
    the blade pressing along its own plane, N / cos(lean) = p_H * integral of the contact width along x, and
    the contact's centroid lies at the load. Pressed ice (`Ice.pressed`) softens with the time of the contact,
    gliding its length over the speed: hardness, depth and pitch are solved together.

    Parameters
    ----------
    blade : Blade
        Its hollow may hold arrays; they broadcast with the stance.
    stance : Stance
        One stance, or arrays of stances solved in one call. On pressed ice it needs `speed_m_s` if
        gliding, else `standing_s`.
    ice : Ice
        Its temperature may be an array too.
    gliding : bool
        False: at rest, all the steel in the ice bears. True: only the stretch from the deepest point forward
        bears.

    Returns
    -------
    Contact
        Every number with the broadcast shape.

    Raises
    ------
    ValueError
        For one stance that can't be solved: the load off the runner or too near its end, or a lean at which
        only the side wall would bear (lean plus edge angle of 90 degrees or more). Inside an array such a
        stance gives NaN and a `reason`. Also if the ice is pressed and the stance doesn't say for how long.

    Notes
    -----
    Force and moment balance to 1e-10 relative. Every number agrees with an independent solver to 1e-4.
    Validity: ice that flows at one pressure, no side wall, no friction in the balance, a rigid blade.

    Examples
    --------
    >>> from bladelab import Blade, Hollow, Ice, Rocker, Stance
    >>> blade = Blade(Rocker.single(3048.0, 280.0), Hollow(12.7, 3.0))
    >>> contact = solve_contact(blade, Stance(736.0, lean_deg=30.0), Ice(-5.0))
    >>> print(f"{contact.length_mm:.1f} mm long, {contact.depth_mm:.3f} mm deep")
    105.8 mm long, 0.398 mm deep
    >>> solve_contact(blade, Stance([400.0, 736.0]), Ice(-5.0)).depth_mm.shape
    (2,)
    """
    return all_solved(solve_contacts([(blade, stance, ice, gliding)]))[0]


def solve_contacts(cases: Sequence[ContactCase]) -> list[Contact]:
    """Solve several blades, at rest and gliding, in one call; it takes little longer than a single one.

    Parameters
    ----------
    cases : sequence of (blade, stance, ice, gliding)
        For each, the arguments of `solve_contact`.

    Returns
    -------
    list of Contact
        A stance that can't be solved gives NaN and a `reason`, a single one too.

    Raises
    ------
    ValueError
        If the shapes of a case do not broadcast, or pressed ice is not told how long it is pressed.
    """
    if not cases:
        return []
    shapes, rows = zip(*(as_rows(given_numbers(*case)) for case in cases), strict=True)
    sizes = [len(row[0]) for row in rows]
    load, place, lean_deg, radius, width, edge, hardness, softening = np.concatenate(rows, axis=1)
    rockers: dict[Rocker, int] = {}
    runner = np.repeat([rockers.setdefault(blade.rocker, len(rockers)) for blade, *_ in cases], sizes)
    gliding = np.repeat([bool(glides) for *_, glides in cases], sizes)
    lean = np.radians(lean_deg)
    area = load / np.cos(lean) / hardness
    curve = Curve.joined([rocker.curve for rocker in rockers])
    problem = Problem(curve, runner, gliding, radius, width, area, place, lean, softening, edge)
    reason = refusals(problem)
    chosen = np.nonzero(reason == "")[0]
    columns = np.full((len(RESULTS), len(load)), np.nan)
    for block in in_kinds(edge, chosen, _BLOCK):
        columns[:, block] = balanced_numbers(problem.take(block), hardness[block])
    for i in chosen[np.isnan(columns[0, chosen])]:
        reason[i] = why_unsolved(problem, i, float(load[i]))
    ends = np.cumsum(sizes)[:-1]
    split = zip(cases, shapes, np.split(columns, ends, axis=1), np.split(reason, ends), strict=True)
    return [_contact(case, shape, part, why) for case, shape, part, why in split]


def all_solved(contacts: Sequence[Contact]) -> Sequence[Contact]:
    """Return the contacts, or raise the `reason` if one is of a single stance that can't be solved."""
    for contact in contacts:
        if isinstance(contact.reason, str) and contact.reason:
            raise InputError(contact.reason)
    return contacts


def given_numbers(blade: Blade, stance: Stance, ice: Ice, gliding: bool) -> dict[str, Numbers]:
    """Return the numbers of a case that a solution depends on, the rocker aside, by name."""
    hardness, softening = pressing(ice, stance, gliding)
    return {
        "load_N": stance.load_N,
        "position_mm": stance.position_mm,
        "lean_deg": stance.lean_deg,
        "radius_mm": blade.hollow.radius_mm,
        "width_mm": blade.hollow.width_mm,
        "edge_radius_mm": blade.hollow.edge_radius_mm,
        "hardness_MPa": hardness,
        "softening": softening,
    }


def _contact(
    case: ContactCase, shape: tuple[int, ...], columns: Array, reason: NDArray[np.object_]
) -> Contact:
    blade, stance, ice, gliding = case
    results = {
        name: float(column[0]) if shape == () else column.reshape(shape)
        for name, column in zip(RESULTS, columns, strict=True)
    }
    half = blade.rocker.length_mm / 2
    reaches = (results["heel_end_mm"] <= -half + 1e-9) | (results["toe_end_mm"] >= half - 1e-9)
    return Contact(
        blade=blade,
        stance=stance,
        ice=ice,
        gliding=bool(gliding),
        reaches_end=bool(reaches) if shape == () else reaches,
        reason=str(reason[0]) if shape == () else reason.reshape(shape),
        **results,
    )
