"""panel.js alone: what it shows, how its controls are named and laid out, and what a hand does to them."""

from __future__ import annotations

import random

import pytest

from bladelab.show.panel.page import _LOOKS, _SCRIPT
from bladelab.show.panels.advice.complaint import complaint_panel
from bladelab.show.panels.blade.main import main_panel
from bladelab.show.panels.ice.glide import glide_panel
from bladelab.show.panels.ice.push import push_panel
from bladelab.show.panels.workshop.cut import cut_panel
from bladelab.show.panels.workshop.season import season_panel
from bladelab.units import SYSTEMS
from tests.show.bars import make
from tests.show.engine_checks import units
from tests.show.panel.lone_panel import START, data_of, dial, output, told

pytestmark = pytest.mark.browser


@pytest.mark.parametrize("system", SYSTEMS)
def test_the_page_says_every_position_as_the_kernel_does(blank, show, system):
    with units(system):
        show(make())
        for make_panel in (main_panel, glide_panel, push_panel, cut_panel, season_panel):
            for key, one in make_panel().dials.items():
                page = one.page()
                chance = random.Random(key)
                places = chance.sample(range(page["last"] + 1), min(page["last"] + 1, 12))
                said = blank.evaluate(
                    "([dial, places]) => places.map(at => panel.textAt(dial, at))", [page, places]
                )
                positions = one.positions
                assert said == [positions.say(positions.value(at)) for at in places], key


def test_the_picture_and_the_sentence_follow_the_answer(show):
    page = show(make())
    page.evaluate("panel.answer(0, {}, {frame: '<svg id=\"new\"></svg>', words: 'One <b>.\\nTwo.'})")
    assert page.locator(".bladelab-picture #new").count() == 1
    assert page.locator(".bladelab-sentence p").all_inner_texts() == ["One <b>.", "Two."]
    page.evaluate("panel.answer(0, {}, {words: 'No.', fault: true, stale: true})")
    assert page.locator(".bladelab-sentence .bladelab-fault").inner_text() == "No."
    assert page.locator(".bladelab-picture.bladelab-stale").count() == 1


def test_where_no_setting_has_worked_yet_no_space_is_kept_for_a_picture(show):
    page = show(make())
    page.evaluate("panel.answer(1, {}, {still: '', frame: ''})")
    assert not page.locator(".bladelab-picture").is_visible()
    page.evaluate("panel.answer(2, {}, {frame: '<svg></svg>'})")
    assert page.locator(".bladelab-picture").is_visible()


def test_every_control_has_a_name_and_a_value(show):
    page = show(main_panel())
    for name in page.evaluate("Object.keys(panel.data.dials)"):
        control = dial(page, name)
        label = control.get_attribute("aria-label")
        assert label and (("." not in name) or label.split()[0] in ("present", "trial")), name
        if control.get_attribute("type") == "range":
            assert control.get_attribute("aria-valuetext") == output(page, name) != ""
    assert page.locator(".bladelab-sentence").get_attribute("role") == "status"


def test_a_value_can_be_typed(show):
    page = show(main_panel())
    slider = dial(page, "present.radius_mm")
    slider.focus()
    page.keyboard.type("8,75")
    page.keyboard.press("Enter")
    assert told(page) == [{"do": "type", "name": "present.radius_mm", "text": "8,75"}]
    assert slider.evaluate("input => document.activeElement === input"), "back on the slider"
    slider.press("Enter")
    page.keyboard.type("9")
    page.keyboard.press("Escape")
    assert told(page) == [] and output(page, "present.radius_mm") == "10 ft"


def test_tabs_of_two_panels_on_a_page_are_told_apart(show):
    """Each panel of a notebook runs the module for itself."""
    named = []
    for _ in range(2):
        pages = show(main_panel()).locator("[role=tabpanel]")
        named.append(
            pages.evaluate_all("pages => pages.map(page => [page.id, page.getAttribute('aria-labelledby')])")
        )
    first, second = ({name for pair in pairs for name in pair} for pairs in named)
    assert len(first) == len(second) == 8 and not first & second


def test_tabs_are_one_stop_and_turn_with_the_arrows(show):
    page = show(main_panel())
    tabs = page.get_by_role("tab")
    assert tabs.evaluate_all("tabs => tabs.map(tab => tab.tabIndex)") == [0, -1, -1, -1]
    tabs.nth(0).press("ArrowRight")
    assert page.get_by_role("tab", selected=True).inner_text() == "hollow"
    assert page.get_by_role("tabpanel").count() == 1
    assert dial(page, "trial.hollow_mm").is_visible() and not dial(page, "trial.radius_mm").is_visible()


def test_a_screen_reader_is_told_when_the_hand_rests(show):
    page = show(main_panel())
    sentence = page.locator(".bladelab-sentence")
    for step in range(3):
        page.evaluate("words => panel.answer(0, {}, {words})", f"Step {step}.")
        assert sentence.get_attribute("aria-busy") == "true"
    page.wait_for_function("document.querySelector('.bladelab-sentence').ariaBusy === 'false'")
    assert sentence.inner_text() == "Step 2."
    live = "outputs => outputs.map(output => output.getAttribute('aria-live'))"
    assert set(page.locator("output").evaluate_all(live)) == {"off"}, "a slider says its value itself"


def test_the_name_of_a_player_leads_to_its_slider_and_not_to_its_button(show):
    page = show(make())
    page.get_by_text("stride", exact=True).click()
    page.wait_for_timeout(150)
    assert told(page) == []
    assert dial(page, "frame").evaluate("input => input.closest('label').control === input")


def test_names_on_the_screen_are_part_of_the_names_that_are_spoken(show):
    page = show(main_panel())
    for control in page.locator("[data-dial]").all():
        seen = control.evaluate("input => input.closest('label').querySelector('.bladelab-name').textContent")
        assert seen and seen in control.get_attribute("aria-label")


def test_on_a_touch_screen_everything_is_large_enough_for_a_fingertip(blank_page):
    page = blank_page(has_touch=True, is_mobile=True, viewport={"width": 820, "height": 1100})
    for panel in (main_panel(), make()):
        page.evaluate(START, [_SCRIPT, _LOOKS, data_of(panel)])
        for control in page.locator("select, button, .bladelab-dial").all():
            if box := control.bounding_box():
                assert min(box["height"], box["width"]) > 43.9, control.evaluate("one => one.outerHTML")
    # Fields of a form as ipywidgets makes them, each as high as a line unless told otherwise.
    fields = page.evaluate(
        """() => {
          const field = '<div class="jupyter-widgets widget-inline-hbox widget-text"><input></div>';
          document.body.innerHTML += `<style>.widget-text {height: 28px}</style>${field}${field}`;
          return [...document.querySelectorAll('.widget-text input')].map(one => one.getBoundingClientRect());
        }"""
    )
    assert fields[0]["bottom"] <= fields[1]["top"], "one field lies over the other"


def test_a_narrow_picture_has_its_controls_beside_it_and_is_readable_on_a_phone(show, blank):
    boxes = """() => ['.bladelab-picture', '[data-dial]:not([data-dial="units"])'].map(
        name => document.querySelector(`.bladelab-body ${name}`).getBoundingClientRect().toJSON())"""
    letters = """() => [...document.querySelectorAll('.bladelab-picture svg text')].map(
        text => parseFloat(getComputedStyle(text).fontSize) * text.getScreenCTM().a)"""
    picture, control = show(complaint_panel()).evaluate(boxes)
    assert picture["height"] <= 800 - 300 < 512, "a low window has room for more than the picture"
    assert picture["width"] > 400 and control["left"] > picture["right"]
    picture, control = show(push_panel()).evaluate(boxes)
    assert control["top"] >= picture["bottom"], "a wide picture leaves no space"
    blank.set_viewport_size({"width": 390, "height": 844})
    try:
        page = show(complaint_panel())
        picture, control = page.evaluate(boxes)
        assert control["top"] >= picture["bottom"] and picture["right"] <= 390
        assert min(page.evaluate(letters)) > 11
    finally:
        blank.set_viewport_size({"width": 1000, "height": 800})


def test_what_was_saved_can_be_downloaded(show):
    page = show(main_panel())
    link = {"href": "/files/saved/rocker-1.png?download=1", "text": "download rocker-1.png"}
    page.evaluate("link => panel.report({text: 'saved as saved/rocker-1.png', links: [link]})", link)
    shown = page.locator(".bladelab-report").get_by_role("link", name="download rocker-1.png")
    assert shown.get_attribute("href") == link["href"] and shown.get_attribute("download") == ""
    page.evaluate("panel.report({text: 'No.', links: []})")
    assert page.locator(".bladelab-report").inner_text() == "No."


def test_dials_out_of_place_are_hidden(show):
    page = show(main_panel())
    assert not dial(page, "trial.zone_radius_1_mm").is_visible()
    page.evaluate("panel.answer(0, {'trial.zone_radius_1_mm': {shown: true}})")
    assert dial(page, "trial.zone_radius_1_mm").is_visible()


def test_controls_come_in_the_order_of_their_places_and_keep_the_focus(show):
    page = show(complaint_panel())
    order = "[...document.querySelectorAll('[data-dial]')].map(one => one.dataset.dial)"
    before = [name for name in page.evaluate(order) if name.startswith("found_")]
    assert before[:2] == ["found_dull", "found_burr"]
    dial(page, "found_burr").focus()
    page.evaluate("panel.answer(1, {found_dull: {place: 90}, found_burr: {place: 91}})")
    after = page.evaluate(order)
    assert [name for name in after if name.startswith("found_")] == [*before[2:], *before[:2]]
    first = after.index(before[2])
    assert after[first - 4 : first] == ["complaint", "skate", "sharpened", "changed"]
    assert page.evaluate("document.activeElement.dataset.dial") == "found_burr"
    assert told(page) == [], "moving a control sends nothing"
