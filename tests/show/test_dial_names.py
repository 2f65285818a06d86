"""Every control carries its name on the page, by which a test from outside finds it."""

from bladelab.show.controls import Slider, Tick
from bladelab.show.dials import make_dials
from bladelab.show.panels_main import main_panel


def test_a_dial_carries_its_name():
    controls = [
        Slider("radius_mm", "radius", "rocker", column="present", low=1, high=9, default=2),
        Tick("air", "air", "skater"),
    ]
    dials = make_dials(controls, lambda: None)
    assert "dial-present-radius_mm" in dials["present.radius_mm"].box._dom_classes
    assert "dial-air" in dials["air"].box._dom_classes


def test_the_choice_of_units_carries_its_name():
    assert "dial-units" in main_panel()._units_choice._dom_classes
