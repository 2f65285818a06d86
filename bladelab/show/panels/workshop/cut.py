"""The cut panel: the steel that must go to turn the present shape into the trial shape."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np

from bladelab.shape.rocker import Rocker
from bladelab.show.canvas.limits import exaggeration, step_above, times
from bladelab.show.canvas.parts import REACH_MM
from bladelab.show.canvas.style import LINES, QUIET, STEEL, TRIAL, heel_and_toe, label
from bladelab.show.canvas.view import View
from bladelab.show.controls.blade import rocker_controls, rocker_of
from bladelab.show.controls.control import Slider, for_both
from bladelab.show.drawings.template import paper_for, write_template
from bladelab.show.panel.engine import Answer, Panel
from bladelab.show.wording.units_shown import UNITS
from bladelab.show.wording.words import along_the_blade
from bladelab.workshop.cut import Cut, WornRocker, steel_to_remove

# Nothing to grind. A turn is taken as a shear, which leaves up to 0.003 mm at the greatest turn.
_NOTHING_MM, _NOTHING_TURNED_MM = 0.0005, 0.004


class CutView(View):
    """Both edges as they lie in the steel, the strip that must go, and the height of steel that is left."""

    height_px = 430

    def draw(self) -> None:
        self.edges = self.figure.add_axes((0.085, 0.54, 0.72, 0.36))
        self.strip = self.figure.add_axes((0.085, 0.11, 0.72, 0.34))
        for axes in (self.edges, self.strip):
            axes.set_xlim(-REACH_MM, REACH_MM)
            heel_and_toe(axes)
        self.edges.tick_params(labelbottom=False)
        self.strip.set(xlabel="along the blade, mm from its middle", ylabel="steel to remove, mm")
        self.gone = self.moving(self.edges.fill_between([0, 1], 0, 0, color=TRIAL, alpha=0.35, linewidth=0))
        self.steel = self.moving(self.edges.fill_between([0, 1], 0, 0, color=STEEL, alpha=0.6, linewidth=0))
        self.lines = {name: self.moving(self.edges.plot([], [], **style)[0]) for name, style in LINES.items()}
        for name, x in (("present", 0.36), ("trial (dashed)", 0.47)):
            colour = LINES[name.split()[0]]["color"]
            self.moving(
                label(self.edges, x, 0.95, name, color=colour, va="top", transform=self.edges.transAxes)
            )
        self.depth = self.moving(self.strip.fill_between([0, 1], 0, 0, color=TRIAL, alpha=0.35, linewidth=0))
        self.depth_line = self.moving(self.strip.plot([], [], color=TRIAL, linewidth=1.6)[0])
        self.mean = self.moving(self.strip.axhline(0, color=QUIET, linestyle=(0, (2, 2)), linewidth=1.2))
        self.mean_tag = self.moving(
            label(self.strip, REACH_MM - 2, 0, "", color=QUIET, ha="right", va="bottom")
        )
        self.worst = self.moving(
            self.strip.plot([], [], marker="o", markersize=8, markerfacecolor="none", color="black")[0]
        )
        self.worst_tag = self.moving(label(self.strip, 0, 0, "", ha="center", va="bottom"))
        self.bar = self.figure.add_axes((0.885, 0.11, 0.1, 0.79))
        self.bar.set(xlim=(0, 1), ylim=(0, 30), xticks=[], ylabel="height of the steel, mm")
        self.bar.grid(False)
        self.left = self.moving(self.bar.bar([0.5], [1], width=0.6, color=STEEL)[0])
        self.taken = self.moving(self.bar.bar([0.5], [1], width=0.6, color=TRIAL, alpha=0.5)[0])
        self.least = self.moving(self.bar.axhline(0, color="black", linewidth=1.6))
        self.least_tag = self.moving(label(self.bar, 0.5, 0, "minimum", ha="center", va="top", bbox=None))

    def update(self, *, cut: Cut, height_mm: float, least_mm: float, finding: str) -> None:
        """Show one cut."""
        thin = np.unique(np.linspace(0, len(cut.x_mm) - 1, 161).astype(int))
        x, now, wanted = cut.x_mm[thin], cut.present_mm[thin], cut.target_mm[thin]
        lowest = float(now.min())
        now, wanted = now - lowest, wanted - lowest
        top = step_above(1.12 * float(max(now.max(), wanted.max())), (2.5, 5.0, 10.0, 20.0, 40.0, 80.0))
        if self.edges.get_ylim()[1] != top or not self.edges.get_ylabel():
            self.edges.set_ylim(-0.1 * top, top)
            self.edges.set_ylabel(f"height, mm\n({times(exaggeration(self.edges))})")
        self.gone.set_data(x, now, np.maximum(now, wanted))
        self.steel.set_data(x, np.maximum(now, wanted), np.full_like(x, 2 * top))
        self.lines["present"].set_data(x, now)
        self.lines["trial"].set_data(x, wanted)
        depth = np.maximum(wanted - now, 0.0)
        deep = step_above(
            1.35 * max(cut.largest_mm, 1e-3), (0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 40.0)
        )
        self.strip.set_ylim(0, deep)
        self.depth.set_data(x, 0 * x, depth)
        self.depth_line.set_data(x, depth)
        self.mean.set_ydata([cut.mean_mm] * 2)
        self.mean_tag.set_text(f"mean {cut.mean_mm:.3f} mm")
        self.mean_tag.set_position((REACH_MM - 2, cut.mean_mm))
        self.worst.set_data([cut.largest_at_mm], [cut.largest_mm])
        self.worst_tag.set_text(f"most: {cut.largest_mm:.3f} mm")
        self.worst_tag.set_position(
            (float(np.clip(cut.largest_at_mm, -125, 105)), cut.largest_mm + 0.05 * deep)
        )
        self.left.set_height(max(height_mm - cut.largest_mm, 0))
        self.taken.set_y(max(height_mm - cut.largest_mm, 0))
        self.taken.set_height(min(cut.largest_mm, height_mm))
        self.least.set_ydata([least_mm] * 2)
        self.least_tag.set_position((0.5, least_mm - 0.3))
        self.title(finding)


def _shape(state: SimpleNamespace, name: str) -> Rocker:
    return rocker_of(SimpleNamespace(**vars(getattr(state, name)), length_mm=state.length_mm))


def _tilt(cut: Cut) -> str:
    """What it means that the trial shape was turned to save steel; empty if it was not."""
    if abs(cut.tilt_deg) < 0.005:
        return ""
    way = "forward" if cut.tilt_deg > 0 else "back"
    return (
        f"the boot tips {abs(cut.tilt_deg):.2f}° further {way} than the trial's own level point would have it"
    )


def cut_answer(state: SimpleNamespace) -> Answer:
    """What the change costs in steel, in words."""
    present, trial = _shape(state, "present"), _shape(state, "trial")
    cut = steel_to_remove(WornRocker(present, state.rounding_mm), trial, state.tilt_limit_deg)
    share = cut.share_of_height(state.height_mm, state.least_mm)
    size, tips = UNITS.say("depth", cut.largest_mm), _tilt(cut)
    if tips and cut.largest_mm < _NOTHING_TURNED_MM:
        finding = f"Nothing to grind: it is the same shape, tipped by {abs(cut.tilt_deg):.2f}°"
        sentence = (
            f"The same shape, tipped by {abs(cut.tilt_deg):.2f}°: nothing has to go, but {tips}. To move the "
            "level point to where the trial has it, set *trial may turn by* to 0."
        )
    elif cut.largest_mm < _NOTHING_MM:
        finding = "Nothing to grind: the trial shape is the present one"
        sentence = "The two shapes are the same, level point and all: nothing has to go."
    else:
        finding = f"The change takes {size} of steel at its deepest"
        sentence = (
            f"At its deepest {size} must go, {along_the_blade(cut.largest_at_mm)}; {cut.mean_mm:.3f} mm "
            f"on average, {cut.area_mm2:.1f} mm² seen from the side. That is {100 * share:.0f} % of the "
            f"{state.height_mm - state.least_mm:.1f} mm left above the maker's minimum."
        )
        if tips:
            sentence += f" To save steel the trial shape is turned by {abs(cut.tilt_deg):.2f}°, so {tips}."
    if share > 1:
        below = cut.largest_mm - state.height_mm + state.least_mm
        finding = f"Don't grind this: it would go {below:.2f} mm below the minimum"
        sentence += " It would go below the minimum: don't grind it."
    sentence += (
        "\nGrinding is for people trained for it: gloves, eye protection, guards. First skate on a changed "
        "blade slowly."
    )
    return Answer(
        sentence, {"cut": cut, "height_mm": state.height_mm, "least_mm": state.least_mm, "finding": finding}
    )


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


def _template(form: str) -> Any:
    def save(panel: Panel) -> None:
        rocker = _shape(panel.state(), "trial")
        panel.save_other(
            "template",
            form,
            lambda file: write_template(file, rocker, form, paper_for(rocker.length_mm), "the trial shape"),
        )

    return save


def cut_panel() -> Panel:
    """What a change of shape costs in steel."""
    controls = [control for control in rocker_controls() if control.key != "length_mm"]
    both = for_both(*controls, trial={"shape": "blended"})
    return Panel(
        "cut",
        CutView(),
        [
            Slider("length_mm", "blade length", "rocker", low=220, high=320, default=280, quantity="length"),
            *both,
            Slider(
                "rounding_mm",
                "present ends worn",
                "rocker",
                low=0,
                high=0.3,
                default=0,
                quantity="depth",
                step=0.01,
            ),
            Slider(
                "tilt_limit_deg",
                "trial may turn by",
                "rocker",
                low=0,
                high=1,
                default=0,
                quantity="angle",
                step=0.05,
            ),
            Slider(
                "height_mm",
                "steel height now",
                "rocker",
                low=5,
                high=30,
                default=14,
                quantity="fine length",
            ),
            Slider(
                "least_mm", "maker's minimum", "rocker", low=2, high=20, default=9, quantity="fine length"
            ),
        ],
        cut_answer,
        buttons=[
            ("swap present and trial", _swap),
            ("a touch-up of the trial shape", _touch_up),
            ("save a template, SVG", _template("svg")),
            ("save a template, PDF", _template("pdf")),
        ],
        tabs=False,
    )
