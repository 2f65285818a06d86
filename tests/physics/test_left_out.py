"""What the model leaves out by default: each term against something outside, and its size."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from iapws import IAPWS95
from iapws._iapws import _Melting_Pressure
from scipy.integrate import quad
from scipy.optimize import brentq

from bladelab import Blade, Hollow, Ice, InputError, Rocker, Stance, Zone, solve_contact, solve_friction
from bladelab.physics.film_terms import MELTING_K_MPA, WATER_DENSITY_KG_M3, FilmTerms
from bladelab.physics.track import track_yaw_hold_Nm
from tests.reference.contact import balance
from tests.reference.glide import Glide, solve
from tests.reference.standing import Case

G = 9.81
HOCKEY = Blade(Rocker.single(3048.0, 280.0), Hollow(12.7, 3.0))
SKATING = (HOCKEY, Stance(75 * G), Ice(-5.0), 6.0)
DENSITY, PRESSURE = FilmTerms(water_density=True), FilmTerms(pressure_melting=True)
STEEL = FilmTerms(steel_colder_K=5.0, gliding_s=5.0)


def percent_of_friction(terms: FilmTerms) -> float:
    return 100 * float(solve_friction(*SKATING, terms).total / solve_friction(*SKATING).total - 1)


def test_the_density_of_water_agrees_with_iapws() -> None:
    assert pytest.approx(IAPWS95(T=273.16, P=0.101325).rho, rel=1e-4) == WATER_DENSITY_KG_M3


@pytest.mark.parametrize("pressure", [2.0, 5.0, 10.0, 17.7, 20.0])
def test_melting_under_pressure_agrees_with_the_melting_curve_of_iapws(pressure: float) -> None:
    above_air = pressure - 0.1
    under, free = (
        brentq(lambda kelvin, p=p: _Melting_Pressure(kelvin) - p, 260.0, 273.159) for p in (pressure, 0.1)
    )
    lowered = -float(FilmTerms(pressure_melting=True).film_C(np.array(above_air)))
    assert lowered == pytest.approx(free - under, rel=0.05)
    assert MELTING_K_MPA * 17.7 == pytest.approx(1.31, abs=0.01)


def test_heat_into_steel_agrees_with_the_equation_of_heat() -> None:
    # A deep block of steel, 25 W/(m K), 7750 kg/m3, 460 J/(kg K), its surface held 5 K warmer.
    step, n = 5e-5, 400
    a = 25.0 / (7750.0 * 460.0)
    seconds = 0.4 * step**2 / a
    kelvin = np.zeros(n)
    kelvin[0] = 5.0
    count = int(1.0 / seconds)
    for _ in range(count):
        kelvin[1:-1] += 0.4 * (kelvin[2:] - 2 * kelvin[1:-1] + kelvin[:-2])
    flow = 25.0 * (kelvin[0] - kelvin[1]) / step
    terms = FilmTerms(steel_colder_K=5.0, gliding_s=count * seconds)
    assert terms.steel_W_m2 == pytest.approx(flow, rel=0.01)


@pytest.mark.parametrize(
    ("terms", "changed"),
    [
        (DENSITY, {"melt_J_m3": 999.84 * 333.6e3}),
        (PRESSURE, {"film_C": -1.314}),
        (STEEL, {"steel_W_m2": np.sqrt(25 * 7750 * 460 / np.pi / 5) * 5}),
    ],
)
def test_friction_with_each_term_agrees_with_the_reference_solver(
    terms: FilmTerms, changed: dict[str, float]
) -> None:
    case = Case(((3048.0, 280.0),), 12.7, 3.0, 75 * G, hardness=17.7, gliding=True)
    plain = Glide(case, 6.0, -5.0)
    before, after = solve(plain)[1], solve(replace(plain, **changed))[1]
    found = solve_friction(*SKATING, terms).film / solve_friction(*SKATING).film
    assert found == pytest.approx(after / before, rel=2e-4)


def test_the_size_of_each_term_on_a_typical_glide() -> None:
    film = solve_friction(*SKATING, DENSITY).film / solve_friction(*SKATING).film
    assert film == pytest.approx(1.019, abs=0.0005)
    assert percent_of_friction(DENSITY) == pytest.approx(0.82, abs=0.02)
    assert percent_of_friction(PRESSURE) == pytest.approx(-2.92, abs=0.03)
    assert percent_of_friction(STEEL) == pytest.approx(1.17, abs=0.03)
    assert percent_of_friction(FilmTerms(True, True, 5.0)) == pytest.approx(-1.07, abs=0.03)


def test_ice_warmer_than_it_melts_under_the_blade_draws_no_heat() -> None:
    # -1 °C under 15.3 MPa, where ice melts at -1.14 °C.
    film = [solve_friction(HOCKEY, Stance(736.0), Ice(at), 6.0, PRESSURE).film for at in (-1.0, -0.9)]
    no_heat = solve_friction(HOCKEY, Stance(736.0), Ice(0.0, 15.3 / 14.7), 6.0).film
    assert film[0] == pytest.approx(no_heat, rel=1e-9)


@pytest.mark.parametrize(
    ("make", "said"),
    [
        (lambda: FilmTerms(water_density=1), "water_density is 1; it must be True or False"),
        (lambda: FilmTerms(steel_colder_K=-1.0), "steel_colder_K is -1 K; it must be at least 0 K"),
        (lambda: FilmTerms(gliding_s=0.0), "gliding_s is 0 s; it must be at least 0.1 s"),
        (lambda: track_yaw_hold_Nm(solve_contact(HOCKEY, Stance(736.0), Ice())), "stands in no track"),
    ],
)
def test_what_can_not_be_is_refused(make: object, said: str) -> None:
    with pytest.raises(InputError, match=said):
        make()  # type: ignore[operator]


@pytest.mark.parametrize(("lean", "position"), [(0.0, 0.0), (25.0, 0.0), (45.0, -10.0)])
def test_yaw_hold_with_the_track_agrees_with_the_reference_solver(lean: float, position: float) -> None:
    case = Case(((3048.0, 280.0),), 12.7, 2.9, 515.0, position, lean, 17.7, True)
    found = balance(case)
    attitude, depth = found.attitude, found.depth
    heel, toe = (float(end) for end in attitude.reach(np.array(depth)))

    def twist(x: float) -> float:
        return float(depth - attitude.rise(np.array(x))) * abs(x - position)

    whole = 17.7e-3 * quad(twist, heel, toe, points=[position], limit=200)[0]
    front = 17.7e-3 * quad(twist, attitude.deepest, toe, points=[position], limit=200)[0]
    blade = Blade(Rocker.single(3048.0, 280.0), Hollow(12.7, 2.9))
    contact = solve_contact(blade, Stance(515.0, position, lean), Ice(), gliding=True)
    assert contact.yaw_hold_Nm == pytest.approx(front, rel=1e-5)
    assert track_yaw_hold_Nm(contact) == pytest.approx(whole, rel=1e-4)
    assert whole / front == pytest.approx(4.6, abs=0.15)


def test_yaw_hold_with_the_track_takes_arrays_zones_and_pressed_ice() -> None:
    blade = Blade(Rocker((Zone(2700, 140), Zone(3300, 140)), 20), Hollow(np.array([[9.5], [12.7]]), 2.9))
    stance = Stance([500.0, 700.0, 900.0], [0.0, 20.0, 300.0], 30.0, 6.0)
    whole = track_yaw_hold_Nm(solve_contact(blade, stance, Ice.pressed(), gliding=True))
    assert whole.shape == (2, 3) and np.isnan(whole[:, 2]).all() and np.isfinite(whole[:, :2]).all()
    one = Blade(blade.rocker, Hollow(12.7, 2.9))
    alone = solve_contact(one, Stance(700.0, 20.0, 30.0, 6.0), Ice.pressed(), gliding=True)
    assert track_yaw_hold_Nm(alone) == pytest.approx(whole[1, 1], rel=1e-9)


def test_two_blades_compare_alike_with_and_without_the_track() -> None:
    one, other = (
        solve_contact(Blade(Rocker.single(r, 280.0), Hollow(h, 2.9)), Stance(515.0, 0, lean_deg), Ice(), True)
        for r, h, lean_deg in ((3048.0, 15.9, 45.0), (3657.6, 9.5, 45.0))
    )
    with_track = track_yaw_hold_Nm(other) / track_yaw_hold_Nm(one)
    assert with_track == pytest.approx(other.yaw_hold_Nm / one.yaw_hold_Nm, rel=0.02)
