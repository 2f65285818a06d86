"""What to try next: one single change, from what a skater rated low, keeping what was rated well."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from bladelab._checks import takes
from bladelab._errors import InputError
from bladelab._values import by_value
from bladelab.advice.agreement import (
    Agreement,
    against_model,
    agreements_of,
    blades_of,
    in_rated_moments,
    quantities_of,
)
from bladelab.advice.change_map import ChangeMap, map_cases, map_of, single_change_map
from bladelab.advice.evaluate import evaluate_and_draw_all
from bladelab.advice.measured import MeasuredDifference, measured_on_blade
from bladelab.advice.quantities import QUANTITIES, Conditions, change
from bladelab.advice.single_change import Change, single_changes
from bladelab.advice.trial import RATINGS, Rating, Trial
from bladelab.physics.days import SMALLEST_SHARE
from bladelab.physics.over_ices import OverIces
from bladelab.physics.uncertainty import between
from bladelab.shape.blade import Blade, what_differs

# On the scale of 1 to 5; a balance of 0 is right. Ours, by reasoning: the middle of the scale is "neither".
_LOW, _WELL = 2.5, 4.0
_OFF_BALANCE, _IN_BALANCE = 0.75, 0.5
#: Nobody would notice less: a share of the number, per cent; a tilt of the boot, degrees. Our own
#: assumptions: the tilt is half of what a step of the level point gives on an ordinary radius.
SMALLEST_PERCENT, SMALLEST_TILT_DEG = 100 * SMALLEST_SHARE, 0.05


@by_value
@dataclass(frozen=True, eq=False)
class Proposal:
    """The next single change worth trying, or why there is none.

    Attributes
    ----------
    change : Change or None
    rating : Rating or None
        What was rated low and should improve.
    rated : float
        The mean rating it had; NaN if nothing was rated low.
    expected, band : float
        What the model expects of the quantity behind it, and how far that may be off on the same day (half
        the width between the 5th and the 95th percentile): per cent, for the pitch degrees; NaN without a
        change.
    shows : bool
        Whether that is more than day-to-day variation.
    trials : int
        How many trials the proposal is based on: those of the present blade that were rated.
    kept : tuple of Rating
        What was rated well: it changes by less than day-to-day variation.
    spoiled : tuple of Rating
        Without a change: what was rated well and would be made worse by all that would help.
    why_none : str
        "" with a change; else "no trial", "not rated", "nothing low", "costs too much", "too little" or
        "measured worse": the blade before was better, by measurement or in blind pairs.
    measured : MeasuredDifference or None
        What was measured on the present blade against another and counts before the ratings.
    """

    change: Change | None = None
    rating: Rating | None = None
    rated: float = math.nan
    expected: float = math.nan
    band: float = math.nan
    shows: bool = False
    trials: int = 0
    kept: tuple[Rating, ...] = ()
    spoiled: tuple[Rating, ...] = ()
    why_none: str = ""
    measured: MeasuredDifference | None = None


def same_blade(one: Blade, other: Blade) -> bool:
    """Whether two blades differ in nothing."""
    return not what_differs(one, other)


def mean_ratings(trials: Sequence[Trial]) -> dict[str, float]:
    """Return the mean of each rating over the trials in which it was given."""
    given = {key: [t.ratings[key] for t in trials if key in t.ratings] for key in RATINGS}
    return {key: float(np.mean(values)) for key, values in given.items() if values}


@takes(trials=[Trial], conditions=Conditions, measured=[MeasuredDifference])
def propose_next(
    trials: Sequence[Trial], conditions: Conditions, measured: Sequence[MeasuredDifference] = ()
) -> Proposal:
    """Propose the next single change from one skater's trials.

    Definition
    ----------
    The present blade is that of the last trial; its ratings are the means over every trial of that same
    blade. Of what was rated low (2.5 or less of 5; a balance off by 0.75 or more) the lowest is taken up. Of
    the single changes not tried yet, those are left out that would make worse, by more than day-to-day
    variation, something rated well (4 or more; a balance within 0.5), and those whose gain is too little:
    below 1 % (0.05 degrees of pitch) or below its own band, the same blades on other ice. Of the rest the one
    with the largest gain in the quantity behind the rating is proposed.

    What was measured counts first. Where the present blade was measured to be worse than another, by more
    than chance, nothing else is proposed; the time of a drill counts before the friction, and that before
    what was preferred in blind pairs. A glide that was measured to be better is kept, however it was rated,
    and a blade that was found to be worse is not proposed again.

    Parameters
    ----------
    trials : sequence of Trial
        One skater's, by date.
    conditions : Conditions
        Mass, ice and speed; the moments are those of the ratings.
    measured : sequence of MeasuredDifference
        What was measured between two of the skater's blades, or preferred blind.

    Returns
    -------
    Proposal

    Raises
    ------
    ValueError
        If the trials are of more than one skater.

    Examples
    --------
    >>> import datetime
    >>> from bladelab import RATINGS, Blade, Conditions, Hollow, Rocker, Trial
    >>> blade = Blade(Rocker.single(3048.0, 280.0), Hollow(12.7, 3.0))
    >>> trial = Trial(datetime.date(2026, 9, 1), "K07", blade, {next(iter(RATINGS)): 2})
    >>> propose_next([trial], Conditions(75.0)).change is not None
    True
    """
    weighed = _weigh(trials, measured)
    if isinstance(weighed, Proposal):
        return weighed
    needed = [weighed.rating, *weighed.kept]
    here = in_rated_moments(conditions, needed)
    return _best(weighed, single_change_map(weighed.present, here, quantities_of(needed)))


@dataclass(frozen=True)
class _Weighed:
    """What the ratings of the present blade call for: which rating to improve, which to keep, the blades
    tried, and how many trials that is based on."""

    present: Blade
    ratings: dict[str, float]
    rating: Rating
    kept: list[Rating]
    tried: list[Blade]
    count: int
    measured: MeasuredDifference | None


def _weigh(trials: Sequence[Trial], measured: Sequence[MeasuredDifference] = ()) -> _Weighed | Proposal:
    """Find what the trials call for, or why they call for nothing."""
    if len({trial.skater for trial in trials}) > 1:
        raise InputError("the trials are of more than one skater; a proposal is based on one skater's trials")
    if not trials:
        return Proposal(why_none="no trial")
    present = trials[-1].blade
    here = [trial for trial in trials if same_blade(trial.blade, present) and trial.ratings]
    count, ratings = len(here), mean_ratings(here)
    counts = _counting_first(measured, present)
    if counts is not None and counts.low > 0:
        return Proposal(why_none="measured worse", trials=count, measured=counts)
    if not ratings:
        return Proposal(why_none="not rated", measured=counts)
    glides = counts is not None and counts.high < 0 and counts.about == "glide"
    if glides:
        ratings["glide"] = 5.0  # by measurement, whatever was felt
    low = {key: shortfall for key, value in ratings.items() if (shortfall := _shortfall(key, value)) > 0}
    if not low:
        return Proposal(why_none="nothing low", trials=count, measured=counts)

    rating = RATINGS[max(low, key=lambda key: low[key])]
    kept = [RATINGS[key] for key, value in ratings.items() if _well(key, value)]
    tried = [trial.blade for trial in trials]
    if counts is not None and counts.high < 0:
        tried.append(counts.before)
    return _Weighed(present, ratings, rating, kept, tried, count, counts)


def _counting_first(measured: Sequence[MeasuredDifference], present: Blade) -> MeasuredDifference | None:
    """What counts before the ratings of a blade: the latest time shown, else the latest friction shown, else
    the latest preference shown; where none is shown, in the same order."""
    found = measured_on_blade(measured, present)
    ranked = sorted(found, key=lambda one: (one.shown, ("preference", "glide", "time").index(one.about)))
    return ranked[-1] if ranked else None


def _best(weighed: _Weighed, effects: ChangeMap) -> Proposal:
    """Propose the change of the map that gains most."""
    ratings, rating = weighed.ratings, weighed.rating
    wanted = rating.better if rating.key != "balance" else (-1 if ratings["balance"] > 0 else 1)
    least = SMALLEST_PERCENT if QUANTITIES[rating.quantity].percent else SMALLEST_TILT_DEG
    helpful, spoiled = [], set()
    for i, one in enumerate(effects.changes):
        gain = wanted * _effect(effects, i, rating)
        if not gain > least or any(same_blade(one.blade, blade) for blade in weighed.tried):
            continue
        if worse := {other.key for other in weighed.kept if _spoils(effects, i, other)}:
            spoiled |= worse
        else:
            helpful.append((gain, i))
    found = Proposal(
        rating=rating, rated=ratings[rating.key], trials=weighed.count, measured=weighed.measured
    )
    # Of equals the first.
    for gain, i in sorted(helpful, key=lambda found: (-round(found[0], 6), found[1])):
        band = _same_day_band(effects, i, rating)
        if gain > band:
            return replace(
                found,
                change=effects.changes[i],
                expected=_effect(effects, i, rating),
                band=band,
                shows=gain > _band(effects, rating),
                kept=tuple(weighed.kept),
            )
    cost = tuple(RATINGS[key] for key in RATINGS if key in spoiled)
    return replace(found, spoiled=cost, why_none="costs too much" if spoiled else "too little")


def _same_day_band(effects: ChangeMap, i: int, rating: Rating) -> float:
    """How far the effect of a change may be off: both blades by the same skater on the same ice, whatever
    that ice is; of friction also whichever of the ices held possible it is."""
    here, key = in_rated_moments(effects.conditions, [rating]), rating.quantity
    blades = (effects.present, effects.changes[i].blade)
    found = evaluate_and_draw_all([(blade, (1,)) for blade in blades], here, (key,), over_ices=True)
    before, after = (days[key][:, 0] for _, days, _ in found)
    low, high = map(float, between(change(before, after, key)))
    if key == "friction":
        span = OverIces(*(on_ices[key][:, 0] for *_, on_ices in found)).percent
        low, high = min(low, span.low), max(high, span.high)
    return (high - low) / 2


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


def advise(
    trials: Sequence[Trial], conditions: Conditions, measured: Sequence[MeasuredDifference] = ()
) -> tuple[Proposal, tuple[Agreement, ...]]:
    """Return `propose_next` and `against_model` of the same trials, computed in one call."""
    weighed = _weigh(trials, measured)
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
