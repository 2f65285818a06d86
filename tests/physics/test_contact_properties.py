"""What must hold for every contact over the whole range of the sliders, whatever its numbers are."""

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from bladelab import Blade, Contact, Hollow, Ice, Rocker, Stance, solve_contact
from bladelab.shape.blade import what_differs
from tests.physics.stances import COMPARED, hollows, ices, leans, loads, rockers, single_rockers, stances

gliding = st.booleans()
#: For what holds of two contacts or more, each example of which takes as many times as long.
fewer = settings(max_examples=30)


def try_to_solve(blade: Blade, stance: Stance, ice: Ice, gliding: bool = False) -> Contact:
    """Solve, or leave the example out: only a load too great for the runner may be refused."""
    try:
        return solve_contact(blade, stance, ice, gliding=gliding)
    except ValueError as error:
        # Half the stretch that would bear with its whole width must reach past the end of the runner.
        stretch = (
            stance.load_N / np.cos(np.radians(stance.lean_deg)) / ice.hardness_MPa / blade.hollow.width_mm
        )
        assert stretch / 2 >= blade.rocker.length_mm / 2 - abs(stance.position_mm), error
        assume(False)
        raise


@given(rockers(), hollows, stances, ices, gliding)
def test_the_numbers_of_a_contact_go_together(
    rocker: Rocker, hollow: Hollow, stance: Stance, ice: Ice, gliding: bool
) -> None:
    found = try_to_solve(Blade(rocker, hollow), stance, ice, gliding)
    press = stance.load_N / np.cos(np.radians(stance.lean_deg))
    assert found.area_mm2 * ice.hardness_MPa == pytest.approx(press, rel=1e-9)
    half = rocker.length_mm / 2 * (1 + 1e-12)  # lengths of zones add up to within rounding
    assert -half <= found.heel_end_mm <= found.deepest_mm <= found.toe_end_mm <= half
    # The load is inside its contact and, gliding, in front of the deepest point.
    assert found.heel_end_mm < stance.position_mm < found.toe_end_mm
    assert found.depth_mm > 0
    assert found.length_mm * hollow.width_mm >= found.area_mm2 * (1 - 1e-9)
    assert found.yaw_hold_Nm > 0
    # No push can hold beyond the slope of the edge itself; both edges upright cancel.
    assert -1e-9 <= found.hold_deg <= hollow.edge_angle_deg
    if stance.lean_deg == 0:
        assert found.hold_deg == pytest.approx(0.0, abs=1e-6)
    if gliding:
        assert found.heel_end_mm == found.deepest_mm
    radii = [zone.radius_mm for zone in rocker.zones]
    if stance.lean_deg > 1e-3:
        trace = found.carve_radius_m * np.sin(np.radians(stance.lean_deg)) * 1000
        assert min(radii) * (1 - 1e-9) <= trace <= max(radii) * (1 + 1e-9)
    assert found.reason == ""


@fewer
@given(
    single_rockers,
    st.floats(2.4, 4.2),
    st.floats(6.0, 40.0),
    st.floats(1.02, 3.0),
    loads,
    leans,
    ices,
    gliding,
)
def test_a_deeper_hollow_bites_deeper_at_the_same_load(
    rocker: Rocker,
    width: float,
    radius: float,
    factor: float,
    load: float,
    lean: float,
    ice: Ice,
    gliding: bool,
) -> None:
    stance = Stance(load, 0.0, lean)
    deep = try_to_solve(Blade(rocker, Hollow(radius, width)), stance, ice, gliding)
    shallow = try_to_solve(Blade(rocker, Hollow(radius * factor, width)), stance, ice, gliding)
    assert deep.depth_mm > shallow.depth_mm
    assert deep.length_mm >= shallow.length_mm


@fewer
@given(hollows, st.floats(1220.0, 6000.0), st.floats(1.02, 2.0), loads, leans, ices, gliding)
def test_a_longer_radius_touches_longer_and_bites_shallower(
    hollow: Hollow, radius: float, factor: float, load: float, lean: float, ice: Ice, gliding: bool
) -> None:
    stance = Stance(load, 0.0, lean)
    short, long = (
        try_to_solve(Blade(Rocker.single(r, 300.0), hollow), stance, ice, gliding)
        for r in (radius, radius * factor)
    )
    assert long.depth_mm < short.depth_mm
    assert long.length_mm > short.length_mm or short.reaches_end


@pytest.mark.slow
@fewer
@given(rockers(), hollows, loads, st.floats(1.02, 2.0), leans, ices, gliding)
def test_more_load_or_softer_ice_sinks_deeper(
    rocker: Rocker, hollow: Hollow, load: float, factor: float, lean: float, ice: Ice, gliding: bool
) -> None:
    blade = Blade(rocker, hollow)
    light = try_to_solve(blade, Stance(load, 0.0, lean), ice, gliding)
    heavy = try_to_solve(blade, Stance(load * factor, 0.0, lean), ice, gliding)
    assert heavy.depth_mm > light.depth_mm
    assert heavy.length_mm >= light.length_mm * (1 - 1e-9)
    if ice.temperature_C < -1:
        softer = try_to_solve(blade, Stance(load, 0.0, lean), Ice(ice.temperature_C / 2), gliding)
        assert softer.depth_mm > light.depth_mm


@given(rockers(), hollows, stances, ices, gliding)
def test_the_present_blade_as_its_own_trial_differs_in_nothing(
    rocker: Rocker, hollow: Hollow, stance: Stance, ice: Ice, gliding: bool
) -> None:
    present = Blade(rocker, hollow)
    trial = Blade(
        Rocker(tuple(rocker.zones), rocker.blend_mm, rocker.pivot_mm),
        Hollow(hollow.radius_mm, hollow.width_mm),
    )
    assert what_differs(present, trial) == ()
    one, other = (try_to_solve(blade, stance, ice, gliding) for blade in (present, trial))
    for name in COMPARED:
        assert getattr(one, name) == getattr(other, name), name


@pytest.mark.slow
@fewer
@given(rockers(), hollows, stances, ices)
def test_a_mirrored_blade_mirrors_the_result_at_rest(
    rocker: Rocker, hollow: Hollow, stance: Stance, ice: Ice
) -> None:
    mirrored = Rocker(rocker.zones[::-1], rocker.blend_mm, -rocker.pivot_mm)
    one = try_to_solve(Blade(rocker, hollow), stance, ice)
    other = try_to_solve(
        Blade(mirrored, hollow), Stance(stance.load_N, -stance.position_mm, stance.lean_deg), ice
    )
    length = one.length_mm
    assert other.pitch_deg == pytest.approx(-one.pitch_deg, abs=1e-7)
    assert other.toe_end_mm == pytest.approx(-one.heel_end_mm, abs=1e-6 * length)
    assert other.heel_end_mm == pytest.approx(-one.toe_end_mm, abs=1e-6 * length)
    for name in ("depth_mm", "length_mm", "area_mm2", "yaw_hold_Nm", "balanced_speed_m_s"):
        assert getattr(other, name) == pytest.approx(getattr(one, name), rel=1e-6), name
    assert other.hold_deg == pytest.approx(one.hold_deg, abs=1e-6)


@fewer
@given(single_rockers, hollows, loads, leans, ices, gliding, st.floats(-30.0, 30.0))
def test_on_a_single_radius_the_contact_follows_the_load(
    rocker: Rocker, hollow: Hollow, load: float, lean: float, ice: Ice, gliding: bool, shift: float
) -> None:
    # Rolling on a circle changes nothing but the place and the pitch, up to the square of the tilt.
    blade = Blade(rocker, hollow)
    still = try_to_solve(blade, Stance(load, 0.0, lean), ice, gliding)
    moved = try_to_solve(blade, Stance(load, shift, lean), ice, gliding)
    assume(not (still.reaches_end or moved.reaches_end))
    assert moved.depth_mm == pytest.approx(still.depth_mm, rel=3e-3)
    assert moved.length_mm == pytest.approx(still.length_mm, rel=3e-3)
    rolled = np.degrees(np.arcsin(shift / rocker.zones[0].radius_mm))
    assert moved.pitch_deg - still.pitch_deg == pytest.approx(rolled, abs=0.01)


@fewer
@given(rockers(), hollows, loads, leans, ices, gliding)
def test_moving_the_load_to_the_toe_tips_the_boot_forward(
    rocker: Rocker, hollow: Hollow, load: float, lean: float, ice: Ice, gliding: bool
) -> None:
    places = np.linspace(-50.0, 50.0, 11)
    found = solve_contact(Blade(rocker, hollow), Stance(load, places, lean), ice, gliding=gliding)
    pitch = found.pitch_deg[~np.isnan(found.pitch_deg)]
    assert np.all(np.diff(pitch) > 0)


@pytest.mark.slow
@settings(max_examples=40)  # of six contacts each
@given(
    rockers(),
    st.lists(hollows, min_size=2, max_size=2),
    st.lists(stances, min_size=3, max_size=3),
    ices,
    gliding,
)
def test_one_call_with_arrays_equals_single_calls(
    rocker: Rocker, hollow: list[Hollow], stance: list[Stance], ice: Ice, gliding: bool
) -> None:
    family = Hollow(
        np.array([h.radius_mm for h in hollow])[:, None], np.array([h.width_mm for h in hollow])[:, None]
    )
    fields = ("load_N", "position_mm", "lean_deg")
    stride = Stance(*(np.array([getattr(one, name) for one in stance]) for name in fields))
    table = solve_contact(Blade(rocker, family), stride, ice, gliding=gliding)
    for i, one_hollow in enumerate(hollow):
        for j, one_stance in enumerate(stance):
            try:
                single = solve_contact(Blade(rocker, one_hollow), one_stance, ice, gliding=gliding)
            except ValueError as error:
                assert table.reason[i, j] == str(error)
                assert all(np.isnan(getattr(table, name)[i, j]) for name in COMPARED)
                continue
            assert table.reason[i, j] == ""
            for name in COMPARED:
                value = getattr(table, name)
                assert value.shape == (2, 3)
                assert value[i, j] == pytest.approx(getattr(single, name), rel=1e-9, abs=1e-9), name
            assert table.reaches_end[i, j] == single.reaches_end
