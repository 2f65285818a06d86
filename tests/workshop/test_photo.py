"""The photo trace: edges of drawn pictures found to a fraction of a pixel, and errors that are honest."""

from pathlib import Path

import numpy as np
import pytest

from bladelab import (
    Ruler,
    bow_left_share,
    feet,
    find_edge,
    find_mark,
    line_bow_px,
    photo_trace,
    read_photo,
)
from tests.workshop.drawn_photo import BLADE_MM, MARKS_MM, drawn_photo

DEMO = Path(__file__).resolve().parents[2] / "data" / "demo" / "blade_photo.png"


def drawn(radius_px, width=1200, height=200, noise=3.0, light=210.0, dark=90.0, seed=0, turn_deg=0.0):
    """A picture of steel above an arc, each pixel the exact share of steel in it."""
    column = np.arange(width)
    along = column - (width - 1) / 2
    low = 120.0 - along**2 / 2 / radius_px + np.tan(np.radians(turn_deg)) * along  # row of the edge
    row = np.arange(height)[:, None]
    share = np.clip(low - (row - 0.5), 0, 1)  # share of the pixel above the edge, that is steel
    picture = dark * share + light * (1 - share)
    return picture + noise * np.random.default_rng(seed).standard_normal(picture.shape), low


@pytest.mark.parametrize(("light", "dark"), [(210, 90), (60, 200)])
def test_the_edge_is_found_to_a_tenth_of_a_pixel(light, dark):
    picture, low = drawn(20_000.0, light=light, dark=dark)
    column, row = find_edge(picture, (20, 1180), (60, 180))
    assert len(column) > 1150
    apart = row - low[column.astype(int)]
    assert abs(apart.mean()) < 0.03 and apart.std() < 0.12


def test_a_stain_is_left_out():
    picture, low = drawn(20_000.0)
    picture[100:140, 500:540] = 30.0
    column, row = find_edge(picture, (20, 1180), (60, 180))
    assert not ((column > 503) & (column < 536)).any()
    assert np.abs(row - low[column.astype(int)]).max() < 1.5


def test_a_radius_comes_back_and_its_reading_error_agrees_with_draws():
    # 4 px to the mm: 20,000 px are 5000 mm.
    ruler = Ruler((0.0, 190.0), (1000.0, 190.0), 250.0)
    seen = [
        photo_trace(*find_edge(drawn(20_000.0, seed=i)[0], (20, 1180), (60, 180)), ruler, 1200)
        for i in range(80)
    ]
    radii = np.array([s.fit.radius_mm for s in seen])
    stated = np.mean([s.reading_mm for s in seen])
    assert radii.mean() == pytest.approx(5000.0, rel=2e-3)
    # Beside the grain, the grid of pixels shifts the edge the same way in every draw; the stated error must
    # cover both.
    off = np.sqrt(np.mean((radii - 5000.0) ** 2))
    assert 0.8 < stated / off < 1.8


def test_turned_pictures_give_the_same_radius():
    turned = drawn(20_000.0, turn_deg=2.0, noise=0.0)[0]
    a = np.radians(2.0)
    ruler = Ruler((100.0, 20.0), (100.0 + 1000 * np.cos(a), 20.0 + 1000 * np.sin(a)), 250.0)
    edge = find_edge(drawn(20_000.0, noise=0.0)[0], (20, 1180), (40, 190))
    level = photo_trace(*edge, Ruler((0, 0), (1000, 0), 250.0), 1200)
    seen = photo_trace(*find_edge(turned, (20, 1180), (40, 190)), ruler, 1200)
    # Drawn by shear, so its curvature in the turned frame is greater by 1 / cos^3 of the slope.
    assert seen.fit.radius_mm == pytest.approx(level.fit.radius_mm / np.cos(a) ** 3, rel=2e-3)


def test_the_parts_of_the_error_by_hand():
    picture, _ = drawn(20_000.0)
    ruler = Ruler((0.0, 190.0), (1000.0, 190.0), 250.0, picking_error_px=2.0)
    seen = photo_trace(
        *find_edge(picture, (20, 1180), (60, 180)), ruler, 1200, askew_deg=5.0, lens_share=1 / 1200
    )
    radius = seen.fit.radius_mm
    assert seen.scale_mm == pytest.approx(radius * np.sqrt(2) * 2 / 1000)
    assert seen.askew_mm == pytest.approx(radius * (1 / np.cos(np.radians(5)) - 1))
    # One pixel is 0.25 mm; a bow of 0.25 mm over 290 mm has the curvature 8 * 0.25 / 290^2.
    assert seen.lens_mm == pytest.approx(radius**2 * 8 * 0.25 / 290.0**2, rel=1e-3)
    assert seen.standard_error_mm > seen.lens_mm
    assert not seen.can_tell(feet(9), feet(10))
    assert seen.can_tell(feet(7), feet(40))


def test_the_demo_photograph_with_and_without_the_lens():
    photo = read_photo(DEMO)
    assert photo.shape == (700, 1800)
    column, row = find_edge(photo, (70, 1730), (280, 430))
    ruler = Ruler((149.4, 478.8), (1649.4, 489.2), 250.0)
    plain = photo_trace(column, row, ruler, 1800)
    assert abs(plain.fit.radius_mm - feet(10)) < 2 * plain.standard_error_mm
    line = find_edge(photo, (60, 1740), (590, 625))
    bow = line_bow_px(*line, length_px=float(np.ptp(column)))
    assert bow == pytest.approx(0.6 * (1660 / 1680) ** 2, abs=0.05)
    share = bow_left_share(bow, np.median(line[1]) - np.median(row), 1800)
    straightened = photo_trace(column, row, ruler, 1800, bow_px=bow, lens_share=share)
    assert straightened.standard_error_mm < 0.2 * plain.standard_error_mm
    assert straightened.fit.radius_mm == pytest.approx(feet(10), abs=2 * straightened.standard_error_mm)


@pytest.mark.parametrize(
    ("columns", "rows", "words"),
    [
        ((-5, 500), (60, 180), "first column is -5 px"),
        ((20, 1300), (60, 180), "last column is 1300 px"),
        ((20, 40), (60, 180), "last column is 40 px; it must be at least 50 px"),
        ((20, 1180), (150, 152), "last row is 152 px"),
        ((20, 1180), (5, 60), "an edge is found in"),
    ],
)
def test_limits_that_hold_no_edge_are_refused(columns, rows, words):
    with pytest.raises(ValueError, match=words):
        find_edge(drawn(20_000.0)[0], columns, rows)


def test_rulers_and_points_that_cannot_be_are_refused():
    column = np.arange(100.0)
    with pytest.raises(ValueError, match=r"at least 20 px apart"):
        Ruler((0, 0), (5, 0), 10.0)
    with pytest.raises(ValueError, match=r"left of the first"):
        photo_trace(column, column**2 / -1e5, Ruler((500, 0), (0, 0), 100.0), 500)
    with pytest.raises(ValueError, match=r"wrong way"):
        photo_trace(column, 50 + (column - 50) ** 2 / 1e3, Ruler((0, 0), (500, 0), 100.0), 500)
    with pytest.raises(ValueError, match=r"steel is 'left'"):
        photo_trace(column, column, Ruler((0, 0), (500, 0), 100.0), 500, steel="left")
    with pytest.raises(ValueError, match=r"all points lie in one column of pixels"):
        photo_trace(0 * column, column, Ruler((0, 0), (500, 0), 100.0), 500)
    with pytest.raises(ValueError, match=r"row_px is nan px"):
        photo_trace(column, np.nan * column, Ruler((0, 0), (500, 0), 100.0), 500)
    with pytest.raises(ValueError, match=r"column_px has shape \(.*\) and row_px \(3,\)"):
        line_bow_px(column, column[:3])
    with pytest.raises(ValueError, match=r"width_px is 50 px; it must be at least 99 px"):
        photo_trace(column, column, Ruler((0, 0), (500, 0), 100.0), 50)
    with pytest.raises(ValueError, match=r"the ruler is None; it must be a Ruler"):
        photo_trace(column, column, None, 500)
    with pytest.raises(ValueError) as problem:
        photo_trace(column, column, Ruler((0, 0), (500, 0), 100.0), 500, steel="x" * 100_000)
    assert len(str(problem.value)) < 150
    with pytest.raises(ValueError) as problem:
        Ruler(["x"] * 100_000, (500, 0), 100.0)
    assert len(str(problem.value)) < 150


@pytest.fixture(scope="module")
def bowed_at_two_sizes():
    """The same 11 ft blade through the same lens, whose bow is 0.15 % of the width, at two sizes."""
    found = []
    for width in (1600, 4032):
        drawn = drawn_photo(feet(11), width, bow_share=0.0015, tall=0.22)
        marks = [find_mark(drawn.grey, x, y, 0.006 * width) for x, y in drawn.marks]
        edge = find_edge(drawn.grey, *drawn.frame())
        found.append(photo_trace(*edge, Ruler(*marks, MARKS_MM), width))
    return found


def test_more_pixels_do_not_make_a_lens_straighter(bowed_at_two_sizes):
    coarse, fine = bowed_at_two_sizes
    assert fine.fit.radius_mm == pytest.approx(coarse.fit.radius_mm, rel=0.01)
    assert fine.standard_error_mm == pytest.approx(coarse.standard_error_mm, rel=0.03)
    for seen in bowed_at_two_sizes:
        assert seen.fit.radius_mm < feet(9.8)  # the bow made it rounder than it is
        low, high = seen.limits_mm()
        assert low < feet(11) < high
        assert not seen.can_tell(feet(9), feet(10))
    # And the limits agree, too.
    assert coarse.limits_mm() == pytest.approx(fine.limits_mm(), rel=0.03)


@pytest.mark.parametrize("width", [1600, 4032])
def test_the_limits_hold_the_truth_as_often_as_they_promise(width):
    """300 lenses, rulers and edges drawn with the errors that are stated, at each size."""
    rng, truth = np.random.default_rng(7), feet(11)
    column = np.linspace(0.08 * width, 0.92 * width, 400)
    scale = 0.84 * width / BLADE_MM
    t = (column - column.mean()) / (column[-1] - column.mean())
    inside = np.zeros(2)
    for _ in range(300):
        bow = 0.0015 * width * rng.standard_normal()
        y = truth - np.sqrt(truth**2 - (140.0 * t) ** 2)
        row = 300 - y * scale + bow * (1 - t**2) + 0.2 * rng.standard_normal(len(t))
        marks = [(x + rng.standard_normal(), 400.0) for x in (0.1 * width, 0.1 * width + 250 * scale)]
        seen = photo_trace(column, row, Ruler(*marks, 250.0), width)
        for i, widths in enumerate((1.0, 1.96)):
            low, high = seen.limits_mm(widths)
            inside[i] += low < truth < high
    # Four standard errors of a share of 300 draws.
    assert inside / 300 == pytest.approx([0.683, 0.95], abs=4 * np.sqrt(0.683 * 0.317 / 300))
    assert inside[1] / 300 > 0.90


def test_the_limits_of_a_hardly_bent_edge_reach_to_straight():
    column = np.linspace(100, 900, 200)
    row = 300 - (column - 500) ** 2 / 2 / 40_000
    seen = photo_trace(column, row, Ruler((0, 0), (1000, 0), 350.0), 1000)
    assert seen.limits_mm()[1] == np.inf and 0 < seen.limits_mm()[0] < seen.fit.radius_mm


@pytest.mark.parametrize("turn_deg", [-3.0, 0.0, 2.0])
def test_marks_are_found_to_a_fifth_of_a_pixel_and_blank_ground_has_none(turn_deg):
    drawn = drawn_photo(feet(9), 1200, turn_deg=turn_deg, tall=0.3)
    reach = 0.006 * 1200
    for x, y in drawn.marks:
        for aside in (-5.0, -2.0, 0.0, 3.0, 6.0):
            assert find_mark(drawn.grey, x + aside, y, reach)[0] == pytest.approx(x, abs=0.2)
        assert find_mark(drawn.grey, x + 18, y, reach) is None  # between two marks
        assert find_mark(drawn.grey, x, y + 0.04 * 1200, reach) is None  # on the blank of the ruler
    assert find_mark(drawn.grey, 600, 5, reach) is None  # the wall
    assert find_mark(drawn.grey, *drawn.ends[0], reach) is None  # the end of the blade is an edge, no mark
    assert find_mark(drawn.grey, 5000, 5000, reach) is None


def test_of_two_marks_the_nearer_is_taken():
    photo = np.full((40, 200), 230, dtype=np.uint8)
    photo[:, 96:98] = photo[:, 104:106] = 30
    assert find_mark(photo, 99.0, 20.0, 8.0)[0] == pytest.approx(96.5, abs=0.05)
    assert find_mark(photo, 102.5, 20.0, 8.0)[0] == pytest.approx(104.5, abs=0.05)


def test_marks_a_millimetre_apart_are_told_apart():
    """A pocket ruler 5 px to the mm, the marks 1.5 px wide; the reach holds four of them."""
    place = np.arange(200)
    photo = np.tile(np.where(np.abs((place + 2.5) % 5 - 2.5) < 1, 60, 230).astype(np.uint8), (30, 1))
    for column in (98.0, 100.0, 102.0):
        assert find_mark(photo, column, 15.0, 9.6)[0] == pytest.approx(100.0, abs=0.1)
    assert find_mark(photo, 103.0, 15.0, 9.6)[0] == pytest.approx(105.0, abs=0.1)


def test_what_straightening_leaves_by_hand():
    # 0.05 mm in 330 mm, and 2 px of bow at 50 px from the line: 2 * 50 / 250 px of 1000 px.
    assert bow_left_share(2.0, 50.0, 1000.0) == pytest.approx(np.hypot(0.05 / 330, 0.4e-3), rel=0.01)
