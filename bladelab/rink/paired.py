"""Is it really better? What the pairs of runs that were skated say."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike

from bladelab._checks import numbers
from bladelab._errors import InputError
from bladelab._types import Array
from bladelab._values import by_value

#: The sign-flip test tries every flip up to this many pairs, and so many random ones beyond.
ALL_FLIPS_UP_TO = 14
RANDOM_FLIPS = 9999


@by_value
@dataclass(frozen=True, eq=False)
class PairedResult:
    """What pairs of runs say of a difference.

    Attributes
    ----------
    difference : float
        Mean of the second less the first, in the unit of the data.
    low, high : float
        The differences that agree with the pairs (95 %).
    p : float
        Of the paired t test, two-sided.
    p_permutation : float
        Of the sign-flip test, two-sided: how often the differences would come out as far from 0 with their
        signs by the toss of a coin.
    differences : array (pairs,)
        Of each pair, in order.
    level : float
        Mean of the first.

    Examples
    --------
    >>> from bladelab import paired_result
    >>> found = paired_result([4.02, 4.10, 4.05, 4.08], [3.97, 4.04, 4.01, 4.00])
    >>> print(f"{found.difference:.4f} s ({found.low:.3f} to {found.high:.3f})")
    -0.0575 s (-0.085 to -0.030)
    """

    difference: float
    low: float
    high: float
    p: float
    p_permutation: float
    differences: Array
    level: float

    @property
    def pairs(self) -> int:
        """How many pairs there are."""
        return len(self.differences)

    @property
    def percent(self) -> tuple[float, float, float]:
        """The difference and the ends of its interval, per cent of the first."""
        value, low, high = (100 * part / abs(self.level) for part in (self.difference, self.low, self.high))
        return value, low, high

    @property
    def cv_percent(self) -> float:
        """The scatter of a single run that these pairs showed, per cent: that of the differences over
        sqrt(2)."""
        return float(100 * np.std(self.differences, ddof=1) / np.sqrt(2) / abs(self.level))


def paired_result(a: ArrayLike, b: ArrayLike) -> PairedResult:
    """Find the mean difference of pairs, its interval, and whether it can be chance.

    Definition
    ----------
    Of d = b - a: mean +- t(0.975, n - 1) s / sqrt(n); p of the paired t test; p of the sign-flip test: every
    flip up to 14 pairs, 9,999 random ones (with a fixed seed) beyond.

    Parameters
    ----------
    a, b : array (pairs,)
        Times on the one and the other blade, pair by pair; at least 2. Of an ABBA block its means.

    Returns
    -------
    PairedResult

    Raises
    ------
    ValueError
        If there are fewer than 2 pairs, or one has more than the other.

    Notes
    -----
    The number of pairs is fixed beforehand: whoever looks after each pair and stops when p is small finds
    differences where there are none (`simulate_sessions` says how often). The t test keeps its level over 3
    to 4 cycles of pairs drawn at random (Senn 2019, abstract).

    Examples
    --------
    >>> found = paired_result([0.7, -1.6, -0.2], [1.9, 0.8, 1.1])
    >>> print(f"{found.difference:.2f}, p {found.p:.3f}, sign flips {found.p_permutation:.2f}")
    1.63, p 0.051, sign flips 0.25
    """
    one, other = np.atleast_1d(numbers("a", a, "")), np.atleast_1d(numbers("b", b, ""))
    if one.shape != other.shape or one.ndim != 1:
        raise InputError(
            f"a has the shape {one.shape} and b {other.shape}; there must be one of each for every pair"
        )
    return result_of(other - one, float(np.mean(one)))


def result_of(differences: Array, level: float, at_random: bool = True) -> PairedResult:
    """Return what these differences say.

    Parameters
    ----------
    differences : array (pairs,)
    level : float
        Mean of the first blade.
    at_random : bool
        Whether the order within pairs was drawn; without, the sign-flip test has no ground and is NaN.
    """
    from scipy.stats import t

    n = len(differences)
    if n < 2:
        raise InputError(
            f"there {'is 1 pair' if n else 'are 0 pairs'}; there must be at least 2, and 5 or more to show "
            "anything"
        )
    mean, error = float(np.mean(differences)), float(np.std(differences, ddof=1) / np.sqrt(n))
    if error <= 1e-12 * float(np.abs(differences).max()):
        raise InputError(
            f"all {n} differences are {mean:.3g}; they must differ: write the times down to 0.01 s"
        )
    half = float(t.ppf(0.975, n - 1)) * error
    kept = np.array(differences, dtype=float)
    kept.setflags(write=False)
    flipped = float(sign_flip_p(kept[None])[0]) if at_random else float("nan")
    p = float(2 * t.sf(abs(mean) / error, n - 1))
    return PairedResult(mean, mean - half, mean + half, p, flipped, kept, level)


@lru_cache(maxsize=8)
def _flips(n: int, seed: int) -> Array:
    """The signs to try, (flips, n)."""
    if n > ALL_FLIPS_UP_TO:
        drawn = np.random.default_rng(seed).integers(0, 2, (RANDOM_FLIPS, n), dtype=np.int8)
        return np.asarray(1.0 - 2.0 * drawn, dtype=np.float64)
    # Half of all flips: the other half gives the same sums with the other sign.
    codes = np.arange(2 ** (n - 1))[:, None] >> np.arange(n) & 1
    return np.asarray(1.0 - 2.0 * codes)


def sign_flip_p(differences: Array, seed: int = 1) -> Array:
    """Return p of the two-sided sign-flip test of each row.

    Parameters
    ----------
    differences : array (rows, pairs)
    seed : int
        For the random flips, beyond 14 pairs.

    Returns
    -------
    array (rows,)
    """
    rows, n = differences.shape
    signs = _flips(n, seed)
    extra = int(n > ALL_FLIPS_UP_TO)  # among random ones, as they were is one more
    seen = np.abs(differences.sum(1))
    # Rounding must not tell apart sums that are equal.
    least = seen - 1e-9 * np.abs(differences).sum(1)
    found = np.empty(rows)
    for at in range(0, rows, 100):
        part = slice(at, at + 100)
        sums = differences[part] @ signs.T
        np.abs(sums, out=sums)
        found[part] = (np.sum(sums >= least[part, None], axis=1) + extra) / (len(signs) + extra)
    return found
