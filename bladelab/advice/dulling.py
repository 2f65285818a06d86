"""How dull an edge may be: at which edge radius a blade holds no more than asked for."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from bladelab._checks import takes
from bladelab._types import Array
from bladelab.physics.contact import solve_contact
from bladelab.physics.ice import Ice
from bladelab.physics.stance import Stance
from bladelab.shape.blade import Blade

#: The edges that are computed, mm, from sharp to dull; the hold is nearly straight in between. No published
#: edge radius is known to us: the range is ours.
EDGES_MM: Array = np.array([0.0, 0.0025, 0.005, 0.01, 0.015, 0.02, 0.03, 0.04, 0.05, 0.06, 0.075, 0.09, 0.1])
#: How round the dull edge of an example is, mm; our own choice.
DULL_MM = 0.02


@takes(blade=Blade, stance=Stance, ice=Ice, gliding=bool)
def hold_over_edges(blade: Blade, stance: Stance, ice: Ice, gliding: bool = False) -> Array:
    """Return the hold angle of a blade with each of the `EDGES_MM`, degrees.

    Parameters
    ----------
    blade : Blade
        Its own edges don't count.
    stance, ice, gliding
        As in `solve_contact`; one stance.

    Examples
    --------
    >>> from bladelab import Hollow, Rocker
    >>> blade = Blade(Rocker.single(3048.0, 280.0), Hollow(12.7, 2.9))
    >>> hold = hold_over_edges(blade, Stance(736.0, lean_deg=30.0), Ice())
    >>> print(f"{hold[0]:.1f} sharp, {hold[-1]:.1f} with edges of 0.1 mm")
    5.3 sharp, -7.6 with edges of 0.1 mm
    """
    dull = replace(blade, hollow=replace(blade.hollow, edge_radius_mm=EDGES_MM))
    hold: Array = solve_contact(dull, stance, ice, gliding).hold_deg
    return hold


def duller_than(hold_deg: Array, least_deg: float = 0.0, edges_mm: Array = EDGES_MM) -> float:
    """Return the edge radius, mm, beyond which a blade holds less than this; NaN if all the edges hold more.

    Parameters
    ----------
    hold_deg : array
        The hold with each of the edges, falling; as from `hold_over_edges`.

    Examples
    --------
    >>> from bladelab import Hollow, Rocker
    >>> blade = Blade(Rocker.single(3048.0, 280.0), Hollow(12.7, 2.9))
    >>> hold = hold_over_edges(blade, Stance(736.0, lean_deg=30.0), Ice())
    >>> print(f"the hold is gone at {duller_than(hold):.3f} mm")
    the hold is gone at 0.039 mm
    """
    if hold_deg[-1] >= least_deg:
        return float("nan")
    return float(np.interp(-least_deg, -hold_deg, edges_mm))
