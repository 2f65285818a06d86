"""In metric units nothing on a page is in ft, in, lb, mph or °F; in feet nothing is in m, kg, m/s or
°C: pictures, sentences, sliders, the choices on offer, buttons. And every picture names its ice."""

from __future__ import annotations

import re

import pytest

from bladelab.physics.ice import DROP_TEST_ICE, PRESSED_ICE
from bladelab.show.wording.units_shown import UNITS
from bladelab.units import SYSTEMS
from tests.show.engine_checks import (
    IMPERIAL,
    METRIC,
    NOTHING_WITH_A_SIGN,
    page_texts,
    panel_makers,
    picture_texts,
    units,
)

WRONG = dict(zip(SYSTEMS, (METRIC, IMPERIAL), strict=True))
MAKERS = panel_makers()
#: Panels that measure their ice or its friction, and the clinic, whose slides say which ice it is.
MEASURED_OR_TOLD = {"drop_test_panel", "glide_out_panel", "clinic_panel"}


def test_the_check_knows_a_unit_from_a_word():
    for text in (
        "5/8 in",
        "0.512 in hollow",
        "radius, ft",
        "165 lb",
        "23.0 °F",
        "hollow, in",
        "within 1 ft of",
    ):
        assert IMPERIAL.search(text) and not METRIC.search(text), text
    for text in (
        "3.05 m",
        "mass, kg",
        "12 m/s",
        "−5 °C",
        "turn radius, m",
        "4.3 m",
        "the last metres",
        "736 N on",
    ):
        assert METRIC.search(text) and not IMPERIAL.search(text), text
    for text in (
        "hold in 7 of 7",
        "8 in 10 seasons",
        "32 mm on the ice",
        "left",
        "0.3 ms",
        "1.2 N m",
        "17.7 N a mm²",
        "35 in all",
    ):
        assert not METRIC.search(text) and not IMPERIAL.search(text), text
    for text in ("−0.0 %", "-0%", "9.00 ± 0.00 ft", "4.3 ±0.0 m"):
        assert NOTHING_WITH_A_SIGN.search(text), text
    for text in ("−0.05 °", "0.0 mm", "−10 %", "9.0 ± 0.1", "2026-05-01", "10.0–0.5"):
        assert not NOTHING_WITH_A_SIGN.search(text), text


@pytest.mark.slow
@pytest.mark.parametrize("name", MAKERS)
def test_a_panel_says_nothing_in_the_other_units_and_its_picture_names_its_ice(name, no_overview):
    """Made in metric units and switched to feet; each panel's own tests move its dials about."""
    with units(SYSTEMS[1]):
        box = MAKERS[name]()
        says_nothing_else(box)
    says_nothing_else(box)
    names_its_ice(name, getattr(box, "panel", box))
    box.close()


def names_its_ice(name, panel):
    """A panel with ice offers both kinds, and its picture says for which it is."""
    if "hardness" not in panel.dials:
        assert "temperature_C" not in panel.dials or name in MEASURED_OR_TOLD, name
        return
    cold = UNITS.say("temperature", panel.dials["temperature_C"].value)
    for wanted, said in ((DROP_TEST_ICE, "as in a drop test"), (PRESSED_ICE, "pressed")):
        panel.dials["hardness"].value = wanted
        if not panel.fault:  # the search for a starting blade waits for its button
            assert panel.view.ice_name.get_text() == f"ice {cold}, {said}"


def says_nothing_else(box):
    """No text of a page has the units of the other system, or a sign before nothing."""
    panel = getattr(box, "panel", box)
    for text in [panel.sentence_text, *picture_texts(panel), *page_texts(box)]:
        assert not WRONG[UNITS.system].search(text), (UNITS.system, text)
        assert not NOTHING_WITH_A_SIGN.search(text), text
        assert not re.search(r"\d%", text), f"per cent are written with a space: {text}"


@pytest.mark.slow
def test_the_choices_of_a_form_follow_the_units_and_keep_what_was_chosen():
    box = MAKERS["trials_panel"]()
    labels = [label for label, _ in box.form.skated.options]
    box.form.skated.index = chosen = next(i for i, label in enumerate(labels) if "1 ft flatter" in label)
    blade = box.form.skated.value
    with units("metric"):
        assert box.form.skated.index == chosen and box.form.skated.value == blade
        assert box.form.skated.label == "0.30 m flatter overall"
    assert UNITS.system == SYSTEMS[0] and box.form.skated.label == "1 ft flatter overall"
