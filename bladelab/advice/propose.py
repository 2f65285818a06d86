"""What to try next: one single change, from what a skater rated low, keeping what was rated well."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from bladelab._errors import InputError
from bladelab.advice.agreement import (
    Agreement,
    against_model,
    agreements_of,
    blades_of,
    in_rated_moments,
    quantities_of,
)
from bladelab.advice.evaluate import evaluate_and_draw_all
from bladelab.advice.quantities import QUANTITIES, Conditions
from bladelab.advice.single_change import (
    Change,
    ChangeMap,
    map_cases,
    map_of,
    single_change_map,
    single_changes,
)
from bladelab.advice.trial import RATINGS, Rating, Trial
from bladelab.shape.blade import Blade, differences

# On the scale of 1 to 5; a balance of 0 is right. Ours, by reasoning: the middle of the scale is "neither".
_LOW, _WELL = 2.5, 4.0
_OFF_BALANCE, _IN_BALANCE = 0.75, 0.5
# Less than this, per cent or degrees, is the solver's own error.
_NOISE = 1e-6


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
    weighed = _weigh(trials)
    if isinstance(weighed, Proposal):
        return weighed
    needed = [weighed.rating, *weighed.kept]
    here = in_rated_moments(conditions, needed)
    return _best(weighed, single_change_map(weighed.present, here, quantities_of(needed)))


@dataclass(frozen=True)
class _Weighed:
    """What the ratings of the present blade ask for: which rating to better, which to keep, the blades tried,
    and on what it stands."""

    present: Blade
    ratings: dict[str, float]
    rating: Rating
    kept: list[Rating]
    tried: list[Blade]
    count: int
    stands: str


def _weigh(trials: Sequence[Trial]) -> _Weighed | Proposal:
    """Find what the trials ask for, or why they ask for nothing."""
    if len({trial.skater for trial in trials}) > 1:
        raise InputError("the trials are of more than one skater; a proposal stands on one skater's trials")
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
    tried = [trial.blade for trial in trials]
    return _Weighed(present, ratings, rating, kept, tried, count, stands)


def _best(weighed: _Weighed, effects: ChangeMap) -> Proposal:
    """Propose the change of the map that gains most."""
    ratings, rating, kept, count = weighed.ratings, weighed.rating, weighed.kept, weighed.count
    stands = weighed.stands
    wanted = rating.better if rating.key != "balance" else (-1 if ratings["balance"] > 0 else 1)
    best, gain, spoiled = None, 0.0, set()
    for i, one in enumerate(effects.changes):
        here_gain = wanted * _effect(effects, i, rating)
        if here_gain <= _NOISE or any(same_blade(one.blade, blade) for blade in weighed.tried):
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


def advise(trials: Sequence[Trial], conditions: Conditions) -> tuple[Proposal, tuple[Agreement, ...]]:
    """Return `propose_next` and `against_model` of the same trials, computed in one call."""
    weighed = _weigh(trials)
    if isinstance(weighed, Proposal):
        return weighed, against_model(trials, conditions)
    ratings = list(RATINGS.values())
    here, keys, blades = in_rated_moments(conditions, ratings), quantities_of(ratings), blades_of(trials)
    changes = single_changes(weighed.present)
    cases = map_cases(weighed.present, changes)
    found = evaluate_and_draw_all([*cases, *((blade, ()) for blade in blades)], here, keys)
    effects = map_of(weighed.present, here, keys, changes, found[: len(cases)])
    agreements = agreements_of(trials, here, [values for (values,) in found[len(cases) :]])
    return _best(weighed, effects), agreements
