"""panel.js alone, in a blank page, with a host that only writes down what it is told."""

from __future__ import annotations

import json
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

pytestmark = pytest.mark.browser

# Runs in the page: draws a panel whose host keeps every message, and answers when it is told to.
START = """
async ([code, looks, data]) => {
  const style = document.createElement('style');
  style.textContent = looks;
  document.head.replaceChildren(style);
  const module = await import(URL.createObjectURL(new Blob([code], {type: 'text/javascript'})));
  const told = [], ears = [];
  const tellAll = (what, seq) => ears.forEach(one => one[what](seq));
  window.panel = {
    told, data, textAt: module.textAt,
    ears, lost: () => tellAll('lost'),
    heard: seq => tellAll('heard', seq),
    answer(seq, dials = {}, change = {}) {
      for (const name in dials) Object.assign(data.dials[name], dials[name]);
      Object.assign(data, change, {answered: {seq, dials}});
      tellAll('answered');
    },
    bar(change) { data.bar = {...data.bar, ...change}; tellAll('barred'); },
    report(change) { Object.assign(data.report, change); tellAll('reported'); },
  };
  const host = {
    data: name => data[name],
    tell: message => told.push(JSON.parse(JSON.stringify(message))),
    follow(given) { ears.push(given); return () => ears.splice(ears.indexOf(given), 1); },
  };
  window.panel.view = () => {
    const root = document.createElement('main');
    document.body.append(root);
    window.panel.end = module.draw(root, host);
  };
  document.body.replaceChildren();
  window.panel.view();
}
"""


EDITION = "panel.data.dials['trial.radius_mm'].edition"


@pytest.fixture(scope="module")
def blank(blank_page):
    """A blank page in headless Chromium; without one the test is skipped."""
    page = blank_page(viewport={"width": 1000, "height": 800})
    page.on("pageerror", lambda error: pytest.fail(f"the page: {error}"))
    return page


def data_of(panel) -> dict:
    """What a panel tells its page, as the page has it."""
    state = panel.get_state()
    names = (
        "spec",
        "size",
        "dials",
        "still",
        "frame",
        "words",
        "fault",
        "stale",
        "answered",
        "report",
        "bar",
    )
    return json.loads(json.dumps({name: state[f"_{name}"] for name in names}))


@pytest.fixture
def show(blank):
    """Call with a panel: shows it with a host that only listens."""

    def one(panel):
        blank.evaluate(START, [_SCRIPT, _LOOKS, data_of(panel)])
        return blank

    return one


def told(page) -> list[dict]:
    """What the host was told since the last call."""
    return page.evaluate("panel.told.splice(0)")


def dial(page, name):
    return page.locator(f'[data-dial="{name}"]')


def output(page, name) -> str:
    return dial(page, name).evaluate("input => input.closest('label').querySelector('output').textContent")


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


def test_showing_what_the_host_says_sends_nothing(show):
    page = show(main_panel())
    new = {"at": 3, "last": 7, "text": "metres", "texts": None, "edition": 4}
    scale = {"low": 1.0, "step": 0.5, "decimals": 1, "trim": False, "unit": " m"}
    page.evaluate("change => panel.answer(0, {'present.radius_mm': change})", {**new, "scale": scale})
    assert output(page, "present.radius_mm") == "metres"
    assert dial(page, "present.radius_mm").evaluate("input => [input.value, input.max]") == ["3", "7"]
    page.wait_for_timeout(50)
    assert told(page) == []


def test_a_move_carries_the_one_dial_moved_in_the_scale_the_page_has(show):
    page = show(main_panel())
    dial(page, "trial.radius_mm").press("ArrowRight")
    (message,) = told(page)
    now = page.evaluate("panel.data.dials['trial.radius_mm']")
    assert message == {"do": "move", "seq": 1, "values": {"trial.radius_mm": [now["edition"], now["at"] + 1]}}
    assert output(page, "trial.radius_mm") == "11.25 ft", "said before the host has answered"
    assert dial(page, "trial.radius_mm").get_attribute("aria-valuetext") == "11.25 ft"


def test_one_message_at_a_time_and_always_the_last(show):
    page = show(main_panel())
    slider = dial(page, "trial.radius_mm")
    at = page.evaluate("panel.data.dials['trial.radius_mm'].at")
    for _ in range(4):
        slider.press("ArrowRight")
    assert [message["values"]["trial.radius_mm"][1] for message in told(page)] == [at + 1]
    page.evaluate("panel.heard(1)")
    assert [message["values"]["trial.radius_mm"][1] for message in told(page)] == [at + 4]
    # The answer to the first message is late news: the handle stays where the hand has put it.
    page.evaluate("at => panel.answer(1, {'trial.radius_mm': {at, text: 'old'}})", at + 1)
    assert slider.input_value() == str(at + 4) and output(page, "trial.radius_mm") == "12 ft"
    page.evaluate("at => panel.answer(2, {'trial.radius_mm': {at, text: 'new'}})", at + 4)
    assert output(page, "trial.radius_mm") == "new"
    assert told(page) == []


def test_what_a_hand_moved_arrives_before_the_button_that_is_pressed_next(show):
    page = show(main_panel())
    slider = dial(page, "trial.radius_mm")
    at = page.evaluate("panel.data.dials['trial.radius_mm'].at")
    for _ in range(3):  # the host is still busy with the first
        slider.press("ArrowRight")
    page.get_by_role("button", name="save picture").click()
    first, last, save = told(page)
    assert [one["values"]["trial.radius_mm"][1] for one in (first, last)] == [at + 1, at + 3]
    assert (last["seq"], save["do"]) == (2, "save")
    page.evaluate("panel.heard(1); panel.heard(2)")
    assert told(page) == []


def test_a_hand_that_goes_on_while_the_scale_changes_moves_in_the_scale_it_sees(show):
    page = show(main_panel())
    slider = dial(page, "trial.radius_mm")
    edition, at = page.evaluate(
        "[panel.data.dials['trial.radius_mm'].edition, panel.data.dials['trial.radius_mm'].at]"
    )
    dial(page, "units").select_option(index=1)
    slider.press("ArrowRight")
    scale = {"low": 1.0, "step": 0.05, "decimals": 2, "trim": False, "unit": " m"}
    metric = {"edition": edition + 1, "at": 47, "last": 200, "scale": scale, "text": "3.35 m"}
    page.evaluate("metric => panel.answer(1, {'trial.radius_mm': metric})", metric)
    slider.press("ArrowRight")
    assert output(page, "trial.radius_mm") == "11.5 ft"
    page.evaluate("panel.heard(2)")
    moves = [message["values"].get("trial.radius_mm") for message in told(page)]
    assert moves == [None, [edition, at + 1], [edition, at + 2]]
    page.evaluate("metric => panel.answer(3, {'trial.radius_mm': metric})", metric)
    assert output(page, "trial.radius_mm") == "3.35 m"


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


def test_two_views_of_one_panel_follow_each_other(show):
    page = show(main_panel())
    at = page.evaluate("panel.data.dials['trial.radius_mm'].at")
    one = dial(page, "trial.radius_mm").first
    one.press("ArrowRight")
    page.evaluate("at => panel.answer(1, {'trial.radius_mm': {at, text: 'first'}})", at + 1)
    page.evaluate("panel.view()")
    two = dial(page, "trial.radius_mm").last
    assert two.input_value() == str(at + 1), "a view that opens later begins with what is shown"
    two.press("ArrowRight")
    assert [message["seq"] for message in told(page)] == [1, 2]
    page.evaluate("at => panel.answer(2, {'trial.radius_mm': {at, text: 'second'}})", at + 2)
    assert one.input_value() == str(at + 2)
    one.press("ArrowLeft")
    assert told(page) == [
        {"do": "move", "seq": 3, "values": {"trial.radius_mm": [page.evaluate(EDITION), at + 1]}}
    ]


def test_a_view_that_is_closed_hears_no_more_and_plays_no_more(show):
    page = show(make())
    page.locator(".bladelab-play").click()
    page.wait_for_function("panel.told.length === 1")
    page.evaluate("panel.end(); document.querySelector('main').remove(); panel.heard(1)")
    page.wait_for_timeout(150)
    assert page.evaluate("[panel.ears.length, panel.told.length]") == [0, 1]


def test_a_panel_without_an_answer_says_so_until_it_has_one(show, blank):
    blank.clock.install()
    page = show(main_panel())
    line = page.locator(".bladelab-report")
    dial(page, "trial.radius_mm").press("ArrowRight")
    page.clock.fast_forward(14_000)
    assert not line.is_visible()
    page.clock.fast_forward(2_000)
    assert line.inner_text().startswith("No answer yet") and "run the cell again" in line.inner_text()
    assert page.locator(".bladelab-picture.bladelab-stale").count() == 1
    page.evaluate("panel.answer(1)")
    assert not line.is_visible() and page.locator(".bladelab-stale").count() == 0
    page.clock.fast_forward(20_000)
    assert not line.is_visible(), "nothing is due any more"
    page.evaluate("panel.lost()")
    assert line.is_visible(), "a restarted kernel shows at once"
    page.clock.resume()


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


def test_a_narrow_picture_has_its_controls_beside_it_and_is_readable_on_a_phone(show, blank):
    boxes = """() => ['.bladelab-picture', '[data-dial]:not([data-dial="units"])'].map(
        name => document.querySelector(`.bladelab-body ${name}`).getBoundingClientRect().toJSON())"""
    letters = """() => [...document.querySelectorAll('.bladelab-picture svg text')].map(
        text => parseFloat(getComputedStyle(text).fontSize) * text.getScreenCTM().a)"""
    picture, control = show(complaint_panel()).evaluate(boxes)
    assert picture["width"] == 480 and control["left"] > picture["right"]
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


def test_buttons_units_and_saving_tell_the_host(show):
    page = show(main_panel())
    page.get_by_role("button", name="start the trial").click()
    page.get_by_label("kind of picture file").select_option("SVG")
    page.get_by_role("button", name="save picture").click()
    dial(page, "units").select_option(index=1)
    assert told(page) == [
        {"do": "press", "button": 0},
        {"do": "save", "form": "SVG"},
        {"do": "move", "seq": 1, "values": {"units": [0, 1]}},
    ]
    assert not page.get_by_role("button", name="stop").is_visible()
    page.evaluate("panel.report({text: 'frame 1 of 8', going: true, done: 1, total: 8})")
    page.get_by_role("button", name="stop").click()
    assert told(page) == [{"do": "stop"}]
    assert page.get_by_role("button", name="save picture").is_disabled()
    assert page.locator(".bladelab-report").inner_text() == "frame 1 of 8"


def test_the_player_waits_for_the_picture_and_plays_on_from_where_it_is_moved_to(show):
    page = show(make())
    page.locator(".bladelab-play").click()
    page.wait_for_function("panel.told.length === 1")
    page.wait_for_timeout(150)
    (first,) = told(page)
    assert first["values"]["frame"][1] == 1, "the next step waits until this one was heard"
    page.evaluate("panel.heard(1)")
    page.wait_for_function("panel.told.length === 1")
    assert told(page)[0]["values"]["frame"][1] == 2
    page.locator(".bladelab-play").click()
    page.evaluate("panel.heard(2)")
    page.wait_for_timeout(150)
    assert told(page) == []


def test_with_no_skater_the_bar_is_the_choice_and_nothing_else(show):
    page = show(make())
    bar = page.locator(".bladelab-bar")
    assert dial(page, "skater").evaluate("one => one.selectedOptions[0].textContent") == "no skater"
    assert bar.locator("button:visible, p:visible, input:visible").count() == 0
    assert not dial(page, "side").is_visible()
    page.evaluate("window.dispatchEvent(new Event('focus'))")
    page.wait_for_timeout(80)
    assert told(page) == [], "there is no book to look at"


def test_a_skater_is_chosen_and_what_is_on_the_card_is_said(show):
    page = show(make())
    page.evaluate("panel.bar({codes: ['K07', 'K08']})")
    dial(page, "skater").select_option("K08")
    assert told(page) == [{"do": "card", "act": "choose", "value": "K08"}]
    page.evaluate("panel.bar({code: 'K08', says: 'No trial yet.', side: 'left'})")
    assert dial(page, "skater").input_value() == "K08"
    assert page.locator(".bladelab-bar").get_by_text("No trial yet.").is_visible()
    assert page.get_by_role("combobox", name="skater").count() == 1
    dial(page, "side").select_option("right")
    assert told(page) == [{"do": "card", "act": "side", "value": "right"}]
    page.evaluate("panel.bar({told: 'The card has changed.', buttons: [['load', 'load it']]})")
    assert page.get_by_role("status").get_by_text("The card has changed.").is_visible()
    page.get_by_role("button", name="load it").click()
    assert told(page) == [{"do": "card", "act": "press", "value": "load"}]


def test_a_new_skaters_code_is_typed(show):
    page = show(make())
    field = page.get_by_label("code of the new skater")
    dial(page, "skater").select_option("+")
    assert told(page) == [] and field.evaluate("one => one === document.activeElement")
    page.keyboard.type("Anna")
    page.keyboard.press("Enter")
    assert told(page) == [{"do": "card", "act": "begin", "value": "Anna"}]
    page.evaluate("panel.bar({told: 'It must be a code.', fault: true})")
    assert field.is_visible() and field.input_value() == "Anna", "it can be mended"
    page.keyboard.press("Escape")
    assert not field.is_visible() and dial(page, "skater").input_value() == ""
    dial(page, "skater").select_option("+")
    page.evaluate("panel.bar({code: 'K09', codes: ['K09'], told: '', fault: false})")
    assert not field.is_visible() and dial(page, "skater").input_value() == "K09"


def test_a_button_of_the_bar_keeps_the_focus_while_its_words_change(show):
    page = show(make())
    page.evaluate("panel.bar({code: 'K07', codes: ['K07'], buttons: [['keep', 'keep 80 kg']]})")
    page.get_by_role("button", name="keep 80 kg").focus()
    page.evaluate("panel.bar({buttons: [['keep', 'keep 81 kg']]})")
    assert page.evaluate("document.activeElement.textContent") == "keep 81 kg"
    page.evaluate("panel.bar({buttons: [['back', 'back'], ['keep', 'keep 82 kg']]})")
    page.get_by_role("button", name="keep 82 kg").click()
    assert told(page) == [{"do": "card", "act": "press", "value": "keep"}]


def test_the_host_is_told_when_the_reader_comes_back(show):
    page = show(make())
    page.evaluate("panel.bar({looks: true})")
    page.evaluate(
        "window.dispatchEvent(new Event('focus')); document.dispatchEvent(new Event('visibilitychange'))"
    )
    page.wait_for_function("panel.told.length > 0")
    assert told(page) == [{"do": "look"}], "once for both"
    # A tab of JupyterLab is hidden, and no event of the window tells of it.
    page.evaluate("document.body.style.display = 'none'")
    page.evaluate(
        "new Promise(done => requestAnimationFrame(() => requestAnimationFrame(() => setTimeout(done))))"
    )
    page.evaluate("document.body.style.display = ''")
    page.wait_for_function("panel.told.length > 0")
    assert told(page) == [{"do": "look"}]
    page.evaluate("panel.end(); window.dispatchEvent(new Event('focus'))")
    page.wait_for_timeout(80)
    assert told(page) == []


@pytest.mark.parametrize(("width", "narrow"), [(390, True), (1000, False)])
def test_the_host_is_told_how_much_room_there_is(blank, show, width, narrow):
    panel = main_panel()
    panel.lay_out(not narrow)
    blank.set_viewport_size({"width": width, "height": 800})
    try:
        page = show(panel)
        page.wait_for_function("panel.told.length > 0")
        assert told(page) == [{"do": "narrow", "on": narrow}]
        panel.lay_out(narrow)
        data = data_of(panel)
        size = data["size"]
        page.evaluate("data => panel.answer(0, {}, data)", data)
        box = page.locator(".bladelab-picture").bounding_box()
        assert box["height"] <= 0.55 * 800 + 1 and box["width"] <= min(width, 920)
        inside = page.locator(".bladelab-picture > div").first.bounding_box()
        assert inside["width"] / inside["height"] == pytest.approx(size["width"] / size["height"], rel=0.02)
        page.wait_for_timeout(50)
        assert told(page) == [], "asked once"
    finally:
        blank.set_viewport_size({"width": 1000, "height": 800})
