"""How many pairs of runs it takes to tell one blade from another."""

from __future__ import annotations

import numpy as np

from bladelab._checks import number
from bladelab._errors import InputError

#: More pairs than anyone skates.
MOST_PAIRS = 5000


def pairs_for(effect: float, power: float = 0.8, alpha: float = 0.05) -> float:
    """Return the number of pairs that shows a difference, as a fraction.

    Definition
    ----------
    The n at which a two-sided paired t test at `alpha` finds the difference with the chance `power`: from the
    noncentral t distribution with n - 1 degrees of freedom.

    Parameters
    ----------
    effect : float
        The difference over the standard deviation of the differences of single pairs, 0.02 to 50.
    power, alpha : float
        0.5 to 0.999; 0.0001 to 0.2.

    Returns
    -------
    float
        At least 2.

    Examples
    --------
    >>> print(f"{pairs_for(0.5, power=0.75):.2f}")
    29.74
    """
    from scipy.optimize import brentq
    from scipy.stats import nct, t

    size = number("effect", effect, "", 0.02, 50.0)
    wanted = number("power", power, "", 0.5, 0.999)
    level = number("alpha", alpha, "", 1e-4, 0.2)

    def short(n: float) -> float:
        limit, away = t.ppf(1 - level / 2, n - 1), size * np.sqrt(n)
        # The chance to find it on the wrong side is part of the two-sided test; where it is as good as 0,
        # scipy's noncentral t gives no number.
        wrong = nct.cdf(-limit, n - 1, away)
        return float(nct.sf(limit, n - 1, away) + (wrong if np.isfinite(wrong) else 0.0) - wanted)

    low, high = 2.0, 4.0
    if short(low) >= 0:
        return low
    while short(high) < 0:
        low, high = high, 2 * high
    return float(brentq(short, low, high, xtol=1e-6))


def pairs_needed(
    difference_percent: float, cv_percent: float, power: float = 0.8, alpha: float = 0.05
) -> int:
    """Return how many pairs of runs show a difference between two blades.

    Definition
    ----------
    `pairs_for` of difference / (sqrt(2) CV), rounded up: a difference of two runs has sqrt(2) times the
    scatter of one.

    Parameters
    ----------
    difference_percent : float
        The difference that would matter, per cent of the time, 0.05 to 100.
    cv_percent : float
        How much single runs of this skater scatter, per cent of the time (one standard deviation), 0.05 to
        50.
    power : float
        The chance to find such a difference, 0.5 to 0.999.
    alpha : float
        The chance to find one where there is none, 0.0001 to 0.2.

    Returns
    -------
    int

    Raises
    ------
    ValueError
        If a number is out of range, or it takes more than 5000 pairs.

    Notes
    -----
    Published scatter: a 15 m sprint on ice CV 2.1 %, the mean of seven 1.4 % (Wilson 2021, abstract); top
    speed, acceleration and repeated sprint at most 2.6 % (Bond 2018, abstract).

    Examples
    --------
    >>> pairs_needed(1.0, 1.4), pairs_needed(2.0, 1.4)
    (33, 10)
    """
    difference = number("difference_percent", difference_percent, "%", 0.05, 100.0)
    scatter = number("cv_percent", cv_percent, "%", 0.05, 50.0)
    effect = min(difference / (np.sqrt(2) * scatter), 50.0)
    pairs = int(np.ceil(pairs_for(effect, power, alpha) - 1e-6)) if effect >= 0.04 else MOST_PAIRS + 1
    if pairs > MOST_PAIRS:
        raise InputError(
            f"a difference of {difference:g} % takes more than {MOST_PAIRS} pairs with a scatter of "
            f"{scatter:g} %; look for a larger one, or a drill that repeats better"
        )
    return pairs


def smallest_difference_percent(
    pairs: int, cv_percent: float, power: float = 0.8, alpha: float = 0.05
) -> float:
    """Return the smallest difference that so many pairs show, per cent of the time.

    Parameters
    ----------
    pairs : int
        2 to 5000.
    cv_percent, power, alpha : float
        As in `pairs_needed`.

    Examples
    --------
    >>> print(f"{smallest_difference_percent(10, 1.4):.1f} %")
    2.0 %
    """
    from scipy.optimize import brentq

    count = int(number("pairs", pairs, "", 2, MOST_PAIRS))
    scatter = number("cv_percent", cv_percent, "%", 0.05, 50.0)
    if pairs_for(50.0, power, alpha) > count:
        raise InputError(
            f"{count} pairs show no difference with a chance of {power:g} at a level of {alpha:g}; "
            "at least 3 are needed"
        )
    effect = brentq(lambda size: pairs_for(size, power, alpha) - count - 1e-9, 0.02, 50.0, xtol=1e-6)
    return float(effect * np.sqrt(2) * scatter)
