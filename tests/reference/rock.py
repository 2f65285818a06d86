"""The rock by shifting the load and solving twice; the library takes it from the Jacobian instead."""

from __future__ import annotations

from dataclasses import replace

from bladelab import Blade, Ice, Stance, solve_contact

STEP_MM = 0.5


def rock_by_shifting(blade: Blade, stance: Stance, ice: Ice, gliding: bool = False) -> float:
    """Return the pitch change for 10 mm, degrees, by a central difference over 1 mm; one stance."""
    behind, ahead = (
        solve_contact(blade, replace(stance, position_mm=stance.position_mm + step), ice, gliding).pitch_deg
        for step in (-STEP_MM, STEP_MM)
    )
    return (ahead - behind) / (2 * STEP_MM) * 10.0
