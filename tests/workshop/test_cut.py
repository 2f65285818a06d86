"""The cut against scipy's linear programme and the closed form for one radius inside another."""

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog

from bladelab import Rocker, Trace, WornRocker, Zone, feet, steel_to_remove

ZONED = Rocker((Zone(2600, 70), Zone(3400, 110), Zone(2200, 100)), blend_mm=20, pivot_mm=5)
SINGLE = Rocker.single(3048, 280)


def by_linear_programme(present, target, limit_deg, size=1501):
    """Least area over offset and tilt, on a dense grid, by scipy's HiGHS."""
    half = target.length_mm / 2
    x = np.linspace(-half, half, size)
    apart = present.height_mm(x) - target.height_mm(x)
    limit = np.tan(np.radians(limit_deg))
    # target + offset + tilt x >= present; area = length * offset (the tilt cancels) - integral of apart.
    done = linprog(
        [1.0, 0.0],
        A_ub=-np.column_stack([np.ones(size), x]),
        b_ub=-apart,
        bounds=[(None, None), (-limit, limit)],
        options={"presolve": False},  # which takes most of the time
    )
    assert done.success
    return done.fun * 2 * half - np.trapezoid(apart, x), done.x


rockers = st.builds(
    lambda radii, pivot: Rocker([Zone(r, 280 / len(radii)) for r in radii], pivot_mm=pivot),
    st.lists(st.floats(1500, 6000), min_size=1, max_size=4),
    st.floats(-40, 40),
)


@pytest.mark.slow
@settings(max_examples=60)
@given(present=rockers, target=rockers, limit=st.sampled_from([0.0, 0.2, 1.0, 3.0]))
def test_the_area_is_that_of_the_linear_programme(present, target, limit):
    cut = steel_to_remove(present, target, limit)
    area, _ = by_linear_programme(present, target, limit)
    assert cut.area_mm2 == pytest.approx(area, rel=1e-4, abs=1e-3)
    depths = cut.target_mm - cut.present_mm
    assert depths.min() == pytest.approx(0.0, abs=1e-9)  # nothing to spare, nothing missing
    assert abs(cut.tilt_deg) <= limit + 1e-9


@pytest.mark.parametrize(("present_ft", "target_ft"), [(10, 9), (9, 10), (11, 7), (7, 13)])
def test_one_radius_inside_another_in_closed_form(present_ft, target_ft):
    a, b, half = feet(present_ft), feet(target_ft), 140.0

    def rise(radius, x):
        return radius - np.sqrt(radius**2 - x**2)

    def area_under(radius):
        """Twice the integral of the rise from 0 to half: rectangle less circle segment's half."""
        return 2 * (
            radius * half - (half * np.sqrt(radius**2 - half**2) + radius**2 * np.arcsin(half / radius)) / 2
        )

    cut = steel_to_remove(Rocker.single(a, 280), Rocker.single(b, 280), 1.0)
    spare = 0.0 if b < a else rise(a, half) - rise(b, half)  # a longer radius must clear the ends
    assert cut.area_mm2 == pytest.approx(area_under(b) - area_under(a) + spare * 280, rel=1e-6)
    assert cut.largest_mm == pytest.approx(abs(rise(a, half) - rise(b, half)), rel=1e-9)
    assert abs(cut.largest_at_mm) == pytest.approx(140.0 if b < a else 0.0, abs=0.2)
    assert cut.tilt_deg == pytest.approx(0.0, abs=1e-9)
    assert cut.mean_mm == pytest.approx(cut.area_mm2 / 280)


def test_more_tilt_never_costs_more_steel():
    target = Rocker.single(3048, 280, pivot_mm=15)
    areas = [steel_to_remove(SINGLE, target, limit).area_mm2 for limit in (0, 0.05, 0.1, 0.2, 0.3, 1.0)]
    assert (np.diff(areas) <= 1e-9).all()
    # The same arc moved along the blade: turned back by asin(15 / 3048) nothing has to go.
    cut = steel_to_remove(SINGLE, target, 1.0)
    # Turning is taken as a shear: 0.05 mm2 of the 67 mm2 of a foot more or less remain.
    assert cut.area_mm2 == pytest.approx(0.0, abs=0.1)
    assert abs(cut.tilt_deg) == pytest.approx(np.degrees(np.arcsin(15 / 3048)), rel=1e-3)


def test_the_tilt_is_positive_when_the_toe_loses_more():
    # A pivot toward the heel wants the toe end higher: more steel comes off at the toe, if the blade may not
    # turn.
    back = Rocker.single(3048, 280, pivot_mm=-10)
    level = steel_to_remove(SINGLE, back)
    assert level.depth_mm(140.0) > 0.9 and level.depth_mm(-140.0) < 0.1
    # Free to turn, the same arc fits without that cut, so it is turned toe down in the steel: less off the
    # toe.
    assert steel_to_remove(SINGLE, back, 3.0).tilt_deg < 0


def test_there_and_back_costs_twice_and_nothing_is_given_back():
    there = steel_to_remove(SINGLE, ZONED)
    back = steel_to_remove(ZONED, SINGLE)
    assert there.area_mm2 > 0 and back.area_mm2 > 0
    assert steel_to_remove(ZONED, ZONED).area_mm2 == pytest.approx(0.0, abs=1e-9)


def test_a_touch_up_costs_far_less_than_the_first_profiling():
    x = np.linspace(-140, 140, 281)
    rng = np.random.default_rng(31)
    rounded = Trace(x, ZONED.height_mm(x) + 0.05 * (x / 140) ** 2 + 0.003 * rng.standard_normal(281))
    first, touch_up = steel_to_remove(SINGLE, ZONED), steel_to_remove(rounded, ZONED)
    assert touch_up.largest_mm == pytest.approx(0.05, abs=0.01)
    assert touch_up.area_mm2 < 0.4 * first.area_mm2


def test_depth_and_share_of_the_height():
    cut = steel_to_remove(SINGLE, ZONED)
    x = np.linspace(-140, 140, 29)
    assert cut.depth_mm(x) == pytest.approx(
        ZONED.height_mm(x) + cut.offset_mm - SINGLE.height_mm(x), abs=1e-5
    )
    assert cut.share_of_height(10.0, 8.0) == pytest.approx(cut.largest_mm / 2)
    with pytest.raises(ValueError, match="height_mm is 8 mm; it must be above the maker's minimum, 8 mm"):
        cut.share_of_height(8.0, 8.0)
    with pytest.raises(ValueError, match="x_mm is 150 mm"):
        cut.depth_mm(150.0)


def test_a_target_that_is_too_short_and_a_tilt_out_of_range_are_refused():
    with pytest.raises(ValueError, match="target runs from -120 to 120 mm"):
        steel_to_remove(SINGLE, Rocker.single(3048, 240))
    with pytest.raises(ValueError, match="tilt_limit_deg is 5 deg"):
        steel_to_remove(SINGLE, ZONED, 5.0)


# A junction a rounding away from mid-length, a place of the grid.
BESIDE_THE_MIDDLE = [
    Rocker([Zone(radius, 70) for radius in radii], pivot_mm=pivot)
    for radii, pivot in (((2285, 2197, 5711, 5333), 1.0), ((2825, 2121, 5716, 5346), 22.0))
]


@pytest.mark.slow
@settings(max_examples=25)
@given(present=rockers, target=rockers, worn=st.floats(0, 0.5), limit=st.sampled_from([0.0, 0.1, 0.3]))
@example(present=BESIDE_THE_MIDDLE[0], target=BESIDE_THE_MIDDLE[1], worn=0.0, limit=0.3)
def test_a_worn_edge_keeps_its_level_as_the_linear_programme_has_it(present, target, worn, limit):
    edge = WornRocker(present, worn)
    area, placed = by_linear_programme(edge, target, limit)
    cut = steel_to_remove(edge, target, limit)
    assert cut.area_mm2 == pytest.approx(area, rel=1e-4, abs=1e-3)
    assert abs(cut.tilt_deg) <= limit + 1e-9
    if not limit:
        x = np.linspace(-140, 140, 1501)
        depth = target.height_mm(x) + placed[0] - edge.height_mm(x)
        assert cut.largest_mm == pytest.approx(depth.max(), abs=1e-4)


@pytest.mark.parametrize("limit", [0.0, 0.1, 0.3])
def test_a_little_wear_changes_the_cut_a_little_and_never_saves_steel_on_the_same_arc(limit):
    # 10 ft, and 10 ft level 10 mm ahead: by brute force over the offset, 0.920 mm without a turn.
    target = Rocker.single(3048, 280, pivot_mm=10)
    if not limit:
        x = np.linspace(-140, 140, 1501)
        apart = target.height_mm(x) - SINGLE.height_mm(x)
        assert np.ptp(apart) == pytest.approx(0.920, abs=5e-4)
        assert steel_to_remove(SINGLE, target).largest_mm == pytest.approx(np.ptp(apart), abs=1e-6)
    worn = np.array([0.0, 0.001, 0.002, 0.005, 0.01, 0.02, 0.05, 0.1, 0.2, 0.3])
    cuts = [steel_to_remove(WornRocker(SINGLE, w), target, limit) for w in worn]
    deepest, area = np.array([(cut.largest_mm, cut.area_mm2) for cut in cuts]).T
    assert deepest[0] == steel_to_remove(SINGLE, target, limit).largest_mm
    assert (np.diff(deepest) >= -1e-9).all() and (np.diff(area) > 0).all()
    assert (np.diff(deepest) <= np.diff(worn) + 1e-9).all()


def test_a_trace_whose_level_is_known_keeps_its_level_point():
    x = np.linspace(-140, 140, 281)
    target = Rocker.single(3048, 280, pivot_mm=10)
    known = steel_to_remove(Trace(x, SINGLE.height_mm(x) + 3.0, 0.001, level_error_deg=0.02), target)
    assert known.largest_mm == pytest.approx(0.920, abs=2e-3)
    # One whose tilt is free can't say where the runner is level: laid along the target, it is the same arc.
    assert steel_to_remove(Trace(x, SINGLE.height_mm(x), 0.001), target).largest_mm < 0.001


def test_wear_out_of_range_is_refused():
    with pytest.raises(
        ValueError, match=r"ends_worn_mm is -0\.1 mm; it must be at least 0 mm and at most 5 mm"
    ):
        WornRocker(SINGLE, -0.1)
