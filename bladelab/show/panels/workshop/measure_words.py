"""What was measured along an edge, in words."""

from __future__ import annotations

import numpy as np

from bladelab.shape.rocker import Rocker
from bladelab.show.panels.workshop.measurement import Measurement
from bladelab.show.wording.units_shown import UNITS
from bladelab.show.wording.words import along_the_blade, minus, plus_minus
from bladelab.workshop.compare import Deviation

_NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight")


def _with_error(radius_mm: float, error_mm: float) -> str:
    unit, factor = UNITS.unit("radius"), UNITS.shown("radius", 1.0)
    return f"{plus_minus(radius_mm * factor, error_mm * factor, 2)} {unit}"


def shape_found(found: Measurement, set_by_hand: bool) -> str:
    """Zones, spots, and where they are, in words."""
    zones = found.zones
    parts = [
        f"{_with_error(zone.radius_mm, error)} over {zone.length_mm:.0f} mm"
        for zone, error in zip(zones.zones, zones.standard_errors_mm, strict=True)
    ]
    many, how = len(parts) > 1, "as you set" if set_by_hand else "found automatically"
    order = ", heel to toe" if many else ""
    sentence = f"{_NUMBERS[len(parts)].capitalize()} zone{'s' * many} ({how}){order}: {', '.join(parts)}"
    if many:
        meets = [
            plus_minus(x, e, 1) for x, e in zip(zones.junctions_mm, zones.junction_errors_mm, strict=True)
        ]
        sentence += f"; they meet at {', '.join(meets)} mm"
    for spot in found.edge.spots:
        kind = "low" if spot.height_mm > 0 else "high"
        size = plus_minus(abs(spot.height_mm), spot.height_error_mm, 3)
        sentence += f"; with a {kind} spot of {size} mm at "
        sentence += minus(f"{spot.from_mm:.0f} to {spot.to_mm:.0f} mm")
    if many:
        sentence += f". One radius for all would be {UNITS.say('radius', found.single.radius_mm)}"
    return sentence + f". (± is one standard error; one reading scatters by {zones.noise_mm:.4f} mm.)"


def at_worst(apart: Deviation) -> str:
    """The largest difference in words: ``"ground 0.045 mm too deep, 56 mm ahead of the middle"``."""
    size = f"{abs(apart.largest_mm):.3f} mm"
    what = f"ground {size} too deep" if apart.largest_mm < 0 else f"{size} of extra steel"
    return f"{what}, {along_the_blade(apart.largest_at_mm)}"


def lowest_words(x_mm: float, error_mm: float) -> str:
    """Where the lowest point is, and how sure that is: ``"1.7 ± 0.1 mm ahead of the middle"``."""
    error = f"± {max(error_mm, 0.05):.1f} mm"
    if abs(x_mm) < 0.05:
        return f"at the middle, {error}"
    return f"{abs(x_mm):.1f} {error} {'ahead of' if x_mm > 0 else 'behind'} the middle"


def level_words(found: Measurement, target: Rocker, from_gauge: bool, claimed: bool) -> str:
    """What was measured of the level point; where nothing was, why, and how to check it."""
    ordered = along_the_blade(target.pivot_mm)
    if (error := found.level_error_mm) is not None:
        place = found.zones.lowest_mm
        if not np.isfinite(place):
            return f"Level point: not on the stretch that was measured; ordered {ordered}."
        far = abs(place - target.pivot_mm)
        fits = "that agrees" if far <= 1.96 * error else f"{far:.0f} mm off"
        return (
            f"Level point: {along_the_blade(place)}, ± {max(error, 0.1):.1f} mm; ordered {ordered}: {fits}."
        )
    same = (
        f"a single radius of {UNITS.say('radius', target.zones[0].radius_mm)} ground 5 mm further forward"
        if len(target.zones) == 1
        else "the same zones ground with the blade tipped by 0.1°"
    )
    tool = "A gauge with two feet" if from_gauge else "A trace"
    even = ", even on a rail that is level" if from_gauge and claimed else ""
    return (
        f"Not checked: the level point, ordered {ordered}. {tool} can't show it{even}: {same} would read "
        "the same. Check it with the runner in its holder and heights read from a rail parallel to it: set "
        "“rail and holder” to how well they agree."
    )
