"""Changes in words, in the units chosen: what is changed, what it gains, and what to try next and why."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from bladelab.advice.measured import MeasuredDifference
from bladelab.advice.plan import PlanStep
from bladelab.advice.propose import SMALLEST_PERCENT, SMALLEST_TILT_DEG, Proposal
from bladelab.advice.quantities import QUANTITIES
from bladelab.advice.single_change import Change
from bladelab.advice.trial import Rating
from bladelab.advice.wishes import Wish, in_percent, thresholds
from bladelab.show.wording.say import say_blade, say_day
from bladelab.show.wording.units_shown import UNITS
from bladelab.show.wording.words import capital, counted, minus, signed


def in_words(change: Change) -> str:
    """A single change: ``"1 ft flatter overall"``, ``"deeper hollow, 7/16 in"``."""
    more = change.direction > 0
    size = abs(change.to_mm - change.from_mm)
    if change.part in ("whole shape", "radius"):
        where = f"{change.zone} " if change.zone else ""
        overall = "" if change.zone else " overall"
        return f"{where}{UNITS.say('radius', size)} {'flatter' if more else 'rounder'}{overall}"
    if change.part == "blend":
        return f"blend {size:.0f} mm {'longer' if more else 'shorter'}"
    if change.part == "level point":
        return f"level point {size:.0f} mm toward the {'toe' if more else 'heel'}"
    return f"{'shallower' if more else 'deeper'} hollow, {UNITS.say('hollow', change.to_mm)}"


def as_step(change: Change) -> str:
    """A change as it is ordered, from what is there: ``"heel radius from 9 to 10 ft"``."""
    if change.part == "level point":
        return in_words(change)
    if change.part == "whole shape" and len(change.blade.rocker.zones) > 1:
        return in_words(change)
    if change.part in ("whole shape", "radius"):
        name, quantity = f"{change.zone} radius".strip(), "radius"
    else:
        name, quantity = change.part, "length" if change.part == "blend" else "hollow"
    before, after = (UNITS.say(quantity, mm) for mm in (change.from_mm, change.to_mm))
    unit = f" {UNITS.unit(quantity)}"
    return f"{name} from {before.removesuffix(unit)} to {after}"


def step_reason(step: PlanStep, wishes: Sequence[Wish]) -> str:
    """What a step does for the wishes, and what it costs them, in one sentence."""
    least = thresholds(wishes)
    each = list(zip(wishes, step.gains, least, strict=True))
    helps = " and ".join(_gained(wish, gain) for wish, gain, enough in each if gain > enough)
    costs = " and ".join(_gained(wish, gain) for wish, gain, enough in each if gain < -enough)
    start = capital(as_step(step.change))
    if helps and costs:
        return f"{start}: {helps}, at the cost of {costs}."
    if helps:
        return f"{start}: {helps}."
    if costs:
        return f"{start}: on its own, {costs}; the other changes need it."
    return f"{start}: on its own it does nothing for the wishes, but the other changes need it."


def _gained(wish: Wish, gain: float) -> str:
    size = f"{abs(gain):.1f} %" if in_percent(wish) else f"{abs(gain):.2f}°"
    return f"{size} {wish.word if gain > 0 else wish.less}"


_NOTHING = {
    "no trial": "There is no trial yet: skate the present blade once and rate it.",
    "not rated": "The present blade has not been rated yet: rate it before changing anything.",
    "nothing low": "Nothing was rated low: leave the blade as it is.",
}


def next_to_try(proposal: Proposal) -> str:
    """A proposal in words: the one thing to try, what to expect of it, or why there is nothing to change."""
    told = _measured(proposal.measured)
    count = proposal.trials
    if proposal.why_none == "measured worse" and proposal.measured is not None:
        first = "blind pairs count" if proposal.measured.about == "preference" else "what was measured counts"
        return f"{told} Skate on that one: {first} before what was rated."
    if told:
        return f"{told} {next_to_try(replace(proposal, measured=None))}"
    based = f" Based on {counted(count, 'trial')} of the present blade." if count else ""
    rating = proposal.rating
    if rating is None:
        return f"{_NOTHING[proposal.why_none]}{based}"
    quantity = QUANTITIES[rating.quantity]
    sign = "+" if rating.key == "balance" else ""
    rated = minus(f"{proposal.rated:{sign}.2g}")
    said = f"{rating.key.capitalize()} was rated {rated}"
    if proposal.change is None:
        if proposal.why_none == "costs too much":
            cost = _listed(proposal.spoiled)
            why = f"every single change that would help costs {cost}, rated well"
        else:
            least = f"{SMALLEST_PERCENT:g} %" if quantity.percent else f"{SMALLEST_TILT_DEG:g}°"
            why = (
                f"no single change left to try improves the {quantity.said} in the {rating.moment} by more "
                f"than {least}, and nobody would notice less"
            )
        return f"Nothing to change now: {said[:1].lower()}{said[1:]}, but {why}.{based}"
    unit, decimals = (" %", 0) if quantity.percent else ("°", 2)
    size = f"{proposal.expected:+.{decimals}f}"
    off = f"{proposal.band:.{decimals}f}"
    # A band that rounds to nothing says nothing.
    band = f" ± {off}" if float(off) else ""
    weak = "" if proposal.shows else ", within day-to-day variation: skate both on the same day"
    kept = f" What was rated well ({_listed(proposal.kept)}) stays as it is." if proposal.kept else ""
    return (
        f"{said}. Try this and nothing else: {in_words(proposal.change)}. Expected: {quantity.said} "
        f"{size}{band}{unit} in the {rating.moment}{weak}.{kept}{based}"
    ).replace(" -", " −")


def _measured(found: MeasuredDifference | None) -> str:
    """What was measured on the present blade against another, in a sentence; empty for nothing."""
    if found is None:
        return ""
    sure = "" if found.shown else ", which may be chance"
    if found.about == "preference":
        share, low, high = (f"{percent:.0f}" for percent in found.share)
        return (
            f"In blind pairs on {say_day(found.on)} this blade was preferred to {say_blade(found.before)} "
            f"{share} % of the time ({low} to {high} %){sure}."
        )
    what = {"time": "time", "glide": "friction"}[found.about]
    size = f"{abs(found.percent):.1f} % {'more' if found.percent > 0 else 'less'} {what}"
    ends = f"{signed(found.low, 1)} to {signed(found.high, 1)} %"
    return f"Measured on {say_day(found.on)}: {size} than on {say_blade(found.before)} ({ends}){sure}."


def _listed(ratings: Sequence[Rating]) -> str:
    keys = [rating.key for rating in ratings]
    return keys[0] if len(keys) == 1 else f"{', '.join(keys[:-1])} and {keys[-1]}"
