"""The player beside a slider: it goes on from where the slider is, and stops when it should."""

from tests.browser import samples
from tests.browser.page import until, wait_for

SLIDER = "moment of the stride"

# Runs in the page: notes each value that the slider shows.
NOTE_VALUES = """
() => {
  window.seen = [];
  const readout = document.querySelector('[data-dial=frame]').closest('label').querySelector('output');
  const note = () => { if (seen.at(-1) !== +readout.innerText) seen.push(+readout.innerText); };
  new MutationObserver(note).observe(readout, {characterData: true, childList: true, subtree: true});
}
"""


def test_the_player_goes_on_from_where_the_slider_was_moved_to(lab, sample, open_notebook):
    path = sample("notebooks/stride.ipynb", run_on_open=True, code=samples.STRIDE)
    notebook = open_notebook(lab, path.name)
    notebook.wait_until_run()
    notebook.wait_for_panel()
    player = notebook.page.locator(".bladelab-play")
    assert notebook.slider_value(SLIDER) == "22"

    notebook.press(SLIDER, "Home")
    notebook.press(SLIDER, "ArrowRight", times=2)
    assert notebook.slider_value(SLIDER) == "2"
    before = notebook.pictures(), notebook.sentences()
    notebook.page.evaluate(NOTE_VALUES)
    player.click()
    until(notebook.page, "seen.length >= 5")
    notebook.wait_for_change(*before)
    seen = notebook.page.evaluate("seen")
    assert seen == list(range(3, 3 + len(seen)))

    notebook.press(SLIDER, "End")  # by hand, while it plays: it goes on from there
    until(notebook.page, "seen.includes(40) && seen.slice(seen.indexOf(40)).includes(3)")
    seen = notebook.page.evaluate("seen.slice(seen.indexOf(40))")
    assert seen.index(3) < 12, "it went on at the end, and from the beginning again"

    player.click()
    notebook.wait_for_answer()
    frame = int(notebook.slider_value(SLIDER))
    notebook.page.wait_for_timeout(300)
    assert notebook.slider_value(SLIDER) == str(frame), "it has stopped"
    notebook.press(SLIDER, "Home")
    wait_for(lambda: notebook.sentences()[-1].startswith("At 0.00\u00a0s"), notebook.sentences)
    assert notebook.all_errors() == []
