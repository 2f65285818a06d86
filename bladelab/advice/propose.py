"""What to try next: one single change, from what a skater rated low, keeping what was rated well."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import combinations
from typing import Any

import numpy as np

from bladelab.advice.evaluate import evaluate_and_draw_all
from bladelab.advice.quantities import QUANTITIES, Conditions, change
from bladelab.advice.single_change import Change, ChangeMap, single_change_map
from bladelab.advice.trial import RATINGS, Rating, Trial
from bladelab.physics.moments import MOMENTS
from bladelab.shape.blade import Blade, differences

# On the scale of 1 to 5; a balance of 0 is right. Ours, by reasoning: the middle of the scale is "neither".
_LOW, _WELL = 2.5, 4.0
_OFF_BALANCE, _IN_BALANCE = 0.75, 0.5
# Less than this, per cent or degrees, is the solver's own error.
_NOISE = 1e-6
# Computed values nearer than this say nothing about which blade should be rated higher: per cent, or degrees.
_EQUAL = (0.25, 0.01)


@dataclass(frozen=True)
class Proposal:
    """The next single change worth trying, or why there is none.

    Attributes
    ----------
    change : Change or None
    rating : Rating or None
        What was rated low and is to become better.
    expected : float
        What the model expects of the quantity behind it: per cent, for the pitch degrees; NaN without a
        change.
    shows : bool
        Whether that is more than one day differs from the next.
    trials : int
        How many trials the proposal stands on: those of the present blade that were rated.
    sentence : str
        All of it in words.
    """

    change: Change | None
    rating: Rating | None
    expected: float
    shows: bool
    trials: int
    sentence: str


def same_blade(one: Blade, other: Blade) -> bool:
    """Whether two blades differ in nothing."""
    return not differences(one, other)


def mean_ratings(trials: Sequence[Trial]) -> dict[str, float]:
    """Return the mean of each rating over the trials in which it was given."""
    given = {key: [t.ratings[key] for t in trials if key in t.ratings] for key in RATINGS}
    return {key: float(np.mean(values)) for key, values in given.items() if values}


def propose_next(trials: Sequence[Trial], conditions: Conditions) -> Proposal:
    """Propose the next single change from one skater's trials.

    Definition
    ----------
    The present blade is that of the last trial; its ratings are the means over every trial of that same
    blade. Of what was rated low (2.5 or less of 5; a balance off by 0.75 or more) the lowest is taken up. Of
    the single changes not tried yet, those are left out that would make worse, by more than one day differs
    from the next, something rated well (4 or more; a balance within 0.5); of the rest the one with the
    largest gain in the quantity behind the rating is proposed.

    Parameters
    ----------
    trials : sequence of Trial
        One skater's, by date.
    conditions : Conditions
        Mass, ice and speed; the moments are those of the ratings.

    Returns
    -------
    Proposal

    Raises
    ------
    ValueError
        If the trials are of more than one skater.
    """
    if len({trial.skater for trial in trials}) > 1:
        raise ValueError("the trials are of more than one skater; a proposal stands on one skater's trials")
    if not trials:
        return _nothing(0, "There is no trial yet: skate the present blade once and rate it.")
    present = trials[-1].blade
    here = [trial for trial in trials if same_blade(trial.blade, present) and trial.ratings]
    count, ratings = len(here), mean_ratings(here)
    stands = f"It stands on {count} trial{'s' if count != 1 else ''} of the present blade."
    if not ratings:
        return _nothing(0, "The present blade has not been rated yet: rate it before changing anything.")
    low = {key: shortfall for key, value in ratings.items() if (shortfall := _shortfall(key, value)) > 0}
    if not low:
        return _nothing(count, f"Nothing was rated low: leave the blade as it is. {stands}")

    rating = RATINGS[max(low, key=lambda key: low[key])]
    kept = [RATINGS[key] for key, value in ratings.items() if _well(key, value)]
    effects = _map_of_ratings(present, conditions, [rating, *kept])
    wanted = rating.better if rating.key != "balance" else (-1 if ratings["balance"] > 0 else 1)
    tried = [trial.blade for trial in trials]
    best, gain, spoiled = None, 0.0, set()
    for i, one in enumerate(effects.changes):
        here_gain = wanted * _effect(effects, i, rating)
        if here_gain <= _NOISE or any(same_blade(one.blade, blade) for blade in tried):
            continue
        if worse := [other.key for other in kept if _spoils(effects, i, other)]:
            spoiled |= set(worse)
            continue
        if here_gain > gain * (1 + 1e-6):
            best, gain = i, here_gain
    said = f"{rating.key.capitalize()} was rated {ratings[rating.key]:.2g}"
    if best is None:
        why = f" without costing {_listed(sorted(spoiled))}, which was rated well" if spoiled else ""
        return Proposal(
            None,
            rating,
            float("nan"),
            False,
            count,
            f"{said}, but no single change left to try betters it{why}. {stands}",
        )
    best_change, expected = effects.changes[best], _effect(effects, best, rating)
    quantity, band = QUANTITIES[rating.quantity], _band(effects, rating)
    size = f"{expected:+.1f} %" if quantity.percent else f"{expected:+.2f}°"
    shows = gain > band
    weak = "" if shows else ", which is less than one day differs from the next: try both on the same day"
    keep = (
        f" What was rated well ({_listed([r.key for r in kept])}) stays within a day's difference."
        if kept
        else ""
    )
    sentence = (
        f"{said}: try {best_change.label}, and nothing else. The model expects {quantity.said} "
        f"{size.replace('-', '−')} in the {rating.moment}{weak}.{keep} {stands}"
    )
    return Proposal(best_change, rating, expected, shows, count, sentence)


def _nothing(count: int, sentence: str) -> Proposal:
    return Proposal(None, None, float("nan"), False, count, sentence)


def _shortfall(key: str, value: float) -> float:
    """How far below good a rating is, as a share of its scale; 0 where it is not low."""
    if key == "balance":
        return abs(value) / 2 if abs(value) >= _OFF_BALANCE else 0.0
    return (5 - value) / 4 if value <= _LOW else 0.0


def _well(key: str, value: float) -> bool:
    return abs(value) <= _IN_BALANCE if key == "balance" else value >= _WELL


def _map_of_ratings(blade: Blade, conditions: Conditions, ratings: Sequence[Rating]) -> ChangeMap:
    """What single changes do to the quantities behind these ratings; no other is computed."""
    return single_change_map(blade, _in_rated_moments(conditions, ratings), _quantities(ratings))


def _in_rated_moments(conditions: Conditions, ratings: Sequence[Rating]) -> Conditions:
    names = {rating.moment for rating in ratings}
    return replace(conditions, moments=tuple(moment for moment in MOMENTS if moment.name in names))


def _quantities(ratings: Sequence[Rating]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(rating.quantity for rating in ratings))


def _place(effects: ChangeMap, rating: Rating) -> tuple[int, int]:
    return effects.keys.index(rating.quantity), effects.moment_index(rating.moment)


def _effect(effects: ChangeMap, i: int, rating: Rating) -> float:
    return float(effects.effects[(i, *_place(effects, rating))])


def _band(effects: ChangeMap, rating: Rating) -> float:
    return float(effects.bands[_place(effects, rating)])


def _spoils(effects: ChangeMap, i: int, rating: Rating) -> bool:
    effect, band = _effect(effects, i, rating), _band(effects, rating)
    if rating.key == "balance":
        return abs(effect) > band
    return -rating.better * effect > band


def _listed(parts: Sequence[str]) -> str:
    return parts[0] if len(parts) == 1 else f"{', '.join(parts[:-1])} and {parts[-1]}"


@dataclass(frozen=True)
class Agreement:
    """How one rating went with the quantity behind it, over the trials of one skater.

    rating : Rating.  values, ratings : arrays (n,), the computed quantity and the rating of each trial that
    was rated.
    agree, disagree : pairs of trials whose ratings and quantities differ in the expected and in the other
    direction.
    """

    rating: Rating
    values: Any
    ratings: Any
    agree: int
    disagree: int

    @property
    def sentence(self) -> str:
        """Say it, and how little it stands on."""
        n, pairs = len(self.ratings), self.agree + self.disagree
        if not pairs:
            return f"{self.rating.key}: {n} rated trial{'s' if n != 1 else ''}, nothing to compare yet."
        return (
            f"{self.rating.key}: over {n} rated trials the rating went the way of the computed "
            f"{QUANTITIES[self.rating.quantity].said} in {self.agree} of {pairs} pairs."
        )


def against_model(trials: Sequence[Trial], conditions: Conditions) -> tuple[Agreement, ...]:
    """Set the ratings of one skater's trials against the computed quantities.

    Parameters
    ----------
    trials : sequence of Trial
    conditions : Conditions
        Mass, ice and speed; the moments are those of the ratings.

    Returns
    -------
    tuple of Agreement
        One for each of `RATINGS`.
    """
    ratings = list(RATINGS.values())
    here = _in_rated_moments(conditions, ratings)
    names = [moment.name for moment in here.moments]
    blades = list(dict.fromkeys(trial.blade for trial in trials))
    computed = evaluate_and_draw_all([(blade, ()) for blade in blades], here, _quantities(ratings))
    values_of = {blade: values for blade, (values,) in zip(blades, computed, strict=True)}
    found = [values_of[trial.blade] for trial in trials]
    out = []
    for rating in ratings:
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
