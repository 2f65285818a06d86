"""Quantities, changes and blades in words, in the units chosen."""

from __future__ import annotations

import datetime

from bladelab.physics.days import SMALLEST_SHARE, Difference
from bladelab.physics.over_ices import OverIces
from bladelab.physics.possible_ices import Span
from bladelab.shape.blade import Blade
from bladelab.shape.hollow import Hollow
from bladelab.shape.rocker import Rocker
from bladelab.show.wording.units_shown import UNITS
from bladelab.show.wording.words import decimal, signed

#: How a quantity of the scorecard is said: its decimals and its unit.
_SAID = {
    "friction": (4, ""),
    "length": (0, " mm"),
    "bite": (3, " mm"),
    "hold": (1, "°"),
    "yaw_hold": (2, " N m"),
    "rock": (2, "°"),
    "pitch": (2, "°"),
}


def say_quantity(key: str, value: float, band: float | None = None) -> str:
    """A quantity of the scorecard in words, with its unit and its band: ``"0.085 ±0.012 mm"``."""
    if key == "carve":
        scale = UNITS.scale("distance")
        decimals, factor, unit = scale.decimals, scale.factor, f" {scale.unit}"
    else:
        (decimals, unit), factor = _SAID[key], 1.0
    text = decimal(value * factor, decimals)
    # A band that rounds to nothing says nothing.
    if band is not None and float(around := f"{band * factor:.{decimals}f}"):
        text += f" ±{around}"
    return text + unit


def say_friction(value: float, span: Span, cell: str = "") -> str:
    """Friction with its range over the ices held possible: ``"0.0045, between 0.0032 and 0.0053"``.

    cell : of a table, "two lines" or, where there is space only for the range, "range".
    """
    if cell == "range":
        return f"{span.low:.4f} to {span.high:.4f}"
    between = "\n" if cell == "two lines" else " "
    return f"{value:.4f}, between{between}{span.low:.4f} and {span.high:.4f}"


def say_frictions(present: float, trial: float, over: OverIces) -> str:
    """Friction of two blades, each with its range over the ices held possible."""
    first, second = map(say_friction, (present, trial), over.spans)
    return (
        f"Computed friction, as a share of the load, over the ices held possible: present {first}; trial "
        f"{second}."
    )


def say_more_friction(percent: Span) -> str:
    """How much more of it the trial has over the ices held possible: ``"1 to 4 % less"``, ``"between 3 %
    less and 2 % more"``."""
    low, high = round(percent.low), round(percent.high)
    if low == high == 0:
        return "as much"
    if low * high < 0:
        return f"between {-low} % less and {high} % more"
    few, many = sorted((abs(low), abs(high)))
    return f"{few if few == many else f'{few} to {many}'} % {'more' if low + high > 0 else 'less'}"


def say_over_ices(over: OverIces, surely: Difference) -> str:
    """How the friction of two blades differs over the ices held possible, and whether that shows.

    Parameters
    ----------
    over : OverIces
    surely : Difference
        With all ices in its bands (`OverIces.widen`).
    """
    percent = over.percent
    more = say_more_friction(percent)
    if over.disagree:
        return f"The trial has {more}: which of the two glides better depends on the ice."
    if not surely.sure and max(-percent.low, percent.high) > 100 * SMALLEST_SHARE:
        return f"The trial has {more}; on some of these ices that is too small to feel or to measure."
    return f"The trial has {more}, which is {surely.sentence}."


def say_change(size: float, percent: bool) -> str:
    """A signed change: ``"+7 %"``, ``"−0.08°"``."""
    return f"{signed(size)} %" if percent else f"{signed(size, 2)}°"


def say_change_between(span: Span) -> str:
    """A signed change in per cent over the ices held possible: ``"+7 to +9 %"``."""
    low, high = signed(span.low), signed(span.high)
    return f"{low} %" if low == high else f"{low} to {high} %"


def say_rocker(rocker: Rocker) -> str:
    """A rocker in one line: ``"9, 11 and 9 ft from heel to toe, blend 20 mm"``."""
    radii = [UNITS.say("radius", zone.radius_mm) for zone in rocker.zones]
    if len(radii) == 1:
        shape = f"single {radii[0]}"
    else:
        unit = f" {UNITS.unit('radius')}"
        shape = f"{', '.join(r.removesuffix(unit) for r in radii[:-1])} and {radii[-1]} from heel to toe"
        shape += f", blend {rocker.blend_mm:.0f} mm" if rocker.blend_mm else ", stepped"
    level = ""
    if abs(rocker.pivot_mm) > 0.05:
        side = "ahead of" if rocker.pivot_mm > 0 else "behind"
        level = f", level {abs(rocker.pivot_mm):.0f} mm {side} mid-length"
    return f"{shape}{level}"


def say_blade(blade: Blade) -> str:
    """A blade in one line: ``"single 10 ft, hollow 5/8 in"``; dull edges are said, too."""
    return f"{say_rocker(blade.rocker)}, hollow {say_hollow(blade.hollow)}"


def say_hollow(hollow: Hollow) -> str:
    """A hollow with its edges, unless they are sharp: ``"5/8 in, edges 0.02 mm round"``."""
    edges = f", edges {say_edges(hollow.edge_radius_mm)}" if hollow.edge_radius_mm else ""
    return f"{UNITS.say('hollow', hollow.radius_mm)}{edges}"


def say_edges(radius_mm: float) -> str:
    """The radius of the edges in words: ``"sharp"``, ``"0.02 mm round"``."""
    text = f"{radius_mm:.4f}".rstrip("0").rstrip(".")
    return f"{text} mm round" if float(text) else "sharp"


def say_hold(hold_deg: float) -> str:
    """What an edge does with a push: ``"holds a push up to 5.3° off the plane of the blade"``."""
    if hold_deg < -0.05:
        return f"slips even under a push in the plane of the blade (hold angle {decimal(hold_deg, 1)}°)"
    return f"holds a push up to {abs(hold_deg):.1f}° off the plane of the blade"


def short_day(day: datetime.date) -> str:
    """``"3 Nov 2026"``, where there is little space."""
    return f"{day.day} {day:%b %Y}"


def say_day(day: datetime.date) -> str:
    """``"3 November 2026"``."""
    return f"{day.day} {day:%B %Y}"
