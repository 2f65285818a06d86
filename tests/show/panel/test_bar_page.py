"""bar.js alone: the skater's line over a panel, in a blank page."""

from __future__ import annotations

import pytest

from tests.show.bars import make
from tests.show.panel.lone_panel import dial, told

pytestmark = pytest.mark.browser


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


def test_hidden_and_shown_again_before_the_page_hears_of_it_is_coming_back(blank, show):
    blank.evaluate(
        """() => {
          window.Watcher = IntersectionObserver;
          window.IntersectionObserver = class {
            constructor(tell) {
              window.sight = (...seen) => tell(seen.map(isIntersecting => ({isIntersecting})));
            }
            observe() {}
            disconnect() {}
          };
        }"""
    )
    page = show(make())
    page.evaluate("window.IntersectionObserver = Watcher; panel.bar({looks: true}); sight(true)")
    page.wait_for_timeout(80)
    assert told(page) == []
    page.evaluate("sight(false, true)")
    page.wait_for_function("panel.told.length > 0", timeout=5_000)
    assert told(page) == [{"do": "look"}]


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
