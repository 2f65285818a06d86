"""What a photograph of a crater says for the settings of its panel, and what is still to be set."""

from __future__ import annotations

from dataclasses import dataclass, replace
from types import SimpleNamespace

from bladelab._errors import InputError
from bladelab._types import Array
from bladelab.rink.crater_photo import REACH, CraterOnPhoto, crater_on_photo, find_rim
from bladelab.show.canvas.result import Result
from bladelab.show.panels.workshop.photo_answer import BLANK, photograph_of
from bladelab.show.panels.workshop.photo_upload import Photograph
from bladelab.show.panels.workshop.ruler_marks import Cross, ruler_crosses, ruler_to_do
from bladelab.show.wording.words import capital, error_causes, plus_minus
from bladelab.workshop.ruler import Ruler


@dataclass(frozen=True, kw_only=True)
class CraterSeen(Result):
    """A photograph with what is set on it: the crosses, the circle (column, row and radius, px), and the
    crater once all is set, with its rim and the ruler."""

    photograph: Photograph
    crosses: tuple[Cross, Cross]
    circle: tuple[float, float, float] | None = None
    rim: tuple[Array, Array] | None = None
    ruler: Ruler | None = None
    crater: CraterOnPhoto | None = None


def crater_photo_answer(state: SimpleNamespace) -> CraterSeen:
    """The diameter with its error; while something is still to be set, that."""
    try:
        photograph = photograph_of(state.file)
    except InputError as problem:
        return CraterSeen(
            photograph=BLANK,
            crosses=(Cross(), Cross()),
            sentence=f"{capital(str(problem))}.",
            finding="This picture can't be read",
        )
    rows, columns = photograph.grey.shape
    column, row = state.crater_across / 100 * (columns - 1), state.crater_down / 100 * (rows - 1)
    radius, crosses = state.crater_size / 200 * columns, ruler_crosses(photograph, state)
    seen = CraterSeen(
        photograph=photograph,
        crosses=crosses,
        circle=(column, row, radius) if column > 0 or row > 0 else None,
        sentence=_to_do(state, crosses),
        finding="Not everything is set yet: no diameter",
    )
    if seen.sentence:
        return seen
    first, second = (cross.place for cross in crosses)
    assert first and second  # all is set
    try:
        ruler = Ruler(first, second, state.ruler_mm)
        rim = find_rim(photograph.grey, (column, row), radius)
        crater = crater_on_photo(*rim, ruler)
    except InputError as problem:
        return replace(seen, sentence=f"{capital(str(problem))}.", finding="No diameter from these settings")
    size = f"{plus_minus(crater.diameter_mm, crater.standard_error_mm, 2)} mm"
    parts = {
        "the lens": crater.lens_mm,
        "the ruler's marks": crater.scale_mm,
        "a camera not straight above": crater.askew_mm,
        "finding the rim": crater.reading_mm,
    }
    share = 100 * crater.standard_error_mm / crater.diameter_mm
    sentence = (
        f"This crater is {size} across (one standard error). {error_causes(parts, 'mm')}. That is "
        f"{share:.1f} % of the diameter, near {4 * share:.0f} % of the hardness, and more craters "
        "photographed from there don't reduce it. Not counted: a rim that is broken, and a ruler that lies "
        "above the ice.\nPress “take this crater” to hand it to the drop test."
    )
    return replace(
        seen, rim=rim, ruler=ruler, crater=crater, sentence=sentence, finding=f"The crater is {size} across"
    )


def _to_do(state: SimpleNamespace, crosses: tuple[Cross, Cross]) -> str:
    """What is to be set next, or nothing."""
    if state.crater_across <= 0 or state.crater_down <= 0:
        return "Step 1 of 5: move the crater's cross across and down to the middle of the crater."
    if state.crater_size <= 0:
        return (
            f"Step 2 of 5: set the size until the circle lies on the rim, to within {100 * REACH:.0f} %; the "
            "rim itself is then found."
        )
    return ruler_to_do(state, crosses, ("on the left", "on the right"))
