"""Glide friction against an independent solution (stiff ODE in scipy), closed forms and worked cases."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.interpolate import CubicSpline

from bladelab import Blade, Hollow, Ice, Rocker, Stance, Zone, glide_out, solve_contact, solve_friction
from bladelab.physics.glide import frictions_of_contacts
from bladelab.physics.ice import WATER_VISCOSITY_PA_S
from bladelab.shape.hollow import pressed_section
from tests.reference.glide import LATENT_J_M3, Glide, solve
from tests.reference.standing import Case

G = 9.81
HOCKEY = Blade(Rocker.single(3048, 280), Hollow(12.7, 3.0))
SPEED_SKATE = Blade(Rocker.single(22000, 400), Hollow(2000, 1.1))
STEPPED = ((2600.0, 60.0), (3400.0, 110.0), (2900.0, 70.0), (1900.0, 50.0))


@pytest.mark.parametrize(
    ("blade", "mass_kg", "speed", "length", "depth", "plough", "film", "thickness"),
    [
        (HOCKEY, 75, 6.0, 24.16, 0.0957, 0.00263, 0.00198, 0.34),
        (SPEED_SKATE, 72, 8.0, 36.30, 0.0300, 0.00082, 0.0024, 0.37),
    ],
    ids=["hockey blade", "flat speed skate"],
)
def test_worked_cases(blade, mass_kg, speed, length, depth, plough, film, thickness) -> None:
    # From an independent brute-force solver; to 1 %, or to the last digit it gave.
    found = solve_friction(blade, Stance(mass_kg * G), Ice(-5.0), speed)
    assert found.contact.length_mm == pytest.approx(length, rel=0.002)
    assert found.contact.depth_mm == pytest.approx(depth, rel=0.002)
    assert found.plough == pytest.approx(plough, rel=0.01)
    assert found.film == pytest.approx(film, rel=0.01, abs=0.5 * 10 ** -(4 if film == 0.0024 else 5))
    assert found.film_thickness_um == pytest.approx(thickness, rel=0.01, abs=0.005)


def test_worked_case_at_walking_speed() -> None:
    found = solve_friction(Blade(HOCKEY.rocker, Hollow(12.7, 2.9)), Stance(53 * G), Ice(-5.0), 1.8)
    assert found.total == pytest.approx(0.0048, rel=0.01)


@pytest.mark.slow
@pytest.mark.parametrize(
    ("zones", "blend", "pivot", "radius", "width", "load", "place", "lean", "cold", "speed"),
    [
        (((3048.0, 280.0),), 0, 0, 12.7, 3.0, 736, 0, 0, -5, 6),
        (((22000.0, 400.0),), 0, 0, 2000, 1.1, 706, 0, 0, -5, 8),
        (((3048.0, 280.0),), 0, 0, 12.7, 2.9, 520, 0, 0, -5, 1.8),
        (((3048.0, 280.0),), 0, 0, 12.7, 3.0, 736, 20, 4, -2, 9),
        (((3048.0, 280.0),), 0, 0, 3.175, 3.0, 1500, 0, 2, -12, 0.5),
        (((3048.0, 280.0),), 0, 0, 12.7, 3.0, 736, 0, 30, -5, 6),
        (STEPPED, 20, 5, 9.5, 2.9, 785, -40, 0, -9, 4),
        (STEPPED, 20, 5, 9.5, 2.9, 785, 50, 15, -9, 4),
        (STEPPED, 0, 0, 30.0, 4.0, 1200, 10, 50, -1, 14),
    ],
)
def test_friction_agrees_with_a_stiff_ode(
    zones, blend, pivot, radius, width, load, place, lean, cold, speed
) -> None:
    case = Case(zones, radius, width, load, place, lean, 14.7 - 0.6 * cold, True, blend, pivot)
    plough, film, thickness = solve(Glide(case, speed, cold))
    rocker = Rocker(tuple(Zone(*zone) for zone in zones), blend, pivot)
    found = solve_friction(Blade(rocker, Hollow(radius, width)), Stance(load, place, lean), Ice(cold), speed)
    assert found.plough == pytest.approx(plough, rel=1e-4)
    assert found.film == pytest.approx(film, rel=0.005)
    assert found.film_thickness_um == pytest.approx(thickness, rel=0.005)


@pytest.mark.parametrize("lean_deg", [0.0, 3.0, 6.8, 30.0, 60.0])
@pytest.mark.parametrize(
    ("radius", "width"), [(1.6, 3.0), (3.175, 3.0), (12.7, 3.0), (2000.0, 1.1), (1e6, 3.0)]
)
@pytest.mark.parametrize("depth", [1e-6, 0.01, 0.0888938, 0.3, 5.0])
def test_pressed_section_agrees_with_quadrature(lean_deg, radius, width, depth) -> None:
    lean, hollow = np.radians(lean_deg), Hollow(radius, width)

    # Where the ice is only touched at the edges, the area hides in slivers there. The stretch on which the
    # section ends, a 500th of it wide, is good to a 500th squared.
    sliver = np.geomspace(1e-7, width / 2, 8000)
    cuts = np.concatenate([[0.0], sliver, (width - sliver)[-2::-1], [width]])
    nodes, weights = np.polynomial.legendre.leggauss(4)
    u = cuts[:-1, None] + np.diff(cuts)[:, None] * (nodes + 1) / 2
    below = np.maximum(depth - u * np.sin(lean) - hollow.height_mm(u) * np.cos(lean), 0.0) / np.cos(lean)
    area = (below * weights / 2).sum(axis=1) @ np.diff(cuts)
    assert pressed_section(depth, lean, radius, width) == pytest.approx(area, rel=1e-5)


def test_flat_blade_ploughs_by_its_closed_form() -> None:
    # No hollow: the contact is a rectangle, l = N/(H w), and the groove pressed is w l^2/(2 R): mu = l/(2 R).
    ice, width, radius = Ice(-5.0), 3.0, 3048.0
    found = solve_friction(Blade(Rocker.single(radius, 280), Hollow(1e7, width)), Stance(736.0), ice, 6.0)
    length = 736.0 / (ice.hardness_MPa * width)
    assert found.contact.length_mm == pytest.approx(length, rel=1e-4)
    assert found.plough == pytest.approx(length / (2 * radius), rel=1e-4)


def test_film_without_heat_loss_or_squeezing_grows_like_a_root() -> None:
    # h^2 = 2 eta s/(rho L) V, so mu N = w sqrt(2 eta V rho L l): a wide flat blade, fast, on ice at 0 °C.
    width, speed, load, ice = 20.0, 30.0, 2000.0, Ice(0.0)
    blade = Blade(Rocker.single(300.0, 280), Hollow(1e8, width))
    found = solve_friction(blade, Stance(load), ice, speed)
    length = found.contact.length_mm
    force = width * 1e-3 * np.sqrt(2 * WATER_VISCOSITY_PA_S * speed * LATENT_J_M3 * length * 1e-3)
    assert found.film * load == pytest.approx(force, rel=1e-3)


def test_slow_film_pays_for_the_heat_that_the_ice_draws() -> None:
    # Hardly any melting: shearing makes the heat that the ice takes; flat blade: 2 k dT w sqrt(l V/(pi a)).
    width, speed, ice = 3.0, 0.2, Ice(-30.0)
    found = solve_friction(Blade(Rocker.single(3048, 280), Hollow(1e7, width)), Stance(736.0), ice, speed)
    length = found.contact.length_mm * 1e-3
    heat = (
        2
        * ice.conductivity_W_mK
        * 30
        * width
        * 1e-3
        * np.sqrt(length * speed / (np.pi * ice.diffusivity_m2_s))
    )
    assert found.film * 736.0 * speed == pytest.approx(heat, rel=0.03)


def test_film_coefficient_rises_without_end_toward_no_speed_and_is_refused_there() -> None:
    slow = solve_friction(HOCKEY, Stance(736), Ice(), [0.2, 0.4, 0.8]).film
    assert np.all(np.diff(slow) < 0)
    for speed in (0.0, -1.0, 31.0, np.nan):
        with pytest.raises(
            ValueError, match=r"speed_m_s is .* m/s; it must be at least 0.2 m/s and at most 30 m/s"
        ):
            solve_friction(HOCKEY, Stance(736), Ice(), speed)


def test_friction_rises_as_the_hollow_radius_falls() -> None:
    radii = np.array([3.175, 6.35, 9.525, 12.7, 15.875, 19.05, 22.225, 25.4])
    for lean in (0.0, 2.0, 30.0):
        found = solve_friction(Blade(HOCKEY.rocker, Hollow(radii, 3.0)), Stance(736, 0, lean), Ice(), 6.0)
        assert np.all(np.diff(found.total) < 0)


def test_friction_falls_as_the_rocker_grows() -> None:
    found = [
        solve_friction(Blade(Rocker.single(r, 280), HOCKEY.hollow), Stance(736), Ice(), 6.0).total
        for r in (2400.0, 3048.0, 4000.0, 8000.0)
    ]
    assert np.all(np.diff(found) < 0)


def test_arrays_are_the_single_cases() -> None:
    loads, leans, colds, speeds = (
        np.array([400.0, 900.0]),
        [[0.0], [25.0]],
        [[[-2.0]], [[-9.0]]],
        [[[[2.0]]], [[[9.0]]]],
    )
    whole = solve_friction(HOCKEY, Stance(loads, 10.0, leans), Ice(colds), speeds)
    assert whole.total.shape == (2, 2, 2, 2)
    for at in np.ndindex(2, 2, 2, 2):
        one = solve_friction(
            HOCKEY,
            Stance(loads[at[3]], 10.0, leans[at[2]][0]),
            Ice(colds[at[1]][0][0]),
            speeds[at[0]][0][0][0],
        )
        for name in ("plough", "film", "film_thickness_um"):
            assert getattr(whole, name)[at] == pytest.approx(getattr(one, name), rel=1e-7)
        assert whole.force_N[at] == pytest.approx(one.total * loads[at[3]], rel=1e-7)


def test_a_stance_that_cannot_be_solved_is_nan_in_an_array_and_an_error_alone() -> None:
    found = solve_friction(HOCKEY, Stance(736, [0.0, 139.9]), Ice(), 6.0)
    assert np.isfinite(found.total[0]) and np.isnan(found.total[1]) and found.contact.reason[1]
    with pytest.raises(ValueError, match=r"position_mm is 139\.9 mm"):
        solve_friction(HOCKEY, Stance(736, 139.9), Ice(), 6.0)
    with pytest.raises(ValueError, match="do not broadcast"):
        solve_friction(HOCKEY, Stance([700.0, 800.0]), Ice(), [1.0, 2.0, 3.0])
    with pytest.raises(ValueError, match="gliding is False for one of the contacts"):
        frictions_of_contacts([solve_contact(HOCKEY, Stance(736), Ice())], [6.0])


@pytest.mark.slow
@pytest.mark.parametrize("drag_area", [0.0, 0.4])
def test_glide_out_agrees_with_marching_in_time(drag_area: float) -> None:
    mass, stance, ice = 80.0, Stance(80.0 * G), Ice(-4.0)
    speeds = np.geomspace(0.9, 5.1, 60)  # of so smooth a curve a spline is good to 1e-7
    friction = CubicSpline(speeds, solve_friction(HOCKEY, stance, ice, speeds).total)

    def slow_down(t, y):
        return [y[1], -friction(y[1]) * G - drag_area * 1.29 * y[1] ** 2 / (2 * mass)]

    def slow_enough(t, y):
        return y[1] - 1.0

    slow_enough.terminal = True
    run = solve_ivp(slow_down, (0, 1000), [0.0, 5.0], events=slow_enough, rtol=1e-7, atol=1e-6)
    found = glide_out(HOCKEY, stance, ice, 5.0, drag_area_m2=drag_area)
    assert found == pytest.approx(run.y_events[0][0][0], rel=1e-4)


def test_glide_out_takes_arrays_and_refuses_the_impossible() -> None:
    far = glide_out(HOCKEY, Stance([600.0, 900.0]), Ice(), [[3.0], [6.0]])
    assert far.shape == (2, 2)
    assert far[1, 0] == pytest.approx(glide_out(HOCKEY, Stance(600.0), Ice(), 6.0), rel=1e-9)
    assert np.all(far[1] > far[0])
    with pytest.raises(ValueError, match=r"speed_m_s is 0\.5 m/s"):
        glide_out(HOCKEY, Stance(736), Ice(), 0.5)
    with pytest.raises(ValueError, match="drag_area_m2 is 2 m2"):
        glide_out(HOCKEY, Stance(736), Ice(), 5.0, drag_area_m2=2)


def test_friction_uses_the_gliding_contact() -> None:
    found = solve_friction(HOCKEY, Stance(736), Ice(), 6.0)
    assert found.contact.gliding
    assert found.contact.length_mm == solve_contact(HOCKEY, Stance(736), Ice(), gliding=True).length_mm
