"""The steps that lead from one blade to another: their order, and what each of them gains."""

from dataclasses import replace

import numpy as np
import pytest

from bladelab import feet
from bladelab.advice.plan import plan_steps
from bladelab.advice.wishes import WISHES
from tests.advice.blades import GLIDE, THREE


def test_blend_level_point_and_hollow_come_one_after_the_other() -> None:
    rocker = replace(THREE.rocker, blend_mm=40, pivot_mm=-5)
    goal = replace(THREE, rocker=rocker, hollow=replace(THREE.hollow, radius_mm=15.875))
    steps = plan_steps(THREE, goal, GLIDE, [WISHES["smoother"]])
    told = [(step.change.part, step.change.from_mm, step.change.to_mm) for step in steps]
    assert told == [("blend", 20, 40), ("level point", 5, -5), ("hollow", THREE.hollow.radius_mm, 15.875)]
    assert steps[-1].blade == goal
    # By hand: the sharpest junction is that of 12 and 8 ft. Over a blend of 20 mm the rock changes by all of
    # it within 20 mm, over one of 40 mm by half; neither the level point nor the hollow changes that.
    whole = np.degrees(10 * (1 / feet(8) - 1 / feet(12)))
    assert [float(step.gains[0]) for step in steps] == pytest.approx([whole / 2, 0.0, 0.0], abs=1e-9)
