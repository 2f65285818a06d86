"""The photo trace: edges of drawn pictures found to a fraction of a pixel, and errors that are honest."""

from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from bladelab import Ruler, feet, find_edge, line_bow_px, photo_trace, read_photo

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
        photo_trace(*find_edge(drawn(20_000.0, seed=i)[0], (20, 1180), (60, 180)), ruler) for i in range(80)
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
    level = photo_trace(
        *find_edge(drawn(20_000.0, noise=0.0)[0], (20, 1180), (40, 190)), Ruler((0, 0), (1000, 0), 250.0)
    )
    seen = photo_trace(*find_edge(turned, (20, 1180), (40, 190)), ruler)
    # Drawn by shear, so its curvature in the turned frame is greater by 1 / cos^3 of the slope.
    assert seen.fit.radius_mm == pytest.approx(level.fit.radius_mm / np.cos(a) ** 3, rel=2e-3)


def test_the_parts_of_the_error_by_hand():
    picture, _ = drawn(20_000.0)
    ruler = Ruler((0.0, 190.0), (1000.0, 190.0), 250.0, picking_error_px=2.0)
    seen = photo_trace(*find_edge(picture, (20, 1180), (60, 180)), ruler, askew_deg=5.0, bow_error_px=1.0)
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
    plain = photo_trace(column, row, ruler)
    assert abs(plain.fit.radius_mm - feet(10)) < 2 * plain.standard_error_mm
    line = find_edge(photo, (60, 1740), (590, 625))
    bow = line_bow_px(*line, length_px=float(np.ptp(column)))
    assert bow == pytest.approx(0.6 * (1660 / 1680) ** 2, abs=0.05)
    straightened = photo_trace(column, row, ruler, bow_px=bow, bow_error_px=0.1)
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
        photo_trace(column, column**2 / -1e5, Ruler((500, 0), (0, 0), 100.0))
    with pytest.raises(ValueError, match=r"wrong way"):
        photo_trace(column, 50 + (column - 50) ** 2 / 1e3, Ruler((0, 0), (500, 0), 100.0))
    with pytest.raises(ValueError, match=r"steel is 'left'"):
        photo_trace(column, column, Ruler((0, 0), (500, 0), 100.0), steel="left")
    with pytest.raises(ValueError, match=r"all points lie in one column of pixels"):
        photo_trace(0 * column, column, Ruler((0, 0), (500, 0), 100.0))
    with pytest.raises(ValueError, match=r"row_px is nan px"):
        photo_trace(column, np.nan * column, Ruler((0, 0), (500, 0), 100.0))
    with pytest.raises(ValueError, match=r"column_px has shape \(.*\) and row_px \(3,\)"):
        line_bow_px(column, column[:3])


def test_files_that_are_no_picture_are_refused(tmp_path):
    with pytest.raises(ValueError, match=r"gone.png: there is no such file"):
        read_photo(tmp_path / "gone.png")
    (tmp_path / "text.png").write_text("hello")
    with pytest.raises(ValueError, match=r"text.png: this is no picture that can be read"):
        read_photo(tmp_path / "text.png")
    cut = tmp_path / "cut.png"
    cut.write_bytes(DEMO.read_bytes()[:5000])
    with pytest.raises(ValueError, match=r"cut.png: this is no picture"):
        read_photo(cut)
    with (tmp_path / "huge.jpg").open("wb") as out:
        out.truncate(200_000_000)
    with pytest.raises(ValueError, match=r"huge.jpg: the file has 200 MB"):
        read_photo(tmp_path / "huge.jpg")
    Image.new("1", (9000, 7000)).save(tmp_path / "wide.png")
    with pytest.raises(ValueError, match=r"wide.png: the picture has 63 megapixels; it must have at most 60"):
        read_photo(tmp_path / "wide.png")
