"""Notebooks in real JupyterLab: each runs on opening, its panel answers and fits its space, and no error
shows.

The rest of them are looked at there as the fitter and the trainer open them, and tried as plain pages
(tests/journeys/person.py and test_walks.py).
"""

import re

import pytest

from bladelab.show.canvas.style import LINES
from tests.browser.for_all import not_by_keyboard, not_for_a_thumb, violations
from tests.browser.harness import LAPTOP, ROOT, notebook_names, tried_in_lab, uses_widgets
from tests.browser.on_paper import wrong_on_paper
from tests.browser.page import until, wait_for
from tests.screenshots import kept

# The window in which a notebook is opened. Each that is tried after it is smaller: a picture is laid out
# again whenever there comes to be too little room for it, or enough.
DESKTOP = {"width": 1920, "height": 1080}
# The colours of the curves in the picture of one notebook.
CURVES = {"06_glide.ipynb": [line["color"] for line in LINES.values()]}
# How far a narrow picture beside its controls may shrink in a low window, px.
LEAST_HEIGHT = 300

# Runs in the page: how far the panels reach beyond the room they have, and their parts beyond the picture.
REACH = """
() => [...document.querySelectorAll('.bladelab-panel')].filter(panel => panel.offsetParent).map(panel => {
  const right = element => element.getBoundingClientRect().right;
  const picture = panel.querySelector('.bladelab-picture');
  const parts = [...picture.parentElement.querySelectorAll('button, select, input')];
  return {
    beyond_cell: right(panel) - right(panel.closest('.jp-Cell')),
    // Where the window is wide, the controls have a column of their own: nothing passes under the picture.
    beside: panel.querySelector('.bladelab-side')?.getBoundingClientRect().left >= right(picture),
    beyond_picture: Math.max(...parts.filter(part => part.offsetParent).map(right)) - right(picture),
    clinic: panel.classList.contains('bladelab-clinic'),
    narrow: panel.classList.contains('bladelab-narrow'),
    height: picture.offsetHeight,
    width: picture.offsetWidth,
    whole: picture.offsetWidth + 1 >= parseFloat(panel.style.getPropertyValue('--bladelab-width')),
  };
})
"""

# Runs in the page: which sliders, menus and buttons of panels are covered when they get the focus from below,
# by the picture, which stays in sight, or by anything else; and how many there are.
COVERED = """
() => {
  const handles = [...document.querySelectorAll('.bladelab-panel :is(input, select, button)')]
    .filter(handle => handle.offsetParent && !handle.disabled);
  const covered = handles.filter(handle => {
    handle.blur();  // one that has the focus already is not moved by getting it
    handle.scrollIntoView();
    (document.querySelector('.jp-WindowedPanel-outer') ?? document.documentElement).scrollTop += 700;
    handle.focus();
    const {left, top, width, height} = handle.getBoundingClientRect();
    return [4, width / 2].some(
      across => !handle.contains(document.elementFromPoint(left + across, top + height / 2)));
  });
  return [handles.length, covered.map(handle => handle.ariaLabel ?? handle.textContent)];
}
"""


# Runs in the page: scrolls through the notebook, and tells the sentences that a picture covers a part of.
COVERED_SENTENCES = """
async () => {
  const room = document.querySelector('.jp-WindowedPanel-outer') ?? document.documentElement;
  const covered = new Set();
  const box = element => element.getBoundingClientRect();
  for (let top = 0; top < room.scrollHeight - room.clientHeight + 100; top += 100) {
    room.scrollTop = top;
    for (const sentence of document.querySelectorAll('.bladelab-sentence'))
      for (const line of sentence.querySelectorAll('p'))
        for (const part of line.getClientRects())
          for (const picture of document.querySelectorAll('.bladelab-picture'))
            if (part.top < box(picture).bottom - 1 && part.bottom > box(picture).top + 1 &&
                part.left < box(picture).right - 1)
              covered.add(line.innerText.slice(0, 60));
  }
  return [...covered];
}
"""


# Runs in the page: what of each panel is out of sight when the panel is at the top of the window.
OUT_OF_SIGHT = """
() => [...document.querySelectorAll('.bladelab-panel')].filter(panel => panel.offsetParent).flatMap(panel => {
  panel.scrollIntoView();
  const room = (panel.closest('.jp-WindowedPanel-outer') ?? document.documentElement).getBoundingClientRect();
  const bottom = Math.min(room.bottom, innerHeight), right = Math.min(room.right, innerWidth);
  return [...panel.querySelectorAll('.bladelab-picture, .bladelab-sentence, input, select, button')]
    .filter(part => part.offsetParent)
    .map(part => [part, part.getBoundingClientRect()])
    .filter(([, box]) => box.bottom > bottom + 1 || box.right > right + 1 || box.left < room.left - 1)
    .map(([part, box]) => `${part.ariaLabel || part.innerText || part.className}: ${box.bottom}`);
})
"""

# Runs in the page: how far down the first control, the first picture and the window end, px.
FIRST_SEEN = """
() => {
  const room = document.querySelector('.jp-WindowedPanel-outer') ?? document.documentElement;
  room.scrollTop = 0;
  const bottom = element => element.getBoundingClientRect().bottom;
  const panel = document.querySelector('.bladelab-panel');
  const controls = [...panel.querySelectorAll('.bladelab-controls :is(input, select)')];
  const control = controls.find(one => one.offsetParent);
  const picture = panel.querySelector('.bladelab-picture');
  return [bottom(control), bottom(picture), Math.min(bottom(room), innerHeight)];
}
"""


@pytest.mark.parametrize("name", [name for name in notebook_names() if tried_in_lab(name)])
def test_notebook_opens_runs_and_answers(lab, open_notebook, name):
    notebook = open_notebook(lab, name, **DESKTOP)
    notebook.wait_until_run()
    assert notebook.page.evaluate("document.body.dataset.jpThemeLight") == "false", "it is judged in the dark"
    if uses_widgets(ROOT / "notebooks" / name):
        notebook.wait_for_panel()
        on_the_desktop = is_seen_in_one_view(notebook)
        assert not_by_keyboard(notebook.page) == []
        units_change_no_value(notebook)
        move_a_control(notebook)
        is_right_on_paper(notebook.page, CURVES.get(name, ()))
        if name in CURVES:
            the_menu_prints_what_is_seen_and_not_the_file(notebook.page)
        keeps_to_its_space(notebook, on_the_desktop)
        fits_a_phone(notebook)
        assert violations(notebook.page) == []
    assert notebook.all_errors() == []
    assert notebook.dialogs() == []


def is_right_on_paper(page, colours):
    """All of the page is on paper as it is now; on a busy machine the last answer may still come."""
    wait_for(lambda: not wrong_on_paper(page, "A4", colours), lambda: wrong_on_paper(page, "A4", colours))


def the_menu_prints_what_is_seen_and_not_the_file(page):
    page.evaluate("() => { window.timesPrinted = 0; window.print = () => { window.timesPrinted += 1; }; }")
    page.get_by_role("menuitem", name="File", exact=True).click()
    page.locator(".lm-Menu-item", has_text=re.compile(r"^Print")).click()
    until(page, "window.timesPrinted === 1")
    assert page.locator("iframe").count() == 0, "no other page is made to be printed"


def units_change_no_value(notebook):
    """To metric units and back: what nobody moved reads as before, in every slider, sentence and picture."""

    def shown():
        return notebook.readouts(), notebook.sentences(), notebook.pictures()

    notebook.wait_for_answer()
    before = shown()
    for number in [i for i, label in enumerate(notebook.dropdown_labels()) if label == "units"][:1]:
        notebook.choose(number, 1)
        notebook.wait_for_answer()
        notebook.choose(number, 0)
        wait_for(lambda: shown() == before, lambda: f"{shown()[:2]} was {before[:2]}")


def move_a_control(notebook):
    """Move every slider, and see that a picture and a sentence have changed; else dropdowns and tick boxes in
    turn.

    One slider alone would not do: the length of a blade, say, does not change how it bites, and one step may
    be too small for the rounded numbers of a sentence.
    """
    notebook.wait_for_answer()
    pictures, sentences = notebook.pictures(), notebook.sentences()
    assert sentences and all(sentences), "a panel says what it shows"

    def answered():
        notebook.wait_for_answer()
        return notebook.pictures() != pictures and notebook.sentences() != sentences

    labels, values = notebook.slider_labels(), notebook.slider_values()

    def still() -> list[int]:
        pairs = zip(values, notebook.slider_values(), strict=False)  # one that moves may bring others
        return [number for number, (old, new) in enumerate(pairs) if old == new]

    for key in ("PageUp", "PageDown"):  # five steps; down, where a slider was at its right end
        for number in still():
            notebook.press(number, key)
    assert still() == [], f"each slider moves, of {labels}"
    if labels and answered():
        return
    for number, label in enumerate(notebook.dropdown_labels()):
        if label in ("", "units"):  # the form of a saved picture, and units, which change any panel
            continue
        before = notebook.choose_other(number)
        if answered():
            return
        notebook.choose(number, before)
        notebook.wait_for_answer()
    for number in range(notebook.page.locator("input[type=checkbox]:visible").count()):
        notebook.tick(number)
        if answered():
            return
    raise AssertionError(f"nothing changes a picture and a sentence; the sliders are {labels}")


def is_seen_in_one_view(notebook):
    """Picture, sentence and controls of a panel are seen together, on the desktop on which it was opened and
    on a small laptop, whose size the window keeps. Returns how far the panels reached on the desktop."""
    assert notebook.page.viewport_size == DESKTOP
    nothing_is_out_of_sight(notebook)
    reach = notebook.page.evaluate(REACH)
    resize(notebook.page, **LAPTOP)
    opens_on_its_panel(notebook)
    nothing_is_out_of_sight(notebook)
    notebook.screenshot(kept(f"{notebook.server.kind}-{notebook.name[:2]}-1366.jpg"))
    return reach


def nothing_is_out_of_sight(notebook):
    """Each panel is in sight as a whole, in the window as it is; the page follows it a moment later."""
    wait_for(
        lambda: not notebook.page.evaluate(OUT_OF_SIGHT),
        lambda: f"{notebook.page.viewport_size}: {notebook.page.evaluate(OUT_OF_SIGHT)}",
        patience_s=5,
    )


def opens_on_its_panel(notebook):
    """The first control and the picture are in view without scrolling."""

    def opens() -> bool:
        control, picture, window = notebook.page.evaluate(FIRST_SEEN)
        return control <= window and picture <= window

    wait_for(opens, lambda: f"{notebook.name}: {notebook.page.evaluate(FIRST_SEEN)}", patience_s=5)


def fits_a_phone(notebook):
    """Nothing is cut off or too small for a thumb on a tablet or on a phone, whose size the window keeps."""
    for width, height in ((768, 1024), (390, 844)):
        resize(notebook.page, width, height)
        notebook.wait_for_answer()  # the picture is laid out for the phone
        wait_for(
            lambda: not not_for_a_thumb(notebook.page),
            lambda: f"{notebook.page.viewport_size}: {not_for_a_thumb(notebook.page)}",
            patience_s=10,
        )
    notebook.screenshot(kept(f"{notebook.server.kind}-{notebook.name[:2]}-{width}.jpg"))


def keeps_to_its_space(notebook, on_the_desktop):
    """On a laptop no picture covers a sentence and nothing covers a control, and panels fit a smaller window,
    as they did the desktop."""
    # JupyterLab's splash screen may still fade, over a notebook that runs already.
    until(notebook.page, "() => !document.querySelector('#jupyterlab-splash')")
    assert notebook.page.evaluate(COVERED_SENTENCES) == []
    handles, covered = notebook.page.evaluate(COVERED)
    assert handles >= len(notebook.slider_labels()) and covered == []
    keeps_to_its_width(notebook, on_the_desktop)


def keeps_to_its_width(notebook, large):
    """In a small window a panel shrinks, a moment after the window; in a large one nothing sticks out beside
    the picture."""
    resize(notebook.page, 1024, 768)

    def reach():
        return notebook.page.evaluate(REACH)

    wait_for(lambda: is_in_its_width(reach(), large), lambda: f"{reach()} was {large}", patience_s=10)


def is_in_its_width(small, large):
    """Whether all panels keep to their space, in the small window and in the large one."""
    fits = small[0]["whole"] or (small[0]["narrow"] and small[0]["height"] >= LEAST_HEIGHT)
    shrinks = small[0]["whole"] or small[0]["width"] < large[0]["width"]
    # A slide is narrower than its controls, and what scrolls by beside it is covered.
    inside = all(
        panel["beyond_cell"] <= 0 and (panel["clinic"] or panel["beside"] or panel["beyond_picture"] <= 0)
        for panel in [*small, *large]
    )
    return (
        shrinks
        and inside
        and (large[0]["clinic"] or (large[0]["beside"] and (fits or not small[0]["beside"])))
    )


def resize(page, width, height):
    """Give the window a size, and wait until the notebook fills it: JupyterLab follows a moment later."""
    if not page.locator(".jp-NotebookPanel").count():
        page.set_viewport_size({"width": width, "height": height})
        return
    # What is right of the notebook but for the side bar, which a phone does without.
    beside = """(window.innerWidth - document.querySelector('.jp-NotebookPanel').getBoundingClientRect().right
                 - document.querySelector('.jp-SideBar.jp-mod-right').offsetWidth)"""
    before = page.evaluate(beside)
    page.set_viewport_size({"width": width, "height": height})
    until(page, f"before => Math.abs({beside} - before) < 1", before)
