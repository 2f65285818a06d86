"""A trace against the shape asked for, and left against right."""

import numpy as np
import pytest

from bladelab import GaugeReadings, Rocker, Trace, Zone, deviation, left_against_right, versine

ASKED = Rocker((Zone(2743.2, 80), Zone(3352.8, 120), Zone(2438.4, 80)))
X = np.linspace(-140, 140, 281)


def measured(rng, extra=0.0, noise=0.004, tilt_deg=0.0):
    a = np.radians(tilt_deg)
    y = ASKED.height_mm(X) + extra
    return Trace(
        X * np.cos(a) - y * np.sin(a), X * np.sin(a) + y * np.cos(a) + noise * rng.standard_normal(281)
    )


def bump(at, height, width=15.0):
    return height * np.exp(-(((X - at) / width) ** 2))


def test_a_missing_spot_is_found_with_its_size_and_place():
    # 0.06 mm of steel gone at 50 mm: the edge is higher there, so the deviation is negative.
    seen = deviation(
        measured(np.random.default_rng(1), bump(50, 0.06), tilt_deg=0.3), ASKED, tolerance_mm=0.03
    )
    assert seen.largest_at_mm == pytest.approx(50, abs=4)
    assert seen.largest_mm == pytest.approx(-0.06, abs=0.012)  # less what the straight line takes off
    assert seen.verdict == "outside"


def test_the_verdict_knows_its_limits():
    good = measured(np.random.default_rng(2))
    assert deviation(good, ASKED, tolerance_mm=0.03).verdict == "within"
    assert deviation(good, ASKED, tolerance_mm=0.003).verdict == "too close to call"


def test_deviation_errors_agree_with_repeated_draws():
    rng = np.random.default_rng(3)
    seen = [deviation(measured(rng), ASKED) for _ in range(400)]
    places = [40, 140, 240]
    stated = np.mean([s.error_mm[places] for s in seen], axis=0)
    assert stated == pytest.approx(np.std([s.deviation_mm[places] for s in seen], axis=0), rel=0.1)


def test_equal_skates_seldom_differ():
    rng = np.random.default_rng(4)
    alarms = sum(left_against_right(measured(rng), measured(rng)).differs.any() for _ in range(400))
    assert 2 <= alarms <= 40  # 5 in 100 wanted: 20, and 40 is more than four standard deviations above


def test_unequal_skates_differ_where_they_do():
    rng = np.random.default_rng(5)
    seen = left_against_right(measured(rng, tilt_deg=0.4), measured(rng, bump(-60, 0.05), tilt_deg=-0.2))
    # The right has lost steel at -60: its height is greater, so left less right is negative.
    assert seen.largest_mm == pytest.approx(-0.043, abs=0.012)
    assert seen.largest_at_mm == pytest.approx(-60, abs=5)
    assert any(a <= -60 <= b for a, b in seen.stretches_mm)
    assert seen.differs.any()


def test_swapping_the_sides_turns_the_sign():
    rng = np.random.default_rng(6)
    a, b = measured(rng), measured(rng, bump(20, 0.03))
    one, other = left_against_right(a, b), left_against_right(b, a)
    assert one.difference_mm == pytest.approx(-other.difference_mm, abs=1e-12)


def test_what_cannot_be_compared_is_refused():
    good = measured(np.random.default_rng(7))
    with pytest.raises(ValueError, match="zero at mid-length"):
        deviation(Trace(X + 60, good.y_mm), ASKED)
    with pytest.raises(ValueError, match="tolerance_mm is 0 mm"):
        deviation(good, ASKED, tolerance_mm=0)
    with pytest.raises(ValueError, match="they must share at least 150 mm"):
        left_against_right(good, Trace(X + 200, good.y_mm))


def test_gauge_readings_carry_their_error_into_the_deviation():
    rng = np.random.default_rng(8)
    places = np.arange(-110.0, 111.0, 10.0)
    true = versine(60.0, 3048.0)
    single = Rocker.single(3048.0, 280)

    def read(error):
        return GaugeReadings(places, true + error * rng.standard_normal(len(places)), 60.0, error)

    drawn = [read(0.002) for _ in range(200)]
    seen = [deviation(readings.trace, single).deviation_mm for readings in drawn]
    first = deviation(drawn[0], single)
    assert np.array_equal(first.deviation_mm, seen[0])
    scatter = np.std(seen, axis=0)
    # 60 draws inside tell a standard deviation to 9 %.
    assert first.error_mm[5:-5] == pytest.approx(scatter[5:-5], rel=0.35)
    assert np.mean(first.error_mm) == pytest.approx(np.mean(scatter), rel=0.2)
    assert deviation(read(0.0002), single, tolerance_mm=0.05).verdict == "within"
    assert deviation(read(0.01), single, tolerance_mm=0.02).verdict != "within"
