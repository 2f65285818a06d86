"""What is shown in feet and inches or metric units, against pint, a general-purpose library of units."""

import pint
import pytest

from bladelab import Blade, Hollow, Ice, Rocker, Stance, solve_contact
from bladelab.show.panels.ice.glide import glide_panel
from bladelab.show.panels.ice.push import push_panel
from bladelab.show.wording.units_shown import SCALES, UNITS
from bladelab.units import SYSTEMS
from tests.show.engine_checks import readout, units

PINT = pint.get_application_registry()
#: quantity -> the unit in which it is kept, and those in which it is shown, in the order of `SYSTEMS`.
SHOWN = {
    "radius": ("mm", "foot", "m"),
    "hollow": ("mm", "inch", "mm"),
    "mass": ("kg", "lb", "kg"),
    "force": ("N", "force_pound", "N"),
    "temperature": ("degC", "degF", "degC"),
    "temperature difference": ("delta_degC", "delta_degF", "delta_degC"),
    "distance": ("m", "foot", "m"),
    "speed": ("m/s", "mile/hour", "m/s"),
    "area": ("m**2", "foot**2", "m**2"),
    "fall": ("m", "inch", "cm"),
}


@pytest.mark.parametrize("quantity", SHOWN)
@pytest.mark.parametrize("value", [0.7, 6.0, 12.7, 85.0, 3048.0])
def test_a_number_is_shown_as_pint_converts_it(quantity, value):
    kept, *shown = SHOWN[quantity]
    for scale, unit in zip(SCALES[quantity], shown, strict=True):
        expected = PINT.Quantity(value, kept).to(unit).magnitude
        assert scale.shown(value) == pytest.approx(expected, rel=1e-12)
        assert scale.kept(scale.shown(value)) == pytest.approx(value, rel=1e-12)


def test_what_is_not_compared_is_the_same_in_both_systems():
    for quantity in SCALES.keys() - SHOWN.keys():
        first, second = SCALES[quantity]
        assert first == second, quantity
    assert UNITS.system in SYSTEMS


def test_speeds_follow_the_units_in_slider_axis_curve_and_sentence():
    panel = glide_panel()
    drawn = {}
    for system, unit, start, end in (("feet and inches", "mph", 13.42, 2.24), ("metric", "m/s", 6.0, 1.0)):
        with units(system):
            assert readout(panel.dials["speed_m_s"]) == f"{start:.1f} {unit}"
            assert f"From {start:.1f} {unit} down to {end:.1f} {unit} on one skate" in panel.sentence_text
            assert panel.view.slow["present"].axes.get_ylabel() == f"speed, {unit}"
            curve = panel.view.slow["present"].get_ydata()
            assert (curve[0], curve[-1]) == pytest.approx((start, end), abs=0.01)
            assert panel.view.slow["present"].axes.get_ylim()[1] > start
            drawn[system] = curve / panel.view.slow["present"].axes.get_ylim()[1]
    assert drawn["metric"] == pytest.approx(drawn["feet and inches"], rel=1e-12), "the same picture"


def test_the_push_draws_the_speed_and_the_radius_of_a_turn_in_the_units_of_its_titles():
    panel = push_panel()
    drawn = {}
    for system, length, speed in (("feet and inches", "foot", "mile/hour"), ("metric", "m", "m/s")):
        with units(system):
            radius, fast = (panel.view.parts[i].axes for i in (4, 5))
            assert radius.get_title("left") == f"turn radius, {UNITS.unit('distance')}"
            assert fast.get_title("left") == f"speed of that turn, {UNITS.unit('speed')}"
            for place, unit, kept in ((4, length, "m"), (5, speed, "m/s")):
                curve = panel.view.parts[place].curve["present"].get_ydata()
                drawn[system, place] = PINT.Quantity(curve, unit).to(kept).magnitude
                (dot,) = panel.view.parts[place].dot["present"].get_ydata()
                drawn[system, place, "dot"] = PINT.Quantity(dot, unit).to(kept).magnitude
    blade = Blade(Rocker.single(3048, 280), Hollow(15.875, 2.9))
    contact = solve_contact(blade, Stance(1.3 * 75 * 9.80665, 15, 35), Ice(-5))
    for system in SYSTEMS:
        assert drawn[system, 4] == pytest.approx(drawn["metric", 4], rel=1e-9, nan_ok=True)
        assert drawn[system, 5] == pytest.approx(drawn["metric", 5], rel=1e-9)
        assert drawn[system, 4, "dot"] == pytest.approx(contact.carve_radius_m, rel=1e-3)
        assert drawn[system, 5, "dot"] == pytest.approx(contact.balanced_speed_m_s, rel=1e-3)
