"""The curious skater on a phone: 390 x 844, a thumb, plain pages. In feet, in metric and back.

The skater weighs 60 kg and asks what a 3.5 m rocker would do in place of the one of 10 ft.
"""

import pytest

from bladelab import (
    MOMENTS,
    Blade,
    Hollow,
    Ice,
    Rocker,
    Stance,
    feet,
    inches,
    solve_contact,
    solve_friction,
)
from bladelab.physics.possible_ices import friction_span
from tests.journeys import meant

SIZE = {"width": 390, "height": 844}
HOLLOW = Hollow(inches("5/8"), 2.9)
G = 9.81


@pytest.fixture
def skater(person):
    """Someone with a phone."""
    return person("voila")


class Thumb:
    """Touches the page of a phone, as the browser's own tools send touches."""

    def __init__(self, page):
        self.page = page.page
        self._tools = self.page.context.new_cdp_session(self.page)
        self._tools.send("Emulation.setTouchEmulationEnabled", {"enabled": True, "maxTouchPoints": 1})

    def drag(self, hand, name, share):
        """Drag a slider to a share of its length; what it reads afterwards is meant."""
        hand.reveal(name)
        slider = hand._box(name)
        slider.scroll_into_view_if_needed()
        track = slider.bounding_box()
        now = slider.evaluate("slider => (slider.value - slider.min) / (slider.max - slider.min)")
        y = track["y"] + track["height"] / 2
        places = [track["x"] + 8 + part * (track["width"] - 16) for part in (now, share)]
        self._touch("touchStart", places[0], y)
        for part in (0.25, 0.5, 0.75, 1.0):
            self._touch("touchMove", places[0] + part * (places[1] - places[0]), y)
        self._tools.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})
        return hand.released(name)

    def _touch(self, kind, x, y):
        self._tools.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": [{"x": x, "y": y}]})

    def away(self):
        """Put the phone away."""
        self._tools.send("Emulation.setTouchEmulationEnabled", {"enabled": False})
        self._tools.detach()


def stance(mass_kg, lean_deg=0.0):
    return Stance(mass_kg * G, 0.0, lean_deg)


def test_a_rocker_under_the_thumb(skater):
    (panel,) = skater.open("01_the_rocker.ipynb", **SIZE)
    thumb = Thumb(skater.page)
    panel.choose("units", meant.METRIC)
    radius_m = thumb.drag(panel, "radius_mm", 0.4)
    assert 3 < radius_m < 8
    panel.tells(radius_m, "m", after="level point is")
    panel.is_true()
    panel.choose("units", meant.US)
    panel.tells(radius_m / 0.3048, "ft", after="level point is")
    panel.is_true()
    thumb.away()


def test_two_rockers_in_metres_and_back_and_their_glide(skater):
    (panel,) = skater.open("00_start_here.ipynb", **SIZE)
    panel.choose("units", meant.METRIC)
    panel.set("trial.radius_mm", 3.5)
    panel.set("mass_kg", 60)
    blades = [Blade(Rocker.single(radius, 280), HOLLOW) for radius in (feet(10), 3500)]
    moment = MOMENTS[1]
    seen = [solve_contact(blade, moment.stance(60), Ice(-5), moment.gliding) for blade in blades]
    for name, contact in zip(("Present", "Trial"), seen, strict=True):
        panel.tells(contact.length_mm, "mm", after=name)
        panel.tells(contact.depth_mm, "mm", after="bites")
    panel.is_true()
    panel.choose("units", meant.US)
    panel.choose("units", meant.METRIC)
    panel.is_true()
    assert (panel.reads("mass_kg"), panel.reads("trial.radius_mm")) == ("60 kg", "3.50 m")
    assert keeps_to_the_screen(skater)

    skater.page.page.evaluate("sessionStorage.keepsUnits = true")
    (panel,) = skater.open("06_glide.ipynb", **SIZE)
    skater.page.page.evaluate("delete sessionStorage.keepsUnits")
    panel.units = meant.METRIC  # as chosen on the page before
    panel.is_true()
    panel.set("mass_kg", 60)
    panel.set("speed_m_s", 5)
    present = Blade(Rocker.single(feet(10), 280), HOLLOW)
    friction = solve_friction(present, stance(60), Ice(-5), 5.0)
    panel.tells(float(friction.total), ", between", after="present")
    panel.tells(friction_span(present, stance(60), -5.0, 5.0).high, "; trial", after="between")
    panel.is_true()
    panel.choose("units", meant.US)
    panel.is_true()


def keeps_to_the_screen(skater):
    """Whether no panel is wider than the phone."""
    wide = "() => Math.max(...[...document.querySelectorAll('.bladelab-panel')].map(p => p.scrollWidth))"
    return skater.page.page.evaluate(wide) <= SIZE["width"]
