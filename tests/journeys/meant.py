"""What a person means by a number on the page: conversions of the journeys' own, so that a fault in those of
the library is seen.

The foot is 304.8 mm, the inch 25.4 mm, the mile 1,609.344 m and the pound 0.45359237 kg, all exactly
(international yard and pound agreement, 1959).
"""

from __future__ import annotations

import re

US, METRIC = "feet and inches", "metric"

#: quantity -> for each system: how many of our own units (mm, kg, m/s, m, °C) one unit shown is, what is our
#: own number for a shown 0, and the step of a slider, in shown units.
SCALES: dict[str, dict[str, tuple[float, float, float]]] = {
    "radius": {US: (304.8, 0.0, 0.25), METRIC: (1000.0, 0.0, 0.05)},
    "hollow": {US: (25.4, 0.0, 1 / 16), METRIC: (1.0, 0.0, 0.1)},
    "mass": {US: (0.45359237, 0.0, 1.0), METRIC: (1.0, 0.0, 1.0)},
    "temperature": {US: (5 / 9, -32 * 5 / 9, 0.5), METRIC: (1.0, 0.0, 0.5)},
    "temperature difference": {US: (5 / 9, 0.0, 0.2), METRIC: (1.0, 0.0, 0.5)},
    "distance": {US: (0.3048, 0.0, 0.5), METRIC: (1.0, 0.0, 0.1)},
    "speed": {US: (1609.344 / 3600, 0.0, 0.5), METRIC: (1.0, 0.0, 0.1)},
    "fall": {US: (0.0254, 0.0, 0.5), METRIC: (0.01, 0.0, 1.0)},
    "length": dict.fromkeys((US, METRIC), (1.0, 0.0, 1.0)),
    "fine length": dict.fromkeys((US, METRIC), (1.0, 0.0, 0.1)),
    "depth": dict.fromkeys((US, METRIC), (1.0, 0.0, 0.001)),
    "edge radius": dict.fromkeys((US, METRIC), (1.0, 0.0, 0.005)),
    "angle": dict.fromkeys((US, METRIC), (1.0, 0.0, 0.5)),
    "percent": dict.fromkeys((US, METRIC), (1.0, 0.0, 1.0)),
    "number": dict.fromkeys((US, METRIC), (1.0, 0.0, 1.0)),
}

_FRACTION = re.compile(r"(?:(\d+) )?(\d+)/(\d+)")
_NUMBER = re.compile(r"-?\d+(?:\.\d+)?")


def number(text: str) -> float:
    """The number that a text begins with: ``"5/8 in"`` is 0.625, ``"−3.5 °C"`` is -3.5."""
    text = text.replace("\u00a0", " ").replace("−", "-").strip()
    if text == "sharp":  # an edge that isn't rounded
        return 0.0
    if found := _FRACTION.match(text):
        return int(found[1] or 0) + int(found[2]) / int(found[3])
    found = _NUMBER.match(text)
    assert found, f"{text!r} begins with no number"
    return float(found[0])


def differ(quantity: str) -> bool:
    """Whether the two systems have different units for it."""
    return SCALES[quantity][US] != SCALES[quantity][METRIC]


def system_of(text: str) -> str:
    """The units of a number as a dial reads it; where both systems have the same, either of them."""
    return METRIC if re.search(r"(kg|°C|m/s|mm|\d\s?m)$", text.strip()) else US


def kept(quantity: str, system: str, shown: float) -> float:
    """Our own number (mm, kg, m/s, °C) for a number as a person reads it."""
    factor, zero, _ = SCALES[quantity][system]
    return round(shown * factor + zero, 9)


def shown(quantity: str, system: str, value: float) -> float:
    """The number that a person should read for one of our own."""
    factor, zero, _ = SCALES[quantity][system]
    return (value - zero) / factor


def step(quantity: str, system: str) -> float:
    """By how much a press of an arrow key moves a slider, in shown units, unless the control says other."""
    return SCALES[quantity][system][2]
