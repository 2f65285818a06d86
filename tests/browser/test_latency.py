"""The script that measures from key press to picture finds the slider, and sees that its picture is right."""

import re

import pytest

from tests.browser import harness, latency
from tools import execute_notebooks


@pytest.fixture
def table(lab, browser, windows, project_copy, capsys, monkeypatch):
    """What the script prints of the small panel of these tests."""
    monkeypatch.setattr(latency, "HOLD_S", latency.HOLD_S)
    monkeypatch.setattr(latency, "_MOST_STEPS", latency._MOST_STEPS)
    window = windows.setdefault("lab", harness.Window(browser, lab))
    listed = execute_notebooks.read_list(project_copy)
    latency.measure(latency.options_from(["--sample", "--presses", "1", "--hold", "0.2"]), window)
    yield capsys.readouterr().out.splitlines()
    execute_notebooks.write_list(project_copy, listed)
    for name in ("sample", "interact"):
        (project_copy / "notebooks" / f"{name}.ipynb").unlink()


def test_a_panel_is_measured_beside_plain_interact(table):
    plain, panel = (line for line in table if re.match("plain interact|sample", line))
    assert re.match(r"plain interact +radius +\d+\.\d", plain)
    assert re.match(r"sample\.ipynb +speed +\d+\.\d +\d+\.\d .*yes$", panel), table
    assert len(table) == 4, "no error of the page"
