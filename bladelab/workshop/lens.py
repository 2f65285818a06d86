"""How straight a lens draws a straight line."""

from __future__ import annotations

import numpy as np

from bladelab._checks import number
from bladelab._errors import InputError
from bladelab._types import Array
from bladelab.workshop.photo import _RULER_SHARE, _along_blade


def line_bow_px(column_px: Array, row_px: Array, length_px: float | None = None) -> float:
    """Measure the bow of the lens on a line that is straight in truth, such as the edge of the ruler.

    Parameters
    ----------
    column_px, row_px : array, shape (n,)
        The line, from `find_edge`; at least 5 points.
    length_px : float, optional
        Length of the blade in the picture, px, for which the bow is wanted; left out, that of the line.

    Returns
    -------
    float
        How far the middle comes out lower in the picture than the ends, px: from the parabola through all
        points, scaled by the square of the length.

    Examples
    --------
    >>> import numpy as np
    >>> column = np.linspace(0.0, 1000.0, 101)
    >>> print(f"{line_bow_px(column, 500 - 3 * ((column - 500) / 500) ** 2):.1f} px")
    3.0 px
    """
    column, row, half = _along_blade(column_px, row_px)
    if len(column) < 5:
        raise InputError(f"the line has {len(column)} columns; it must have at least 5")
    bend = np.polynomial.polynomial.polyfit((column - column.min()) / half - 1, row, 2)[2]
    wanted = 2 * half if length_px is None else number("length_px", length_px, "px", 0.0, low_open=True)
    return float(-bend * (wanted / 2 / half) ** 2)


def bow_left_share(bow_px: float, apart_px: float, width_px: float) -> float:
    """How far a bow measured on one line may be wrong for another, as a share of the picture's width.

    Definition
    ----------
    To third order a lens bows a line in proportion to the line's distance from the middle of the view. A line
    `apart_px` away is bowed by bow * apart / distance more or less; the distance, unknown in a picture that
    was cut to size, is taken as a quarter of the width. Added in squares: a ruler's edge is not quite
    straight (0.015 % of the width).

    Parameters
    ----------
    bow_px : float
        The bow measured, px.
    apart_px : float
        Distance of the two lines in the picture, px.
    width_px : float
        Width of the picture, px, above 0.

    Source
    ------
    Third-order distortion, in every textbook of optics: from memory. A quarter: our own estimate.

    Examples
    --------
    >>> print(f"{bow_left_share(bow_px=3.0, apart_px=200.0, width_px=1800.0):.5f}")
    0.00076
    """
    width = number("width_px", width_px, "px", 0.0, low_open=True)
    bow, apart = number("bow_px", bow_px, "px"), number("apart_px", apart_px, "px")
    return float(np.hypot(_RULER_SHARE, 4 * bow * apart / width**2))
