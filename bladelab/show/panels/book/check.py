"""Was it ground as ordered? Both edges against the order, before and after, and against each other."""

from __future__ import annotations

from dataclasses import dataclass
from types import SimpleNamespace

import numpy as np
from matplotlib.axes import Axes

from bladelab._errors import InputError
from bladelab._types import Array
from bladelab.book.card import Card
from bladelab.book.check import GrindingCheck, SideCheck, check_grinding
from bladelab.book.invented import invented_cards
from bladelab.book.steel_happenings import LEFT_AND_RIGHT
from bladelab.show.canvas.edge_parts import APART_MM, ApartPart, axes_along, worst_mark
from bladelab.show.canvas.limits import Rising
from bladelab.show.canvas.result import Result
from bladelab.show.canvas.style import PRESENT, QUIET, TRIAL
from bladelab.show.canvas.view import View
from bladelab.show.controls.control import Choice
from bladelab.show.panel.declare import panel
from bladelab.show.panels.workshop.measure_words import at_worst
from bladelab.show.wording.say import say_day
from bladelab.show.wording.words import along_the_blade
from bladelab.workshop.compare import Deviation, SideDifference

_NOT_SHOWN = (
    "A trace shows the shape and not the level point, unless it was read from a rail parallel to the holder: "
    "check that with the runner in its holder."
)


@dataclass(frozen=True, kw_only=True)
class Checked(Result):
    """Both edges of one set against their order."""

    check: GrindingCheck


def _side_words(one: SideCheck) -> str:
    name, allowed = one.side.capitalize(), f"the {one.order.tolerance_mm:.3f} mm that the order allows"
    off = _off(one.before) if one.before else ""
    if one.after is None and one.ground:
        before = f"before, it was {off}" if off else "it was not measured before either"
        return f"{name}: ground but not measured since; {before}."
    if one.after is None:
        return f"{name}: not ground yet; {f'now it is {off}' if off else 'it was not measured'}."
    verdict = {
        "within": f"within {allowed}",
        "outside": f"beyond {allowed}",
        "too close to call": f"too close to {allowed} for these readings to tell",
    }[one.after.verdict]
    before = f" Before, it was {off}." if off else ""
    return f"{name}: {verdict}; at its worst {at_worst(one.after)}.{before}"


def _off(apart: Deviation) -> str:
    """How far an edge that was never ground to the order was from it: nobody did that wrong."""
    return f"up to {abs(apart.largest_mm):.3f} mm from the order, {along_the_blade(apart.largest_at_mm)}"


def _pair_words(apart: SideDifference) -> str:
    size = f"{abs(apart.largest_mm):.3f} mm"
    place = along_the_blade(apart.largest_at_mm)
    if not apart.stretches_mm:
        return f"These readings show no difference between left and right: the largest is {size}, {place}."
    poorer = "left" if apart.largest_mm > 0 else "right"
    return f"Left and right differ most {place}: the {poorer} has lost {size} more."


def check_answer(state: SimpleNamespace) -> Checked:
    """What the measurements say of the order, in words."""
    if state.steel_set is None:
        raise InputError("nothing was ordered on this card: order a grinding first")
    card, code = state.steel_set
    check = check_grinding(card, code)
    first = check.sides[0]
    ordered = f", ordered {say_day(first.ordered_on)}" if first.ordered_on else ""
    lines = [f"{card.skater}, set {code}{ordered}. {' '.join(_side_words(one) for one in check.sides)}"]
    if check.apart is not None:
        lines.append(_pair_words(check.apart))
    seen = [one.after for one in check.sides if one.after is not None]
    if seen and not all(deviation.level_known for deviation in seen):
        lines.append(_NOT_SHOWN)
    if check.verdict == "outside":
        lines.append("Have it ground by someone trained for it; steel that is gone can't be put back.")
    return Checked(
        check=check, finding=_finding(check, f"{card.skater}, set {code}"), sentence="\n".join(lines)
    )


def _finding(check: GrindingCheck, whose: str) -> str:
    bad = [(one.side, one.after) for one in check.sides if one.after and one.after.verdict == "outside"]
    if bad:
        side, worst = max(bad, key=lambda pair: abs(pair[1].largest_mm))
        return f"{whose}: not as ordered on the {side}, {at_worst(worst)}"
    said = {
        "too close to call": "these readings can't tell whether it is as ordered",
        "not measured": "ordered, and not measured since",
        "within": "ground as ordered",
    }[check.verdict]
    return f"{whose}: {said}"


class _Row:
    """One edge's distance from its order: before pale, after strong, between the limits."""

    def __init__(self, view: View, axes: Axes, side: str) -> None:
        axes.set_ylabel(f"{side}: extra steel (+)\nor missing (−), mm")
        axes.axhline(0, color=QUIET, linewidth=0.8)
        dashes = {"color": TRIAL, "linestyle": (0, (5, 2)), "linewidth": 1.4}
        self.limits = [view.new_level(axes, **dashes) for _ in range(2)]
        self.before = view.new_line(axes, color=QUIET, linewidth=1.2)
        self.doubt = view.new_area(axes, color=PRESENT, alpha=0.25)
        self.after = view.new_line(axes, color=PRESENT, linewidth=1.8)
        self.worst = worst_mark(view, axes)
        self.tag = view.new_text(axes, "", 0.01, 0.96, va="top", transform=axes.transAxes)
        self.tall = Rising(axes, APART_MM, spare=1.25, below=1.0)

    def update(self, one: SideCheck | None) -> None:
        """Show one side; nothing where none was ordered."""
        found = [d for d in (one.before, one.after) if d is not None] if one else []
        for artist in (*self.limits, self.before, self.doubt, self.after, self.worst):
            artist.set_visible(False)
        self.tag.set_text("" if one else "nothing was ordered for this side")
        if one is None:
            self.tall.reach(0.0)
            return
        words = [w for w, d in (("before (thin)", one.before), ("after", one.after)) if d is not None]
        self.tag.set_text(", ".join(words) or "not measured")
        sizes = [float(np.abs(d.deviation_mm).max()) for d in found]
        self.tall.reach(max(one.order.tolerance_mm, *sizes, 0.0) if sizes else one.order.tolerance_mm)
        for limit, sign in zip(self.limits, (-1, 1), strict=True):
            limit.set_visible(True)
            limit.set_ydata([sign * one.order.tolerance_mm] * 2)
        if one.before is not None:
            self.before.set_visible(True)
            self.before.set_data(*_thin(one.before)[:2])
        if one.after is not None:
            place, value, error = _thin(one.after)
            for artist in (self.after, self.doubt, self.worst):
                artist.set_visible(True)
            self.after.set_data(place, value)
            self.doubt.set_data(place, value - 1.96 * error, value + 1.96 * error)
            self.worst.set_data([one.after.largest_at_mm], [one.after.largest_mm])


def _thin(deviation: Deviation) -> tuple[Array, Array, Array]:
    some = np.unique(np.linspace(0, len(deviation.x_mm) - 1, 200).astype(int))
    return deviation.x_mm[some], deviation.deviation_mm[some], deviation.error_mm[some]


class CheckView(View[Checked]):
    """Left and right against the order, and left against right, over one shared x axis."""

    height_px = 500

    def draw(self) -> None:
        left, right, pair = axes_along(self, 0.895, (0.685, 0.22), (0.40, 0.22), (0.095, 0.24))
        self.rows = {
            side: _Row(self, axes, side) for side, axes in zip(LEFT_AND_RIGHT, (left, right), strict=True)
        }
        says = f"{'' if self.narrow else 'left against right; '}grey: too small to tell"
        self.apart = ApartPart(self, pair, says)

    def update(self, result: Checked) -> None:
        """Show one check."""
        sides = {one.side: one for one in result.check.sides}
        for side, row in self.rows.items():
            row.update(sides.get(side))
        self.apart.update(result.check.apart, "not both were measured since, or over too little in common")


def sets_ordered(card: Card | None) -> tuple[tuple[str, tuple[Card, str]], ...]:
    """The sets for which a grinding was ordered: of this card or, with none open, of the invented team.

    Returns
    -------
    tuple of (str, (Card, str))
        A word for the menu, the card and the code of the set.
    """
    found = []
    for one in invented_cards().values() if card is None else (card,):
        for code, steel in one.steel.items():
            if any(steel.side(side).order for side in LEFT_AND_RIGHT):
                whose = f"{one.skater}, set {code} (invented)" if card is None else f"set {code}"
                # The one with most to see first.
                found.append((steel.left.order_done, (whose, (one, code))))
    return tuple(pair for _, pair in sorted(found, key=lambda done: not done[0]))


check_panel = panel(
    "check",
    CheckView,
    check_answer,
    Choice("steel_set", "set of steel", "rocker", options=(("no grinding was ordered", None),), default=None),
    offers={"steel_set": sets_ordered},
    reloads=lambda state: True,
)
