"""In a small window a panel shrinks; in a large one nothing stands out beside the picture."""

import pytest

# Runs in the page: how far the panels reach beyond the room they have, and their parts beyond the picture.
REACH = """
() => [...document.querySelectorAll('.bladelab-panel')].map(panel => {
  const right = element => element.getBoundingClientRect().right;
  const picture = panel.querySelector('.bladelab-picture');
  const parts = [...picture.parentElement.querySelectorAll('button, select, .widget-tab, .widget-slider')];
  return {
    beyond_cell: right(panel) - right(panel.closest('.jp-Cell')),
    beyond_picture: Math.max(...parts.filter(part => part.offsetParent).map(right)) - right(picture),
    clinic: panel.classList.contains('bladelab-clinic'),
    width: picture.offsetWidth,
  };
})
"""


@pytest.mark.parametrize("name", ["06_glide.ipynb", "13_what_a_change_costs.ipynb", "15_the_clinic.ipynb"])
def test_panels_keep_to_their_width(name, lab, open_notebook):
    notebook = open_notebook(lab, name, width=1024, height=768)
    notebook.wait_until_run()
    notebook.wait_for_panel()
    notebook.settle()
    small = notebook.page.evaluate(REACH)
    notebook.page.set_viewport_size({"width": 1920, "height": 1080})
    notebook.page.wait_for_function(
        "width => document.querySelector('.bladelab-picture').offsetWidth > width", arg=small[0]["width"]
    )
    for panel in [*small, *notebook.page.evaluate(REACH)]:
        assert panel["beyond_cell"] <= 0
        # A slide is narrower than its controls, and what scrolls by beside it is covered.
        assert panel["clinic"] or panel["beyond_picture"] <= 0
