"""Uncertainty: how far a number moves with what nobody measures at a rink."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import lru_cache
from statistics import NormalDist

import numpy as np

from bladelab._checks import keep_number, number, takes
from bladelab._types import Array, OneOrMany
from bladelab._values import by_value
from bladelab.physics.ice import Ice
from bladelab.physics.stance import Stance

Compute = Callable[[Stance, Ice], OneOrMany]


@by_value
@dataclass(frozen=True, eq=False)
class Spread:
    """One standard deviation of each thing that nobody measures at a rink; our own assumptions, to be edited.

    Parameters
    ----------
    temperature_C : float
        Surface temperature of the ice, °C, at least 0. A rink's own range, -5.6 to -4.4 °C (U.S. Ice Rink
        Association 2019), and a resurfacing warm it and cool it by about 1.
    load : float
        Load as a share of itself, at least 0: clothes, stick and gear, and a bathroom scale that is off.
    position_mm : float
        Where the load sits along the runner, mm, at least 0.
    hardness : float
        Hardness of the ice as a share of itself, at least 0: ice at one temperature differs in how it was
        made.

    Raises
    ------
    ValueError
        If a number is not finite, below 0, or too large to draw from (30 °C, shares of 0.3, 50 mm).

    Examples
    --------
    >>> Spread(temperature_C=0.5).load
    0.05
    """

    temperature_C: float = 1.0
    load: float = 0.05
    position_mm: float = 5.0
    hardness: float = 0.10

    def __post_init__(self) -> None:
        keep_number(
            self,
            "spread ",
            temperature_C=("°C", 0.0, 30.0),
            load=("", 0.0, 0.3),
            position_mm=("mm", 0.0, 50.0),
            hardness=("", 0.0, 0.3),
        )


@takes(stance=Stance, ice=Ice, spread=Spread)
def sample(
    stance: Stance, ice: Ice, spread: Spread | None = None, n: int = 200, seed: int = 1
) -> tuple[Stance, Ice]:
    """Draw skaters and ices around the ones given, to be solved in one call.

    Parameters
    ----------
    stance, ice : Stance, Ice
        What is believed; arrays of shape S broadcast together.
    spread : Spread, optional
        How wide to draw; `Spread()` if left out.
    n : int
        Number of draws, 8 to 100,000.
    seed : int
        The same seed gives the same draws, so that pictures and differences don't jitter.

    Returns
    -------
    Stance, Ice
        Arrays of shape (n,) + S; each draw moves all of S together. Normal draws by Latin hypercube, cut off
        at 2.5 standard deviations; temperatures above 0 °C are drawn as 0.

    Raises
    ------
    ValueError
        If `n` is out of range.

    Examples
    --------
    >>> from bladelab import Ice, Stance
    >>> stance, ice = sample(Stance(736.0), Ice(-5.0), n=50)
    >>> stance.shape
    (50,)
    """
    n = int(number("n", n, "draws", 8, 100_000))
    spread = spread or Spread()
    shape = np.broadcast_shapes(stance.shape, ice.shape)
    draws = standard_draws(n, int(number("seed", seed, "", 0, 2**32))).reshape((4, n) + (1,) * len(shape))
    drawn = replace(
        stance,
        load_N=stance.load_N * (1 + spread.load * draws[0]) * np.ones(shape),
        position_mm=stance.position_mm + spread.position_mm * draws[1] * np.ones(shape),
    )
    cold = np.clip(ice.temperature_C + spread.temperature_C * draws[2] * np.ones(shape), -30.0, 0.0)
    hard = ice.hardness_factor * (1 + spread.hardness * draws[3]) * np.ones(shape)
    return drawn, replace(ice, temperature_C=cold, hardness_factor=np.clip(hard, 0.2, 3.0))


@lru_cache(maxsize=16)  # a slider needs the same ones at every step
def standard_draws(n: int, seed: int) -> Array:
    """Four normal variables by Latin hypercube, cut off at 2.5 standard deviations; (4, n)."""
    rng = np.random.default_rng(seed)
    ranks = rng.permuted(np.tile(np.arange(n), (4, 1)), axis=1)
    normal = NormalDist()
    low = normal.cdf(-2.5)
    shares = low + (1 - 2 * low) * (ranks + rng.random((4, n))) / n
    draws = np.array([normal.inv_cdf(share) for share in shares.flat]).reshape(4, n)
    draws.setflags(write=False)
    return draws


@by_value
@dataclass(frozen=True, eq=False)
class Band:
    """The spread of one number, or of an array of them with the shape S.

    Attributes
    ----------
    value : float or array
        At what is believed.
    low, high : float or array
        90 % of the draws lie between these.
    draws : array, shape (n,) + S
        NaN where a draw can't be solved.
    """

    value: OneOrMany
    low: OneOrMany
    high: OneOrMany
    draws: OneOrMany

    @property
    def half_width(self) -> OneOrMany:
        """Half the distance between low and high."""
        return (self.high - self.low) / 2


@takes(fn=callable, stance=Stance, ice=Ice, spread=Spread)
def band(
    fn: Compute, stance: Stance, ice: Ice, spread: Spread | None = None, n: int = 200, seed: int = 1
) -> Band:
    """Return the band of `fn(stance, ice)` over the draws of `sample`.

    Parameters
    ----------
    fn : callable
        Takes a Stance and an Ice, which may be arrays, and returns numbers of the same shape: for example
        ``lambda stance, ice: solve_contact(blade, stance, ice).depth_mm``.
    stance, ice, spread, n, seed
        As in `sample`.

    Returns
    -------
    Band
        `low` and `high` are the 5th and 95th percentile.

    Examples
    --------
    >>> from bladelab import Blade, Hollow, Rocker, solve_contact
    >>> blade = Blade(Rocker.single(3048, 280), Hollow(12.7, 3.0))
    >>> depth = band(lambda stance, ice: solve_contact(blade, stance, ice).depth_mm, Stance(736), Ice())
    >>> bool(depth.low < depth.value < depth.high)
    True
    """
    draws = np.asarray(fn(*sample(stance, ice, spread, n, seed)), dtype=float)
    return band_of(fn(stance, ice), draws)


def band_of(value: OneOrMany, draws: Array) -> Band:
    """Return the band of draws already made, (n,) + the shape of `value`; NaN draws are left out."""
    low, high = between(draws)
    if np.ndim(value) == 0:
        return Band(float(value), float(low), float(high), draws)
    return Band(value, low, high, draws)


def between(draws: Array) -> Array:
    """Return the 5th and the 95th percentile over the first axis, (2, ...); NaN draws are left out, and where
    there are no others the percentiles are NaN."""
    ends = np.asarray(np.percentile(draws, [5, 95], axis=0))
    missing = np.isnan(draws)
    partly = missing.any(axis=0) & ~missing.all(axis=0)
    if partly.any():  # numpy takes one column at a time here
        ends[:, partly] = np.nanpercentile(draws[:, partly], [5, 95], axis=0)
    return ends
