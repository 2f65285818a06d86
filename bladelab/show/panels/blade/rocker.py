"""What shape is a rocker? One lengthwise curve under sliders, coloured by its radius."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np

from bladelab.show.controls import blade as controls
from bladelab.show.drawings.rocker_view import OneRocker, RockerView
from bladelab.show.panel.declare import panel
from bladelab.show.wording.units_shown import UNITS


def answer(state: SimpleNamespace) -> OneRocker:
    """What the rocker's shape means under a skater."""
    rocker = controls.rocker_of(state)
    half, pivot, count = rocker.length_mm / 2, rocker.pivot_mm, len(rocker.zones)
    heel, toe, ahead = (float(rocker.height_mm(x)) for x in (-half, half, min(pivot + 50.0, half)))
    here = float(rocker.radius_mm(pivot))
    kind = "single-radius rocker" if count == 1 else f"{state.shape} rocker of {count} zones"
    sentence = (
        f"With the blade level, the edge is {heel:.2f} mm off the ice at the heel and {toe:.2f} mm at "
        f"the toe; 50 mm ahead of the level point it is {ahead:.2f} mm off.\n"
        f"The radius at the level point is {UNITS.say('radius', here)}: shift your weight 10 mm forward and "
        f"the boot tips about {np.degrees(10.0 / here):.2f}° forward. A larger radius tips less and feels "
        "steadier; a smaller one tips more and feels quicker."
    )
    finding = f"A {kind}: {UNITS.say('radius', here)} at the level point"
    return OneRocker(rocker=rocker, finding=finding, sentence=sentence)


rocker_panel = panel("rocker", RockerView, answer, controls.rocker_controls(), tabs=False)
