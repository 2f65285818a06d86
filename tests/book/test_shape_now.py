"""The shape on a card: what was measured, level as it is known to be; else what was ground or stated."""

import datetime
from dataclasses import replace

import numpy as np
import pytest

from bladelab import GaugeReadings, Rocker, Trace, Zone, steel_to_remove
from bladelab.book.card import Edge
from bladelab.book.shape_now import shape_now

TEN = Rocker.single(3048.0, 280.0, pivot_mm=10.0)
EARLY, LATE = datetime.date(2026, 9, 1), datetime.date(2026, 10, 1)
X = np.linspace(-125.0, 125.0, 101)


def measured(rocker=TEN, tilt=0.0, **how):
    return Trace(X, rocker.height_mm(X) + tilt * X + 0.3, error_mm=0.004, **how)


def test_nothing_is_known_of_a_new_edge():
    assert shape_now(Edge()) is None


def test_what_was_stated_or_ground_counts_until_it_is_measured():
    said = Edge(rocker=TEN, rocker_on=EARLY)
    assert (shape_now(said).rocker, shape_now(said).how, shape_now(said).level) == (TEN, "stated", "stated")
    assert shape_now(replace(said, ground=True)).how == "ground"
    older = replace(said, rocker_on=LATE, measured=measured(), measured_on=EARLY)
    assert shape_now(older).how == "stated"


def test_a_measured_edge_has_its_own_zones_along_the_whole_runner():
    made = Rocker((Zone(2400.0, 140.0), Zone(3600.0, 140.0)))
    found = shape_now(Edge(measured=measured(made, level_error_deg=0.02), measured_on=LATE), length_mm=284.0)
    assert found.how == "measured" and found.level == "measured"
    assert [round(zone.radius_mm, -1) for zone in found.rocker.zones] == [2400.0, 3600.0]
    assert found.rocker.length_mm == pytest.approx(284.0)


@pytest.mark.parametrize("tilt", [-0.01, 0.0, 0.02])
def test_a_trace_that_cannot_show_its_level_takes_it_from_what_was_ground(tilt):
    """However the rail was set: the cut to the shape it has is nothing, and to one that is level elsewhere it
    is what the shapes themselves say."""
    known = Edge(rocker=TEN, rocker_on=EARLY, ground=True, measured=measured(tilt=tilt), measured_on=LATE)
    found = shape_now(known)
    assert found.level == "ground"
    assert found.rocker.pivot_mm == pytest.approx(10.0, abs=0.2)
    assert steel_to_remove(found.edge, TEN).largest_mm == pytest.approx(0.0, abs=0.002)
    level = Rocker.single(3048.0, 280.0)
    wanted = steel_to_remove(Rocker.single(3048.0, 250.0, pivot_mm=10.0), level).largest_mm
    assert wanted > 0.8
    assert steel_to_remove(found.edge, level).largest_mm == pytest.approx(wanted, abs=0.004)


def test_with_nothing_said_before_the_level_is_unknown_and_taken_with_both_ends_equal():
    found = shape_now(Edge(measured=measured(tilt=0.01), measured_on=LATE))
    assert found.level == "unknown"
    assert found.rocker.pivot_mm == pytest.approx(0.0, abs=0.2)


def test_a_gauge_gives_zones_and_no_level():
    places = np.arange(-90.0, 91.0, 15.0)
    readings = GaugeReadings(places, np.full(len(places), 0.1476), chord_mm=60.0, error_mm=0.002)
    known = Edge(rocker=TEN, rocker_on=EARLY, measured=readings, measured_on=LATE)
    found = shape_now(known)
    assert (found.level, found.rocker.pivot_mm) == ("stated", 10.0)
    assert found.rocker.zones[0].radius_mm == pytest.approx(60.0**2 / 8 / 0.1476 + 0.1476 / 2, rel=1e-3)
