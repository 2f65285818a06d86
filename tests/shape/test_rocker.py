"""The lengthwise curve: against scipy's integration of its definition, circles, clothoids and shapely."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp
from scipy.special import fresnel

from bladelab import Blade, Hollow, Rocker, Zone

FOUR_ZONES = ((2600.0, 60.0), (3400.0, 110.0), (2900.0, 70.0), (1900.0, 50.0))


def zones(*pairs: tuple[float, float]) -> tuple[Zone, ...]:
    return tuple(Zone(*pair) for pair in pairs)


@st.composite
def rockers(draw: st.DrawFn) -> Rocker:
    count = draw(st.integers(1, 6))
    parts = tuple(
        Zone(draw(st.floats(1200.0, 12200.0)), draw(st.floats(20.0, 300.0 / count))) for _ in range(count)
    )
    blend = draw(st.just(0.0) | st.floats(0.0, 1.0)) * min(zone.length_mm for zone in parts)
    half = sum(zone.length_mm for zone in parts) / 2
    return Rocker(parts, blend, draw(st.floats(-1.0, 1.0)) * half)


def curvature(rocker: Rocker, x: float) -> float:
    """The definition: 1/radius on each zone, linear across each junction."""
    value = 1 / rocker.zones[0].radius_mm
    place = -rocker.length_mm / 2
    for before, after in zip(rocker.zones[:-1], rocker.zones[1:], strict=True):
        place += before.length_mm
        part = (x - place) / rocker.blend_mm + 0.5 if rocker.blend_mm > 1e-6 else float(x > place)
        value += (1 / after.radius_mm - 1 / before.radius_mm) * min(max(part, 0.0), 1.0)
    return value


@pytest.mark.slow
@settings(max_examples=40)
@given(rockers())
def test_the_curve_is_the_solution_of_its_definition(rocker: Rocker) -> None:
    # d(sine)/dx = kappa, dy/dx = tan(theta), from the pivot, in scipy's integrator.
    def slope(x: float, state: np.ndarray) -> list[float]:
        sine = state[0]
        return [curvature(rocker, x), sine / np.sqrt(1 - sine**2)]

    half = rocker.length_mm / 2
    for end in (-half, half):
        if abs(end - rocker.pivot_mm) < 1e-6:
            continue
        solved = solve_ivp(
            slope, (rocker.pivot_mm, end), [0.0, 0.0], method="RK45", rtol=1e-9, atol=1e-12, max_step=1.0
        )
        assert rocker.height_mm(end) == pytest.approx(solved.y[1, -1], abs=2e-5)
        assert rocker.tilt_deg(end) == pytest.approx(np.degrees(np.arcsin(solved.y[0, -1])), abs=2e-5)


@pytest.mark.parametrize("blend", [0.0, 20.0, 50.0])
def test_the_curve_agrees_with_a_tight_integration(blend: float) -> None:
    # As above, but integrated from knot to knot, so that both sides are good to 1e-9 mm.
    rocker = Rocker(zones(*FOUR_ZONES), blend, pivot_mm=5.0)
    knots = {-145.0, 145.0, 5.0}
    for junction in rocker.junctions_mm:
        knots |= {junction - blend / 2, junction + blend / 2}
    for direction in (-1, 1):
        state, here = [0.0, 0.0], 5.0
        for knot in sorted((k for k in knots if (k - 5.0) * direction > 0), reverse=direction < 0):
            inner = (here + 1e-9 * (knot - here), knot - 1e-9 * (knot - here))

            def slope(x: float, y: np.ndarray, inner: tuple[float, float] = inner) -> list[float]:
                return [curvature(rocker, np.clip(x, *sorted(inner))), y[0] / np.sqrt(1 - y[0] ** 2)]

            solved = solve_ivp(slope, (here, knot), state, method="DOP853", rtol=1e-13, atol=1e-15)
            state, here = list(solved.y[:, -1]), knot
            assert rocker.height_mm(knot) == pytest.approx(state[1], abs=1e-8)


@given(st.floats(1200.0, 12200.0), st.floats(100.0, 320.0), st.floats(-1.0, 1.0))
def test_a_single_radius_is_a_circle(radius: float, length: float, part: float) -> None:
    rocker = Rocker.single(radius, length, pivot_mm=part * length / 2)
    x = np.linspace(-length / 2, length / 2, 33)
    # The centre is one radius above the pivot.
    distance = np.hypot(x - rocker.pivot_mm, rocker.height_mm(x) - radius)
    np.testing.assert_allclose(distance, radius, atol=1e-8)
    np.testing.assert_allclose(
        rocker.tilt_deg(x), np.degrees(np.arcsin((x - rocker.pivot_mm) / radius)), atol=1e-10
    )


@pytest.mark.parametrize("radius", [145.0, 160.0, 400.0])
def test_a_steep_circle_is_still_a_circle(radius: float) -> None:
    rocker = Rocker.single(radius, 280.0)
    x = np.linspace(-140.0, 140.0, 57)
    np.testing.assert_allclose(np.hypot(x, rocker.height_mm(x) - radius), radius, atol=1e-7)


def test_a_single_radius_agrees_with_shapelys_circle() -> None:
    circle = shapely.Point(0.0, 3048.0).buffer(3048.0, quad_segs=200_000).exterior
    rocker = Rocker.single(3048.0, 280.0)
    for x in (-140.0, -77.0, 0.0, 31.0, 140.0):
        # shapely draws its circle to about 4e-6 mm.
        assert circle.distance(shapely.Point(x, float(rocker.height_mm(x)))) < 1e-5


def test_a_blend_is_a_clothoid_to_second_order() -> None:
    # A blend out of a very flat zone, against the exact clothoid from scipy.special.fresnel. A rocker
    # measures its curvature along the runner, a clothoid along its arc: they part with the square of the
    # tilt. Halve the tilt and the relative difference must fall to a quarter.
    def gap(end_radius: float) -> float:
        length = 100.0
        rocker = Rocker(zones((1e12, 150.0), (end_radius, 150.0)), blend_mm=length, pivot_mm=-50.0)
        scale = np.sqrt(np.pi * end_radius * length)
        sine_integral, cosine_integral = fresnel(length / scale)
        x, y = scale * cosine_integral, scale * sine_integral
        return abs(float(rocker.height_mm(-50.0 + x)) / y - 1)

    steep, half, quarter = gap(500.0), gap(1000.0), gap(2000.0)
    assert quarter < 1e-3
    assert steep / half == pytest.approx(4, rel=0.05)
    assert half / quarter == pytest.approx(4, rel=0.05)


@given(rockers())
def test_the_curve_is_smooth_convex_and_lowest_at_the_pivot(rocker: Rocker) -> None:
    half = rocker.length_mm / 2
    x = np.linspace(-half, half, 401)
    height = rocker.height_mm(x)
    assert rocker.height_mm(rocker.pivot_mm) == pytest.approx(0.0, abs=1e-12)
    assert rocker.tilt_deg(rocker.pivot_mm) == pytest.approx(0.0, abs=1e-10)
    assert height.min() >= -1e-12
    assert np.all(np.diff(rocker.tilt_deg(x)) > 0)
    # The tilt is the slope of the height: central differences on a step small beside every zone.
    step = 1e-3
    inner = x[(x > -half + 1) & (x < half - 1)]
    slope = (rocker.height_mm(inner + step) - rocker.height_mm(inner - step)) / (2 * step)
    np.testing.assert_allclose(slope, np.tan(np.radians(rocker.tilt_deg(inner))), atol=1e-6)


@given(rockers())
def test_the_mirrored_rocker_mirrors_the_curve(rocker: Rocker) -> None:
    mirrored = Rocker(rocker.zones[::-1], rocker.blend_mm, -rocker.pivot_mm)
    x = np.linspace(-rocker.length_mm / 2, rocker.length_mm / 2, 101)
    np.testing.assert_allclose(mirrored.height_mm(-x), rocker.height_mm(x), atol=1e-10)
    np.testing.assert_allclose(mirrored.tilt_deg(-x), -rocker.tilt_deg(x), atol=1e-10)


@given(rockers())
def test_the_radius_is_the_definition(rocker: Rocker) -> None:
    x = np.linspace(-rocker.length_mm / 2, rocker.length_mm / 2, 211)
    # Close to a step or a bend the side counts; stay a little away from it.
    knots = [j + side * rocker.blend_mm / 2 for j in rocker.junctions_mm for side in (-1, 1)]
    away = x[[all(abs(value - knot) > 1e-5 for knot in knots) for value in x]]
    expected = [1 / curvature(rocker, value) for value in away]
    np.testing.assert_allclose(rocker.radius_mm(away), expected, rtol=1e-6)


def test_on_a_step_the_radius_is_that_of_the_toe_side() -> None:
    rocker = Rocker(zones((2600.0, 140.0), (3400.0, 140.0)))
    assert rocker.radius_mm(0.0) == pytest.approx(3400.0)
    assert rocker.radius_mm(-1e-6) == pytest.approx(2600.0)
    assert rocker.junctions_mm == (0.0,)


def test_a_blend_as_long_as_its_zones_is_allowed() -> None:
    rocker = Rocker(zones((2600.0, 60.0), (3400.0, 60.0), (1900.0, 60.0)), blend_mm=60.0)
    assert rocker.radius_mm(0.0) == pytest.approx(3400.0)
    assert rocker.radius_mm(-89.0) == pytest.approx(2600.0)


def test_zones_of_one_radius_are_a_single_radius() -> None:
    single = Rocker.single(3048.0, 280.0)
    x = np.linspace(-140, 140, 57)
    for blend in (0.0, 30.0):
        parts = Rocker(zones((3048.0, 90.0), (3048.0, 120.0), (3048.0, 70.0)), blend_mm=blend)
        np.testing.assert_allclose(parts.height_mm(x), single.height_mm(x), atol=1e-10)


def test_the_worked_four_zone_rocker() -> None:
    # A regression against an independent brute-force integration of the definition, made before this code.
    rocker = Rocker(zones(*FOUR_ZONES), blend_mm=20.0, pivot_mm=5.0)
    assert rocker.length_mm == 290.0
    assert rocker.height_mm(-145.0) == pytest.approx(3.47524, abs=1e-5)
    assert rocker.height_mm(145.0) == pytest.approx(3.48070, abs=1e-5)
    assert rocker.tilt_deg(-145.0) == pytest.approx(-2.84003, abs=1e-5)
    assert rocker.tilt_deg(145.0) == pytest.approx(3.22953, abs=1e-5)


def test_arrays_equal_single_calls() -> None:
    rocker = Rocker(zones(*FOUR_ZONES), blend_mm=20.0, pivot_mm=5.0)
    x = np.linspace(-145, 145, 12).reshape(3, 4)
    for method in (rocker.height_mm, rocker.tilt_deg, rocker.radius_mm):
        table = method(x)
        assert table.shape == (3, 4)
        # Sums in another order may differ in the last bits.
        np.testing.assert_allclose(
            table, [[method(float(v)) for v in row] for row in x], rtol=1e-14, atol=1e-15
        )


@pytest.mark.parametrize(
    ("build", "message"),
    [
        (lambda: Zone(0.0, 100.0), r"zone radius_mm is 0 mm; it must be above 0 mm"),
        (lambda: Zone(-3048.0, 100.0), r"zone radius_mm is -3048 mm; it must be above 0 mm"),
        (lambda: Zone(np.nan, 100.0), r"zone radius_mm is nan mm"),
        (lambda: Zone(np.inf, 100.0), r"zone radius_mm is inf mm"),
        (lambda: Zone(3048.0, 0.0), r"zone length_mm is 0 mm; it must be above 0 mm"),
        (lambda: Zone(3048.0, -1.0), r"zone length_mm is -1 mm"),
        (lambda: Zone("ten", 1.0), r"zone radius_mm is 'ten'; it must be a number"),
        (lambda: Zone(10**400, 1.0), r"zone radius_mm is 10{59}; it must be a number"),
        (lambda: Zone([3048.0, 2000.0], 1.0), r"zone radius_mm is an array of shape \(2,\)"),
        (lambda: Rocker(()), r"zones is \(\); it must be one or more Zone"),
        (lambda: Rocker(((3048.0, 280.0),)), r"zones is .* it must be one or more Zone"),
        (lambda: Rocker(3048.0), r"zones is 3048.0; it must be one or more Zone"),
        (lambda: Rocker(zones(*FOUR_ZONES), blend_mm=51.0), r"blend_mm is 51 mm; .* at most .*50 mm"),
        (lambda: Rocker(zones(*FOUR_ZONES), blend_mm=-1.0), r"blend_mm is -1 mm; it must be at least 0 mm"),
        (lambda: Rocker(zones(*FOUR_ZONES), blend_mm=np.nan), r"blend_mm is nan mm"),
        (lambda: Rocker.single(3048.0, 280.0, 141.0), r"pivot_mm is 141 mm; .* -140 mm and at most 140 mm"),
        (lambda: Rocker.single(3048.0, 280.0, np.nan), r"pivot_mm is nan mm"),
        (lambda: Rocker.single(140.0, 280.0), r"the sine of its tilt reaches 1; it must stay below 1"),
        (lambda: Rocker.single(100.0, 280.0), r"the sine of its tilt reaches 1.4; it must stay below 1"),
        (lambda: Rocker.single(3048.0, 280.0).height_mm(141.0), r"x_mm is 141 mm; .* 140 mm"),
        (lambda: Rocker.single(3048.0, 280.0).tilt_deg([0.0, -200.0]), r"x_mm is -200 mm"),
        (lambda: Rocker.single(3048.0, 280.0).radius_mm(np.nan), r"x_mm is nan mm"),
        (lambda: Blade(Hollow(12.7, 3.0), Hollow(12.7, 3.0)), r"rocker is .* it must be a Rocker"),
        (lambda: Blade(Rocker.single(3048.0, 280.0), 12.7), r"hollow is 12.7; it must be a Hollow"),
    ],
)
def test_an_impossible_shape_is_refused(build: object, message: str) -> None:
    with pytest.raises(ValueError, match=message):
        build()  # type: ignore[operator]


def test_shapes_are_values() -> None:
    one, other = Rocker(zones(*FOUR_ZONES), 20.0), Rocker(list(zones(*FOUR_ZONES)), 20)
    assert one == other
    assert hash(one) == hash(other)
    with pytest.raises(AttributeError):
        one.blend_mm = 10.0  # type: ignore[misc]
