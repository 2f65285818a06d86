"""How hard ice is under a blade that presses it: pressed ice is softer the longer it is pressed."""

from __future__ import annotations

from bladelab._errors import InputError
from bladelab._types import Numbers
from bladelab.physics.ice import Ice
from bladelab.physics.stance import Stance


def pressing(ice: Ice, stance: Stance, gliding: bool) -> tuple[Numbers, Numbers]:
    """Return the hardness, MPa, and how it falls with the length of the contact.

    The hardness under a contact of length l in mm is the first number times l to the power of minus the
    second, which is 0 unless pressed ice meets a gliding blade.

    Raises
    ------
    InputError
        If the ice is pressed and the stance doesn't say for how long.
    """
    if not ice.is_pressed:
        return ice.drop_hardness_MPa, 0.0
    if not gliding:
        if stance.standing_s is None:
            raise InputError(
                "standing_s is None; a blade at rest on pressed ice needs the time it has pressed, 0.0001 to "
                "10000 s"
            )
        return ice.pressed_hardness_MPa(stance.standing_s), 0.0
    if stance.speed_m_s is None:
        raise InputError("speed_m_s is None; a blade gliding on pressed ice needs its speed, 0.2 to 30 m/s")
    return ice.pressed_hardness_MPa(0.001 / stance.speed_m_s), ice.rate_exponent
