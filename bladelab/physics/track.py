"""The track that a gliding blade cuts: its walls hold the rear of the blade against a twist."""

from __future__ import annotations

import numpy as np

from bladelab._checks import as_rows, takes
from bladelab._errors import InputError
from bladelab._types import OneOrMany
from bladelab.physics.contact import Contact
from bladelab.physics.ice_line import groove_of, line_at
from bladelab.physics.measures import twist_mm3
from bladelab.physics.problem import Problem


@takes(contact=Contact)
def track_yaw_hold_Nm(contact: Contact) -> OneOrMany:
    """Return the yaw hold of a gliding blade with the walls of its own track, N m.

    Definition
    ----------
    p_H * integral of z |x - x_cp| dx over all that is below the surface of the ice: the stretch that bears,
    and behind the deepest point the stretch that stands in the track already cut, whose walls reach from the
    edge up to the surface. `Contact.yaw_hold_Nm` counts the first alone.

    Parameters
    ----------
    contact : Contact
        Gliding.

    Returns
    -------
    float or array
        NaN where the contact is not solved.

    Raises
    ------
    ValueError
        If the contact is at rest: then all that is in the ice bears, and is counted already.

    Notes
    -----
    The walls give way at the hardness, and are still as high as they were cut. It is about 4.6 times
    `Contact.yaw_hold_Nm` at any lean: the rear stretch is as long as the front and has the longer arm. Advice
    and scorecards compare blades by `Contact.yaw_hold_Nm`. Between two hockey blades both differ by the same
    per cent, within 2: which one is taken does not matter, as long as it is the same on both.

    Examples
    --------
    >>> from bladelab import Blade, Hollow, Ice, Rocker, Stance, solve_contact
    >>> blade = Blade(Rocker.single(3048.0, 280.0), Hollow(12.7, 2.9))
    >>> contact = solve_contact(blade, Stance(515.0, lean_deg=45.0), Ice(), gliding=True)
    >>> print(f"{contact.yaw_hold_Nm:.1f} N m, with its track {track_yaw_hold_Nm(contact):.1f} N m")
    8.6 N m, with its track 39.7 N m
    """
    if not contact.gliding:
        raise InputError("gliding is False for this contact; at rest it stands in no track")
    stance, hollow = contact.stance, contact.blade.hollow
    shape, rows = as_rows(
        {
            "position_mm": stance.position_mm,
            "lean_deg": stance.lean_deg,
            "radius_mm": hollow.radius_mm,
            "width_mm": hollow.width_mm,
            "area_mm2": contact.area_mm2,
            "hardness_MPa": contact.hardness_MPa,
            "depth_mm": contact.depth_mm,
            "pitch_deg": contact.pitch_deg,
        }
    )
    good = ~np.isnan(rows[6])
    place, lean_deg, radius, width, area, hardness, depth, pitch_deg = rows[:, good]
    rest = np.zeros(len(place), dtype=np.intp)
    curve = contact.blade.rocker.curve
    lean = np.radians(lean_deg)
    none = np.zeros_like(
        place
    )  # how deep the track is, and how long, says nothing of softening or dull edges
    problem = Problem(curve, rest, rest > 0, radius, width, area, place, lean, none, none)
    line = line_at(problem, groove_of(problem), depth, np.tan(np.radians(pitch_deg)))
    hold = np.full(len(good), np.nan)
    hold[good] = hardness * twist_mm3(line, line.crossings[1, 0], line.crossings[0, 0]) / 1000
    return float(hold[0]) if shape == () else hold.reshape(shape)
