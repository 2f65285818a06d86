"""The rocker as a curve that can be evaluated fast and exactly: piecewise polynomials of the height.

The rocker's definition gives curvature, linear in x on each piece. Its sine of tilt is then an exact
quadratic; the height, the integral of the tangent, has no closed form on a blend. Here the tangent is
interpolated at Chebyshev points on pieces short enough that the error is below 1e-9 mm, and integrated
exactly. One representation serves the public methods, the contact solver and the pictures.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

_DEGREE = 5
_NODES = np.cos(np.pi * (np.arange(_DEGREE + 1) + 0.5) / (_DEGREE + 1))
_TO_COEFFICIENTS = np.linalg.inv(np.vander(_NODES, increasing=True))
# A piece may turn by this many radians (less where the tilt is steep): keeps the interpolation below 1e-9 mm.
_TURN_PER_PIECE = 0.1


@dataclass(frozen=True)
class Curve:
    """A convex curve over [x[0], x[-1]]; all arrays share the piece index k.

    x : (n+1,) breaks, mm.  sine : (n+1,) sine of the tilt at the breaks.  kappa, growth : (n,) curvature at
    the left end of the piece, 1/mm, and its slope, 1/mm2.  middle, half : (n,) mm.  height_terms : (n, 7)
    polynomial in the normalised place -1..1 on the piece, mm.
    """

    x: Array
    sine: Array
    kappa: Array
    growth: Array
    middle: Array
    half: Array
    height_terms: Array

    @classmethod
    def from_curvature(cls, knots: Array, kappa_left: Array, kappa_right: Array, level_at: float) -> Curve:
        """Build the curve from curvature linear between knots, level and at height 0 at `level_at`.

        Raises
        ------
        ValueError
            If the sine of the tilt would reach 1: the runner would turn back on itself.
        """
        length = np.diff(knots)
        growth = (kappa_right - kappa_left) / length
        sine = np.concatenate([[0.0], np.cumsum(length * (kappa_left + kappa_right) / 2)])
        k = int(np.clip(np.searchsorted(knots, level_at) - 1, 0, len(length) - 1))
        step = level_at - knots[k]
        sine -= sine[k] + step * (kappa_left[k] + growth[k] * step / 2)
        steepest = float(np.abs(sine).max())
        if steepest >= 1:
            raise ValueError(
                f"the rocker turns too far: the sine of its tilt reaches {steepest:.3g}; it must stay below 1"
            )
        room = 1 - np.maximum(np.abs(sine[:-1]), np.abs(sine[1:])) ** 2
        turn = length * np.maximum(kappa_left, kappa_right)
        count = np.clip(np.ceil(turn / (_TURN_PER_PIECE * room)), 1, 20_000).astype(int)

        whole = np.repeat(np.arange(len(length)), count)
        part = np.concatenate([np.arange(n) for n in count])
        size = length[whole] / count[whole]
        offset = part * size
        kappa = kappa_left[whole] + growth[whole] * offset
        left = knots[whole] + offset
        left_sine = sine[whole] + offset * (kappa_left[whole] + growth[whole] * offset / 2)

        places = (_NODES + 1) / 2 * size[:, None]
        at_nodes = left_sine[:, None] + places * (kappa[:, None] + growth[whole, None] * places / 2)
        tangent = at_nodes / np.sqrt(1 - at_nodes**2)
        terms = np.zeros((len(whole), _DEGREE + 2))
        terms[:, 1:] = tangent @ _TO_COEFFICIENTS.T / np.arange(1, _DEGREE + 2) * (size / 2)[:, None]
        # Continuous from heel to toe: the constant makes each piece start where the one before ends.
        signs = (-1.0) ** np.arange(_DEGREE + 2)
        rise = terms.sum(axis=1) - terms @ signs
        terms[:, 0] = np.concatenate([[0.0], np.cumsum(rise)[:-1]]) - terms @ signs
        curve = cls(
            x=np.append(left, knots[-1]),
            sine=np.append(left_sine, sine[-1]),
            kappa=kappa,
            growth=growth[whole],
            middle=left + size / 2,
            half=size / 2,
            height_terms=terms,
        )
        terms[:, 0] -= curve.height(np.array([level_at]))[0]
        return curve

    def piece(self, x: Array) -> NDArray[np.intp]:
        """Return the index of the piece each x lies on."""
        return np.searchsorted(self.x[1:-1], x, side="right")

    def _local(self, x: Array) -> tuple[Array, list[Array], Array]:
        if len(self.half) == 1:
            return (x - self.middle[0]) / self.half[0], list(self.height_terms[0]), self.half[0]
        k = self.piece(x)
        half = self.half[k]
        return (x - self.middle[k]) / half, [self.height_terms[:, j][k] for j in range(_DEGREE + 2)], half

    def height(self, x: Array) -> Array:
        """Return the height in mm at x in mm; any shape."""
        s, terms, _ = self._local(x)
        height = terms[-1]
        for term in terms[-2::-1]:
            height = height * s + term
        return height

    def height_and_slope(self, x: Array) -> tuple[Array, Array]:
        """Return the height in mm and its slope dy/dx at x in mm; any shape."""
        s, terms, half = self._local(x)
        height, slope = terms[-1] * s + terms[-2], terms[-1]
        for term in terms[-3::-1]:
            slope = slope * s + height
            height = height * s + term
        return height, slope / half

    def sine_at(self, x: Array) -> Array:
        """Return the sine of the tilt at x; exact."""
        k = self.piece(x)
        step = x - self.x[k]
        return self.sine[k] + step * (self.kappa[k] + self.growth[k] * step / 2)

    def kappa_at(self, x: Array) -> Array:
        """Return the curvature in 1/mm at x; at a step, the value on the toe side."""
        k = self.piece(x)
        return self.kappa[k] + self.growth[k] * (x - self.x[k])

    def place_of_sine(self, sine: Array) -> Array:
        """Return the x at which the sine of the tilt has this value; beyond the ends, the end."""
        sine = np.clip(sine, self.sine[0], self.sine[-1])
        k = np.searchsorted(self.sine[1:-1], sine, side="right")
        rise = sine - self.sine[k]
        root = np.sqrt(np.maximum(self.kappa[k] ** 2 + 2 * self.growth[k] * rise, 0.0))
        return np.clip(self.x[k] + 2 * rise / (self.kappa[k] + root), self.x[0], self.x[-1])
