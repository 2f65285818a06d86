"""Glide friction against what is published.

The tag beside each fact: READ, MEMORY (recalled, not read again) or DERIVED.
"""

from __future__ import annotations

import numpy as np
import pytest
from iapws import IAPWS95
from iapws._iapws import _Ice

from bladelab import Blade, Hollow, Ice, Rocker, Stance, inches, solve_friction
from bladelab.physics import ice as constants
from bladelab.physics.friction_gap import DEFAULT, EXPLANATIONS, PRESSED, judge, read_measured

G = 9.81
MEASURED = {measured.case: measured for measured in read_measured()}


# iapws computes water and ice from the equations of the international association for their properties.
def test_viscosity_of_water_agrees_with_iapws() -> None:
    # READ, LSBU water data: 1.792 mPa s at 0 °C.
    assert constants.WATER_VISCOSITY_PA_S == pytest.approx(IAPWS95(T=273.16, P=0.101325).mu, rel=0.002)


def test_density_and_latent_heat_of_ice_agree_with_iapws() -> None:
    # READ, CRC Handbook: 916.7 kg/m3, 333.6 J/g.
    solid = _Ice(273.15, 0.101325)
    assert constants.ICE_DENSITY_KG_M3 == pytest.approx(solid["rho"], rel=0.0005)
    melted = IAPWS95(T=273.1501, P=0.101325).h
    assert constants.LATENT_HEAT_J_KG == pytest.approx((melted - solid["h"]) * 1e3, rel=0.001)


@pytest.mark.parametrize("cold", [0.0, -5.0, -10.0, -20.0])
def test_diffusivity_of_ice_agrees_with_iapws(cold: float) -> None:
    # Conductivity READ, LSBU water data: 2.14 at 0 °C, 2.3 at -10 °C; density and heat capacity by iapws.
    conductivity = np.interp(cold, [-20, -10, 0], [2.46, 2.3, 2.14])
    solid = _Ice(273.15 + cold, 0.101325)
    assert Ice(cold).conductivity_W_mK == pytest.approx(conductivity, rel=1e-9)
    expected = conductivity / (solid["rho"] * solid["cp"] * 1e3)
    assert Ice(cold).diffusivity_m2_s == pytest.approx(expected, rel=0.005)


def test_friction_rises_as_the_hollow_radius_falls() -> None:
    # READ, Redmond & Federolf 2010, Sports Eng. 13, 39-46, on 1/8, 3/8 and 7/8 in = 3.18, 9.53, 22.23 mm.
    radii = [inches(text) for text in ("1/8", "3/8", "7/8")]
    assert radii == pytest.approx([3.18, 9.53, 22.23], abs=0.006)
    hockey = MEASURED["hockey blade on a sled"]
    for speed in (0.5, 1.8, 6.0):
        blade = Blade(hockey.blade.rocker, Hollow(np.array(radii), 2.9))
        found = solve_friction(blade, Stance(hockey.mass_kg * G), Ice(), speed).total
        assert np.all(np.diff(found) < -0.0002)


def test_film_of_a_speed_skate_is_a_fraction_of_a_micrometre() -> None:
    # READ, van Leeuwen 2017, SciPost Phys. 3, 042 (reply to referees): "fractions of a micrometre".
    skate = MEASURED["speed skate straight"]
    found = solve_friction(skate.blade, Stance(skate.mass_kg * G), Ice(), np.array([4.0, 8.0, 12.0]))
    assert np.all((found.film_thickness_um > 0.1) & (found.film_thickness_um < 1.0))


def test_a_leaned_speed_skate_has_more_friction_than_an_upright_one() -> None:
    # MEMORY, de Koning et al. 1992, J. Biomech. 25, 565: 0.0059 in the curves against 0.0046 on the
    # straights. The balanced lean on a curve of about 26 m at 8 m/s is atan(64/(9.81*26)) = 14 degrees.
    skate = MEASURED["speed skate straight"]
    lean = np.degrees(np.arctan(8.0**2 / (G * 26)))
    straight, curve = solve_friction(skate.blade, Stance(skate.mass_kg * G, 0, [0.0, lean]), Ice(), 8.0).total
    assert curve / straight == pytest.approx(0.0059 / 0.0046, rel=0.15)


@pytest.mark.parametrize("case", MEASURED)
def test_computed_friction_keeps_its_known_gap(case: str) -> None:
    # MEMORY: 0.0046 (de Koning et al. 1992), 0.0071 +- 0.0005 (Federolf et al. 2008, J. Sports Sci. 26,
    # 1201). With the hardness of the drop test the model lies about 30 % below both: a change of this
    # distance is news, either way.
    measured = MEASURED[case]
    assert measured.computed() / measured.mu == pytest.approx(0.69, abs=0.03)


def test_least_friction_is_at_warmer_ice_than_measured() -> None:
    # MEMORY, de Koning et al. 1992: least near -7 °C. With plain water the model says about -1.5 °C: it
    # contradicts this.
    assert -4.0 < judge(DEFAULT).least_C < -0.5


def test_what_each_explanation_explains() -> None:
    # Regression: which published facts the model agrees with under each change that was tried.
    explained = {e.name: sum(judge(e).agrees.values()) for e in EXPLANATIONS}
    assert explained == {
        "nothing changed": 1,
        "pressed ice": 2,
        "pressed ice, ball of 6 mm": 2,
        "pressed ice, ball of 25 mm": 0,
        "pressed ice, exponent 0.1": 0,
        "pressed ice, exponent 0.2": 0,
        "pressed ice, exponent 1/3": 1,
        "pressed ice, each patch at its own age": 2,
        "pressed ice, all terms of the film": 2,
        "pressed ice, 2 °C warmer under the hockey blade": 1,
        "softer ice, 0.58": 2,
        "every blade tilted 6°": 1,
        "softer ice, 0.7, and every blade tilted 5°": 2,
        "undercooled water, 1.2 times": 1,
        "heat into the steel": 1,
        "colder ice under the hockey blade, -8 °C": 1,
        "viscous meltwater, 3 times": 3,
        "viscous meltwater and every blade tilted 6°": 2,
        "viscous meltwater, hockey blade alone tilted 6°": 4,
    }
    softer = next(e for e in EXPLANATIONS if e.name == "softer ice, 0.58")
    assert not judge(softer).agrees["rises as the hollow radius falls"]
    # Pressed ice, without a number fitted to a friction, has both coefficients and misses the other two.
    assert [*judge(PRESSED).agrees.values()] == [True, True, False, False]


def test_the_option_of_viscous_meltwater_is_off_by_default() -> None:
    assert Ice().viscosity_factor == 1.0 and Ice().hardness_factor == 1.0
    blade, stance = Blade(Rocker.single(3048, 280), Hollow(12.7, 3.0)), Stance(736)
    plain, viscous = (solve_friction(blade, stance, ice, 6.0) for ice in (Ice(), Ice.with_viscous_film()))
    assert viscous.plough == plain.plough
    assert viscous.film > 1.1 * plain.film
