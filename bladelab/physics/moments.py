"""Moments: named stances, so that a coach can pick "tight turn" instead of three numbers."""

from __future__ import annotations

from dataclasses import dataclass

from bladelab._checks import number
from bladelab.physics.ice import GRAVITY_M_S2
from bladelab.physics.stance import Stance


@dataclass(frozen=True)
class Moment:
    """A named stance on one blade.

    Parameters
    ----------
    name : str
        As shown to people, such as "tight turn".
    load_share : float
        Vertical load on this blade as a share of the skater's weight.
    position_mm : float
        Where the load sits, mm from mid-length, toe positive.
    lean_deg : float
        Lean of the blade, degrees.
    gliding : bool
        Whether the blade runs along its groove (only the stretch from the deepest point forward bears) or
        presses at rest.
    why : str
        The reasoning behind the numbers.
    pressed_s : float
        How long the blade presses, s, if it doesn't glide; only pressed ice depends on it.

    Examples
    --------
    >>> Moment("easy turn", 0.6, 0.0, 20.0, True, "round numbers for an example").stance(75.0).lean_deg
    20.0
    """

    name: str
    load_share: float
    position_mm: float
    lean_deg: float
    gliding: bool
    why: str
    pressed_s: float = 1.0

    def stance(self, mass_kg: float, speed_m_s: float | None = None) -> Stance:
        """Return the stance of a skater of this mass, kg, above 0 and at most 200; gliding, at this speed."""
        mass = number("mass_kg", mass_kg, "kg", 0.0, 200.0, low_open=True)
        load = mass * GRAVITY_M_S2 * self.load_share
        how = {"speed_m_s": speed_m_s} if self.gliding else {"standing_s": self.pressed_s}
        return Stance(load, self.position_mm, self.lean_deg, **how)


# Our own assumptions, round numbers by reasoning; nobody measured them for this project.
MOMENTS: tuple[Moment, ...] = (
    Moment(
        "standing on both skates", 0.5, 0.0, 0.0, False, "half the weight on each upright blade, at rest", 2.0
    ),
    Moment("one-foot glide", 1.0, 0.0, 0.0, True, "all the weight on one upright blade that runs straight"),
    Moment(
        "stride push",
        1.3,
        15.0,
        35.0,
        False,
        "a push presses harder than the weight, ahead of mid-length, on a leaned edge",
        0.3,
    ),
    Moment("quick start", 1.2, 60.0, 30.0, False, "the first steps press near the toe on a leaned edge", 0.1),
    Moment(
        "wide turn",
        0.5,
        0.0,
        25.0,
        True,
        "both skates share the weight, leaned as at about 6 m/s on an 8 m turn",
    ),
    Moment(
        "tight turn",
        0.7,
        -10.0,
        45.0,
        True,
        "the inside edges lean far, one skate carries more, weight a little back",
    ),
)
