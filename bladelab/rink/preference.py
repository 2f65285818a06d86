"""Which did you prefer? Blind pairs, without knowing which blade is on, and the sign test."""

from __future__ import annotations

from dataclasses import dataclass

from bladelab._checks import number
from bladelab._errors import InputError


@dataclass(frozen=True)
class PreferenceResult:
    """What blind pairs say.

    Attributes
    ----------
    for_a, for_b : int
        How often each was preferred.
    no_preference : int
        How often neither; they don't count.
    p : float
        How often a split as uneven would come up by the toss of a coin.
    low, high : float
        The share of preferences for B that agrees with the pairs (95 %, Clopper and Pearson).

    Examples
    --------
    >>> from bladelab.rink.preference import preference_result
    >>> print(f"{preference_result(1, 9).p:.3f}")
    0.021
    """

    for_a: int
    for_b: int
    no_preference: int
    p: float
    low: float
    high: float


def preference_result(for_a: int, for_b: int, no_preference: int = 0) -> PreferenceResult:
    """Return what blind pairs say, by the sign test.

    Parameters
    ----------
    for_a, for_b, no_preference : int
        How often each was preferred, and how often neither, 0 to 1000.

    Raises
    ------
    ValueError
        If a number is out of range, or there was no preference at all.

    Notes
    -----
    Players could not tell hollows apart, and half of them ranked their own performance wrongly (Redmond &
    Federolf 2010, abstract): so the pairs are blind, and 5 in a row still come up once in 16 by chance.

    Examples
    --------
    >>> preference_result(0, 5).p
    0.0625
    """
    from scipy.stats import binomtest

    counts = []
    for name, value in (("for_a", for_a), ("for_b", for_b), ("no_preference", no_preference)):
        count = number(name, value, "", 0, 1000)
        if count != int(count):
            raise InputError(f"{name} is {count:g}; it must be a whole number from 0 to 1000")
        counts.append(int(count))
    a, b, neither = counts
    if a + b == 0:
        raise InputError("for_a and for_b are 0; there must be at least one preference")
    test = binomtest(b, a + b)
    ends = test.proportion_ci(0.95, "exact")
    return PreferenceResult(a, b, neither, float(test.pvalue), float(ends.low), float(ends.high))
