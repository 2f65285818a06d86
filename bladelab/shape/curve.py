"""The rocker as a curve that can be evaluated fast and exactly: piecewise polynomials of the height.

The rocker's definition gives curvature, linear in x on each piece. Its sine of tilt is then an exact
quadratic; the height, the integral of the tangent, has no closed form on a blend. Here the tangent is
interpolated at Chebyshev points on pieces short enough that the error is below 1e-9 mm, and integrated
exactly. One representation serves the public methods, the contact solver and the pictures.

A curve may hold several runners, their pieces one after the other, so that one call evaluates them all.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields
from functools import cached_property
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from bladelab._errors import InputError
from bladelab._types import Array, Places

_DEGREE = 5
_NODES = np.cos(np.pi * (np.arange(_DEGREE + 1) + 0.5) / (_DEGREE + 1))
_TO_COEFFICIENTS = np.linalg.inv(np.vander(_NODES, increasing=True))
# A piece may turn by this many radians (less where the tilt is steep): keeps the interpolation below 1e-9 mm.
_TURN_PER_PIECE = 0.1

#: Which runner, or which piece of one, each place belongs to: one index for all, or one for each.
Runners: TypeAlias = int | Places


@dataclass(frozen=True)
class Curve:
    """One convex curve or several ("runners"); all arrays but `first` share the index k of the pieces.

    Methods take places of any shape and, where there is more than one runner, an array `runner` that
    broadcasts with them.

    Attributes
    ----------
    left : array (n,)
        Left end of each piece, mm.
    sine : array (n,)
        Sine of the tilt there.
    kappa, growth : array (n,)
        Curvature there, 1/mm, and its slope, 1/mm2.
    middle, half : array (n,)
        Middle and half the length of each piece, mm.
    height_terms : array (7, n)
        Polynomial in the normalised place -1..1 on the piece, mm.
    first : array of int (runners,)
        Index of each runner's first piece.
    """

    left: Array
    sine: Array
    kappa: Array
    growth: Array
    middle: Array
    half: Array
    height_terms: Array
    first: NDArray[np.intp]

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
            raise InputError(
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
        terms = np.zeros((_DEGREE + 2, len(whole)))
        terms[1:] = (tangent @ _TO_COEFFICIENTS.T).T / np.arange(1, _DEGREE + 2)[:, None] * (size / 2)
        # Continuous from heel to toe: the constant makes each piece start where the one before ends.
        signs = (-1.0) ** np.arange(_DEGREE + 2)
        rise = terms.sum(axis=0) - signs @ terms
        terms[0] = np.concatenate([[0.0], np.cumsum(rise)[:-1]]) - signs @ terms
        curve = cls(
            left=left,
            sine=left_sine,
            kappa=kappa,
            growth=growth[whole],
            middle=left + size / 2,
            half=size / 2,
            height_terms=terms,
            first=np.zeros(1, dtype=np.intp),
        )
        terms[0] -= curve.height(np.array([level_at]))[0]
        return curve

    @classmethod
    def joined(cls, curves: Sequence[Curve]) -> Curve:
        """Return all runners of several curves as one curve."""
        if len(curves) == 1:
            return curves[0]
        names = [f.name for f in fields(cls)[:-1]]
        arrays = {name: np.concatenate([getattr(c, name) for c in curves], axis=-1) for name in names}
        starts = np.cumsum([0, *(len(c.half) for c in curves[:-1])])
        return cls(**arrays, first=np.concatenate([c.first + n for c, n in zip(curves, starts, strict=True)]))

    # Each runner, (runners,) or (runners, breaks) -------------------------------------------------------

    @cached_property
    def _last(self) -> NDArray[np.intp]:
        return np.append(self.first[1:], len(self.half)) - 1

    @cached_property
    def heel(self) -> Array:
        """Left end of each runner, mm."""
        return self.left[self.first]

    @cached_property
    def toe(self) -> Array:
        """Right end of each runner, mm."""
        return self.left[self._last] + 2 * self.half[self._last]

    @cached_property
    def heel_sine(self) -> Array:
        """Sine of the tilt at the left end of each runner."""
        return self.sine[self.first]

    @cached_property
    def toe_sine(self) -> Array:
        """Sine of the tilt at the right end of each runner."""
        k, size = self._last, 2 * self.half[self._last]
        return self.sine[k] + size * (self.kappa[k] + self.growth[k] * size / 2)

    @cached_property
    def flattest(self) -> Array:
        """Least curvature of each runner, 1/mm."""
        least = np.minimum(self.kappa, self.kappa + 2 * self.growth * self.half)
        return np.minimum.reduceat(least, self.first)

    @cached_property
    def breaks(self) -> Array:
        """Ends of the pieces of each runner, mm; rows of unequal length are filled up with the toe's."""
        breaks = np.repeat(self.toe[:, None], int((self._last - self.first).max()) + 2, axis=1)
        for j, (a, b) in enumerate(zip(self.first, self._last, strict=True)):
            breaks[j, : b - a + 1] = self.left[a : b + 1]
        return breaks

    # Looking up a piece among several runners: each runner is moved aside by more than the longest spans.

    @cached_property
    def _aside(self) -> float:
        return float(2.0 ** np.ceil(np.log2(4 * np.abs([self.heel, self.toe]).max() + 1)))

    @cached_property
    def _left_aside(self) -> Array:
        return self.left + self._aside * self._runner_of_piece

    @cached_property
    def _sine_aside(self) -> Array:
        return self.sine + 4.0 * self._runner_of_piece

    @cached_property
    def _runner_of_piece(self) -> NDArray[np.intp]:
        return np.repeat(np.arange(len(self.first)), self._last - self.first + 1)

    def _among(self, keys: Array, wanted: Array, aside: float, runner: Runners) -> Runners:
        if len(self.half) == 1:
            return 0
        if len(self.first) == 1:
            return np.searchsorted(keys[1:], wanted, side="right")
        k = np.searchsorted(keys, wanted + aside * runner, side="right") - 1
        return np.clip(k, self.first[runner], self._last[runner])

    def piece(self, x: Array, runner: Runners = 0) -> Runners:
        """Return the index of the piece each x lies on; a number where there is only one piece."""
        return self._among(self._left_aside, x, self._aside, runner)

    # Values -------------------------------------------------------------------------------------------------

    def _local(self, x: Array, runner: Runners) -> tuple[Array, Array, Array]:
        k = self.piece(x, runner)
        half = self.half[k]
        return (x - self.middle[k]) / half, self.height_terms[:, k], half

    def height(self, x: Array, runner: Runners = 0) -> Array:
        """Return the height in mm at x in mm."""
        s, terms, _ = self._local(x, runner)
        height: Array = terms[-1]
        for term in terms[-2::-1]:
            height = height * s + term
        return height

    def height_and_slope(self, x: Array, runner: Runners = 0) -> tuple[Array, Array]:
        """Return the height in mm and its slope dy/dx at x in mm."""
        s, terms, half = self._local(x, runner)
        height, slope = terms[-1] * s + terms[-2], terms[-1]
        for term in terms[-3::-1]:
            slope = slope * s + height
            height = height * s + term
        return height, slope / half

    def sine_at(self, x: Array, runner: Runners = 0) -> Array:
        """Return the sine of the tilt at x; exact."""
        k = self.piece(x, runner)
        step = x - self.left[k]
        sine: Array = self.sine[k] + step * (self.kappa[k] + self.growth[k] * step / 2)
        return sine

    def kappa_at(self, x: Array, runner: Runners = 0) -> Array:
        """Return the curvature in 1/mm at x; at a step, the value on the toe side."""
        k = self.piece(x, runner)
        kappa: Array = self.kappa[k] + self.growth[k] * (x - self.left[k])
        return kappa

    def place_of_sine(self, sine: Array, runner: Runners = 0) -> Array:
        """Return the x at which the sine of the tilt has this value; beyond the ends, the end."""
        sine = np.clip(sine, self.heel_sine[runner], self.toe_sine[runner])
        k = self._among(self._sine_aside, sine, 4.0, runner)
        rise = sine - self.sine[k]
        root = np.sqrt(np.maximum(self.kappa[k] ** 2 + 2 * self.growth[k] * rise, 0.0))
        x = self.left[k] + 2 * rise / (self.kappa[k] + root)
        return np.clip(x, self.heel[runner], self.toe[runner])
