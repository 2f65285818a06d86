"""Points in a picture: where brightness changes most, and those picked by hand."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from bladelab._checks import numbers
from bladelab._errors import InputError
from bladelab._types import Array


def steepest_change(rise: Array) -> tuple[Array, Array, NDArray[np.bool_]]:
    """Find where brightness changes most, to a fraction of a step.

    What lies on one side may be darker or lighter than the other: whichever is stronger over all lines is
    taken.

    Parameters
    ----------
    rise : array, shape (steps, n)
        How brightness rises from one place to the next, along n lines.

    Returns
    -------
    place : array, shape (n,)
        In steps: 0.5 is halfway from the first place to the second.
    peak : array, shape (n,)
        How much it changes there.
    inside : array of bool, shape (n,)
        Whether that is not at an end of the line, where the change may go on.
    """
    strength = rise if np.median(rise.max(axis=0)) >= np.median(-rise.min(axis=0)) else -rise
    best = np.argmax(strength, axis=0)
    inside = (best > 0) & (best < strength.shape[0] - 1)
    every, middle = np.arange(strength.shape[1]), np.clip(best, 1, strength.shape[0] - 2)
    before, peak, after = (strength[middle + i, every] for i in (-1, 0, 1))
    bow = before - 2 * peak + after
    shift = np.where(bow < 0, (before - after) / (2 * np.where(bow < 0, bow, -1.0)), 0.0)
    return middle + 0.5 + np.clip(shift, -0.5, 0.5), peak, inside


def picked_points(column_px: ArrayLike, row_px: ArrayLike) -> tuple[Array, Array]:
    """Return the columns and rows of points picked in a picture, px; an `InputError` if they aren't lists of
    one length."""
    column = np.atleast_1d(numbers("column_px", column_px, "px", -1e6, 1e6))
    row = np.atleast_1d(numbers("row_px", row_px, "px", -1e6, 1e6))
    if column.ndim != 1 or column.shape != row.shape:
        raise InputError(
            f"column_px has shape {column.shape} and row_px {row.shape}; both must be the same plain list"
        )
    return column, row
