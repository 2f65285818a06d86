"""Two blades from day to day: whether a difference shows given what nobody measures at a rink."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, fields, replace

import numpy as np

from bladelab._checks import number, takes
from bladelab._errors import InputError
from bladelab._types import Array, Numbers
from bladelab._values import by_value
from bladelab.physics.ice import Ice
from bladelab.physics.stance import Stance
from bladelab.physics.uncertainty import Band, Compute, Spread, band_of, sample

# A difference below this share of the number itself counts as too small to measure; our own assumption.
SMALLEST_SHARE = 0.01
# A tilt of the boot that puts half a millimetre under one end of it; our own assumption.
SMALLEST_PITCH_DEG = 0.1

ComputeMany = Callable[[Stance, Ice], Mapping[str, Numbers]]


@by_value
@dataclass(frozen=True, eq=False)
class Difference:
    """How trial differs from present, and whether that shows.

    Attributes
    ----------
    present, trial : Band
        The number on each blade.
    same_day : Band
        Trial minus present with the same skater on the same ice: both blades drawn alike.
    other_day : Band
        Trial minus present when the two are skated on different days: each blade has its own draws.
    smallest : float
        The smallest difference anyone could feel or measure.
    """

    present: Band
    trial: Band
    same_day: Band
    other_day: Band
    smallest: float = 0.0

    @property
    def sure(self) -> bool:
        """Whether it is more than tiny, and has the same sign on almost any ice (the same-day band)."""
        least = max(SMALLEST_SHARE * max(abs(self.present.value), abs(self.trial.value)), self.smallest)
        one_sided = self.same_day.low > 0 or self.same_day.high < 0
        return bool(one_sided and abs(self.same_day.value) > least)

    @property
    def shows(self) -> bool:
        """Whether the difference is larger than the day-to-day variation of either blade."""
        return self.sure and bool(self.other_day.low * self.other_day.high > 0)

    @property
    def sentence(self) -> str:
        """Put it in words."""
        if self.shows:
            return "larger than day-to-day variation: it should show on the ice"
        if self.sure:
            return "real, but within day-to-day variation: skate both on the same day"
        return "too small to feel or to measure"


@by_value
@dataclass(frozen=True, eq=False)
class Days:
    """What is believed, and draws of one day and of another, to be solved in one call.

    Attributes
    ----------
    stance : Stance
    ice : Ice
        Both (1 + 2 draws,): what is believed, then the first day's draws, then the other day's.
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
        if stance.shape or ice.shape:
            raise InputError("two blades are compared for one stance on one ice; arrays were given")
        first = int(number("seed", seed, "", 0, 2**31))
        lots = [(stance, ice), *(sample(stance, ice, spread, n, s) for s in (first, first + 1))]
        sizes = [1, n, n]

        def joined(parts: Sequence[Stance | Ice], name: str) -> Array:
            values = [getattr(part, name) for part in parts]
            return np.concatenate([np.broadcast_to(v, size) for v, size in zip(values, sizes, strict=True)])

        stances, ices = zip(*lots, strict=True)
        return cls(
            replace(stance, **{name: joined(stances, name) for name in stance.given}),
            replace(ice, **{f.name: joined(ices, f.name) for f in fields(Ice)}),
        )

    def difference(self, present: Numbers, trial: Numbers, smallest: float = 0.0) -> Difference:
        """Compare a number of two blades, from its values (1 + 2 draws,) over `stance` and `ice`.

        Parameters
        ----------
        present, trial : array (1 + 2 draws,)
        smallest : float
            The smallest difference anyone could feel or measure.
        """
        size = self.stance.shape
        here, there = (np.broadcast_to(np.asarray(v, dtype=float), size) for v in (present, trial))
        n = size[0] // 2
        today, tomorrow = slice(1, 1 + n), slice(1 + n, None)
        whole = bands_of_both(here[0], there[0], here[today], there[today], there[tomorrow])
        return difference_at(whole, (), smallest)


def bands_of_both(now: Numbers, then: Numbers, before: Numbers, after: Numbers, another_day: Numbers) -> Band:
    """Return the bands of both blades and of their difference, on the same day and from one day to another:
    four bands in one, along a first axis.

    Parameters
    ----------
    now, then : arrays of shape S
        Numbers of the present blade and of the trial.
    before, after, another_day : arrays of shape (n,) + S
        Draws of the present blade, of the trial on the same days, and of the trial on others.
    """
    change = then - now
    draws = np.stack([before, after, after - before, another_day - before], axis=1)
    return band_of(np.stack([now, then, change, change]), draws)


def difference_at(bands: Band, at: tuple[int, ...], smallest: float = 0.0) -> Difference:
    """Return one of the differences of `bands_of_both`; smallest : as in `Days.difference`."""
    value, low, high, draws = bands.value, bands.low, bands.high, bands.draws
    present, trial, same_day, other_day = (
        Band(float(value[i, *at]), float(low[i, *at]), float(high[i, *at]), draws[:, i, *at])
        for i in range(4)
    )
    return Difference(present, trial, same_day, other_day, smallest)


@takes(present=callable, trial=callable, stance=Stance, ice=Ice, spread=Spread, smallest=dict)
def differences(
    present: ComputeMany,
    trial: ComputeMany,
    stance: Stance,
    ice: Ice,
    spread: Spread | None = None,
    n: int = 200,
    seed: int = 1,
    smallest: dict[str, float] | None = None,
) -> dict[str, Difference]:
    """Return how several numbers differ between two blades, compared with day-to-day variation.

    Parameters
    ----------
    present, trial : callable
        For the present and the trial blade: takes a Stance and an Ice, as `fn` in `band`, and returns the
        numbers by name.
    stance, ice, spread, n, seed
        As in `sample`; one stance on one ice.
    smallest : dict of str to float, optional
        By name, the smallest difference anyone could feel or measure, in the unit of the number. A
        difference below 1 % of the number counts as too small whatever is given here.

    Returns
    -------
    dict of str to Difference

    Raises
    ------
    ValueError
        If the stance or the ice is an array.

    Examples
    --------
    >>> from bladelab import Blade, Hollow, Ice, Rocker, Stance, solve_contact
    >>> def numbers_of(radius_mm):
    ...     blade = Blade(Rocker.single(radius_mm, 280.0), Hollow(12.7, 3.0))
    ...     return lambda stance, ice: {"length": solve_contact(blade, stance, ice).length_mm}
    >>> found = differences(numbers_of(2743.2), numbers_of(3352.8), Stance(736.0), Ice())
    >>> print(f"{found['length'].same_day.value:.1f} mm longer")
    3.1 mm longer
    """
    days = Days.of(stance, ice, spread, n, seed)
    here, there = present(days.stance, days.ice), trial(days.stance, days.ice)
    for fn, values in ((present, here), (trial, there)):
        if any(np.isnan(np.asarray(value)[0]) for value in values.values()):
            fn(stance, ice)  # one stance that can't be solved says why
    return {name: days.difference(here[name], there[name], (smallest or {}).get(name, 0.0)) for name in here}


@takes(present=callable, trial=callable, stance=Stance, ice=Ice, spread=Spread)
def difference(
    present: Compute,
    trial: Compute,
    stance: Stance,
    ice: Ice,
    spread: Spread | None = None,
    n: int = 200,
    seed: int = 1,
    smallest: float = 0.0,
) -> Difference:
    """Return how one number differs between two blades, compared with day-to-day variation.

    As `differences`, for functions that return the one number.

    Examples
    --------
    >>> from bladelab import Blade, Hollow, Ice, Rocker, Stance, solve_contact
    >>> def length_of(radius_mm):
    ...     blade = Blade(Rocker.single(radius_mm, 280.0), Hollow(12.7, 3.0))
    ...     return lambda stance, ice: solve_contact(blade, stance, ice).length_mm
    >>> found = difference(length_of(2743.2), length_of(3352.8), Stance(736.0), Ice())
    >>> print(f"{found.same_day.value:.1f} mm longer")
    3.1 mm longer
    """

    def named(fn: Compute) -> ComputeMany:
        return lambda stance, ice: {"": fn(stance, ice)}

    return differences(named(present), named(trial), stance, ice, spread, n, seed, {"": smallest})[""]
