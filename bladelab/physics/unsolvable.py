"""Why a stance can't be solved, in a sentence that says what to change."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from bladelab.physics.ice_line import groove_of
from bladelab.physics.problem import Problem
from bladelab.shape.dull import edge_angle


def refusals(problem: Problem) -> NDArray[np.object_]:
    """Say, stance by stance, why it can't be solved; "" where nothing rules it out."""
    reason = np.full(len(problem.place), "", dtype=object)
    edge = edge_angle(problem.radius, problem.width, problem.edge)
    for i in np.nonzero(problem.lean + edge >= np.pi / 2 - 1e-9)[0]:
        reason[i] = (
            f"lean_deg is {np.degrees(problem.lean[i]):g} deg; with this hollow only the side wall "
            f"would bear: it must be below {90 - np.degrees(edge[i]):.4g} deg"
        )
    # Even with the whole width bearing, the contact's centroid must fit between the load and the nearer end.
    half = problem.curve.toe[problem.runner]
    need = problem.least_length / 2
    for i in np.nonzero((need >= half - np.abs(problem.place)) & (reason == ""))[0]:
        reach = half[i] - need[i]
        reason[i] = (
            f"position_mm is {problem.place[i]:g} mm; to carry this load it must be within {reach:.4g} mm "
            "of mid-length"
            if reach > 0
            else f"the load is too great: it would sink the whole runner of {2 * half[i]:g} mm"
        )
    return reason


def why_unsolved(problem: Problem, i: int, load: float) -> str:
    """Say why no balance was found where nothing ruled it out beforehand."""
    half, place = problem.curve.toe[problem.runner[i]], problem.place[i]
    # Pitched as steep as may be, the contact ends within the groove's own depth of where all its width bears.
    full = groove_of(problem.take(np.array([i]))).full[0]
    reach = half - problem.least_length[i] / 2 - full
    if np.abs(place) < reach:
        return (
            f"load_N is {load:g} N; it presses so straight a blade in by too little to compute: it must be "
            "greater, or the radius of the rocker smaller"
        )
    where = (
        f"try within {reach:.4g} mm of mid-length" if reach > 0 else "try a longer runner or a smaller load"
    )
    return f"position_mm is {place:g} mm; so near the end of the runner no pitch balances this load: {where}"
