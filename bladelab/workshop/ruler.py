"""A ruler in a photograph: the scale that two of its marks give, and where a mark lies exactly."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bladelab._checks import number, shown
from bladelab._errors import InputError
from bladelab._files import quoted
from bladelab._types import Array

_LEAST_DARKNESS = 25.0  # of 255, of a mark against the ground on both sides of it


@dataclass(frozen=True)
class Ruler:
    """Two marks of a ruler in the picture and the length between them.

    Parameters
    ----------
    start_px, end_px : (float, float)
        Column and row of the two marks, px; the first nearer the heel.
    length_mm : float
        Length between the marks, mm.
    picking_error_px : float
        Standard error with which one mark was picked, px.

    Examples
    --------
    >>> Ruler((100.0, 500.0), (1100.0, 500.0), length_mm=250.0).mm_per_px
    0.25
    """

    start_px: tuple[float, float]
    end_px: tuple[float, float]
    length_mm: float
    picking_error_px: float = 1.0

    def __post_init__(self) -> None:
        number("length_mm", self.length_mm, "mm", 0.0, low_open=True)
        number("picking_error_px", self.picking_error_px, "px", 0.0)
        for mark, which in ((self.start_px, "first"), (self.end_px, "second")):
            if np.shape(np.atleast_1d(np.asarray(mark, dtype=object))) != (2,):
                raise InputError(f"the {which} mark is {quoted(mark)}; it must be a column and a row, px")
            for value, part in zip(mark, ("column", "row"), strict=True):
                number(f"{part} of the {which} mark", value, "px", -1e6, 1e6)
        if self.length_px < 20:
            raise InputError(
                f"the ruler's marks are {self.length_px:.3g} px apart; they must be at least 20 px apart"
            )

    @property
    def length_px(self) -> float:
        """Distance of the marks in the picture, px."""
        return float(np.hypot(self.end_px[0] - self.start_px[0], self.end_px[1] - self.start_px[1]))

    @property
    def mm_per_px(self) -> float:
        """Scale of the picture."""
        return self.length_mm / self.length_px

    @property
    def scale_error(self) -> float:
        """Standard error of the scale, as a share."""
        return float(np.sqrt(2) * self.picking_error_px / self.length_px)


def picture_shape(photo: object) -> tuple[int, int]:
    """Return rows and columns of a picture in shades of grey; an `InputError` if it is none."""
    if not isinstance(photo, np.ndarray) or photo.dtype.kind not in "biuf":
        raise InputError(f"photo is {shown(photo)}; it must be an array of shades, as read_photo returns it")
    if photo.ndim != 2:
        raise InputError(f"the photo has the shape {photo.shape}; it must have rows and columns")
    return photo.shape[0], photo.shape[1]


def find_mark(
    photo: Array | NDArray[np.uint8], column_px: float, row_px: float, reach_px: float
) -> tuple[float, float] | None:
    """Find the dark mark of a ruler next to a place, to a fraction of a pixel.

    Definition
    ----------
    Brightness along the row, averaged over a few rows. A mark is a dark dip narrower than 1.2 times the reach
    (what a top-hat filter of that width leaves), at least 25 of 255 deep and half as deep as the deepest; of
    the nearest the centre of mass is taken, of what is deeper than that half.

    Parameters
    ----------
    photo : array, shape (rows, columns)
        Grey values 0 to 255.
    column_px, row_px : float
        The place, px.
    reach_px : float
        How far to each side a mark may lie, px, 2 to 1000.

    Returns
    -------
    (float, float) or None
        Column and row of the mark, px; None if there is only blank ground, an edge, or no picture.

    Examples
    --------
    >>> import numpy as np
    >>> photo = np.full((40, 200), 220.0)
    >>> photo[:, 100:104] = 30.0
    >>> find_mark(photo, column_px=96.0, row_px=20.0, reach_px=20.0)
    (101.5, 20.0)
    """
    from scipy.ndimage import center_of_mass, label, white_tophat

    picture_shape(photo)
    column, row = number("column_px", column_px, "px", -1e6, 1e6), number("row_px", row_px, "px", -1e6, 1e6)
    reach = number("reach_px", reach_px, "px", 2.0, 1000.0)
    tall = max(1, round(reach / 6))
    first, top = max(int(column - 2 * reach), 0), max(round(row) - tall, 0)
    part = np.asarray(photo[top : max(round(row) + tall + 1, 0), first : max(int(column + 2 * reach) + 2, 0)])
    if min(part.shape) < 1 or part.shape[1] < 5:
        return None
    darkness = 255.0 - part.mean(axis=0)
    # What is narrower than a mark may be keeps its depth; an edge, or a blade, loses it.
    depth = white_tophat(darkness, size=(max(3, round(1.2 * reach)),))
    near = np.abs(first + np.arange(len(depth)) - column) <= reach
    if not near.any() or (deepest := depth[near].max()) < _LEAST_DARKNESS:
        return None
    above = np.clip(depth - deepest / 2, 0, None)
    dips, count = label(above)
    middle = first + np.ravel(center_of_mass(above, dips, np.arange(1, count + 1)))
    nearest = float(min(middle, key=lambda place: abs(place - column)))
    return (nearest, row) if abs(nearest - column) <= reach else None
