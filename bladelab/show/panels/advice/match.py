"""Match the hollow: the hollow that gives the trial rocker the present blade's bite, hold angle or yaw
hold."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import replace
from functools import lru_cache
from types import SimpleNamespace
from typing import Any

import numpy as np
from matplotlib.patches import Rectangle

from bladelab._errors import InputError
from bladelab.advice.match import MEASURES, METRIC_HOLLOWS_MM, Match, match_everywhere, to_order
from bladelab.physics.ice import Ice
from bladelab.physics.moments import MOMENTS, Moment
from bladelab.physics.solving import contacts_of
from bladelab.shape.blade import Blade
from bladelab.shape.hollow import USUAL_HOLLOWS_MM, Hollow
from bladelab.shape.rocker import Rocker
from bladelab.show.canvas.limits import step_above
from bladelab.show.canvas.parts import BOTH
from bladelab.show.canvas.style import INK, LINES, PRESENT, QUIET, TRIAL, label
from bladelab.show.canvas.tiles import Tiles
from bladelab.show.canvas.view import View
from bladelab.show.controls.blade import (
    hollow_controls,
    ice_control,
    rocker_controls,
    rocker_of,
    skater_controls,
)
from bladelab.show.controls.control import Choice, for_both
from bladelab.show.panel.engine import Answer, Panel
from bladelab.show.wording.say import say_quantity
from bladelab.show.wording.units_shown import UNITS

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


class MatchView(View):
    """The kept score over the hollow on both rockers; beside it the verdict in every moment, by every
    measure."""

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
        self.curves = {n: self.moving(axes.plot([], [], **LINES[n])[0]) for n in BOTH}
        self.kept = self.moving(axes.plot([], [], color=QUIET, linewidth=1.2, linestyle=":")[0])
        self.now = self.moving(axes.plot([], [], "o", markersize=9, color=PRESENT)[0])
        self.match = self.moving(axes.plot([], [], "D", markersize=9, color=TRIAL)[0])
        self.tags = {
            n: self.moving(label(axes, 0, 0, n, color=LINES[n]["color"])) for n in ("present", "trial")
        }

        self.table = table = self.figure.add_axes((0.70, 0.06, 0.29, 0.74))
        table.set(xlim=(0, 3), ylim=(len(MOMENTS), 0))
        table.grid(False)
        table.set_yticks(np.arange(len(MOMENTS)) + 0.5, labels=[m.name for m in MOMENTS])
        table.set_xticks(np.arange(3) + 0.5, labels=["same\nbite", "same\nhold", "same\nyaw hold"])
        table.tick_params(top=True, labeltop=True, bottom=False, labelbottom=False, length=0)
        for spine in table.spines.values():
            spine.set_visible(False)
        self.tiles = Tiles(self, table, list(_COLOURS.values()), (0.02, 0.03), edgecolor="none")
        self.cells = []
        for i in range(len(MOMENTS)):
            for k in range(3):
                text = table.text(
                    k + 0.5, i + 0.5, "", ha="center", va="center", fontsize=10, linespacing=1.15
                )
                self.cells.append(self.moving(text))
        frame = Rectangle((0, 0), 1, 1, fill=False, edgecolor=INK, linewidth=1.8)
        table.add_patch(frame)
        self.frame = self.moving(frame)

    def update(
        self,
        *,
        keep: str,
        chosen: Match,
        matches: list[Match],
        present: Blade,
        curves: dict[str, Any],
        finding: str,
    ) -> None:
        """Show one match and the table of all."""
        self.title(finding)
        top = step_above(1.6 * chosen.target, _TOPS[keep])
        said = f"{MEASURES[keep][2]}, {'°' if MEASURES[keep][1] == 'deg' else MEASURES[keep][1]}"
        if (self.axes.get_ylim()[1], self.axes.get_ylabel()) != (top, said):
            self.axes.set_ylim(0, top)
            self.axes.set_ylabel(said)
            self.still_changed()
        upright = np.isnan(curves["present"]).all()
        for name in BOTH:
            self.curves[name].set_data(_RADII, np.clip(curves[name], 0, 3 * top))
        now = present.hollow.radius_mm
        self.kept.set_data([*_RADII[[0, -1]]], [chosen.target] * 2)
        self.now.set_data([now], [chosen.target])
        self.match.set_visible(chosen.hollow is not None)
        side = 1 if chosen.hollow is None or chosen.hollow.radius_mm < now else -1
        if chosen.hollow:
            self.match.set_data([chosen.hollow.radius_mm], [chosen.target])
            self._tag(
                "trial",
                chosen.hollow.radius_mm,
                chosen.target,
                f"exact match {_say(chosen.hollow.radius_mm)}",
                -side,
                top,
            )
        self.tags["trial"].set_visible(chosen.hollow is not None)
        self._tag("present", now, chosen.target, f"present {_say(now)}", side, top)
        for artist in (self.kept, self.now, self.tags["present"]):
            artist.set_visible(not upright)
        order, tiles = list(MEASURES), defaultdict(list)
        for match in matches:
            column, row = order.index(match.keep), MOMENTS.index(match.moment)
            verdict, ordered = verdict_of(match, present.hollow)
            tiles[_COLOURS[verdict]].append((column, row))
            said = f"{verdict}\n{_say(ordered.radius_mm)}" if ordered else "–"
            self.cells[3 * row + column].set_text(said)
        self.tiles.show(tiles)
        self.frame.set_xy((order.index(keep), MOMENTS.index(chosen.moment)))

    def _tag(self, name: str, x: float, y: float, words: str, side: int, top: float) -> None:
        tag = self.tags[name]
        tag.set_text(words)
        tag.set_position((x * (1.06 if side > 0 else 1 / 1.06), y + 0.045 * top * (1 if side > 0 else -1)))
        tag.set_horizontalalignment("left" if side > 0 else "right")
        tag.set_verticalalignment("bottom" if side > 0 else "top")


def _say(radius_mm: float) -> str:
    return UNITS.say("hollow", radius_mm)


def verdict_of(match: Match, present: Hollow) -> tuple[str, Hollow | None]:
    """What to do about the hollow, with the one to order in the units chosen; the words go with what is
    shown: the same words are the same hollow."""
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
    rockers: dict[str, Rocker],
    width: float,
    moment: Moment,
    mass_kg: float,
    ice: Ice,
    keep: str,
    order: Hollow | None,
) -> tuple[dict[str, Any], float]:
    """The kept score over the hollow on both rockers, NaN where it says nothing; and that of the trial rocker
    with the hollow to order."""
    if keep == "hold" and moment.lean_deg == 0:
        return dict.fromkeys(BOTH, np.full_like(_RADII, np.nan)), float("nan")
    radii = np.append(_RADII, order.radius_mm if order else _RADII[-1])
    family, stance = Hollow(radii, width), moment.stance(mass_kg)
    found = contacts_of([(Blade(rockers[n], family), stance, ice, moment.gliding) for n in BOTH])
    scores = {n: getattr(contact, MEASURES[keep][0]) for n, contact in zip(BOTH, found, strict=True)}
    return {n: score[:-1] for n, score in scores.items()}, float(scores["trial"][-1])


def match_answer(state: SimpleNamespace) -> Answer:
    """The match in the chosen moment, and what the other moments and measures say."""
    rockers = {}
    for name in BOTH:
        try:
            rockers[name] = rocker_of(getattr(state, name))
        except InputError as problem:
            raise InputError(f"{name} rocker: {problem}") from None
    present = Blade(rockers["present"], Hollow(state.hollow_mm, state.width_mm))
    ice, keep, said = Ice(state.temperature_C), state.keep, MEASURES[state.keep][2]
    matches = _matches(present, rockers["trial"], state.mass_kg, ice)
    chosen = next(m for m in matches if m.moment == state.moment and m.keep == keep)
    verdict, order = verdict_of(chosen, present.hollow)
    curves, left = _curves(rockers, state.width_mm, state.moment, state.mass_kg, ice, keep, order)
    name = state.moment.name[:1].upper() + state.moment.name[1:]
    if chosen.hollow and order:
        ways = {"the same": "the same hollow", "shallower": "a shallower hollow", "deeper": "a deeper hollow"}
        finding = f"{name}, same {said}: {ways[verdict]}, {_say(order.radius_mm)}"
        first = (
            f"The present blade has a {said} of {say_quantity(keep, chosen.target)} in the "
            f"{state.moment.name}. On the trial rocker the exact match is {_say(chosen.hollow.radius_mm)}, "
            f"{_apart(chosen.ratio)}; "
        )
        if verdict == "the same":
            first += (
                f"you can order none nearer than the present hollow, {_say(order.radius_mm)}, which gives "
            )
        else:
            first += f"the nearest you can order, {_say(order.radius_mm)}, gives "
        remains = 100 * (left / chosen.target - 1)
        if abs(remains) < 0.5:
            first += "as much."
        else:
            first += f"{abs(remains):.0f} % {'more' if remains > 0 else 'less'}."
    else:
        finding = f"{name}: no hollow keeps the {said}"
        reason = chosen.reason
        if keep == "hold" and state.moment.lean_deg == 0:
            reason = "Upright, both edges hold alike, whatever the hollow: choose a leaned moment, or "
            reason += "keep something else"
        first = f"{reason[:1].upper()}{reason[1:]}."
    return Answer(
        f"{first}\n{claim(matches, rockers, present.hollow)}",
        {
            "keep": keep,
            "chosen": chosen,
            "matches": matches,
            "present": present,
            "curves": curves,
            "finding": finding,
        },
    )


def _apart(ratio: float) -> str:
    percent = abs(100 * (ratio - 1))
    if percent < 0.5:
        return "the present one"
    return f"{percent:.0f} % {'above' if ratio > 1 else 'below'} the present one"


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
            counts = [
                f"{verdicts.count(v)} {v}" for v in ("shallower", "the same", "deeper") if v in verdicts
            ]
            parts.append(f"by {said} {', '.join(counts)}")
    return f"The hollow to order to keep things as they are: {'; '.join(parts)}."


def match_panel() -> Panel:
    """Match the hollow to another rocker."""
    hollow, width = hollow_controls()
    keep = Choice(
        "keep", "keep the same", "view", options=tuple((m[2], k) for k, m in MEASURES.items()), default="hold"
    )
    both = for_both(*rocker_controls(), trial={"radius_mm": 3657.6})
    skater = skater_controls()
    skater[1] = replace(skater[1], default=MOMENTS[2])  # type: ignore[call-arg]
    return Panel(
        "match",
        MatchView(),
        [*both, hollow, width, *skater, ice_control(), keep],
        match_answer,
        columns_of="rocker",
    )
