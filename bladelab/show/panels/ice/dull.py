"""How dull may an edge be before it holds no more? One hollow among the usual ones."""

from __future__ import annotations

from dataclasses import dataclass, replace
from types import SimpleNamespace

import numpy as np

from bladelab._types import Array
from bladelab.advice.dulling import EDGES_MM, duller_than
from bladelab.physics.contact import Contact
from bladelab.physics.solving import contacts_of
from bladelab.shape.blade import Blade
from bladelab.shape.hollow import USUAL_HOLLOWS_MM
from bladelab.show.canvas.limits import Rising
from bladelab.show.canvas.result import Result
from bladelab.show.canvas.style import INK, LINES, PRESENT, QUIET
from bladelab.show.canvas.view import View
from bladelab.show.controls import blade as controls
from bladelab.show.controls.control import Slider
from bladelab.show.panel.declare import panel
from bladelab.show.wording.say import say_edges, say_hold
from bladelab.show.wording.units_shown import UNITS
from bladelab.show.wording.words import decimal

_USUAL = np.array(USUAL_HOLLOWS_MM)
#: Of the usual hollows, those that have a line of their own: 1/4, 3/8, 1/2, 3/4 and 1 1/2 in.
_DRAWN = (0, 2, 4, 8, 13)


@dataclass(frozen=True, kw_only=True)
class Dullness(Result):
    """How an edge loses its hold.

    Attributes
    ----------
    here : Contact
        The chosen hollow with the chosen edges.
    own : array
        Its hold over `EDGES_MM`, degrees.
    usual : array
        The hold of the usual hollows, (14, edges).
    gone, half : array
        Edges at which each usual hollow has no hold left, and half of it, mm; NaN beyond the last.
    """

    here: Contact
    own: Array
    usual: Array
    gone: Array
    half: Array


def answer(state: SimpleNamespace) -> Dullness:
    """One hollow among the usual ones, over edges from sharp to dull."""
    rocker = controls.plain_rocker(state)
    stance = controls.skater_stance(state, controls.PUSH_S)
    ice, hollow = controls.ice_of(state), controls.hollow_of(state)
    grooves = (
        hollow,
        replace(hollow, edge_radius_mm=EDGES_MM),
        replace(hollow, radius_mm=_USUAL[:, None], edge_radius_mm=EDGES_MM),
    )
    found = contacts_of([(Blade(rocker, groove), stance, ice, state.gliding) for groove in grooves])
    here, own, usual = found[0], found[1].hold_deg, found[2].hold_deg
    gone, half = (np.array([duller_than(h, share * h[0]) for h in usual]) for share in (0.0, 0.5))
    own_gone = duller_than(own)
    size = UNITS.say("hollow", hollow.radius_mm)
    lasts = "is gone at edges of {:.3f} mm" if np.isfinite(own_gone) else "outlasts edges of 0.1 mm"
    return Dullness(
        here=here,
        own=own,
        usual=usual,
        gone=gone,
        half=half,
        finding=f"A {size} hollow: its hold {lasts.format(own_gone)}",
        sentence="\n".join(_said(state, here, found[1], usual[:, 0], own_gone)),
    )


def _said(
    state: SimpleNamespace, here: Contact, over: Contact, sharp_deg: Array, own_gone: float
) -> list[str]:
    hollow, own, say = here.blade.hollow, over.hold_deg, UNITS.say
    edges = f"edges {say_edges(hollow.edge_radius_mm)}" if hollow.edge_radius_mm else "sharp edges"
    first = f"Leaned {state.lean_deg:.0f}°, a {say('hollow', hollow.radius_mm)} hollow with {edges} "
    first += say_hold(here.hold_deg)
    if hollow.edge_radius_mm:
        less = 100 * (1 - here.depth_mm / over.depth_mm[0])
        first += f"; sharp, up to {own[0]:.1f}°. The bite hardly tells: it loses {less:.0f} %"
    words = [f"{first}."]
    half = duller_than(own, own[0] / 2)
    if np.isfinite(half):
        all_of_it = f", all of it at {own_gone:.3f} mm" if np.isfinite(own_gone) else ""
        words.append(f"As the edges get rounder, half of its hold is gone at {half:.3f} mm{all_of_it}.")
    shallower = np.nonzero(_USUAL > 1.01 * hollow.radius_mm)[0]
    at = [duller_than(own, float(sharp_deg[k])) for k in shallower]
    if at and np.isfinite(at[-1]):
        step, most = (f"a sharp hollow of {say('hollow', _USUAL[k])}" for k in (shallower[0], shallower[-1]))
        sooner = f"At {at[0]:.3f} mm it holds no more than {step}, at" if len(at) > 1 else "At"
        words.append(
            f"{sooner} {at[-1]:.3f} mm no more than {most}: from there on, sharpening does more than any "
            "choice of hollow."
        )
    return words


class DullView(View[Dullness]):
    """The hold over the edges' radius; and how dull each hollow may be."""

    height_px = 400

    def draw(self) -> None:
        hold = self.figure.add_axes((0.07, 0.135, 0.485, 0.73))
        hold.set(xlim=(0, 0.1), xlabel="radius of the edges, mm: sharp ← → dull", ylabel="hold angle, °")
        hold.axhline(0, color=INK, linewidth=1.0)
        self.hold = Rising(hold, (4.0, 8.0, 12.0, 16.0, 32.0, 64.0), spare=1.08)
        self.lines = [self.new_line(hold, color=QUIET, linewidth=1.0, alpha=0.8) for _ in _DRAWN]
        self.tags = [self.new_text(hold, fontsize=9.5, color=QUIET, va="center", ha="left") for _ in _DRAWN]
        self.own = self.new_line(hold, zorder=5, **LINES["present"])  # over the labels
        self.own_tag = self.new_text(hold, color=PRESENT, va="bottom", fontweight="bold")
        self.dot = self.new_line(hold, color=PRESENT, marker="o", markersize=8, linestyle="none")
        may = self.figure.add_axes((0.66, 0.135, 0.325, 0.73))
        may.set_title("how dull each hollow may be", fontsize=11.5)
        ends = UNITS.shown("hollow", _USUAL[0]), UNITS.shown("hollow", _USUAL[-1])
        may.set(xlim=ends, xlabel=f"hollow, {UNITS.unit('hollow')}", ylabel="radius of the edges, mm")
        may.set(ylim=(0, 0.1))
        self.gone = self.new_line(may, color=INK, linewidth=2.0)
        self.half = self.new_line(may, color=INK, linewidth=1.2, linestyle=(0, (2, 2)))
        self.gone_tag = self.new_text(may, "the hold is gone", va="bottom")
        self.half_tag = self.new_text(may, "half of it", va="top", ha="right")
        self.chosen = self.new_line(may, color=PRESENT, marker="o", markersize=8, linestyle="none")

    def update(self, dullness: Dullness) -> None:
        shown = dullness.usual[list(_DRAWN)]
        self.hold.reach(float(dullness.usual.max()), float(min(dullness.usual.min(), dullness.own.min())))
        hollow = dullness.here.blade.hollow
        size, top = UNITS.say("hollow", hollow.radius_mm), self.hold.top
        for line, tag, curve, i in zip(self.lines, self.tags, shown, _DRAWN, strict=True):
            line.set_data(EDGES_MM, curve)
            words = UNITS.say("hollow", _USUAL[i])
            tag.set_text(words if words != size else "")
            tag.set_position((0.001, float(curve[0])))
        self.own.set_data(EDGES_MM, dullness.own)
        edge, held = hollow.edge_radius_mm, float(dullness.here.hold_deg)
        self.own_tag.set_text(f"{say_edges(edge).removesuffix(' round')}: {decimal(held, 1)}°")
        right = edge > 0.06
        past_names = 0.022 if self.narrow else 0.012
        self.own_tag.set_position((edge + (-0.002 if right else past_names), held + 0.05 * top))
        self.own_tag.set_horizontalalignment("right" if right else "left")
        self.dot.set_data([edge], [held])
        x = UNITS.shown("hollow", _USUAL)
        self.gone.set_data(x, dullness.gone)
        self.half.set_data(x, dullness.half)
        for tag, curve, aside in (
            (self.gone_tag, dullness.gone, 0.002),
            (self.half_tag, dullness.half, -0.002),
        ):
            tag.set_position((float(x[6]), min(float(np.nan_to_num(curve[6], nan=0.1)), 0.092) + aside))
        self.chosen.set_data([UNITS.shown("hollow", hollow.radius_mm)], [edge])


dull_panel = panel(
    "dull",
    DullView,
    answer,
    controls.radius_control(),
    controls.hollow_controls(),
    controls.mass_control(),
    controls.load_control("push, share of weight", 130, high=250),
    Slider("lean_deg", "lean of the blade", "skater", 10, 60, 35, "angle", step=1.0),
    controls.gliding_control(),
    controls.ice_controls(),
    tabs=False,
)
