"""Craters on a photograph: against scikit-image's circle, a lens worked out by itself, and drawn pictures."""

import numpy as np
import pytest
from scipy.ndimage import gaussian_filter
from skimage.measure import CircleModel

from bladelab import InputError, Ruler, find_mark, read_photo
from bladelab._data import data_file
from bladelab.rink.crater_photo import crater_on_photo, find_rim
from tools.make_demo_rink import CENTRE_PX, CRATER_MM, SCALE

RULER = Ruler((60.0, 300.0), (660.0, 300.0), 60.0)


@pytest.fixture(scope="module")
def photo():
    return read_photo(data_file("demo/crater_photo.png"))


def around(count, degrees=360.0, radius=50.0, scatter=0.0, seed=0):
    """Points of a rim about (330, 150), px."""
    rng = np.random.default_rng(seed)
    turn = np.radians(np.arange(count) * degrees / count)
    away = radius + scatter * rng.standard_normal(count)
    return 330 + away * np.cos(turn), 150 + away * np.sin(turn)


@pytest.mark.parametrize("degrees", [360.0, 270.0, 220.0])
def test_the_circle_is_that_of_scikit_image(degrees):
    points = around(40, degrees, scatter=0.5)
    model = CircleModel.from_estimate(np.column_stack(points))
    found = crater_on_photo(*points, RULER)
    # Its algebraic fit minimises the squares of the areas, ours the distances: the same to second order.
    assert found.radius_px == pytest.approx(model.radius, abs=0.03)
    assert found.centre_px == pytest.approx(tuple(model.center), abs=0.03)
    assert found.diameter_mm == pytest.approx(2 * found.radius_px / 10)
    off = np.hypot(points[0] - found.centre_px[0], points[1] - found.centre_px[1]) - found.radius_px
    assert (off**2).sum() <= (model.residuals(np.column_stack(points)) ** 2).sum()


def test_the_scatter_of_the_rim_gives_the_error_it_has_in_repeated_draws():
    found = [crater_on_photo(*around(24, scatter=1.0, seed=seed), RULER) for seed in range(150)]
    scatter = np.std([one.diameter_mm for one in found])
    stated = np.sqrt(np.mean([one.reading_mm**2 for one in found]))
    assert stated == pytest.approx(scatter, rel=0.18)  # three standard deviations of 150 draws
    with_three = crater_on_photo(*around(3), RULER)
    # The circle through three points a third apart: each moves the radius by a third of its own error.
    assert with_three.reading_mm == pytest.approx(2 * RULER.picking_error_px / np.sqrt(3) / 10)


def test_a_lens_that_bows_a_line_changes_the_scale_by_three_times_the_share():
    """Third-order distortion put onto points of a line and of a small rim: nothing of the library."""
    width, share = 1000.0, 0.002
    strength = 16 * share / width**2

    def through_lens(x, y):
        stretch = 1 + strength * (x * x + y * y)
        return x * stretch, y * stretch

    _, line = through_lens(np.array([-500.0, 0.0, 500.0]), np.full(3, 250.0))
    assert (line[0] + line[2]) / 2 - line[1] == pytest.approx(share * width)
    x = np.array([249.0, 251.0])
    across = np.diff(through_lens(x, np.zeros(2))[0])[0] / 2
    found = crater_on_photo(*around(30), RULER, lens_share=share)
    assert found.lens_mm / found.diameter_mm == pytest.approx(across - 1, rel=0.01)


def test_a_camera_askew_and_marks_picked_by_a_pixel_are_in_the_error():
    found = crater_on_photo(*around(30), RULER, askew_deg=10.0, lens_share=0.0)
    assert found.askew_mm == pytest.approx(10 / np.cos(np.radians(10)) - 10)
    assert found.scale_mm == pytest.approx(10 * np.sqrt(2) / 600)
    assert found.standard_error_mm == pytest.approx(np.hypot(found.askew_mm, found.scale_mm))


@pytest.mark.parametrize(("across", "down", "radius"), [(0, 0, 49.5), (4, -3, 52), (-5, 4, 47)])
def test_the_crater_that_was_drawn_comes_back_wherever_the_circle_is_set(photo, across, down, radius):
    rim = find_rim(photo, (CENTRE_PX[0] + across, CENTRE_PX[1] + down), radius)
    assert len(rim[0]) >= 70
    marks = [find_mark(photo, *place, reach_px=4.3) for place in ((60.0, 300.0), (660.0, 310.0))]
    found = crater_on_photo(*rim, Ruler(marks[0], marks[1], 60.0), 12.7)
    assert found.centre_px == pytest.approx(CENTRE_PX, abs=0.1)
    assert found.radius_px == pytest.approx(SCALE * CRATER_MM / 2, abs=0.1)
    assert found.diameter_mm == pytest.approx(CRATER_MM, abs=0.02)
    assert abs(found.diameter_mm - CRATER_MM) < found.standard_error_mm < 0.1


def test_a_crater_lighter_than_the_ice_chipped_at_its_rim_and_cracked_comes_back_too():
    row, column = np.mgrid[0:200, 0:300].astype(float)
    away, turn = np.hypot(column - 150.3, row - 99.6), np.arctan2(row - 99.6, column - 150.3)
    chip = (turn > 0) & (turn < 0.7) & (away < 45.0)
    photo = np.where((away < 40.0) | chip, 220.0, 130.0)
    photo[np.abs(row - 90) < 2] = 20.0
    found = crater_on_photo(*find_rim(gaussian_filter(photo, 0.8), (154, 96), 42), RULER)
    assert found.radius_px == pytest.approx(40.0, abs=0.15)
    assert found.centre_px == pytest.approx((150.3, 99.6), abs=0.15)


@pytest.mark.parametrize(
    ("points", "how", "said"),
    [
        (around(2), {}, "the rim has 2 points; it must have at least 3"),
        (([1.0, 2.0, 3.0], [1.0, 2.0, 3.0]), {}, "lie in a line or on one spot"),
        (([5.0] * 4, [5.0] * 4), {}, "lie in a line or on one spot"),
        (around(30, 120.0), {}, "the points cover 116° of the rim; they must cover at least 180°"),
        (around(30, radius=130.0), {"ball_radius_mm": 12.7}, "26.0 mm across; it must be below .* 25.4 mm"),
        (around(30), {"ball_radius_mm": 127.0}, "ball_radius_mm is 127 mm"),
        (around(30), {"askew_deg": 45.0}, "askew_deg is 45 deg"),
        ((np.zeros(4), np.zeros(5)), {}, "both must be the same plain list"),
    ],
)
def test_what_can_be_no_crater_gets_a_sentence(points, how, said):
    with pytest.raises(InputError, match=said):
        crater_on_photo(*points, RULER, **how)


def test_marks_on_one_spot_get_a_sentence():
    with pytest.raises(InputError, match="marks are 0 px apart; they must be at least 20 px apart"):
        crater_on_photo(*around(30), Ruler((60.0, 300.0), (60.0, 300.0), 60.0))


@pytest.mark.parametrize(
    ("centre", "radius", "said"),
    [
        ((330, 60), 55, "must lie inside the picture"),
        ((330, 150), 5, "radius_px is 5 px"),
        ((900, 150), 50, "column of the crater is 900 px"),
        ((550, 120), 60, "the rim is found on .* it must be on at least half"),
    ],
)
def test_a_circle_with_no_rim_gets_a_sentence(photo, centre, radius, said):
    with pytest.raises(InputError, match=said):
        find_rim(photo, centre, radius)
