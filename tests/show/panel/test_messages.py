"""panel.js alone: what it tells its host and when, and what it makes of the answers."""

from __future__ import annotations

import pytest

from bladelab.show.panels.blade.main import main_panel
from tests.show.bars import make
from tests.show.panel.lone_panel import data_of, dial, output, told

pytestmark = pytest.mark.browser


EDITION = "panel.data.dials['trial.radius_mm'].edition"


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
