"""The friction that the model gives the blades of a glide-out."""

from __future__ import annotations

from dataclasses import dataclass
from types import SimpleNamespace

import numpy as np

from bladelab.physics.ice import GRAVITY_M_S2
from bladelab.physics.possible_ices import Span, all_possible
from bladelab.physics.solving import frictions_of
from bladelab.physics.stance import Stance
from bladelab.show.controls import blade as controls


@dataclass(frozen=True)
class ComputedFriction:
    """The friction of one blade, as a share of the load.

    Attributes
    ----------
    mu : float
        On the ice of the sliders.
    span : Span
        Over the ices held possible.
    """

    mu: float
    span: Span


def computed_frictions(state: SimpleNamespace, speed_m_s: float) -> tuple[list[ComputedFriction], Span]:
    """Compute the friction of the present blade and the trial at a speed, the weight even on all feet that
    glide.

    Parameters
    ----------
    state : SimpleNamespace
        The dials of the panel: blades, mass in kg, ice, and how many feet glide.
    speed_m_s : float

    Returns
    -------
    list of ComputedFriction
        Of the present blade and of the trial.
    Span
        How much more friction the trial has, per cent.
    """
    # All the weight on one foot, or half of it on each.
    stance, ice = Stance(state.mass_kg * GRAVITY_M_S2 / state.feet), controls.ice_of(state)
    blades = list(controls.both_blades(state).values())
    ices = all_possible(float(ice.temperature_C), float(ice.hardness_factor))
    solved = frictions_of([(blade, stance, one, speed_m_s) for one in (ice, ices) for blade in blades])
    present, trial = (np.asarray(one.total) for one in solved[2:])
    found = [
        ComputedFriction(float(one.total), Span.of(values))
        for one, values in zip(solved[:2], (present, trial), strict=True)
    ]
    return found, Span.of(100 * (trial / present - 1))
