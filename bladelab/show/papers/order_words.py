"""What a work order says of an edge, in words and numbers."""

from __future__ import annotations

import numpy as np

from bladelab._types import Array
from bladelab.book.work_order import EdgeWork, WorkOrder
from bladelab.shape.rocker import Rocker
from bladelab.show.wording.say import say_day, say_rocker
from bladelab.show.wording.units_shown import UNITS
from bladelab.show.wording.words import along_the_blade

#: So much of a runner may be unmeasured before it is said, mm.
UNSEEN_MM = 5.0


def level_from(level: str, target: str) -> str:
    """Where the cut has the level point from, if the measurement doesn't show it; empty if it does.

    Parameters
    ----------
    level : str
        As in `ShapeNow.level`.
    target : str
        What the edge is cut to: ``"order"``, ``"trial"``.
    """
    if level == "unknown":
        return (
            f"Nobody measured the level point: the cut holds only if it is already where the {target} has it."
        )
    whence = {"ground": "where it was ground", "stated": "where the card has it"}.get(level, "")
    return f"The measurement doesn't show the level point: it is taken to be {whence}." if whence else ""


def now_words(edge: EdgeWork) -> str:
    """The shape before the grinding, and how it is known."""
    if edge.now is None:
        return "not known: measure the edge"
    how = {"measured": "measured", "ground": "as ground", "stated": "as stated, not measured"}[edge.now.how]
    day = f", {say_day(edge.now.on)}" if edge.now.on else ""
    return f"{say_rocker(edge.now.rocker)} ({how}{day})"


def zones_words(rocker: Rocker) -> str:
    """The radii along a runner, with the length of each."""
    if len(rocker.zones) == 1:
        return f"single {UNITS.say('radius', rocker.zones[0].radius_mm)} over {rocker.length_mm:.0f} mm"
    parts = [f"{UNITS.say('radius', zone.radius_mm)} for {zone.length_mm:.0f} mm" for zone in rocker.zones]
    return f"heel to toe {', '.join(parts[:-1])} and {parts[-1]}"


def junctions_words(rocker: Rocker) -> str:
    """Where zones meet, and how."""
    if not rocker.junctions_mm:
        return "one radius, no junction"
    blend = f"blended over {rocker.blend_mm:.0f} mm" if rocker.blend_mm else "tangent, without a blend"
    return f"{', '.join(along_the_blade(x) for x in rocker.junctions_mm)}; {blend}"


def hollow_words(edge: EdgeWork) -> str:
    """The hollow to grind, and what it is now."""
    wanted = UNITS.say("hollow", edge.target.hollow.radius_mm)
    if edge.hollow_now_mm is None:
        return f"{wanted} (not known what it is now)"
    now = UNITS.say("hollow", edge.hollow_now_mm)
    return f"{wanted}, as it is now" if now == wanted else f"{wanted} (now {now})"


def most_words(edge: EdgeWork) -> str:
    """How much comes off where most does, where that is, and how much at the middle."""
    if edge.cut is None:
        return "not known before the edge is measured"
    if edge.cut.largest_mm < 0.0005:
        return "nothing: it has the shape already"
    cut, half = edge.cut, edge.target.rocker.length_mm / 2
    most, where = UNITS.say("depth", cut.largest_mm), along_the_blade(cut.largest_at_mm)
    ends = edge.cut_mm(np.array([-half, half]))
    if np.all(ends > cut.largest_mm - 0.0005):
        where = "at both ends"
    [middle] = three_decimals(edge.cut_mm(np.zeros(1)))
    return f"{most}, {where}" + (
        f"; at the middle {middle} mm" if middle and where != "at the middle" else ""
    )


def height_words(order: WorkOrder, edge: EdgeWork) -> str:
    """The height of the steel now, what remains of it and the maker's minimum; blanks for the unknown."""
    least = "minimum, by the maker: ________ mm"
    if order.least_mm is not None:
        least = f"maker's minimum {order.least_mm:.2f} mm"
    now = order.height_now_mm
    if now is None:
        earlier = ""
        if order.height_mm is not None and order.height_on is not None:
            times = "once" if order.unknown_cuts == 1 else f"{order.unknown_cuts} times"
            earlier = (
                f" ({order.height_mm:.2f} mm on {say_day(order.height_on)}; steel came off {times} since)"
            )
        return f"now: ________ mm{earlier}; {least}"
    left = order.left_mm(edge)
    if left is None:
        return f"now {now:.2f} mm; {least}"
    return f"{now:.2f} mm now, {left:.2f} mm left where most comes off; {least}"


def three_decimals(values: Array) -> list[str]:
    """Numbers for the cells of a table; nothing for NaN."""
    return ["" if np.isnan(value) else f"{value:.3f}" for value in values]
