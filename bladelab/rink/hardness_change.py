"""Did the ice change? Two drop tests of one rink held against each other, with the error of both."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from bladelab._errors import InputError
from bladelab.rink.craters import ENOUGH_CRATERS
from bladelab.rink.drop_test import DropTest

#: Ours: times pressed that differ by less than this change the hardness by 6 % at most (exponent 0.15).
_ALIKE = 1.5


@dataclass(frozen=True)
class HardnessChange:
    """The hardness in a later test less that in an earlier one.

    Attributes
    ----------
    difference_MPa, standard_error_MPa : float
    percent : (float, float, float)
        The change as a share of the earlier hardness, and the lowest and highest that agree with both tests
        (95 %).
    """

    difference_MPa: float
    standard_error_MPa: float
    percent: tuple[float, float, float]

    @property
    def shown(self) -> bool:
        """Whether it is more than the errors of the two tests explain."""
        _, low, high = self.percent
        return not low <= 0 <= high


def hardness_change(before: DropTest, after: DropTest) -> HardnessChange:
    """Return how much harder the ice was in the later of two tests.

    Definition
    ----------
    The difference of the logarithms, with Welch's t interval: each test has its own scatter, known from its
    craters, and its own error of the height, taken as known. One ball and tube for both have that error in
    common, so the interval is then a little too wide.

    Raises
    ------
    InputError
        If one ball pressed much longer than the other: ice is softer the longer it is pressed.

    Examples
    --------
    >>> from bladelab import hardness_from_drop
    >>> from bladelab.rink.hardness_change import hardness_change
    >>> first, second = (hardness_from_drop(12.7, 1.0, mm) for mm in ([9.9, 10.1, 10.0], [9.5, 9.4, 9.6]))
    >>> change = hardness_change(first, second)
    >>> print(f"{change.difference_MPa:+.1f} +- {change.standard_error_MPa:.1f} MPa", change.shown)
    +3.8 +- 1.8 MPa True
    """
    from scipy.stats import t

    short, long = sorted((before.loading_time_s, after.loading_time_s))
    if long > _ALIKE * short:
        raise InputError(
            f"one ball pressed for {1000 * short:.2g} ms and the other for {1000 * long:.2g} ms; to be "
            f"compared they must press alike, one at most {_ALIKE:g} times as long as the other"
        )
    scatter, free, common = [], [], []
    for craters in (before.craters, after.craters):
        count = len(craters.each_MPa)
        scatter.append(craters.one_share**2 / count)
        free.append(count - 1 if count >= ENOUGH_CRATERS else np.inf)
        common.append(craters.common_share**2)
    variance = sum(scatter) + sum(common)
    doubt = sum(one**2 / degrees for one, degrees in zip(scatter, free, strict=True))
    times = float(t.ppf(0.975, variance**2 / doubt if doubt > 0 else np.inf))
    middle = np.log(after.hardness_MPa / before.hardness_MPa)
    away = times * np.sqrt(variance)
    low, share, high = (100 * float(np.expm1(middle + side * away)) for side in (-1, 0, 1))
    return HardnessChange(
        after.hardness_MPa - before.hardness_MPa,
        float(np.hypot(before.standard_error_MPa, after.standard_error_MPa)),
        (share, low, high),
    )
