"""Two blades on all ices held possible: bands of their difference against drawing every day on each ice."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from bladelab import Blade, Hollow, Ice, Rocker, Stance
from bladelab.physics.days import Days
from bladelab.physics.glide import solve_frictions
from bladelab.physics.over_ices import OverIces, case_over_ices
from bladelab.physics.possible_ices import friction_span, possible_ices

TEN, TWELVE = (Rocker.single(radius, 280.0) for radius in (3048.0, 3657.6))
STANCE = Stance(75 * 9.81)
BANDS = ("present", "trial", "same_day", "other_day")


def over_ices(blades, stance, ice=None, speed=6.0):
    cases = [case_over_ices(blade, stance, ice or Ice(-5.0), speed) for blade in blades]
    return OverIces(*(np.asarray(one.total) for one in solve_frictions(cases)))


@pytest.mark.parametrize(
    ("hollows", "rockers", "lean_deg"),
    [
        ((15.875, 25.4), (TEN, TEN), 0.0),
        ((12.7, 12.7), (TEN, TWELVE), 0.0),
        ((9.525, 22.225), (TEN, TEN), 20.0),
    ],
)
def test_bands_are_those_of_drawing_every_day_on_each_ice(hollows, rockers, lean_deg):
    stance = replace(STANCE, lean_deg=lean_deg)
    blades = [Blade(rocker, Hollow(radius, 2.9)) for rocker, radius in zip(rockers, hollows, strict=True)]
    days = [Days.of(stance, one.ice, n=60) for one in possible_ices(-5.0)]
    solved = iter(solve_frictions([(blade, one.stance, one.ice, 6.0) for one in days for blade in blades]))
    drawn = [one.difference(next(solved).total, next(solved).total) for one in days]
    over = over_ices(blades, stance)
    for chosen in drawn[:2]:  # whichever ice a panel is on
        wide = over.widen(chosen)
        for name in BANDS:
            low = min(getattr(one, name).low for one in drawn)
            high = max(getattr(one, name).high for one in drawn)
            found = getattr(wide, name)
            assert (found.low, found.high) == pytest.approx((low, high), abs=0.07 * (high - low)), name
            assert found.value == getattr(chosen, name).value
    # The difference has a range of its own, not that of one blade less that of the other.
    alone = [100 * (one.trial.value / one.present.value - 1) for one in drawn]
    assert (over.percent.low, over.percent.high) == pytest.approx((min(alone), max(alone)), rel=1e-6)
    apart = over.spans[1].high - over.spans[0].low
    assert max(one.same_day.value for one in drawn) < 0.5 * apart


def test_each_blade_has_the_span_of_its_own():
    blades = [Blade(TEN, Hollow(radius, 2.9)) for radius in (9.525, 15.875)]
    for found, blade in zip(over_ices(blades, STANCE).spans, blades, strict=True):
        span = friction_span(blade, STANCE, -5.0, 6.0)
        assert (found.low, found.pressed, found.high) == pytest.approx((span.low, span.pressed, span.high))


def test_ice_tested_harder_is_harder_on_all_that_is_possible():
    blades = [Blade(TEN, Hollow(radius, 2.9)) for radius in (9.525, 15.875)]
    tested = Ice(-5.0, 1.4)
    span = over_ices(blades, STANCE, tested).spans[0]
    (found,) = solve_frictions([(blades[0], STANCE, tested, 6.0)])
    assert span.drop_test == pytest.approx(float(found.total)) and span.low <= span.drop_test <= span.high
    for usual, harder in zip(possible_ices(-5.0), possible_ices(-5.0, 1.4), strict=True):
        assert harder.ice.hardness_factor == pytest.approx(1.4 * usual.ice.hardness_factor)


def test_blades_may_swap_places_from_one_ice_to_another():
    present, trial = np.ones(22), np.ones(22)
    trial[[0, 5]] = 0.97, 1.03
    assert OverIces(present, trial).disagree
    trial[5] = 1.005  # less than anyone could measure
    assert not OverIces(present, trial).disagree
