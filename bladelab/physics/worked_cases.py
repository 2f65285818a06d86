"""Worked cases: contacts of a blade with a groove, to four digits, for testing a contact solver.

They come from a solver that shares no code with bladelab: it slices the blade and adds up the slices. For
contacts that can be worked out by hand see `bladelab.physics.reference`.

Examples
--------
>>> from bladelab import solve_contact
>>> for case in WORKED_CASES[:2]:
...     found = solve_contact(case.blade, case.stance, case.ice, case.gliding)
...     print(f"{case.length_mm} mm, found {found.length_mm:.1f} mm")
40.13 mm, found 40.1 mm
30.98 mm, found 31.0 mm
"""

from __future__ import annotations

from dataclasses import dataclass

from bladelab.physics.ice import GRAVITY_M_S2, Ice
from bladelab.physics.stance import Stance
from bladelab.shape.blade import Blade
from bladelab.shape.hollow import Hollow
from bladelab.shape.rocker import Rocker


@dataclass(frozen=True)
class WorkedCase:
    """One contact worked out by a solver that shares no code with bladelab.

    Attributes
    ----------
    blade : Blade
        On a rocker of one radius, 280 mm long.
    stance : Stance
    ice : Ice
    gliding : bool
        As in `solve_contact`.
    depth_mm, length_mm : float
        Greatest depth of the edge and length of the contact, mm.
    tolerance : float
        How closely the digits and the method of the source hold, relative.
    source : str
        Where the numbers come from.
    """

    blade: Blade
    stance: Stance
    ice: Ice
    gliding: bool
    depth_mm: float
    length_mm: float
    tolerance: float = 0.002
    source: str = "brute-force solver by slices, written apart from bladelab; computed for this project"


def _case(
    rocker_radius_mm: float,
    hollow_radius_mm: float,
    lean_deg: float,
    depth_mm: float,
    length_mm: float,
    gliding: bool = False,
    temperature_C: float = -53 / 6,
) -> WorkedCase:
    """Return a case of 75 kg over mid-length, on a runner 3 mm wide."""
    blade = Blade(Rocker.single(rocker_radius_mm, 280.0), Hollow(hollow_radius_mm, 3.0))
    stance = Stance(75 * GRAVITY_M_S2, 0.0, lean_deg)
    return WorkedCase(blade, stance, Ice(temperature_C), gliding, depth_mm, length_mm)


#: A load of 75 kg; at rest on ice of 20 MPa (-53/6 °C), and gliding at -5 °C.
WORKED_CASES: tuple[WorkedCase, ...] = (
    _case(3048.0, 12.7, 0.0, 0.0661, 40.13),
    _case(3048.0, 25.4, 0.0, 0.0394, 30.98),
    _case(3657.6, 12.7, 0.0, 0.0628, 42.87),
    _case(3048.0, 12.7, 30.0, 0.367, 101.65),
    _case(3657.6, 15.875, 30.0, 0.3389, 106.99),
    _case(3048.0, 12.7, 0.0, 0.0957, 24.16, gliding=True, temperature_C=-5.0),
)
