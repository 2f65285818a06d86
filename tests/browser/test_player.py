"""The player beside a slider: it goes on from where the slider stands, and stops where it is told to."""

STRIDE = "05_push_hold_and_turn.ipynb"
SLIDER = "moment of the stride"

# Runs in the page: notes each value that the slider shows.
NOTE_VALUES = """
label => {
  window.seen = [];
  const sliders = [...document.querySelectorAll('.widget-slider')];
  const readout = sliders.find(box => box.innerText.includes(label)).querySelector('.widget-readout');
  const note = () => seen.push(+readout.innerText);
  new MutationObserver(note).observe(readout, {characterData: true, childList: true, subtree: true});
}
"""


def test_the_player_goes_on_from_where_the_slider_was_moved_to(lab, open_notebook):
    notebook = open_notebook(lab, STRIDE)
    notebook.wait_until_run()
    notebook.wait_for_panel()
    play, stop = (notebook.page.locator(f".widget-play button:has(.fa-{name})") for name in ("play", "stop"))
    assert notebook.slider_value(SLIDER) == "22"

    notebook.press(SLIDER, "Home")
    notebook.press(SLIDER, "ArrowRight", times=2)
    notebook.wait_for_answer(quiet_s=0.4)  # no longer: who plays soon after moving goes on from there too
    assert notebook.slider_value(SLIDER) == "2", "the player that follows leaves the slider where it is"

    before = notebook.pictures(), notebook.sentences()
    notebook.page.evaluate(NOTE_VALUES, SLIDER)
    play.click()
    notebook.page.wait_for_function("seen.length >= 5")
    notebook.wait_for_change(*before)
    seen = notebook.page.evaluate("seen")
    assert seen == list(range(3, 3 + len(seen)))

    notebook.press(SLIDER, "End")  # by hand, while it plays: it goes on from there
    notebook.page.wait_for_function("seen.includes(40) && seen.slice(seen.indexOf(40)).includes(3)")
    seen = notebook.page.evaluate("seen.slice(seen.indexOf(40))")
    assert seen.index(3) < 12, "it went on at the end, and from the beginning again"

    stop.click()
    notebook.wait_for_answer()
    assert notebook.slider_value(SLIDER) == "0"
    assert notebook.sentences()[-1].startswith("At 0.00\u00a0s")
    assert notebook.all_errors() == []
