"""Balance: how the boot tips as the weight moves and from blade to blade, and where zones end."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from bladelab._checks import number, takes
from bladelab._errors import InputError
from bladelab._types import Array, OneOrMany
from bladelab._values import by_value
from bladelab.physics.contact import Contact, ContactCase, all_solved, solve_contact, solve_contacts
from bladelab.physics.ice import Ice
from bladelab.physics.stance import Stance
from bladelab.shape.blade import Blade


@takes(blade=Blade, stance=Stance, ice=Ice, gliding=bool)
def rock_deg(blade: Blade, stance: Stance, ice: Ice, gliding: bool = False) -> OneOrMany:
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

    Examples
    --------
    >>> from bladelab import Blade, Hollow, Ice, Rocker, Stance
    >>> blade = Blade(Rocker.single(3048.0, 280.0), Hollow(12.7, 3.0))
    >>> print(f"{rock_deg(blade, Stance(736.0), Ice()):.3f} deg")
    0.188 deg
    """
    return solve_contact(blade, stance, ice, gliding).rock_deg


@by_value
@dataclass(frozen=True, eq=False)
class BootTip:
    """How the boot sits on the trial blade against the present one; numbers or arrays.

    Attributes
    ----------
    present_deg, trial_deg : float or array
        Pitch on each blade, degrees; positive when the boot tips forward.
    boot_length_mm : float
        Length over which a lift is counted, mm.
    """

    present_deg: OneOrMany
    trial_deg: OneOrMany
    boot_length_mm: float

    @property
    def change_deg(self) -> OneOrMany:
        """Trial minus present, degrees: positive when the trial blade tips the boot further forward."""
        return self.trial_deg - self.present_deg

    @property
    def heel_lift_mm(self) -> OneOrMany:
        """How much the heel rises against the toe over the boot's length, mm; negative when the toe rises."""
        return self.boot_length_mm * np.sin(np.radians(self.change_deg))

    @property
    def sentence(self) -> str:
        """Put one stance in words."""
        change, lift = float(self.change_deg), float(self.heel_lift_mm)
        if abs(lift) < 0.05:
            return "The boot sits the same on both blades."
        way, end = ("forward", "heel") if change > 0 else ("back", "toe")
        return (
            f"On the trial blade the boot tips {abs(change):.2f}° further {way}, like a lift of "
            f"{abs(lift):.1f} mm under the {end}."
        )


@takes(present=Blade, trial=Blade, stance=Stance, ice=Ice, gliding=bool)
def boot_tip(
    present: Blade,
    trial: Blade,
    stance: Stance,
    ice: Ice,
    boot_length_mm: float = 290.0,
    gliding: bool = False,
) -> BootTip:
    """Compare how the boot sits on two blades in the same stance.

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

    Examples
    --------
    >>> from bladelab import Blade, Hollow, Ice, Rocker, Stance
    >>> present, trial = (Blade(Rocker.single(3048.0, 280.0, x), Hollow(12.7, 3.0)) for x in (0.0, 10.0))
    >>> print(boot_tip(present, trial, Stance(736.0), Ice()).sentence)
    On the trial blade the boot tips 0.19° further back, like a lift of 1.0 mm under the toe.
    """
    length = number("boot_length_mm", boot_length_mm, "mm", 100.0, 400.0)
    pitch = [solve_contact(blade, stance, ice, gliding).pitch_deg for blade in (present, trial)]
    return BootTip(pitch[0], pitch[1], length)


@by_value
@dataclass(frozen=True, eq=False)
class ZoneReach:
    """Where the load may sit so that the contact lies wholly on one zone; arrays (zones,), heel to toe.

    Attributes
    ----------
    low_mm, high_mm : array, shape (zones,)
        From here to there, mm from mid-length; NaN where the contact is longer than the zone, so that no
        place does.
    shift_back_mm, shift_forward_mm : array, shape (zones,)
        How far the weight of the stance may shift before the contact leaves the zone, mm; NaN on zones
        that the contact does not lie wholly on.
    """

    low_mm: OneOrMany
    high_mm: OneOrMany
    shift_back_mm: OneOrMany
    shift_forward_mm: OneOrMany

    @property
    def zone(self) -> int | None:
        """Index, from the heel, of the zone the contact lies wholly on; None if it lies across a junction."""
        found = np.nonzero(~np.isnan(self.shift_back_mm))[0]
        return int(found[0]) if len(found) else None


@takes(blade=Blade, stance=Stance, ice=Ice, gliding=bool)
def zone_reach(blade: Blade, stance: Stance, ice: Ice, gliding: bool = False) -> ZoneReach:
    """Find the weight shift at which the contact leaves each zone.

    Definition
    ----------
    On each zone, the places of the load at which the contact's heel end is on the heel-side junction and
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

    Examples
    --------
    >>> from bladelab import Blade, Hollow, Ice, Rocker, Stance, Zone
    >>> rocker = Rocker((Zone(2700.0, 140.0), Zone(3300.0, 140.0)))
    >>> reach = zone_reach(Blade(rocker, Hollow(12.7, 3.0)), Stance(736.0, position_mm=-40.0), Ice())
    >>> reach.zone
    0
    >>> print(f"{float(reach.shift_forward_mm[0]):.1f} mm")
    20.2 mm
    """
    if stance.shape:
        raise InputError(f"zone_reach takes one stance; it was given an array of shape {stance.shape}")
    along = replace(stance, position_mm=places_along(blade))
    # The stance itself goes with them: one that can't be solved says why.
    contact, _ = all_solved(solve_contacts([(blade, along, ice, gliding), (blade, stance, ice, gliding)]))
    return zone_reaches([contact], stance.position_mm)[0]


def places_along(blade: Blade) -> Array:
    """Return places of the load all along the runner, 6 mm apart: as close as `zone_reaches` needs them."""
    half = blade.rocker.length_mm / 2
    return np.linspace(-half + 2, half - 2, int(half / 3) + 1)


def zone_reaches(
    contacts: Sequence[Contact],
    position_mm: float,
    solve: Callable[[Sequence[ContactCase]], list[Contact]] = solve_contacts,
) -> list[ZoneReach]:
    """Return the `zone_reach` of several blades from the contact of each at its `places_along`; `solve` may
    be a `solve_contacts` that remembers."""
    pairs = [_near_borders(contact) for contact in contacts]
    close = solve(
        [
            (c.blade, replace(c.stance, position_mm=pair), c.ice, c.gliding)
            for c, pair in zip(contacts, pairs, strict=True)
        ]
    )
    found = []
    for (one, other), contact in zip(pairs, close, strict=True):
        first, last = _through(one, other, *_past_borders(contact)).reshape(2, -1)
        possible = last > first
        first, last = np.where(possible, first, np.nan), np.where(possible, last, np.nan)
        back, forward = position_mm - first, last - position_mm
        on = (back >= 0) & (forward >= 0)
        found.append(ZoneReach(first, last, np.where(on, back, np.nan), np.where(on, forward, np.nan)))
    return found


def _past_borders(contact: Contact) -> Array:
    """How far toeward of its border each end of the contact lies, mm; (..., 2 zones).

    First the heel end against the heel-side border of every zone, then the toe end against the toe-side one.
    """
    rocker, n = contact.blade.rocker, len(contact.blade.rocker.zones)
    edges = np.array([-rocker.length_mm / 2, *rocker.junctions_mm, rocker.length_mm / 2])
    past = [contact.heel_end_mm[..., :n] - edges[:-1], contact.toe_end_mm[..., -n:] - edges[1:]]
    return np.concatenate(past, axis=-1)


def _near_borders(contact: Contact) -> Array:
    """Two places of the load close to where each end meets its border, (2, 2 zones); from places along."""
    place = np.asarray(contact.stance.position_mm)
    along = replace(contact, heel_end_mm=contact.heel_end_mm[:, None], toe_end_mm=contact.toe_end_mm[:, None])
    past = _past_borders(along)
    columns = np.arange(past.shape[1])
    toe = columns >= past.shape[1] // 2
    # At an end of the runner the contact's end stays where it is: the two places, and the line through them,
    # keep to the side where it still moves.
    before = np.where(np.isnan(past), place[:, None] < 0, np.where(toe, past < -1e-9, past <= 1e-9))
    k = np.clip(before.sum(axis=0), 1, len(place) - 1)
    stays = (columns == 0) | (columns == past.shape[1] - 1)
    one = np.clip(np.where(stays, np.where(toe, k - 2, k), k - 1), 0, len(place) - 2)
    x, f = place[[one, one + 1]], past[[one, one + 1], columns]
    guess = np.clip(np.nan_to_num(_through(*x, *f), nan=0.0), place[0], place[-1])
    return guess + np.where(stays, np.where(toe, -1.0, 1.0) * [[0.3], [0.1]], [[-0.1], [0.1]])


def _through(x0: Array, x1: Array, f0: Array, f1: Array) -> Array:
    """Where the line through two points crosses 0."""
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.where(f0 == f1, (x0 + x1) / 2, x0 - f0 * (x1 - x0) / (f1 - f0))
