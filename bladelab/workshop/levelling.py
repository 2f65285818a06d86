"""Laying one edge along another: the straight line that one bad spot can't pull with it."""

from __future__ import annotations

import numpy as np

from bladelab._types import Array

# More places than this make the line no better, only slower.
_PLACES = 241


def straight_line(x: Array, y: Array) -> Array:
    """Return offset and slope of the line of least absolute deviations through the points, shape (2,).

    Definition
    ----------
    Minimise sum |y - a - b x|, by its dual linear programme: maximise sum y s with |s| <= 1, sum s = 0 and
    sum x s = 0; a and b are the prices of the two equalities. A bad stretch of less than a quarter of the
    length at one end, or half of it in the middle, moves the line by no more than the scatter of the rest
    (least squares would spread it over the whole length). Source: Koenker & Bassett 1978, from memory;
    checked against scipy's linprog on the primal.
    """
    from scipy.optimize import linprog

    some = np.unique(np.linspace(0, len(x) - 1, _PLACES).astype(int))
    x, y = x[some], y[some]
    middle, half = (x[0] + x[-1]) / 2, (x[-1] - x[0]) / 2
    size = float(np.ptp(y)) or 1.0
    rows = np.stack([np.ones_like(x), (x - middle) / half])
    heights = (y - y.mean()) / size
    found = linprog(-heights, A_eq=rows, b_eq=[0.0, 0.0], bounds=(-1, 1), options={"presolve": False})
    offset, slope = -size * found.eqlin.marginals
    return np.array([offset + y.mean() - slope * middle / half, slope / half])


def laid_along(x: Array, y: Array) -> Array:
    """Return `y` minus that line."""
    return y - np.polynomial.polynomial.polyval(x, straight_line(x, y))
