"""Uncertainty: how far a number moves with what nobody measures at a rink."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, fields
from typing import Any

import numpy as np

from bladelab._checks import number
from bladelab.physics.contact import Stance
from bladelab.physics.ice import Ice

# A difference below this share of the number itself counts as too small to measure; an assumption of ours.
SMALLEST_SHARE = 0.01
# A tilt of the boot that puts half a millimetre under one end of it; an assumption of ours.
SMALLEST_PITCH_DEG = 0.1

Number = Callable[[Stance, Ice], Any]
Numbers = Callable[[Stance, Ice], dict[str, Any]]


@dataclass(frozen=True)
class Spread:
    """One standard deviation of each thing that nobody measures at a rink; assumptions of ours, to be edited.

    Parameters
    ----------
    temperature_C : float
        Surface temperature of the ice, °C, at least 0. A rink's own range, -5.6 to -4.4 °C (U.S. Ice Rink
        Association 2019), and a resurfacing warm it and cool it by about 1.
    load : float
        Load as a share of itself, at least 0: clothes, stick and gear, and a scale nobody asks.
    position_mm : float
        Where the load sits along the runner, mm, at least 0.
    hardness : float
        Hardness of the ice as a share of itself, at least 0: ice at one temperature differs in how it was
        made.

    Raises
    ------
    ValueError
        If a number is not finite, below 0, or too large to draw from (30 °C, shares of 0.3, 50 mm).
    """

    temperature_C: float = 1.0
    load: float = 0.05
    position_mm: float = 5.0
    hardness: float = 0.10

    def __post_init__(self) -> None:
        for name, high, unit in (
            ("temperature_C", 30.0, "°C"),
            ("load", 0.3, ""),
            ("position_mm", 50.0, "mm"),
            ("hardness", 0.3, ""),
        ):
            value = number(f"spread {name}", getattr(self, name), unit, 0.0, high)
            object.__setattr__(self, name, value)


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
        The same seed gives the same draws, so that pictures and differences stand still.

    Returns
    -------
    Stance, Ice
        Arrays of shape (n,) + S; each draw moves all of S together. Normal draws by Latin hypercube, cut off
        at 2.5 standard deviations; temperatures above 0 °C are drawn as 0.

    Raises
    ------
    ValueError
        If `n` is out of range.
    """
    # Imported here: it is slow to load and only draws need it.
    from scipy.special import ndtr, ndtri

    n = int(number("n", n, "draws", 8, 100_000))
    spread = spread or Spread()
    shape = np.broadcast_shapes(stance.shape, np.shape(ice.temperature_C), np.shape(ice.hardness_factor))
    rng = np.random.default_rng(seed)
    ranks = rng.permuted(np.tile(np.arange(n), (4, 1)), axis=1)
    low = ndtr(-2.5)
    share = low + (1 - 2 * low) * (ranks + rng.random((4, n))) / n
    draws = ndtri(share).reshape((4, n) + (1,) * len(shape))
    drawn = Stance(
        stance.load_N * (1 + spread.load * draws[0]) * np.ones(shape),
        stance.position_mm + spread.position_mm * draws[1] * np.ones(shape),
        stance.lean_deg,
    )
    cold = np.clip(ice.temperature_C + spread.temperature_C * draws[2] * np.ones(shape), -30.0, 0.0)
    hard = ice.hardness_factor * (1 + spread.hardness * draws[3]) * np.ones(shape)
    return drawn, Ice(cold, np.clip(hard, 0.2, 3.0), ice.viscosity_factor)


@dataclass(frozen=True)
class Band:
    """The spread of one number (or of an array of them).

    value : at what is believed.  low, high : 90 % of the draws lie between.  draws : (n,) + S, NaN where a
    draw can't be solved.
    """

    value: Any
    low: Any
    high: Any
    draws: Any

    @property
    def half_width(self) -> Any:
        """Half the distance between low and high."""
        return (self.high - self.low) / 2


def band(
    fn: Number, stance: Stance, ice: Ice, spread: Spread | None = None, n: int = 200, seed: int = 1
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


def band_of(value: Any, draws: Any) -> Band:
    """Return the band of draws already made, (n,) + the shape of `value`; NaN draws are left out."""
    import warnings

    with warnings.catch_warnings():
        warnings.simplefilter("ignore", RuntimeWarning)  # a place where no draw can be solved stays NaN
        low, high = np.nanpercentile(draws, [5, 95], axis=0)
    if np.ndim(value) == 0:
        return Band(float(value), float(low), float(high), draws)
    return Band(value, low, high, draws)


@dataclass(frozen=True)
class Difference:
    """How trial differs from present, and whether that shows.

    Attributes
    ----------
    present, trial : Band
        The number on each blade.
    same_day : Band
        Trial less present with the same skater on the same ice: both blades drawn alike.
    other_day : Band
        Trial less present when the two are skated on different days: each blade has draws of its own.
    smallest : float
        The least difference that anybody could feel or measure.
    """

    present: Band
    trial: Band
    same_day: Band
    other_day: Band
    smallest: float = 0.0

    @property
    def sure(self) -> bool:
        """Whether it is no tiny one, and has the same sign on almost any ice (the same-day band)."""
        least = max(SMALLEST_SHARE * max(abs(self.present.value), abs(self.trial.value)), self.smallest)
        one_sided = self.same_day.low > 0 or self.same_day.high < 0
        return bool(one_sided and abs(self.same_day.value) > least)

    @property
    def shows(self) -> bool:
        """Whether the difference is larger than what another day makes of either blade."""
        return self.sure and bool(self.other_day.low * self.other_day.high > 0)

    @property
    def sentence(self) -> str:
        """Say it in words."""
        if self.shows:
            return "larger than the difference from one day to the next: it should show on the ice"
        if self.sure:
            return "real, but smaller than the difference from one day to the next: try both on the same day"
        return "too small to feel or to measure"


@dataclass(frozen=True)
class Days:
    """What is believed, and draws of one day and of another, to be solved in one call.

    stance, ice : arrays (1 + 2 draws,): the stance and the ice believed, then the first day's draws, then the
    other day's.
    """

    stance: Stance
    ice: Ice

    @classmethod
    def of(cls, stance: Stance, ice: Ice, spread: Spread | None = None, n: int = 200, seed: int = 1) -> Days:
        """Draw the days around one stance on one ice; arguments as in `sample`.

        Raises
        ------
        ValueError
            If the stance or the ice is an array.
        """
        if stance.shape or np.ndim(ice.hardness_MPa):
            raise ValueError("two blades are compared for one stance on one ice; arrays were given")
        lots = [(stance, ice), *(sample(stance, ice, spread, n, s) for s in (seed, seed + 1))]
        sizes = [1, n, n]

        def joined(parts: list[Any]) -> Any:
            return np.concatenate([np.broadcast_to(v, size) for v, size in zip(parts, sizes, strict=True)])

        stances, ices = zip(*lots, strict=True)
        return cls(
            Stance(*(joined([getattr(s, f.name) for s in stances]) for f in fields(Stance))),
            Ice(*(joined([getattr(i, f.name) for i in ices]) for f in fields(Ice))),
        )

    def difference(self, present: Any, trial: Any, smallest: float = 0.0) -> Difference:
        """Compare a number of two blades, from its values (1 + 2 draws,) over `stance` and `ice`.

        smallest : the least difference that anybody could feel or measure.
        """
        size = self.stance.shape
        here, there = (np.broadcast_to(np.asarray(v, dtype=float), size) for v in (present, trial))
        n = size[0] // 2
        today, tomorrow = slice(1, 1 + n), slice(1 + n, None)
        before, after = here[today], there[today]
        draws = np.stack([before, after, after - before, there[tomorrow] - before], axis=1)
        change = there[0] - here[0]
        whole = band_of(np.array([here[0], there[0], change, change]), draws)
        present, trial, same_day, other_day = (
            Band(float(whole.value[i]), float(whole.low[i]), float(whole.high[i]), draws[:, i])
            for i in range(4)
        )
        return Difference(present, trial, same_day, other_day, smallest)


def differences(
    present: Numbers,
    trial: Numbers,
    stance: Stance,
    ice: Ice,
    spread: Spread | None = None,
    n: int = 200,
    seed: int = 1,
    smallest: dict[str, float] | None = None,
) -> dict[str, Difference]:
    """Return how several numbers differ between two blades, against what the day itself changes.

    Parameters
    ----------
    present, trial : callable
        For the present and the trial blade: takes a Stance and an Ice, as `fn` in `band`, and returns the
        numbers by name.
    stance, ice, spread, n, seed
        As in `sample`; one stance on one ice.
    smallest : dict of str to float, optional
        By name, the least difference that anybody could feel or measure, in the unit of the number. A
        difference below 1 % of the number counts as too small whatever stands here.

    Returns
    -------
    dict of str to Difference

    Raises
    ------
    ValueError
        If the stance or the ice is an array.
    """
    days = Days.of(stance, ice, spread, n, seed)
    here, there = present(days.stance, days.ice), trial(days.stance, days.ice)
    for fn, values in ((present, here), (trial, there)):
        if any(np.isnan(np.asarray(value)[0]) for value in values.values()):
            fn(stance, ice)  # one stance that can't be solved says why
    return {name: days.difference(here[name], there[name], (smallest or {}).get(name, 0.0)) for name in here}


def difference(
    present: Number,
    trial: Number,
    stance: Stance,
    ice: Ice,
    spread: Spread | None = None,
    n: int = 200,
    seed: int = 1,
    smallest: float = 0.0,
) -> Difference:
    """Return how one number differs between two blades, against what the day itself changes.

    As `differences`, for functions that return the one number.
    """

    def named(fn: Number) -> Numbers:
        return lambda stance, ice: {"": fn(stance, ice)}

    return differences(named(present), named(trial), stance, ice, spread, n, seed, {"": smallest})[""]
