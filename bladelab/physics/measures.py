"""The numbers of a contact, measured on the solved ice line: one place for how each is defined."""

from __future__ import annotations

from dataclasses import fields

import numpy as np

from bladelab._types import Array
from bladelab.physics.ice import GRAVITY_M_S2
from bladelab.physics.ice_line import IceLine, Sections, groove_of
from bladelab.physics.problem import Problem
from bladelab.physics.solver import Solution

RESULTS = (
    "depth_mm",
    "pitch_deg",
    "heel_end_mm",
    "toe_end_mm",
    "deepest_mm",
    "area_mm2",
    "hold_deg",
    "yaw_hold_Nm",
    "carve_radius_m",
    "balanced_speed_m_s",
    "rock_deg",
    "hardness_MPa",
    "force_error",
    "moment_error",
)
SHIFT_MM = 10.0  # the shift of the load that defines the rock
_POINTS, _WEIGHTS = np.polynomial.legendre.leggauss(4)


def contact_numbers(problem: Problem, solution: Solution, hardness: Array) -> Array:
    """Compute the numbers of the contact from the solved ice lines; rows ordered as `RESULTS`.

    Parameters
    ----------
    hardness : array (n,)
        Hardness of the ice, MPa; of ice that softens, that of a contact 1 mm long.
    """
    if not solution.found.all():
        rows = np.full((len(RESULTS), len(hardness)), np.nan)
        if (found := solution.found).any():
            solved = Solution(*(getattr(solution, f.name)[found] for f in fields(solution)))
            rows[:, found] = contact_numbers(problem.take(found), solved, hardness[found])
        return rows
    d, t = solution.d, solution.t
    groove = groove_of(problem)
    line = IceLine(problem, groove, d, t)
    s = Sections(problem, groove, line)
    curve, width = problem.curve, problem.width
    flood, flood_moment, flood_turn = line.flooded()

    area = s.sum(s.bearing) + width * flood
    moment = s.sum(s.bearing * s.arm) + width * flood_moment
    sideways = s.sum(groove.sideways(s.i, s.z, s.bearing))
    sideways = np.where(problem.lean > 0, sideways, 0.0)  # upright both edges cancel; rounding leaves a sign
    along = s.x - curve.left[s.k][:, None]
    kappa = curve.kappa[s.k][:, None] + curve.growth[s.k][:, None] * along
    mean_kappa = (s.sum(s.bearing * kappa) + width * flood_turn) / area

    toe = line.crossings[0, 0]
    heel = np.where(problem.gliding, line.deepest, line.crossings[-1, 0])
    needed = problem.needed(toe - heel)
    hardness = hardness * (problem.area / needed)
    with np.errstate(divide="ignore", over="ignore"):
        carve = 1 / (mean_kappa * np.sin(problem.lean)) / 1000
    return np.stack(
        [
            line.gap_there * line.upright,
            np.degrees(np.arctan(t)),
            heel,
            toe,
            line.deepest,
            area,
            np.degrees(np.arctan(sideways / area)),
            hardness * twist_mm3(line, heel, toe) / 1000,
            carve,
            np.sqrt(GRAVITY_M_S2 / (1000 * mean_kappa * np.cos(problem.lean))),
            np.degrees(solution.rock / (1 + t * t)) * SHIFT_MM,
            hardness,
            area / needed - 1,
            moment / (area * (toe - heel)),
        ]
    )


def twist_mm3(line: IceLine, heel: Array, toe: Array) -> Array:
    """Return the integral of depth times distance from the load, from `heel` to `toe`, mm3: what a pressure
    on the side of the blade gives against a twist."""
    # The arm changes sign at the load and the depth its polynomial at the rocker's breaks; in between, four
    # points integrate their product exactly.
    cuts = np.clip(np.vstack([line.curve.breaks[line.runner].T, line.place]), heel, toe)
    cuts.sort(axis=0)
    size = np.diff(cuts, axis=0)
    x = cuts[:-1] + size * (_POINTS[:, None, None] + 1) / 2
    moments = line.gap(x) * np.abs(x - line.place) * _WEIGHTS[:, None, None] / 2
    twist: Array = line.upright * (moments * size).sum(axis=(0, 1))
    return twist
