"""Balance: how the boot tips as the weight moves and from blade to blade, and where zones end."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from bladelab._checks import number
from bladelab.physics.contact import Contact, Stance, solve_contact
from bladelab.physics.ice import Ice
from bladelab.physics.solver import Problem, rock
from bladelab.shape.blade import Blade

SHIFT_MM = 10.0
_GRID = 28  # to the third power: 0.01 mm on the longest runner


def rock_deg(blade: Blade, stance: Stance, ice: Ice, gliding: bool = False) -> Any:
    """Return how far the boot tips for a weight shift of 10 mm, degrees.

    Definition
    ----------
    d(pitch)/d(position) * 10 mm. On a single radius R it is close to 10 mm / R: 0.19 degrees on 10 ft.

    Parameters
    ----------
    blade, stance, ice, gliding
        As in `solve_contact`; arrays broadcast.

    Returns
    -------
    float or array

    Raises
    ------
    ValueError
        For one stance that can't be solved; inside an array such a stance gives NaN.
    """
    return rock_of(solve_contact(blade, stance, ice, gliding))


def rock_of(contact: Contact) -> Any:
    """Return the rock of a contact already solved, degrees for 10 mm; without solving it again.

    From the Jacobian of the balance: mostly within 1e-5 of a central difference of solved pitches, within
    0.1 % where the groove is just about to flood.
    """
    blade, stance, depth = contact.blade, contact.stance, np.asarray(contact.depth_mm)

    def flat(value: Any) -> Any:
        return np.broadcast_to(np.asarray(value, dtype=float), depth.shape).ravel()[solved]

    solved = ~np.isnan(depth.ravel())
    lean, t, place = (
        np.radians(flat(stance.lean_deg)),
        np.tan(np.radians(flat(contact.pitch_deg))),
        flat(stance.position_mm),
    )
    problem = Problem(
        blade.rocker.curve,
        contact.gliding,
        flat(blade.hollow.radius_mm),
        flat(blade.hollow.width_mm),
        flat(stance.load_N) / np.cos(lean) / flat(contact.ice.hardness_MPa),
        place,
        lean,
    )
    # The gap at the deepest point, and from there along the line to the load.
    deepest = flat(contact.deepest_mm)
    gap = flat(depth) * np.sqrt(1 + t * t) / np.cos(lean)
    height = blade.rocker.curve.height
    d = gap + height(deepest) + (place - deepest) * t - height(place)
    out = np.full(depth.size, np.nan)
    out[solved] = np.degrees(rock(problem, d, t) / (1 + t * t)) * SHIFT_MM
    return float(out[0]) if depth.ndim == 0 else out.reshape(depth.shape)


@dataclass(frozen=True)
class BootTip:
    """How the boot stands on the trial blade against the present one; numbers or arrays.

    present_deg, trial_deg : pitch on each blade, degrees, positive when the boot tips forward.
    boot_length_mm : length over which a lift is counted.
    """

    present_deg: Any
    trial_deg: Any
    boot_length_mm: float

    @property
    def change_deg(self) -> Any:
        """Trial less present, degrees: positive when the trial blade tips the boot further forward."""
        return self.trial_deg - self.present_deg

    @property
    def heel_lift_mm(self) -> Any:
        """How much the heel rises against the toe over the boot's length, mm; negative when the toe rises."""
        return self.boot_length_mm * np.sin(np.radians(self.change_deg))

    @property
    def sentence(self) -> str:
        """Say one stance in words."""
        change, lift = float(self.change_deg), float(self.heel_lift_mm)
        if abs(lift) < 0.05:
            return "The boot stands the same on both blades."
        way, end = ("forward", "heel") if change > 0 else ("back", "toe")
        return (
            f"On the trial blade the boot tips {abs(change):.2f}° further {way}, "
            f"like a lift of {abs(lift):.1f} mm under the {end}."
        )


def boot_tip(
    present: Blade,
    trial: Blade,
    stance: Stance,
    ice: Ice,
    boot_length_mm: float = 290.0,
    gliding: bool = False,
) -> BootTip:
    """Compare how the boot stands on two blades under the same stance.

    Parameters
    ----------
    present, trial : Blade
    stance, ice, gliding
        As in `solve_contact`; arrays broadcast.
    boot_length_mm : float
        Length from heel to toe over which a lift is counted, mm, 100 to 400.

    Returns
    -------
    BootTip

    Raises
    ------
    ValueError
        If the length is out of range or one stance can't be solved on one of the blades.
    """
    length = number("boot_length_mm", boot_length_mm, "mm", 100.0, 400.0)
    pitch = [solve_contact(blade, stance, ice, gliding).pitch_deg for blade in (present, trial)]
    return BootTip(pitch[0], pitch[1], length)


@dataclass(frozen=True)
class ZoneReach:
    """Where the load may sit so that the contact lies wholly on one zone; arrays (zones,), heel to toe.

    low_mm, high_mm : from here to there, mm from mid-length; NaN where the contact is longer than the zone,
    so that no place does.
    shift_back_mm, shift_forward_mm : how far the weight of the stance may shift before the contact leaves the
    zone; NaN on zones that the contact does not lie wholly on.
    """

    low_mm: Any
    high_mm: Any
    shift_back_mm: Any
    shift_forward_mm: Any

    @property
    def zone(self) -> int | None:
        """Index, from the heel, of the zone the contact lies wholly on; None if it lies across a junction."""
        found = np.nonzero(~np.isnan(self.shift_back_mm))[0]
        return int(found[0]) if len(found) else None


def zone_reach(blade: Blade, stance: Stance, ice: Ice, gliding: bool = False) -> ZoneReach:
    """Find the weight shift at which the contact leaves each zone.

    Definition
    ----------
    On each zone, the places of the load at which the contact's heel end stands on the heel-side junction and
    its toe end on the toe-side junction. At an end of the runner the zone ends where the contact reaches that
    end.

    Parameters
    ----------
    blade, stance, ice, gliding
        As in `solve_contact`; one stance on one ice.

    Returns
    -------
    ZoneReach
        Places to 0.01 mm.

    Raises
    ------
    ValueError
        If the stance is an array, or can't be solved.
    """
    if stance.shape:
        raise ValueError(f"zone_reach takes one stance; it was given an array of shape {stance.shape}")
    solve_contact(blade, stance, ice, gliding)  # one stance that can't be solved says why
    half = blade.rocker.length_mm / 2
    borders = np.array([-half, *blade.rocker.junctions_mm, half])

    def past(place: Any) -> Any:
        """Whether the heel end is past the heel-side border of each zone, and the toe end past the other.

        place and result are (2, zones, places): both ends in one call.
        """
        contact = solve_contact(blade, Stance(stance.load_N, place, stance.lean_deg), ice, gliding)
        unsolved = np.isnan(contact.depth_mm)  # too near an end of the runner: past everything at the toe
        heel, toe = contact.heel_end_mm[0], contact.toe_end_mm[1]
        reached = [heel > borders[:-1, None] + 1e-9, toe >= borders[1:, None] - 1e-9]
        return np.where(unsolved, place > 0, np.stack(reached))

    # The ends move toeward with the load: three grids, each inside one step of the last.
    low = np.full((2, len(blade.rocker.zones)), -half)
    step = 2 * half
    for _ in range(3):
        step /= _GRID
        places = low[..., None] + step * np.arange(1, _GRID + 1)
        low += step * np.minimum((~past(places)).sum(axis=-1), _GRID - 1)
    first, last = low + step / 2
    possible = last > first
    first, last = np.where(possible, first, np.nan), np.where(possible, last, np.nan)
    back, forward = stance.position_mm - first, last - stance.position_mm
    on = (back >= 0) & (forward >= 0)
    return ZoneReach(first, last, np.where(on, back, np.nan), np.where(on, forward, np.nan))
