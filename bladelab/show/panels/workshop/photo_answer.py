"""What a photograph says for the settings of its panel, and what is still to be set before it says
anything.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from types import SimpleNamespace

import numpy as np

from bladelab._errors import InputError
from bladelab._types import Array
from bladelab.show.canvas.result import Result
from bladelab.show.panels.workshop.measured_files import for_the_card
from bladelab.show.panels.workshop.photo_upload import Photograph
from bladelab.show.panels.workshop.ruler_marks import Cross, ruler_crosses, ruler_to_do
from bladelab.show.wording.units_shown import UNITS
from bladelab.show.wording.words import capital, error_causes, plus_minus
from bladelab.units import feet
from bladelab.workshop.lens import bow_left_share, line_bow_px
from bladelab.workshop.photo import PhotoTrace, find_edge, photo_trace
from bladelab.workshop.picture_file import read_photo
from bladelab.workshop.ruler import Ruler

#: What a dial says that is not set yet: an end of its range, where no edge, mark or ruler can be.
UNSET: dict[str, float] = {
    "ruler_mm": 0.0,
    "left": 0.0,
    "right": 100.0,
    "top": 0.0,
    "bottom": 100.0,
    "mark_1_across": 0.0,
    "mark_1_down": 0.0,
    "mark_2_across": 0.0,
    "mark_2_down": 0.0,
    "straighten": False,
    "ruler_edge": 0.0,
}


@dataclass(frozen=True, eq=False)
class Placed:
    """A photograph with what the dials say, in pixels.

    Attributes
    ----------
    photograph : Photograph
    frame : ((int, int), (int, int))
        First and last column and row in which the edge is looked for.
    crosses : (Cross, Cross)
    rows_shown : (float, float)
    straight : (int, int), optional
        First and last row in which the ruler's edge is looked for.
    """

    photograph: Photograph
    frame: tuple[tuple[int, int], tuple[int, int]]
    crosses: tuple[Cross, Cross]
    rows_shown: tuple[float, float]
    straight: tuple[int, int] | None


@dataclass(frozen=True, kw_only=True)
class FromPhoto(Result):
    """What is set and found in a photograph so far: columns and rows of the edge, px, and its trace."""

    placed: Placed
    edge: tuple[Array, Array] | None = None
    trace: PhotoTrace | None = None


#: What is shown in place of a picture that can't be read.
BLANK = Photograph("nothing", np.full((300, 900), 255, dtype=np.uint8))


def photograph_of(file: str | Photograph) -> Photograph:
    """The photograph that a menu offers: read once for each change of the file."""
    if isinstance(file, Photograph):
        return file
    return _read(file, Path(file).stat().st_mtime_ns if Path(file).exists() else 0)


@lru_cache(maxsize=2)
def _read(path: str, changed: int) -> Photograph:
    return Photograph(Path(path).name, read_photo(path))


@lru_cache(maxsize=6)
def _edge(photograph: Photograph, columns: tuple[int, int], rows: tuple[int, int]) -> tuple[Array, Array]:
    return find_edge(photograph.grey, columns, rows)


def photo_answer(state: SimpleNamespace) -> FromPhoto:
    """What the photograph says, and what it cannot say; while something is still to be set, that."""
    try:
        photograph = photograph_of(state.file)
    except InputError as problem:
        placed = _placed(BLANK, SimpleNamespace(**{**vars(state), **UNSET}))
        return FromPhoto(placed=placed, sentence=_sentence(problem), finding="This picture can't be read")
    placed = _placed(photograph, state)
    if words := _to_do(state, placed.crosses):
        return FromPhoto(placed=placed, sentence=words, finding="Not everything is set yet: no radius")
    try:
        edge, trace = _found(placed, state)
    except InputError as problem:
        return FromPhoto(placed=placed, sentence=_sentence(problem), finding="No radius from these settings")
    sentence, finding = _said(trace, state.straighten)
    return FromPhoto(
        placed=placed, edge=edge, trace=trace, sentence=sentence, finding=finding,
        edges=for_the_card({"": trace.heights}, state.file), edges_note="from a photograph",
    )  # fmt: skip


def _placed(photograph: Photograph, state: SimpleNamespace) -> Placed:
    rows, columns = photograph.grey.shape

    def across(share: float) -> float:
        return share / 100 * (columns - 1)

    def down(share: float) -> float:
        return min(max(share, 0.0), 100.0) / 100 * (rows - 1)

    above, below = _shares_shown(state)
    return Placed(
        photograph,
        frame=(
            (int(across(state.left)), int(across(state.right))),
            (int(down(state.top)), int(down(state.bottom))),
        ),
        crosses=ruler_crosses(photograph, state),
        rows_shown=(down(above), down(below)),
        straight=(int(down(state.ruler_edge - 2)), int(down(state.ruler_edge + 2)))
        if state.straighten and state.ruler_edge > 0
        else None,
    )


def _shares_shown(state: SimpleNamespace) -> tuple[float, float]:
    """How much of the picture's height is shown, in percent: once all is set, only the part that matters, so
    that it is seen larger. In steps of a tenth, for each change draws the photograph again.
    """
    places = [state.top, 100 - state.bottom, state.mark_1_down, state.mark_2_down]
    if state.straighten:
        places.append(state.ruler_edge)
    if min(places) <= 0:
        return 0.0, 100.0
    places[1] = state.bottom
    return 10 * np.floor(min(places) / 10 - 0.5), 10 * np.ceil(max(places) / 10 + 0.5)


def _to_do(state: SimpleNamespace, crosses: tuple[Cross, Cross]) -> str:
    """What is to be set next, or nothing."""
    if state.top <= 0 or state.bottom >= 100:
        return (
            "Step 1 of 5: move the upper and the lower limit until the dashed frame holds the lower edge of "
            "the blade and no other line."
        )
    if state.left <= 0 or state.right >= 100:
        return "Step 2 of 5: move the heel and the toe limit just inside the two ends of the blade."
    if words := ruler_to_do(state, crosses, ("near the heel", "near the toe")):
        return words
    if state.straighten and state.ruler_edge <= 0:
        return (
            "To straighten: move the ruler edge down until the second dashed frame holds the long edge of "
            "the ruler and no other line."
        )
    return ""


def _found(placed: Placed, state: SimpleNamespace) -> tuple[tuple[Array, Array], PhotoTrace]:
    """The edge and its trace, once all is set."""
    if state.left >= state.right - 5:
        raise InputError(
            f"the heel limit is at {state.left:.1f} %; it must be at least 5 % left of the toe limit, "
            f"{state.right:.1f} %"
        )
    if state.top >= state.bottom - 2:
        raise InputError(
            f"the upper limit is at {state.top:.1f} %; it must be at least 2 % above the lower one, "
            f"{state.bottom:.1f} %"
        )
    photograph, (columns, rows) = placed.photograph, placed.frame
    width = photograph.grey.shape[1]
    column, row = _edge(photograph, columns, rows)
    first, second = (cross.place for cross in placed.crosses)
    assert first and second  # all is set
    ruler = Ruler(first, second, state.ruler_mm)
    bow, share = 0.0, state.lens_percent / 100
    if placed.straight:
        line = _edge(photograph, columns, placed.straight)
        bow = line_bow_px(line[0], line[1], float(np.ptp(column)))
        share = bow_left_share(bow, float(np.median(line[1]) - np.median(row)), width)
    trace = photo_trace(column, row, ruler, width, askew_deg=state.askew_deg, bow_px=bow, lens_share=share)
    return (column, row), trace


def _sentence(problem: InputError) -> str:
    text = str(problem)
    return f"{capital(text)}."


def _said(trace: PhotoTrace, straightened: bool) -> tuple[str, str]:
    """The sentence and the headline."""
    unit, factor = UNITS.unit("radius"), UNITS.shown("radius", 1.0)
    radius, error = trace.fit.radius_mm * factor, trace.standard_error_mm * factor
    low, high = trace.limits_mm()
    between = (
        f"lies between {low * factor:.2f} and {high * factor:.2f} {unit}"
        if high < 1e6
        else f"lies above {low * factor:.2f} {unit}: the edge may even be straight"
    )
    near, far = feet(9), feet(10)
    can = trace.can_tell(near, far)
    parts = {
        "the lens": trace.lens_mm * factor,
        "the ruler's marks": trace.scale_mm * factor,
        "the camera off square": trace.askew_mm * factor,
        "finding the edge": trace.reading_mm * factor,
    }
    names = f"{UNITS.say('radius', near)} from {UNITS.say('radius', far)}"
    advice = (
        "" if straightened else " Straighten by the ruler's edge: more pixels don't make a lens straighter."
    )
    if not can:
        advice += " A gauge will tell more."
    return (
        f"The edge in the picture fits a radius of {plus_minus(radius, error, 2)} {unit} (one standard "
        f"error); in 19 of 20 such photographs the true radius {between}. {error_causes(parts, unit)}.\n"
        f"This photograph can{'' if can else 'not'} tell {names}: {'at most' if can else 'more than'} "
        f"1 photo in 40 would be wrong.{advice}"
    ), f"{plus_minus(radius, error, 1)} {unit}: the photograph can{'' if can else 'not'} tell {names}"
