"""The terms in which two blades are compared, and their values for one blade in every moment.

This is the one place that turns a blade, a skater and moments into numbers; all advice is based on it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from bladelab._checks import each, keep, keep_number, kind
from bladelab._errors import InputError
from bladelab._types import Numbers, OneOrMany
from bladelab.physics.ice import Ice
from bladelab.physics.moments import MOMENTS, Moment
from bladelab.physics.stance import Stance


@dataclass(frozen=True)
class Quantity:
    """One quantity that a skater would notice on the ice.

    Attributes
    ----------
    key : str
        Its name in tables: "bite".
    said : str
        Its name in a sentence.
    unit : str
    more, less : str
        What a skater would call more and less of it, with ``{}`` for how much: "bites {} deeper".
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
        Quantity("friction", "glide friction", "", "glides with {} more drag", "glides with {} less drag"),
        Quantity(
            "length", "contact length", "mm", "has {} more steel on the ice", "has {} less steel on the ice"
        ),
        Quantity("bite", "bite", "mm", "bites {} deeper", "bites {} shallower"),
        Quantity("hold", "hold angle", "deg", "slips out {} later", "slips out {} sooner"),
        Quantity("yaw_hold", "yaw hold", "N m", "is {} harder to spin out", "is {} easier to spin out"),
        Quantity("carve", "carve radius", "m", "turns {} wider", "turns {} tighter"),
        Quantity(
            "rock", "rock", "deg/10 mm", "is {} twitchier front to back", "is {} steadier front to back"
        ),
        Quantity("pitch", "pitch", "deg", "tips the boot {} forward", "tips the boot {} back", percent=False),
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
        For glide friction, m/s, 0.2 to 30; on pressed ice for every gliding moment.
    moments : sequence of Moment
        At least one.

    Raises
    ------
    ValueError
        If a number is out of range or there is no moment.

    Examples
    --------
    >>> Conditions(mass_kg=60.0).moments[1].name
    'one-foot glide'
    """

    mass_kg: float = 75.0
    ice: Ice = field(default_factory=Ice)
    speed_m_s: float = 6.0
    moments: tuple[Moment, ...] = MOMENTS

    def __post_init__(self) -> None:
        keep_number(self, mass_kg=("kg", 20.0, 200.0), speed_m_s=("m/s", 0.2, 30.0))
        kind("ice", self.ice, Ice)
        keep(self, moments=tuple(each("moments", self.moments, Moment)))
        if self.ice.shape:
            raise InputError(f"the ice holds an array of shape {self.ice.shape}; it must be one number")
        if not self.moments:
            raise InputError("moments is empty; it must hold at least one moment")


def stance_of(moments: Sequence[Moment], mass_kg: float, speed_m_s: float) -> Stance:
    """Return the stances of several moments as one `Stance` of arrays (n,): it says both how fast they glide
    and how long they press, whichever counts."""
    stances = [moment.stance(mass_kg) for moment in moments]
    load, place, lean = (
        np.array([getattr(s, name) for s in stances]) for name in ("load_N", "position_mm", "lean_deg")
    )
    return Stance(load, place, lean, speed_m_s, np.array([moment.pressed_s for moment in moments]))


def change(present: Numbers, trial: Numbers, key: str) -> OneOrMany:
    """Return trial minus present, in per cent of the size of the present; for the pitch, which may be 0, in
    degrees."""
    if not QUANTITIES[key].percent:
        return trial - present
    return 100 * (trial / present - 1) * np.sign(present)  # the hold of dull edges may be below 0
