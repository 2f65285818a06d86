"""How ratings went with the quantities behind them, over one skater's trials."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np

from bladelab._checks import takes
from bladelab._types import Array, OneOrMany
from bladelab._values import by_value
from bladelab.advice.evaluate import evaluate_and_draw_all
from bladelab.advice.quantities import Conditions, change
from bladelab.advice.trial import RATINGS, Rating, Trial
from bladelab.physics.moments import MOMENTS
from bladelab.shape.blade import Blade

# Computed values nearer than this say nothing about which blade should be rated higher: per cent, or degrees.
_EQUAL = (0.25, 0.01)


@by_value
@dataclass(frozen=True, eq=False)
class Agreement:
    """How one rating went with the quantity behind it, over the trials of one skater.

    Attributes
    ----------
    rating : Rating
    values, ratings : array, shape (n,)
        The computed quantity and the rating of each trial that was rated.
    agree, disagree : int
        Pairs of trials whose ratings and quantities differ in the expected and in the other direction.
    """

    rating: Rating
    values: OneOrMany
    ratings: OneOrMany
    agree: int
    disagree: int

    @property
    def sentence(self) -> str:
        """Say it, and on how few pairs it is based."""
        n, pairs = len(self.ratings), self.agree + self.disagree
        if not pairs:
            return f"{self.rating.key}: {n} rated trial{'s' if n != 1 else ''}, nothing to compare yet."
        agreed = f"skater and model agreed in {self.agree} of {pairs} pairs"
        return f"{self.rating.key}: over {n} rated trials {agreed}."


@takes(trials=[Trial], conditions=Conditions)
def against_model(trials: Sequence[Trial], conditions: Conditions) -> tuple[Agreement, ...]:
    """Compare the ratings of one skater's trials with the computed quantities.

    Parameters
    ----------
    trials : sequence of Trial
    conditions : Conditions
        Mass, ice and speed; the moments are those of the ratings.

    Returns
    -------
    tuple of Agreement
        One for each of `RATINGS`.

    Examples
    --------
    >>> import datetime
    >>> from bladelab import RATINGS, Blade, Conditions, Hollow, Rocker, Trial
    >>> days = (datetime.date(2026, 9, 1), datetime.date(2026, 9, 8))
    >>> blades = [Blade(Rocker.single(r, 280.0), Hollow(12.7, 3.0)) for r in (3048.0, 3352.8)]
    >>> trials = [Trial(d, "K07", b, {k: 1 for k in RATINGS}) for d, b in zip(days, blades)]
    >>> len(against_model(trials, Conditions(75.0))) == len(RATINGS)
    True
    """
    ratings = list(RATINGS.values())
    here, blades = in_rated_moments(conditions, ratings), blades_of(trials)
    found = evaluate_and_draw_all([(blade, ()) for blade in blades], here, quantities_of(ratings))
    return agreements_of(trials, here, [values for (values,) in found])


def in_rated_moments(conditions: Conditions, ratings: Sequence[Rating]) -> Conditions:
    """Return the conditions with the moments in which these ratings are given."""
    names = {rating.moment for rating in ratings}
    return replace(conditions, moments=tuple(moment for moment in MOMENTS if moment.name in names))


def quantities_of(ratings: Sequence[Rating]) -> tuple[str, ...]:
    """Return the quantities behind these ratings, each once."""
    return tuple(dict.fromkeys(rating.quantity for rating in ratings))


def blades_of(trials: Sequence[Trial]) -> list[Blade]:
    """Return the blades of these trials, each once."""
    return list(dict.fromkeys(trial.blade for trial in trials))


def agreements_of(
    trials: Sequence[Trial], conditions: Conditions, computed: Sequence[Mapping[str, Array]]
) -> tuple[Agreement, ...]:
    """Compare the ratings with the values computed for each of `blades_of` the trials."""
    names = [moment.name for moment in conditions.moments]
    values_of = dict(zip(blades_of(trials), computed, strict=True))
    found = [values_of[trial.blade] for trial in trials]
    out = []
    for rating in RATINGS.values():
        rated = [i for i, trial in enumerate(trials) if rating.key in trial.ratings]
        values = np.array([found[i][rating.quantity][names.index(rating.moment)] for i in rated])
        given = np.array([trials[i].ratings[rating.key] for i in rated], dtype=float)
        # A balance is rated back to forward, as the pitch runs; the others low to high, as more or less of it
        # is better.
        signs = [
            rating.better * np.sign(given[j] - given[i]) * np.sign(values[j] - values[i])
            for i, j in combinations(range(len(rated)), 2)
            if abs(change(values[i], values[j], rating.quantity)) > _EQUAL[rating.key == "balance"]
        ]
        out.append(Agreement(rating, values, given, signs.count(1.0), signs.count(-1.0)))
    return tuple(out)
