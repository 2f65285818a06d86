"""How much steel comes off? What must be ground away to turn the present shape into the trial shape."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from types import SimpleNamespace

import numpy as np

from bladelab.book.shape_now import ShapeNow
from bladelab.shape.rocker import Rocker
from bladelab.show.canvas.limits import Rising
from bladelab.show.canvas.parts import HEIGHTS_MM, REACH_MM
from bladelab.show.canvas.result import Result
from bladelab.show.canvas.style import LINES, QUIET, STEEL, TRIAL
from bladelab.show.canvas.view import View
from bladelab.show.controls import blade as controls
from bladelab.show.controls.control import Slider, for_both
from bladelab.show.drawings.template import paper_for, write_template
from bladelab.show.panel.declare import panel
from bladelab.show.panel.engine import Panel
from bladelab.show.panels.workshop.edge_parts import axes_along, worst_mark
from bladelab.show.wording.units_shown import UNITS
from bladelab.show.wording.words import along_the_blade
from bladelab.workshop.cut import Cut, WornRocker, steel_to_remove
from bladelab.workshop.trace import Trace

# Nothing to grind. A tip is taken as a shear, which leaves up to 0.003 mm at the greatest tip.
_NOTHING_MM, _NOTHING_TIPPED_MM = 0.0005, 0.004
_DEPTHS_MM = (0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 40.0)


@dataclass(frozen=True, kw_only=True)
class SteelOff(Result):
    """One cut, and the height of the steel before it and at the maker's minimum, mm."""

    cut: Cut
    height_mm: float
    least_mm: float


#: Where a measured edge has its level point from, if it doesn't show it.
_LEVEL_FROM = {
    "ground": "It doesn't show the level point, which is taken to be where it was ground.",
    "stated": "It doesn't show the level point, which is taken to be where the card has it.",
    "unknown": "It doesn't show the level point and the card doesn't know it: the cut holds only if that is "
    "where the trial has it.",
}
_UNSEEN_MM = 5.0


def _shape(state: SimpleNamespace, name: str) -> Rocker:
    return controls.rocker_of(SimpleNamespace(**vars(getattr(state, name)), length_mm=state.length_mm))


def _present(state: SimpleNamespace) -> tuple[WornRocker | Rocker | Trace, str]:
    """What the cut begins from, and a sentence about it if it was measured."""
    known = state.present.shape
    if not isinstance(known, ShapeNow):
        return WornRocker(_shape(state, "present"), state.rounding_mm), ""
    if known.how != "measured":
        return WornRocker(known.rocker, state.rounding_mm), ""
    said = [f"The cut begins from the edge as it was measured on {known.on}."]
    if known.level in _LEVEL_FROM:
        said.append(_LEVEL_FROM[known.level])
    if (rest := known.rocker.length_mm - known.edge.length_mm) > _UNSEEN_MM:
        said.append(f"{rest:.0f} mm of the runner were not measured: more may come off there.")
    return known.edge, "\n" + " ".join(said)


def _not_measured(state: SimpleNamespace) -> bool:
    known = state.present.shape
    return not (isinstance(known, ShapeNow) and known.how == "measured")


def _tips(cut: Cut) -> str:
    """What it means that the trial shape was tipped to save steel; empty if it was not."""
    if abs(cut.tilt_deg) < 0.005:
        return ""
    way = "forward" if cut.tilt_deg > 0 else "back"
    return f"the boot tips {abs(cut.tilt_deg):.2f}° further {way} than the trial's level point calls for"


def cut_answer(state: SimpleNamespace) -> SteelOff:
    """What the change costs in steel, in words."""
    present, begun = _present(state)
    cut = steel_to_remove(present, _shape(state, "trial"), state.tilt_limit_deg)
    share = cut.share_of_height(state.height_mm, state.least_mm)
    size, tips, angle = UNITS.say("depth", cut.largest_mm), _tips(cut), f"{abs(cut.tilt_deg):.2f}°"
    if tips and cut.largest_mm < _NOTHING_TIPPED_MM:
        finding = f"Nothing to grind: it is the same shape, tipped by {angle}"
        sentence = (
            f"The same shape, tipped by {angle}: no steel comes off, but {tips}. To put the level point "
            "where the trial has it, set “boot may tip by” to 0."
        )
    elif cut.largest_mm < _NOTHING_MM:
        finding = "Nothing to grind: the trial shape is the present one"
        sentence = "The two shapes are the same, level point and all: no steel comes off."
    else:
        finding = f"Up to {size} of steel comes off"
        sentence = (
            f"At its deepest, {size} comes off, {along_the_blade(cut.largest_at_mm)}; {cut.mean_mm:.3f} mm "
            f"on average, {cut.area_mm2:.1f} mm² seen from the side. That is {100 * share:.0f} % of the "
            f"{state.height_mm - state.least_mm:.1f} mm left above the maker's minimum."
        )
        if tips:
            sentence += f" To save steel the trial shape is tipped by {angle}, so {tips}."
    if share > 1:
        below = cut.largest_mm - state.height_mm + state.least_mm
        finding = f"Don't grind this: it would go {below:.2f} mm below the minimum"
        sentence += " It would go below the minimum: don't grind it."
    sentence += begun
    sentence += (
        "\nGrinding is for people trained for it: gloves, eye protection, guards. Skate slowly at first on a "
        "blade that was changed."
    )
    return SteelOff(
        cut=cut, height_mm=state.height_mm, least_mm=state.least_mm, finding=finding, sentence=sentence
    )


class CutView(View[SteelOff]):
    """Both edges in the steel, the strip that comes off, and the height of steel that is left."""

    height_px = 430

    def draw(self) -> None:
        edges, strip = axes_along(self, 0.72, (0.54, 0.36), (0.11, 0.34))
        strip.set_ylabel("steel to remove, mm")
        self.gone = self.new_area(edges, color=TRIAL, alpha=0.35)
        self.steel = self.new_area(edges, color=STEEL, alpha=0.6)
        self.lines = {name: self.new_line(edges, **style) for name, style in LINES.items()}
        for name, x, words in (("present", 0.36, "present"), ("trial", 0.47, "trial (dashed)")):
            colour = LINES[name]["color"]
            self.new_text(edges, words, x, 0.95, color=colour, va="top", transform=edges.transAxes)
        self.height = Rising(edges, HEIGHTS_MM, spare=1.12, below=0.1, name="height, mm")
        self.depth = self.new_area(strip, color=TRIAL, alpha=0.35)
        self.depth_line = self.new_line(strip, color=TRIAL, linewidth=1.6)
        self.mean = self.new_level(strip, color=QUIET, linestyle=(0, (2, 2)), linewidth=1.2)
        self.mean_tag = self.new_text(strip, color=QUIET, ha="right", va="bottom")
        self.worst = worst_mark(self, strip)
        self.worst_tag = self.new_text(strip, ha="center", va="bottom")
        self.deep = Rising(strip, _DEPTHS_MM, spare=1.35)
        bar = self.figure.add_axes((0.885, 0.11, 0.1, 0.79))
        bar.set(xlim=(0, 1), ylim=(0, 30), xticks=[], ylabel="height of the steel, mm")
        bar.grid(False)
        self.left = self.moving(bar.bar([0.5], [1], width=0.6, color=STEEL)[0])
        self.taken = self.moving(bar.bar([0.5], [1], width=0.6, color=TRIAL, alpha=0.5)[0])
        self.least = self.new_level(bar, color="black", linewidth=1.6)
        self.least_tag = self.new_text(bar, "minimum", ha="center", va="top", bbox=None)

    def update(self, ground: SteelOff) -> None:
        """Show one cut."""
        cut = ground.cut
        thin = np.unique(np.linspace(0, len(cut.x_mm) - 1, 161).astype(int))
        x, now, wanted = cut.x_mm[thin], cut.present_mm[thin], cut.target_mm[thin]
        lowest = float(now.min())
        now, wanted = now - lowest, wanted - lowest
        after = np.maximum(now, wanted)
        top = self.height.reach(float(after.max()))
        self.gone.set_data(x, now, after)
        self.steel.set_data(x, after, np.full_like(x, 2 * top))
        self.lines["present"].set_data(x, now)
        self.lines["trial"].set_data(x, wanted)
        deep = self.deep.reach(max(cut.largest_mm, 1e-3))
        self.depth.set_data(x, 0 * x, after - now)
        self.depth_line.set_data(x, after - now)
        self.mean.set_ydata([cut.mean_mm] * 2)
        self.mean_tag.set_text(f"average {cut.mean_mm:.3f} mm")
        self.mean_tag.set_position((REACH_MM - 2, cut.mean_mm))
        self.worst.set_data([cut.largest_at_mm], [cut.largest_mm])
        self.worst_tag.set_text(f"most: {cut.largest_mm:.3f} mm")
        place = float(np.clip(cut.largest_at_mm, -125, 105))
        self.worst_tag.set_position((place, cut.largest_mm + 0.05 * deep))
        left = max(ground.height_mm - cut.largest_mm, 0)
        self.left.set_height(left)
        self.taken.set_y(left)
        self.taken.set_height(min(cut.largest_mm, ground.height_mm))
        self.least.set_ydata([ground.least_mm] * 2)
        self.least_tag.set_position((0.5, ground.least_mm - 0.3))


def _swap(panel: Panel) -> None:
    with panel.quiet():
        for dial in list(panel.dials.values()):
            if dial.control.column == "present":
                other = panel.dials[f"trial.{dial.control.key}"]
                dial.value, other.value = other.value, dial.value


def _touch_up(panel: Panel) -> None:
    with panel.quiet():
        panel.copy_column("trial", "present")
        panel.dials["rounding_mm"].value = 0.05


def _template(form: str) -> Callable[[Panel], None]:
    def save(panel: Panel) -> None:
        rocker = _shape(panel.state(), "trial")
        panel.save_other(
            "template",
            form,
            lambda file: write_template(file, rocker, form, paper_for(rocker.length_mm), "the trial shape"),
        )

    return save


_length, *_shapes = controls.rocker_controls()

cut_panel = panel(
    "cut",
    CutView,
    cut_answer,
    _length,
    for_both(*_shapes, trial={"shape": "blended"}),
    Slider(
        "rounding_mm",
        "present ends worn",
        "rocker",
        low=0,
        high=0.3,
        default=0,
        quantity="depth",
        step=0.01,
        when=_not_measured,
    ),
    Slider(
        "tilt_limit_deg", "boot may tip by", "rocker", low=0, high=1, default=0, quantity="angle", step=0.05
    ),
    controls.steel_controls("rocker"),
    buttons=(
        ("swap present and trial", _swap),
        ("touch up the trial shape", _touch_up),
        ("save a template, SVG", _template("svg")),
        ("save a template, PDF", _template("pdf")),
    ),
    tabs=False,
)
