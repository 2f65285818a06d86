"""A bad spot is told as a spot, zones as zones: on edges drawn with both."""

import numpy as np
import pytest

from bladelab import Rocker, Zone, feet, fit_edge, fit_zones, read_trace
from bladelab.show.panels.workshop.measured_files import DEMO
from bladelab.workshop.spots import _as_told

X = np.linspace(-140, 140, 141)
SINGLE = Rocker.single(3048, 280)
THREE = Rocker((Zone(2743.2, 80), Zone(3352.8, 120), Zone(2438.4, 80)))


def bump(at, height, width):
    return height * np.exp(-(((X - at) / width) ** 2))


def drawn(rocker, extra, seed):
    return rocker.height_mm(X) + extra + 0.004 * np.random.default_rng(seed).standard_normal(len(X))


@pytest.mark.slow
@pytest.mark.parametrize(
    ("rocker", "at", "height", "width"),
    [(SINGLE, 58, 0.045, 22), (SINGLE, -40, -0.03, 12), (THREE, 0, 0.06, 15), (THREE, 58, 0.045, 22)],
)
def test_a_spot_is_told_beside_the_zones_it_lies_on(rocker, at, height, width):
    seen = [fit_edge(X, drawn(rocker, bump(at, height, width), seed)) for seed in range(2)]
    right = [f for f in seen if (len(f.zones.zones), len(f.spots)) == (len(rocker.zones), 1)]
    assert len(right) >= 1
    for fit in right:
        (spot,) = fit.spots
        assert spot.at_mm == pytest.approx(at, abs=4)
        assert abs(spot.height_mm - height) < 4 * spot.height_error_mm < abs(height)
        assert spot.from_mm < at < spot.to_mm and spot.length_mm == pytest.approx(3.03 * width, rel=0.25)
        for found, true in zip(fit.zones.zones, rocker.zones, strict=True):
            assert found.radius_mm == pytest.approx(true.radius_mm, rel=0.06)
    # Zones alone need more of them to follow the spot.
    assert len(fit_zones(X, drawn(rocker, bump(at, height, width), 0)).zones) > len(rocker.zones)


@pytest.mark.slow
@pytest.mark.parametrize("rocker", [SINGLE, THREE])
def test_zones_without_a_spot_get_none(rocker):
    seen = [fit_edge(X, drawn(rocker, 0.0, seed)) for seed in range(100, 106)]
    assert sum((len(f.zones.zones), len(f.spots)) == (len(rocker.zones), 0) for f in seen) >= 5


def test_worn_ends_are_no_spot():
    fit = fit_edge(X, drawn(SINGLE, 0.05 * (X / 140) ** 2, 3))
    assert not fit.spots and len(fit.zones.zones) == 1


@pytest.mark.slow
def test_the_errors_agree_with_repeated_draws():
    seen = [fit_edge(X, drawn(SINGLE, bump(30, 0.05, 15), seed), count=1) for seed in range(40)]
    seen = [fit for fit in seen if len(fit.zones.zones) == len(fit.spots) == 1]
    assert len(seen) >= 36
    spots = [fit.spots[0] for fit in seen]
    # 40 draws tell a standard deviation to 11 %.
    scatter = np.std([spot.height_mm for spot in spots])
    assert np.mean([spot.height_error_mm for spot in spots]) == pytest.approx(scatter, rel=0.3)
    radii = np.std([fit.zones.zones[0].radius_mm for fit in seen])
    stated = np.mean([fit.zones.standard_errors_mm[0] for fit in seen])
    assert stated == pytest.approx(radii, rel=0.3)


def test_the_invented_right_edge_has_its_three_zones_and_its_spot():
    trace = read_trace(DEMO / "right_edge.csv").level()
    fit = fit_edge(trace.x_mm, trace.y_mm)
    # Made with 9, 11 and 8 ft and 0.045 mm near 58 mm; worn by 0.02 mm at the ends, which is 2 % of a radius.
    assert [zone.radius_mm for zone in fit.zones.zones] == pytest.approx(
        [feet(9), feet(11), feet(8)], rel=0.03
    )
    (spot,) = fit.spots
    assert spot.height_mm == pytest.approx(0.045, abs=2.5 * spot.height_error_mm)
    assert spot.at_mm == pytest.approx(58, abs=5)
    # Six zones follow the same readings, with errors that say nothing is known.
    zones = fit_zones(trace.x_mm, trace.y_mm)
    assert len(zones.zones) > 3 and min(fit.scores, key=fit.scores.get) == (3, 1)


def test_the_fitted_heights_follow_the_spot():
    y = drawn(SINGLE, bump(-20, 0.2, 15), 5)
    fit = fit_edge(X, y)
    assert np.std(y - fit.height_mm(X)) < 0.006
    assert fit.height_mm(-20.0) == pytest.approx(float(fit.height_mm(np.array([-20.0]))[0]))


def test_a_number_of_spots_out_of_range_is_refused():
    with pytest.raises(ValueError, match="most_spots is 4 spots; it must be at least 0 spots and at most 3"):
        fit_edge(X, drawn(SINGLE, 0.0, 1), most_spots=4)
    assert not fit_edge(X, drawn(SINGLE, bump(0, 0.1, 15), 1), most_spots=0).spots


def test_bumps_that_overlap_are_one_spot_but_not_those_of_the_other_sign():
    shapes = np.array([[0.0, 10.0, 0.02], [12.0, 10.0, 0.03], [80.0, 8.0, 0.02], [90.0, 8.0, -0.02]])
    one, *others = _as_told(shapes, np.array([0.001, 0.002, 0.001, 0.001]))
    # A bump is above a tenth of its height as far as its width times the root of ln 10 to each side.
    reach = 10 * np.log(10) ** 0.5
    assert (one.from_mm, one.to_mm) == pytest.approx((-reach, 12 + reach))
    x = np.linspace(0, 12, 1201)
    both = 0.02 * np.exp(-((x / 10) ** 2)) + 0.03 * np.exp(-(((x - 12) / 10) ** 2))
    assert one.height_mm == pytest.approx(both.max(), rel=1e-3)
    assert one.height_error_mm == 0.002
    assert [(spot.at_mm, spot.height_mm) for spot in others] == [(80.0, 0.02), (90.0, -0.02)]
