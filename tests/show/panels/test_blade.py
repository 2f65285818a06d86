"""The panels of the blade behave like every panel, and say what the model says."""

from __future__ import annotations

import pytest

from bladelab import Blade, Hollow, Ice, Rocker, solve_contact
from bladelab.physics.moments import MOMENTS
from bladelab.show.panels.blade.main import main_panel
from bladelab.show.panels.blade.rocker import rocker_panel
from bladelab.show.panels.ice.bite import bite_panel
from bladelab.show.panels.ice.contact import contact_panel
from tests.show.engine_checks import check_panel, seen, units

PANELS = [main_panel, rocker_panel, bite_panel, contact_panel]


@pytest.mark.slow
@pytest.mark.parametrize("make_panel", PANELS)
def test_it_does_what_every_panel_does(make_panel):
    check_panel(make_panel)


@pytest.mark.parametrize("moment", MOMENTS, ids=lambda moment: moment.name)
def test_the_main_panel_says_what_the_model_says(moment):
    panel = main_panel()
    panel.dials["moment"].value = moment
    panel.dials["trial.hollow_mm"].value = 12.7
    blade = Blade(Rocker.single(3352.8, 280), Hollow(12.7, 2.9))
    contact = solve_contact(blade, moment.stance(75), Ice(-5), moment.gliding)
    words = panel.sentence_text
    assert f"Trial blade: touches the ice along {contact.length_mm:.0f} mm" in words
    assert f"bites {contact.depth_mm:.3f} mm deep, the boot" in words
    assert "2 things differ: radius of the rocker, hollow." in words


def test_starting_the_trial_from_the_present_blade_leaves_no_difference():
    panel = main_panel()
    panel.dials["present.shape"].value = "blended"
    panel.dials["present.zone_radius_2_mm"].value = 4000
    panel.dials["trial.hollow_mm"].value = 9.525
    panel.copy_column("present", "trial")
    assert vars(panel.state().present) == vars(panel.state().trial)
    assert "The two blades are the same." in panel.sentence_text
    assert "contact length the same, bite the same" in panel.sentence_text


@seen()
def test_zones_that_do_not_fit_are_a_sentence_and_the_picture_stays():
    panel = main_panel()
    panel.dials["trial.shape"].value = "stepped"
    before = panel._frame
    panel.dials["trial.zone_length_1_mm"].value = 200
    assert panel.fault
    assert "Trial blade: the zones before the last add up to 300 mm" in panel.sentence_text
    assert "at most 275 mm" in panel.sentence_text
    assert panel._frame == before
    assert panel._stale
    panel.dials["trial.zone_length_1_mm"].value = 80
    assert not panel.fault
    assert not panel._stale
    assert panel._frame == before


def test_dials_of_zones_show_only_where_the_shape_has_zones():
    panel = main_panel()
    shown = {name for name, dial in panel.dials.items() if dial.shown}
    assert "present.radius_mm" in shown and "present.zone_radius_1_mm" not in shown
    panel.dials["present.shape"].value = "blended"
    panel.dials["present.zones"].value = 2
    shown = {name for name, dial in panel.dials.items() if dial.shown}
    assert {"present.zone_radius_2_mm", "present.zone_length_1_mm", "present.blend_mm"} <= shown
    assert not {"present.radius_mm", "present.zone_radius_3_mm", "present.zone_length_2_mm"} & shown
    assert "trial.zone_radius_1_mm" not in shown


def test_the_rocker_panel_in_metric_speaks_of_metres():
    with units("metric"):
        panel = rocker_panel()
        assert "at the level point is 3.05 m" in panel.sentence_text
    assert "at the level point is 10 ft" in panel.sentence_text  # follows the change


def test_the_labels_over_the_rocker_are_in_place_when_the_axis_steps():
    moved = main_panel()
    top = moved.view.rocker.axes.get_ylim()[1]
    moved.dials["trial.radius_mm"].value = 1500.0
    assert moved.view.rocker.axes.get_ylim()[1] > top, "the axis has stepped"
    once = {name: tag.get_position() for name, tag in moved.view.rocker.tag.items()}
    moved.refresh()
    assert {name: tag.get_position() for name, tag in moved.view.rocker.tag.items()} == once
