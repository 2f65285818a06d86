"""Attempts to break pressed ice, and which published facts survive them.

The tag beside each fact: READ, MEMORY (recalled, not read again) or DERIVED. The table of the same is in
notebook 16.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from bladelab import Blade, Hollow, Ice, Rocker, Spread, Stance, sample, solve_contact, solve_friction
from bladelab.physics.friction_gap import EXPLANATIONS, judge, read_measured
from bladelab.physics.possible_ices import (
    OWN_AGE_FACTOR,
    all_possible,
    friction_band,
    friction_span,
    possible_ices,
)
from bladelab.trust.attempts import attempts
from tests.reference.pressed import Press, glide_at_own_ages, length_of, settled
from tests.reference.standing import Case

G = 9.81
SPEED_SKATE, SLED = read_measured()
SLED_CASE = Case(((3048.0, 280.0),), 12.7, 2.9, 53 * G, gliding=True)


def sled_from_3_8_to_7_8_in(ice: Ice, speed: float = 1.8, kg: float = 53.0) -> float:
    """How much more friction the flatter hollow has, per cent."""
    blade = Blade(Rocker.single(3048.0, 280.0), Hollow(np.array([9.525, 22.225]), 2.9))
    one, other = solve_friction(blade, Stance(kg * G), ice, speed).total
    return float(100 * (other / one - 1))


def test_which_attempts_pressed_ice_survives() -> None:
    found = {one.varied: one.holds for one in attempts()}
    assert found == {
        "nothing: exponent 0.15, ball of 12.7 mm": True,
        "ball of 25 mm": False,
        "ball of 6 mm": True,
        "exponent 0.1": False,
        "exponent 0.2": False,
        "exponent 1/3, that of creep": False,
        "each patch of ice at its own age": True,
        "hollow from 1/8 to 3/8 in, sled at 1.8 m/s": True,
        "hollow from 3/8 to 7/8 in, sled at 1.8 m/s": False,
        "the same, sled's ice at −3 °C": False,
        "hollow of 1/8, 3/8, 7/8 in at 6 m/s and 75 kg": True,
        "speed skate at 2 m/s over 10 m/s": True,
        "temperature of least friction, speed skate": None,
        "speed skate, curve over straight": True,
        "hardness per kelvin at −5 °C": True,
        "53, 75, 106 kg on a hockey blade at 6 m/s": None,
    }


def test_the_direction_with_the_hollow_is_missed_on_the_sled() -> None:
    # READ, Redmond & Federolf 2010: a sled's friction increases with decreasing hollow radius. At 1.8 m/s and
    # 53 kg pressed ice has 3 % more friction at 7/8 in than at 3/8 in; while skating it has less, as
    # published, and so on the drop test's ice, on ice of -3 °C, and with the exponent 0.1 just so.
    assert sled_from_3_8_to_7_8_in(Ice.pressed()) == pytest.approx(2.7, abs=0.3)
    assert sled_from_3_8_to_7_8_in(Ice()) == pytest.approx(-12.7, abs=0.3)
    assert sled_from_3_8_to_7_8_in(Ice.pressed(), 6.0, 75.0) < -3
    assert -0.5 < sled_from_3_8_to_7_8_in(Ice.pressed(-3.0)) < 0
    assert -1 < sled_from_3_8_to_7_8_in(Ice.pressed(rate_exponent=0.1)) < 0


def test_nothing_physical_that_was_tried_mends_it() -> None:
    # All terms of the film together bring it to 0.9 %; warmer ice mends it and loses the coefficient.
    names = {e.name: judge(e) for e in EXPLANATIONS}
    by_hollow = names["pressed ice, all terms of the film"].by_hollow
    assert by_hollow[-1] / by_hollow[1] - 1 == pytest.approx(0.009, abs=0.002)
    assert names["pressed ice, 2 °C warmer under the hockey blade"].mu[1] < SLED.mu - SLED.half_range


def test_the_range_over_all_ices_held_possible() -> None:
    assert [one.name for one in possible_ices(-5.0)][:2] == ["drop test", "pressed"]
    for case, expected in (
        (SPEED_SKATE, (0.00319, 0.00452, 0.00319, 0.00524)),
        (SLED, (0.00482, 0.00678, 0.00482, 0.00813)),
    ):
        span = friction_span(case.blade, Stance(case.mass_kg * G), -5.0, case.speed_m_s)
        assert (span.drop_test, span.pressed, span.low, span.high) == pytest.approx(expected, rel=0.003)
        assert span.low < case.mu < span.high
        # One call for all is one call for each.
        stance = Stance(case.mass_kg * G)
        alone = [
            solve_friction(case.blade, stance, one.ice, case.speed_m_s).total for one in possible_ices(-5.0)
        ]
        together = solve_friction(case.blade, stance, all_possible(-5.0), case.speed_m_s).total
        np.testing.assert_allclose(together, alone, rtol=1e-9)


def test_one_band_holds_the_ices_and_the_days() -> None:
    stance = Stance(75 * G)
    low, high = friction_band(SLED.blade, stance, -5.0, 6.0, n=60)
    span = friction_span(SLED.blade, stance, -5.0, 6.0)
    assert low < span.low and span.high < high
    # Independently: each ice with its own draws, and the ends over all of them.
    ends = []
    for one in possible_ices(-5.0):
        drawn, ices = sample(stance, one.ice, n=60)
        mu = solve_friction(SLED.blade, drawn, ices, 6.0).total
        ends.append(np.percentile(mu, [5, 95]))
    assert (low, high) == pytest.approx((np.min(ends), np.max(ends)), rel=1e-6)
    # With no spread the band is the range over the ices.
    alone = friction_band(SLED.blade, stance, -5.0, 6.0, Spread(0.0, 0.0, 0.0, 0.0), 8)
    assert alone == pytest.approx((span.low, span.high), rel=1e-9)


@pytest.mark.slow
def test_the_factor_for_own_ages_is_that_of_the_reference_solver() -> None:
    flat = Case(((22000.0, 400.0),), 2000.0, 1.1, 72 * G, gliding=True)
    for case, press, expected in ((flat, Press(8.0), 0.898), (SLED_CASE, Press(1.8), 0.944)):
        own = glide_at_own_ages(case, press)
        factor = own.mean_MPa / press.hardness(own.length_mm)
        assert factor == pytest.approx(expected, abs=0.003)
    assert pytest.approx(0.898, abs=0.003) == OWN_AGE_FACTOR
    # And the friction with that factor is that of the reference with own ages, within 2 %.
    for case, measured, press in ((flat, SPEED_SKATE, Press(8.0)), (SLED_CASE, SLED, Press(1.8))):
        own = glide_at_own_ages(case, press)
        ice = replace(Ice.pressed(), hardness_factor=OWN_AGE_FACTOR)
        found = solve_friction(measured.blade, Stance(measured.mass_kg * G), ice, press.speed).total
        assert found == pytest.approx(own.plough + own.film, rel=0.025)
    # The difference between both conventions on the contact itself.
    assert own.length_mm / length_of(settled(SLED_CASE, Press(1.8))) == pytest.approx(1.03, abs=0.005)


def test_a_leaned_edge_presses_faster_than_an_upright_one_which_is_left_out() -> None:
    # The strain rate goes with the slope at which the ice is met. Upright a groove of 1/2 in on 2.9 mm meets
    # it at up to asin(1.45 / 12.7) = 6.6 degrees, at 45 degrees of lean at 45: tan 45 / tan 6.6, to the power
    # 0.15, is 1.4. DERIVED.
    edge = Hollow(12.7, 2.9).edge_angle_deg
    ratio = (np.tan(np.radians(45.0)) / np.tan(np.radians(edge))) ** 0.15
    assert ratio == pytest.approx(1.4, abs=0.03)
    stance = Stance(700.0, 0.0, 45.0, 6.0)
    ices = (replace(Ice.pressed(), hardness_factor=factor) for factor in (1.0, ratio))
    soft, hard = (solve_contact(SLED.blade, stance, ice, True) for ice in ices)
    assert hard.depth_mm / soft.depth_mm == pytest.approx(0.8, abs=0.05)
