"""Match the hollow: which one gives the trial rocker the present blade's bite, hold angle or yaw hold?"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, replace
from functools import lru_cache
from types import SimpleNamespace

import numpy as np
from matplotlib.patches import Rectangle
from numpy.typing import NDArray

from bladelab._errors import InputError
from bladelab._types import Array
from bladelab.advice.match import METRIC_HOLLOWS_MM, Match, match_everywhere, to_order
from bladelab.advice.match_search import MEASURES
from bladelab.physics.ice import Ice
from bladelab.physics.moments import MOMENTS
from bladelab.physics.solving import contacts_of
from bladelab.shape.blade import Blade
from bladelab.shape.hollow import USUAL_HOLLOWS_MM, Hollow
from bladelab.shape.rocker import Rocker
from bladelab.show.canvas.limits import step_above
from bladelab.show.canvas.parts import BOTH, blade_lines, blade_tags
from bladelab.show.canvas.result import Result
from bladelab.show.canvas.style import INK, PRESENT, QUIET, TRIAL
from bladelab.show.canvas.tiles import Tiles
from bladelab.show.canvas.view import View
from bladelab.show.controls import blade as controls
from bladelab.show.controls.control import Choice, for_both
from bladelab.show.panel.declare import panel
from bladelab.show.wording.say import say_quantity
from bladelab.show.wording.units_shown import UNITS
from bladelab.show.wording.words import capital, more_or_less

_RADII = np.geomspace(5.0, 60.0, 41)
_TICKS = {
    "in": (6.35, 9.525, 12.7, 15.875, 19.05, 25.4, 38.1),
    "mm": (6.0, 8.0, 10.0, 13.0, 16.0, 20.0, 30.0, 40.0),
}
_TOPS = {
    "bite": (0.15, 0.3, 0.6, 1.2, 3.0),
    "hold": (8.0, 16.0, 32.0, 60.0),
    "yaw_hold": (0.3, 1.0, 3.0, 10.0, 30.0, 100.0, 400.0),
}
_COLOURS = {"shallower": "#F2A65A", "deeper": "#A79CC9", "the same": "#EDEDED", "none": "#FFFFFF"}


@dataclass(frozen=True, kw_only=True)
class Matched(Result):
    """The match chosen, all others, and the kept score over the hollow on both rockers."""

    chosen: Match
    matches: list[Match]
    present: Hollow
    curves: dict[str, NDArray[np.float64]]


class MatchView(View[Matched]):
    """The kept score over the hollow on both rockers; beside it every verdict."""

    height_px = 430

    def draw(self) -> None:
        self.axes = axes = self.figure.add_axes((0.08, 0.13, 0.44, 0.72))
        axes.set(xscale="log", xlim=(_RADII[0], _RADII[-1]), ylim=(0, 1))
        unit = UNITS.unit("hollow")
        ticks = _TICKS[unit]
        words = [UNITS.say("hollow", t).removesuffix(f" {unit}") for t in ticks]
        axes.set_xticks(ticks, labels=words)
        axes.set_xticks([], minor=True)
        axes.set_xlabel(f"radius of hollow, {unit}: deeper groove ← → shallower groove")
        self.curves = blade_lines(self, axes)
        self.kept = self.new_line(axes, color=QUIET, linewidth=1.2, linestyle=":")
        self.now = self.new_line(axes, marker="o", markersize=9, color=PRESENT)
        self.match = self.new_line(axes, marker="D", markersize=9, color=TRIAL)
        self.tags = blade_tags(self, axes)

        self.table = table = self.figure.add_axes((0.70, 0.06, 0.29, 0.74))
        heads, names = ["same\nbite", "same\nhold", "same\nyaw hold"], [m.name for m in MOMENTS]
        self.tiles = Tiles(self, table, heads, names, [*_COLOURS.values()], (0.02, 0.03), edgecolor="none")
        frame = Rectangle((0, 0), 1, 1, fill=False, edgecolor=INK, linewidth=1.8)
        table.add_patch(frame)
        self.frame = self.moving(frame)

    def update(self, matched: Matched) -> None:
        chosen, curves = matched.chosen, matched.curves
        _, unit, measure = MEASURES[chosen.keep]
        top = step_above(1.6 * abs(chosen.target), _TOPS[chosen.keep])
        low = 0.0 if chosen.target >= 0 else -top  # edges so dull that they don't hold
        said = f"{measure}, {'°' if unit == 'deg' else unit}"
        if (*self.axes.get_ylim(), self.axes.get_ylabel()) != (low, top, said):
            self.axes.set_ylim(low, top)
            self.axes.set_ylabel(said)
            self.still_changed()
        for name in BOTH:
            self.curves[name].set_data(_RADII, np.clip(curves[name], 3 * low, 3 * top))
        now = matched.present.radius_mm
        self.kept.set_data([*_RADII[[0, -1]]], [chosen.target] * 2)
        self.now.set_data([now], [chosen.target])
        side = 1 if chosen.hollow is None or chosen.hollow.radius_mm < now else -1
        self._tag("present", now, chosen.target, f"present {_say(now)}", side, top)
        if chosen.hollow:
            exact = chosen.hollow.radius_mm
            self.match.set_data([exact], [chosen.target])
            self._tag("trial", exact, chosen.target, f"exact match {_say(exact)}", -side, top)
        for artist in (self.match, self.tags["trial"]):
            artist.set_visible(chosen.hollow is not None)
        upright = np.isnan(curves["present"]).all()
        for artist in (self.kept, self.now, self.tags["present"]):
            artist.set_visible(not upright)
        order, tiles = list(MEASURES), defaultdict(list)
        for match in matched.matches:
            column, row = order.index(match.keep), MOMENTS.index(match.moment)
            verdict, ordered = verdict_of(match, matched.present)
            tiles[_COLOURS[verdict]].append((column, row))
            self.tiles.words[row][column].set_text(
                f"{verdict}\n{_say(ordered.radius_mm)}" if ordered else "–"
            )
        self.tiles.show(tiles)
        self.frame.set_xy((order.index(chosen.keep), MOMENTS.index(chosen.moment)))

    def _tag(self, name: str, x: float, y: float, words: str, side: int, top: float) -> None:
        """Above and to the right of its point, or below and to the left, unless the picture ends there."""
        tag, (left, right) = self.tags[name], np.log(self.axes.get_xlim())
        along = (np.log(x) - left) / (right - left)
        across = 1 if along < 0.33 else -1 if along > 0.67 else side
        tag.set(text=words, position=(x * 1.06**across, y + 0.045 * top * side))
        tag.set_horizontalalignment("left" if across > 0 else "right")
        tag.set_verticalalignment("bottom" if side > 0 else "top")


def _say(radius_mm: float) -> str:
    return UNITS.say("hollow", radius_mm)


def verdict_of(match: Match, present: Hollow) -> tuple[str, Hollow | None]:
    """What to do about the hollow, and the one to order in the units chosen: two hollows that read the same
    are the same."""
    if match.hollow is None:
        return "none", None
    offered = USUAL_HOLLOWS_MM if UNITS.unit("hollow") == "in" else METRIC_HOLLOWS_MM
    order = to_order(match.hollow, present, offered)
    if _say(order.radius_mm) == _say(present.radius_mm):
        return "the same", present
    return ("shallower" if order.radius_mm > present.radius_mm else "deeper"), order


@lru_cache(maxsize=16)
def _matches(present: Blade, rocker: Rocker, mass_kg: float, ice: Ice) -> list[Match]:
    # The chosen moment and measure only pick from these.
    return match_everywhere(present, rocker, mass_kg, ice)


def _curves(
    rockers: dict[str, Rocker], hollow: Hollow, chosen: Match, mass_kg: float, ice: Ice, order: Hollow | None
) -> tuple[dict[str, Array], float]:
    """The kept score over the hollow on both rockers, NaN where it says nothing; and that of the trial rocker
    with the hollow to order."""
    keep, moment = chosen.keep, chosen.moment
    if keep == "hold" and moment.lean_deg == 0:
        return dict.fromkeys(BOTH, np.full_like(_RADII, np.nan)), float("nan")
    radii = np.append(_RADII, order.radius_mm if order else _RADII[-1])
    family, stance = replace(hollow, radius_mm=radii), moment.stance(mass_kg, controls.SPEED_M_S)
    found = contacts_of([(Blade(rockers[n], family), stance, ice, moment.gliding) for n in BOTH])
    scores = {n: getattr(contact, MEASURES[keep][0]) for n, contact in zip(BOTH, found, strict=True)}
    return {n: score[:-1] for n, score in scores.items()}, float(scores["trial"][-1])


def answer(state: SimpleNamespace) -> Matched:
    """The match in the chosen moment, and what the other moments and measures say."""
    rockers = {}
    for name in BOTH:
        try:
            rockers[name] = controls.rocker_of(getattr(state, name))
        except InputError as problem:
            raise InputError(f"{name} rocker: {problem}") from None
    present = Blade(rockers["present"], controls.hollow_of(state))
    ice, keep, said = controls.ice_of(state), state.keep, MEASURES[state.keep][2]
    matches = _matches(present, rockers["trial"], state.mass_kg, ice)
    chosen = next(m for m in matches if m.moment == state.moment and m.keep == keep)
    verdict, order = verdict_of(chosen, present.hollow)
    curves, left = _curves(rockers, present.hollow, chosen, state.mass_kg, ice, order)
    name = capital(state.moment.name)
    if chosen.hollow and order:
        way = "the same hollow" if verdict == "the same" else f"a {verdict} hollow"
        finding = f"{name}, same {said}: {way}, {_say(order.radius_mm)}"
        near, gives = "the nearest you can order", "gives"
        if verdict == "the same":
            near, gives = "you can order none nearer than the present hollow", "which gives"
        ways = "above the present one", "below the present one", "the present one"
        remains = 100 * (left / chosen.target - 1)
        size = f"{abs(remains):.0f} % {'more' if remains > 0 else 'less'}"
        first = (
            f"The present blade has a {said} of {say_quantity(keep, chosen.target)} in the "
            f"{state.moment.name}. On the trial rocker the exact match is {_say(chosen.hollow.radius_mm)}, "
            f"{more_or_less(chosen.ratio, 1.0, *ways)}; {near}, {_say(order.radius_mm)}, {gives} "
            f"{'as much' if abs(remains) < 0.5 else size}."
        )
    else:
        finding = f"{name}: no hollow keeps the {said}"
        reason = chosen.reason
        if keep == "hold" and state.moment.lean_deg == 0:
            reason = "Upright, both edges hold alike, whatever the hollow: choose a leaned moment, or "
            reason += "keep something else"
        first = f"{capital(reason)}."
    return Matched(
        finding=finding,
        sentence=f"{first}\n{claim(matches, rockers, present.hollow)}",
        chosen=chosen,
        matches=matches,
        present=present.hollow,
        curves=curves,
        makes=Blade(rockers["trial"], order) if order else None,
    )


def claim(matches: list[Match], rockers: dict[str, Rocker], present: Hollow) -> str:
    """Whether the trade's claim holds between these two rockers, measure by measure."""
    if rockers["present"] == rockers["trial"]:
        return "Both rockers are the same, so every match is the present hollow."
    parts = []
    for keep, (_, _, said) in MEASURES.items():
        verdicts = [verdict_of(m, present)[0] for m in matches if m.keep == keep and m.hollow]
        if not verdicts:
            parts.append(f"by {said} there is no match")
        elif len(set(verdicts)) == 1:
            parts.append(f"by {said} {verdicts[0]} in every moment")
        else:
            kinds = [kind for kind in ("shallower", "the same", "deeper") if kind in verdicts]
            counts = [f"{kind} in {verdicts.count(kind)}" for kind in kinds]
            counts[0] += f" moment{'s' * (verdicts.count(kinds[0]) != 1)}"
            parts.append(f"by {said} {', '.join(counts)}")
    return f"The hollow to order to keep things as they are: {'; '.join(parts)}."


match_panel = panel(
    "match",
    MatchView,
    answer,
    for_both(*controls.rocker_controls(), trial={"radius_mm": 3657.6}),
    controls.hollow_controls(),
    controls.skater_controls(MOMENTS[2]),
    controls.ice_controls(),
    Choice("keep", "keep the same", "view", tuple((m[2], k) for k, m in MEASURES.items()), "hold"),
    columns_of="rocker",
)
