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
    Minimise sum |y - a - b x|. For a slope b the best offset is the median of y - b x, and the sum is then
    convex in b, made of straight pieces. From a slope on either side, the next is where the pieces through
    both meet, until the sum there is as low as the pieces say (cutting planes, Kelley 1960). A bad stretch of
    less than a quarter of the length at one end, or half of it in the middle, moves the line by no more than
    the scatter of the rest (least squares would spread it over the whole length). Sources: Koenker & Bassett
    1978, Kelley 1960, both from memory; checked against scipy's linprog.
    """
    some = np.unique(np.linspace(0, len(x) - 1, _PLACES).astype(int))
    x, y = x[some], y[some]
    middle, half, size = (x[0] + x[-1]) / 2, (x[-1] - x[0]) / 2, float(np.ptp(y)) or 1.0
    place, height = (x - middle) / half, (y - y.mean()) / size
    n = len(x)
    below, above = n // 2, (n + 1) // 2

    def piece(slope: float) -> tuple[float, float, float]:
        """The offset for a slope; the straight piece of the sum there, as value at slope 0 and rise."""
        rest = height - slope * place
        order = np.argsort(rest)
        low, high = order[:below], order[above:]
        offset = (rest[order[above - 1]] + rest[order[below]]) / 2
        return (
            float(offset),
            float(height[high].sum() - height[low].sum()),
            float(place[low].sum() - place[high].sum()),
        )

    steps = np.diff(height) / np.diff(place)
    offset, *left = piece(float(steps.min()) - 1.0)
    offset, *right = piece(float(steps.max()) + 1.0)
    for _ in range(100):
        slope = (left[0] - right[0]) / (right[1] - left[1])
        offset, *new = piece(slope)
        least = left[0] + left[1] * slope
        if new[1] == 0 or new[0] + new[1] * slope <= least * (1 + 1e-13) + 1e-15:
            break
        left, right = (new, right) if new[1] < 0 else (left, new)
    slope, offset = size * slope / half, size * offset
    return np.array([offset + y.mean() - slope * middle, slope])


def laid_along(x: Array, y: Array) -> Array:
    """Return `y` minus that line."""
    return y - np.polynomial.polynomial.polyval(x, straight_line(x, y))
