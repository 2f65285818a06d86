"""How much steel comes off? What must be ground away to turn the present shape into the trial shape."""

from __future__ import annotations

import datetime
from collections.abc import Callable
from types import SimpleNamespace

from bladelab.book.shape_now import ShapeNow
from bladelab.shape.rocker import Rocker
from bladelab.show.controls import blade as controls
from bladelab.show.controls.control import Slider, for_both
from bladelab.show.drawings.cut_view import CutView, SteelOff
from bladelab.show.drawings.template import paper_for, write_template
from bladelab.show.panel.declare import panel
from bladelab.show.panel.engine import Panel
from bladelab.show.panel.skater import SKATER
from bladelab.show.panels.workshop.cut_order import ORDER_CONTROLS, order_buttons
from bladelab.show.papers.order_words import UNSEEN_MM, level_from
from bladelab.show.wording.say import say_day
from bladelab.show.wording.units_shown import UNITS
from bladelab.show.wording.words import along_the_blade
from bladelab.workshop.cut import Cut, WornRocker, steel_to_remove
from bladelab.workshop.trace import Trace

# Nothing to grind. A tip is taken as a shear, which leaves up to 0.003 mm at the greatest tip.
_NOTHING_MM, _NOTHING_TIPPED_MM = 0.0005, 0.004


def _shape(state: SimpleNamespace, name: str) -> Rocker:
    return controls.rocker_of(SimpleNamespace(**vars(getattr(state, name)), length_mm=state.length_mm))


def _present(state: SimpleNamespace) -> tuple[WornRocker | Rocker | Trace, str]:
    """What the cut begins from, and a sentence about it if it was measured."""
    known = state.present.shape
    if not isinstance(known, ShapeNow):
        return WornRocker(_shape(state, "present"), state.rounding_mm), ""
    if known.how != "measured":
        return WornRocker(known.rocker, state.rounding_mm), ""
    day = f" on {say_day(known.on)}" if known.on else ""
    said = [f"The cut begins from the edge as it was measured{day}."]
    if words := level_from(known.level, "trial"):
        said.append(words)
    if (rest := known.rocker.length_mm - known.edge.length_mm) > UNSEEN_MM:
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
    heights = {"height_mm": state.height_mm, "least_mm": state.least_mm}
    return SteelOff(cut=cut, finding=finding, sentence=sentence, **heights)


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
        whose = f"the trial shape, {SKATER.code}, {say_day(datetime.date.today())}" if SKATER.code else ""
        rest = form, paper_for(rocker.length_mm), whose or "the trial shape"
        panel.saving.save_other("template", form, lambda file: write_template(file, rocker, *rest))

    return save


_length, *_shapes = controls.rocker_controls()

cut_panel = panel(
    "cut",
    CutView,
    cut_answer,
    _length,
    for_both(*_shapes, trial={"shape": "blended"}),
    Slider("rounding_mm", "present ends worn", "rocker", 0, 0.3, 0, "depth", step=0.01, when=_not_measured),
    Slider("tilt_limit_deg", "boot may tip by", "rocker", 0, 1, 0, "angle", step=0.05),
    controls.steel_controls("rocker"),
    ORDER_CONTROLS,
    buttons=(
        ("swap present and trial", _swap),
        ("touch up the trial shape", _touch_up),
        ("save a template, SVG", _template("svg")),
        ("save a template, PDF", _template("pdf")),
    ),
    tabs=False,
    more=order_buttons,
)
