"""What a glide-out says, or before there is one, what it would say."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache
from types import SimpleNamespace

import numpy as np

from bladelab._errors import InputError
from bladelab._types import Array
from bladelab.physics.glide_out import CROUCHING_DRAG_M2, STANDING_DRAG_M2
from bladelab.physics.ice import GRAVITY_M_S2
from bladelab.physics.possible_ices import Span
from bladelab.rink.coasting import speed_after
from bladelab.rink.glide_compare import GlideDifference, compare_glide_outs
from bladelab.rink.glide_fit import GlideFit, fit_glide_out
from bladelab.rink.glide_plan import GlidePlan
from bladelab.rink.reading import GlideTimes
from bladelab.show.canvas.result import Result
from bladelab.show.panels.rink.glide_out_computed import ComputedFriction, computed_frictions
from bladelab.show.wording.say import say_friction, say_more_friction
from bladelab.show.wording.say_rink import area_said
from bladelab.show.wording.units_shown import UNITS
from bladelab.show.wording.words import decimal, plus_minus, signed

AIR_KG_M3 = 1.29
_LIKELY = 0.05
#: Measured under skates: 0.003 on a lake to 0.0078 on a rink (Kuroiwa 1977, abstract). Friction beyond our
#: own bounds is asked about: feet taken for metres make 0.005 into 0.016, metres taken for feet into 0.0015.
_LEAST_FRICTION, _MOST_FRICTION = 0.0025, 0.015
#: Drag areas, m2, of a cross-country skier who glides on snow (1988, abstract).
POSTURES = (("standing", STANDING_DRAG_M2), ("half crouched", CROUCHING_DRAG_M2))
#: How many runs the picture of a plan shows.
PLANNED_RUNS = (2, 6, 12, 24)
_CAUTION = (
    "Keep a lane and a stop zone free of others, skate two easy laps after every change of steel, and ask a "
    "minor's guardian first."
)


@dataclass(frozen=True)
class Level:
    """One line of the picture's right side: a friction coefficient, and what agrees with it."""

    name: str
    mu: float
    low: float
    high: float
    blade: int = 0
    computed: bool = False


@dataclass(frozen=True, kw_only=True)
class GlideFound(Result):
    """Speeds while gliding, as measured and as fitted or planned, and the friction.

    Attributes
    ----------
    places, speeds : by blade, arrays: midway between two marks, m, and the mean speed there, m/s
    lines : by blade, (distance, speed) with NaN between runs
    levels : what the right side shows
    measured : the fit of one blade, of two, or the plan
    """

    places: tuple[Array, Array]
    speeds: tuple[Array, Array]
    lines: tuple[tuple[Array, Array], tuple[Array, Array]]
    levels: tuple[Level, ...]
    measured: GlideFit | GlideDifference | GlidePlan


_NONE = np.empty(0)


def glide_out_answer(state: SimpleNamespace) -> GlideFound:
    """The fit of the runs that were skated; with none, the plan."""
    return _plan(state) if state.runs is None else _fit(state, state.runs)


# Before -------------------------------------------------------------------------------------------------


def plan_of(state: SimpleNamespace) -> GlidePlan:
    """The plan that the dials describe; friction and drag area are guesses until something is measured."""
    marks = np.arange(int(state.marks)) * state.apart_m
    return GlidePlan(marks, state.start_m_s, state.mass_kg, 0.006, state.posture_m2, state.timing_s)


def _plan(state: SimpleNamespace) -> GlideFound:
    try:
        plan = plan_of(state)
    except InputError:
        raise InputError(
            f"at {UNITS.say('speed', state.start_m_s)} the skater stops before the fourth mark; start "
            "faster, or tape the marks closer"
        ) from None
    reached, end = plan.reached, UNITS.say("speed", plan.end_speed_m_s)
    share = 100 * plan.expected_errors(6)[0] / plan.mu
    percent = state.difference_percent
    start = UNITS.say("speed", state.start_m_s)
    stops = (
        f"stops after mark {reached} of {int(state.marks)}"
        if reached < int(state.marks)
        else f"passes the last of {reached} marks at {end}"
    )
    needed = _runs_said(plan, percent)
    name, area = next(other for other in POSTURES if other[1] != state.posture_m2)
    other = _runs_said(replace(plan, cda_m2=area), percent)
    slower = ""
    if plan.end_speed_m_s > 1.2:
        slower = (
            f" Start slower: only the last stretch, below {UNITS.say('speed', 1.2)}, tells the ice from the "
            "air."
        )
    distance = np.linspace(0.0, float(np.asarray(plan.distance_m)[reached - 1]), 41)
    speed = speed_after(distance, plan.start_speed_m_s, *_slowing(plan.mu, plan.cda_m2, plan.mass_kg))
    levels = []
    for runs in PLANNED_RUNS:
        error = plan.expected_errors(runs)[0]
        levels.append(Level(f"{runs} runs", plan.mu, plan.mu - 1.96 * error, plan.mu + 1.96 * error))
    return GlideFound(
        finding=f"Starting at {start}, {percent:.0f} % between two blades takes {needed}",
        sentence=f"Starting at {start}, the skater {stops}, after {plan.glide_s:.0f} s. Six runs, half of "
        f"them each way, tell the friction to about ±{share:.0f} %.{slower}\n"
        f"To show a difference of {percent:.0f} % between two blades (4 times in 5, where there is one) "
        f"takes {needed}, half of them each way; {name} it takes {other}. The friction itself is taken to "
        f"vary by 5 % from run to run.\n{_CAUTION}",
        places=(_NONE, _NONE),
        speeds=(_NONE, _NONE),
        lines=((distance, speed), (_NONE, _NONE)),
        levels=tuple(levels),
        measured=plan,
    )


def _runs_said(plan: GlidePlan, percent: float) -> str:
    try:
        runs = plan.runs_needed(percent)
    except InputError:
        return "more than 200 runs on each"
    return f"{runs} runs on each"


def _slowing(mu: float, cda_m2: float, mass_kg: float) -> tuple[float, float]:
    return GRAVITY_M_S2 * mu, AIR_KG_M3 * cda_m2 / (2 * mass_kg)


# After --------------------------------------------------------------------------------------------------


@lru_cache(maxsize=16)
def _fitted(runs: GlideTimes, mass_kg: float) -> GlideFit | GlideDifference:
    if len(runs.blades) == 2:
        return compare_glide_outs(runs.distance_m, runs.time_s, mass_kg, runs.blade, runs.direction)
    return fit_glide_out(runs.distance_m, runs.time_s, mass_kg, runs.direction)


def _fit(state: SimpleNamespace, runs: GlideTimes) -> GlideFound:
    found = _fitted(runs, state.mass_kg)
    times, marks = np.array(runs.time_s), np.array(runs.distance_m)
    places, speeds, lines = _speeds(runs, found, times, marks, state.mass_kg)
    mean_speed = float(np.nanmean(np.concatenate(speeds)))
    computed, expected = computed_frictions(state, min(max(mean_speed, 0.5), 12.0))
    if isinstance(found, GlideDifference):
        errors = list(zip(found.mu, found.mu_error, strict=True))
        said, finding = _two_said(found, runs, expected)
    else:
        errors = [(found.mu, found.mu_error)]
        said, finding = _one_said(found, computed[0])
    levels = [
        Level(f"{name} measured", mu, mu - 1.96 * error, mu + 1.96 * error, at)
        for at, (name, (mu, error)) in enumerate(zip(runs.blades, errors, strict=True))
    ]
    levels += [
        Level(f"{name} computed", one.mu, one.span.low, one.span.high, at, computed=True)
        for at, (name, one) in enumerate(zip(runs.blades, computed, strict=False))
    ]
    return GlideFound(
        finding=finding,
        sentence="\n".join(part for part in (said, _doubts(found, runs, times), _CAUTION) if part),
        places=places,
        speeds=speeds,
        lines=lines,
        levels=tuple(levels),
        measured=found,
    )


def _one_said(fit: GlideFit, computed: ComputedFriction) -> tuple[str, str]:
    low, high = fit.mu_interval
    measured, span = plus_minus(fit.mu, fit.mu_error, 4), computed.span
    agrees = "which agrees with these runs"
    if span.high < low or high < span.low:
        agrees = f"{'less' if span.high < low else 'more'} than these runs allow"
    said = (
        f"By these {len(fit.time_s)} runs the friction is {measured} of the weight; anything from "
        f"{_friction(low)} to {_friction(high)} agrees with them. {_air_said(fit.cda_m2, fit.cda_error)} "
        f"Computed for this blade: {say_friction(computed.mu, span)} on the ices held possible, {agrees}."
    )
    if fit.mu_error > 0.3 * fit.mu:
        said += (
            " These runs hardly tell the friction: skate more of them, start slower and glide longer, or "
            "time them from a video."
        )
    return said, f"Friction {measured} of the weight; computed {say_friction(computed.mu, span)}"


def _two_said(found: GlideDifference, runs: GlideTimes, expected: Span) -> tuple[str, str]:
    first, second = runs.blades
    percent, low, high = found.percent
    shown = found.p < _LIKELY
    more, computed = "more" if percent > 0 else "less", say_more_friction(expected)
    said = (
        f"By these {len(runs.time_s)} runs the friction is {plus_minus(found.mu[0], found.mu_error[0], 4)} "
        f"of the weight on {first} and {plus_minus(found.mu[1], found.mu_error[1], 4)} on {second}. "
        f"{_air_said(found.cda_m2, found.cda_error)}\n"
        f"{second} has {abs(percent):.0f} % {more} friction than {first}; anything from {signed(low)} to "
        f"{signed(high)} % agrees with the runs. "
        + (
            "That is more than chance."
            if shown
            else "That may be chance: these runs can't tell the two blades apart."
        )
        + f" Over the ices held possible, the model gives the trial blade on the sliders {computed} friction "
        f"{'as' if computed == 'as much' else 'than'} the present one."
    )
    finding = (
        f"{second} has {abs(percent):.0f} % {more} friction than {first}"
        if shown
        else f"These runs can't tell {first} from {second}"
    )
    return said, finding


def _friction(value: float) -> str:
    return decimal(value, 4)


def _air_said(area_m2: float, error_m2: float) -> str:
    return f"The drag area is {area_said(area_m2, error_m2)}."


def _doubts(found: GlideFit | GlideDifference, runs: GlideTimes, times: Array) -> str:
    """What the reader should look at before believing it."""
    said = []
    for run, mark in found.outliers:
        said.append(
            f"Run {run + 1} at mark {mark + 1}, {times[run, mark]:.2f} s, is too far off to be chance: was "
            "it read or typed wrong?"
        )
    if found.between_runs_p < 0.01:
        said.append(
            "The runs differ from each other by more than the timing explains: the same crouch, line and ice "
            "each time? The errors are larger than they look."
        )
    if np.isnan(found.slope):
        said.append(
            "All runs went one way: ice that rises by 0.1 % would count as 0.001 of friction. Skate "
            "back, too."
        )
    elif abs(found.slope) > 0.0001:
        way = ">" if found.slope > 0 else "<"
        said.append(
            f"In the {way} direction the ice rises by {abs(100 * found.slope):.2f} %, or there is wind: runs "
            "both ways take that out."
        )
    least, most = (found.mu, found.mu) if isinstance(found, GlideFit) else (min(found.mu), max(found.mu))
    much = "more" if most > _MOST_FRICTION else "less" if least < _LEAST_FRICTION else ""
    if much:
        said.append(f"That is far {much} friction than ice has: are the distances in the unit that was said?")
    return " ".join(said)


def _speeds(
    runs: GlideTimes, found: GlideFit | GlideDifference, times: Array, marks: Array, mass_kg: float
) -> tuple[tuple[Array, Array], tuple[Array, Array], tuple[tuple[Array, Array], tuple[Array, Array]]]:
    """For both blades: midway places and mean speeds there, and the fitted speed along each run."""
    frictions = found.mu if isinstance(found, GlideDifference) else (found.mu,)
    slope = 0.0 if np.isnan(found.slope) else found.slope
    along = np.linspace(0.0, float(marks[-1] - marks[0]), 31)
    dots: list[list[Array]] = [[], []]
    curves: list[list[Array]] = [[], []]
    for run, row in enumerate(times):
        blade, way, seen = runs.blade[run], runs.direction[run], ~np.isnan(row)
        x, t = marks[seen] - marks[0], row[seen]
        dots[blade].append(np.array([(x[1:] + x[:-1]) / 2, np.diff(x) / np.diff(t)]))
        slowed = _slowing(frictions[blade] + way * slope, found.cda_m2, mass_kg)
        speed = speed_after(along, float(found.start_speed_m_s[run]), *slowed)
        curves[blade].append(np.array([[*along, np.nan], [*speed, np.nan]]))
    joined = [np.concatenate(parts, axis=1) if parts else np.empty((2, 0)) for parts in (*dots, *curves)]
    return (
        (joined[0][0], joined[1][0]),
        (joined[0][1], joined[1][1]),
        ((joined[2][0], joined[2][1]), (joined[3][0], joined[3][1])),
    )
