"""A shape from a skater's card stands in for the sliders of one blade, however many zones it has."""

import datetime

import numpy as np
import pytest

from bladelab import Blade, Hollow, Ice, Rocker, Trace, Zone, solve_contact, steel_to_remove
from bladelab.book.card import Edge
from bladelab.book.shape_now import shape_now
from bladelab.book.steel_happenings import Fitted, Measured, Sharpened, Stated
from bladelab.show.controls.blade import blade_of
from bladelab.show.panel.skater import SKATER
from bladelab.show.panels.advice.compare import answer, compare_panel
from bladelab.show.panels.workshop.cut import cut_panel

TEN = Rocker.single(3048.0, 280.0, pivot_mm=10.0)
X = np.linspace(-125.0, 125.0, 101)
DAY = datetime.date(2026, 10, 1)


def known(rocker, said=None):
    """The shape of an edge that was measured 250 mm long, tilted, after it was ground to `said`."""
    trace = Trace(X, rocker.height_mm(X) + 0.01 * X, error_mm=0.003)
    return shape_now(Edge(said, said and DAY, True, measured=trace, measured_on=DAY), 280.0)


def offer(panel, name, shape):
    dial = panel.dials[name]
    dial.offer((*dial.control.options, ("left as measured", shape)))
    dial.value = shape


def test_the_sliders_of_that_shape_are_gone_and_the_others_stay():
    panel = compare_panel().panel
    offer(panel, "present.shape", known(TEN))
    shown = {name for name, dial in panel.dials.items() if dial.shown}
    assert not {"present.length_mm", "present.radius_mm", "present.pivot_mm", "present.zones"} & shown
    assert {"present.shape", "present.hollow_mm", "trial.radius_mm", "trial.length_mm"} <= shown


def test_six_zones_are_compared_as_they_are():
    zones = tuple(Zone(radius, 280 / 6) for radius in (1800.0, 4200.0, 2000.0, 5000.0, 2200.0, 3600.0))
    shape = known(Rocker(zones))
    assert len(shape.rocker.zones) >= 5
    panel = compare_panel().panel
    offer(panel, "present.shape", shape)
    blade = blade_of(panel.state().present)
    assert blade.rocker == shape.rocker and not panel.fault
    state = panel.state()
    bite = solve_contact(blade, state.moment.stance(75.0), Ice(state.temperature_C), state.moment.gliding)
    (line,) = [line for line in answer(state).lines if line.quantity.key == "bite"]
    assert line.present == pytest.approx(bite.depth_mm, rel=1e-6)


def test_the_cut_begins_from_the_measured_edge_and_says_where_its_level_is_from():
    panel = cut_panel()
    panel.dials["trial.shape"].value = "single"
    offer(panel, "present.shape", known(TEN, said=TEN))
    wanted = steel_to_remove(Rocker.single(3048.0, 250.0, pivot_mm=10.0), Rocker.single(3048.0, 280.0))
    assert f"{wanted.largest_mm:.2f}" in panel.sentence_text
    assert "it is taken to be where it was ground" in panel.sentence_text
    assert "30 mm of the runner were not measured" in panel.sentence_text
    assert not panel.dials["rounding_mm"].shown
    offer(panel, "present.shape", known(TEN))
    assert "the cut holds only if it is already where the trial has it" in panel.sentence_text


@pytest.mark.slow
def test_a_panel_opens_on_the_edge_as_it_was_measured(book_file):
    """The trace itself, whatever its zones; the other side is a choice away."""
    zones = tuple(Zone(radius, 280 / 6) for radius in (1800.0, 4200.0, 2000.0, 5000.0, 2200.0, 3600.0))
    left, right = (Trace(X, rocker.height_mm(X), error_mm=0.003) for rocker in (Rocker(zones), TEN))
    SKATER.begin("K07")
    SKATER.write(Stated("S1", Blade(TEN, Hollow(12.7, 2.9))), Fitted("S1"), on=DAY)
    SKATER.write(Measured("S1", "left", left), Measured("S1", "right", right))
    panel = cut_panel()
    first = panel.state().present.shape
    assert (first.how, first.edge.length_mm) == ("measured", 250.0)
    assert len(first.rocker.zones) >= 5
    assert "begins from the edge as it was measured" in panel.sentence_text
    SKATER.side = "right"
    panel.catch_up()
    assert panel.state().present.shape.rocker.zones[0].radius_mm == pytest.approx(3048.0, rel=0.01)
    compared = compare_panel().panel
    assert compared.state().present.shape == shape_now(SKATER.card.edge("right"), 280.0)
    assert "make this the present blade" not in {text for _, text in compared.bar.page()["buttons"]}


def test_a_hollow_said_of_measured_edges_leaves_the_rocker_unsaid(book_file):
    """Nobody knows the level point because somebody said the hollow; and both sides have it."""
    right = Trace(X, TEN.height_mm(X) + 0.05 * np.exp(-(((X - 60) / 8) ** 2)), error_mm=0.003)
    SKATER.begin("K07")
    left = Trace(X, TEN.height_mm(X), error_mm=0.003)
    SKATER.write(Fitted("S1"), Measured("S1", "left", left), Measured("S1", "right", right), on=DAY)
    panel = compare_panel().panel
    assert "Present: as measured 1 October 2026. No trial yet." in panel.bar.page()["says"]
    panel.dials["present.hollow_mm"].value = 14.2875
    panel.bar.act("press", "present")
    for side in ("left", "right"):
        edge = SKATER.card.edge(side)
        assert (edge.rocker, edge.hollow_mm) == (None, 14.2875)
        assert shape_now(edge).level == "unknown"
    assert "present" not in [name for name, _ in panel.bar.page()["buttons"]]
    SKATER.write(Sharpened("S1", 12.7, ("right",)))  # now they differ, and one side says nothing of the other
    panel.dials["present.hollow_mm"].value = 15.875
    panel.bar.act("press", "present")
    assert [SKATER.card.edge(side).hollow_mm for side in ("left", "right")] == [15.875, 12.7]
