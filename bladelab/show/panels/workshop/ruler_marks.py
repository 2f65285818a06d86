"""The ruler in a photograph: two crosses on its marks, and what is still to be set of it."""

from __future__ import annotations

from dataclasses import dataclass
from types import SimpleNamespace

from bladelab.show.panels.workshop.photo_upload import Photograph
from bladelab.workshop.ruler import find_mark

#: How far to each side a cross looks for its mark, as a share of the picture's width.
MARK_REACH = 0.006


@dataclass(frozen=True)
class Cross:
    """One mark of the ruler as the dials say: where its cross lies, px, and whether it lies on a dark mark.

    `place` is None while nothing is set. It is the middle of the dark mark once one is found.
    """

    place: tuple[float, float] | None = None
    on_mark: bool = False


def ruler_crosses(photograph: Photograph, state: SimpleNamespace) -> tuple[Cross, Cross]:
    """Where the crosses of both marks lie."""
    first, second = (_cross_at(photograph, across, down) for across, down in _marks(state))
    return first, second


def ruler_to_do(state: SimpleNamespace, crosses: tuple[Cross, Cross], where: tuple[str, str]) -> str:
    """What is to be set next of the ruler, from step 3 of 5 on, or nothing; `where` says where a mark may
    be."""
    for number, (cross, (across, down), place) in enumerate(
        zip(crosses, _marks(state), where, strict=True), start=1
    ):
        if across <= 0 or down <= 0:
            return (
                f"Step {number + 2} of 5: move mark {number} across and down until its cross lies on a dark "
                f"mark of the ruler {place}."
            )
        if not cross.on_mark:
            return (
                f"Mark {number} is on blank ground, at {across:.2f} % across and {down:.1f} % down; it must "
                f"be within {100 * MARK_REACH:g} % of the width of a dark mark of the ruler. The small "
                "picture shows what is there."
            )
    if state.ruler_mm <= 0:
        return "Step 5 of 5: set how many millimetres of the ruler lie between the two marks."
    return ""


def _marks(state: SimpleNamespace) -> tuple[tuple[float, float], tuple[float, float]]:
    """How far across and down the dials set both marks, per cent."""
    return (state.mark_1_across, state.mark_1_down), (state.mark_2_across, state.mark_2_down)


def _cross_at(photograph: Photograph, across: float, down: float) -> Cross:
    rows, columns = photograph.grey.shape
    place = across / 100 * (columns - 1), down / 100 * (rows - 1)
    mark = None
    if across > 0 and down > 0:
        mark = find_mark(photograph.grey, *place, reach_px=max(MARK_REACH * columns, 3.0))
    return Cross(mark or (place if across > 0 or down > 0 else None), mark is not None)
