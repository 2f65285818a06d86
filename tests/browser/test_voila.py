"""Notebooks as plain pages under voila: the panel is there, answers, and no code and no error shows.

test_jupyterlab.py opens every notebook. These have between them each kind of panel and control there is,
which is what voila might show otherwise: a stride that plays, tabs, a form with dates, files and a
photograph, slides.
"""

import pytest

from tests.browser.test_jupyterlab import move_a_control


@pytest.mark.parametrize(
    "name",
    [
        "00_start_here.ipynb",
        "05_push_hold_and_turn.ipynb",
        "10_keep_a_trial_log.ipynb",
        "11_measure_a_blade.ipynb",
        "15_the_clinic.ipynb",
    ],
)
def test_page_opens_and_answers(voila, open_notebook, name):
    page = open_notebook(voila, name)
    page.wait_until_run()
    page.wait_for_panel()
    move_a_control(page)
    assert page.all_errors() == []
    assert page.page.locator(".jp-InputArea-editor, .jp-InputArea .highlight").count() == 0
