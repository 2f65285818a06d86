"""The kernel dies in the middle of something: no file is harmed, and running again mends it."""

import contextlib
import hashlib
import os
import re
import signal

import psutil
import pytest
from PIL import Image

from tests.browser.page import until, wait_for
from tests.browser.test_dials import save_moving_picture

STRIDE = "05_push_hold_and_turn.ipynb"


def kill_kernel(server):
    """End the one kernel that the server runs, as if the machine had run out of memory. One that was forked
    ends with the process that stands for it."""
    os.kill(wait_for(lambda: only_kernel(server)).pid, signal.SIGKILL)


def only_kernel(server):
    """The server's kernel; None while one of a notebook closed before has not gone yet."""
    kernels = []
    for process in psutil.Process(server.process.pid).children(recursive=True):
        with contextlib.suppress(psutil.Error):
            # The last word is the file that says how to reach it.
            if re.search(r"kernel-[\w-]+\.json$", " ".join(process.cmdline())):
                kernels.append(process)
    return kernels[0] if len(kernels) == 1 else None


def contents(folder):
    """What the reader's files hold, by their path; JupyterLab's own checkpoints left out."""
    files = [path for path in folder.rglob("*") if path.is_file() and ".ipynb_checkpoints" not in path.parts]
    return {path.relative_to(folder): hashlib.sha256(path.read_bytes()).hexdigest() for path in files}


def while_a_slider_moves(notebook):
    notebook.press("moment of the stride", "ArrowRight", times=6)


def while_a_moving_picture_is_saved(notebook):
    save_moving_picture(notebook)


def while_a_picture_is_saved(notebook):
    notebook.page.get_by_role("button", name="save picture").last.click()


@pytest.mark.skipif(os.name == "nt", reason="Windows has no signal that kills")
def test_a_killed_kernel_harms_no_file_and_can_be_run_again(lab, project_copy, saved, open_notebook):
    notebook = open_notebook(lab, STRIDE)
    notebook.wait_until_run()
    notebook.wait_for_panel()
    notebook.wait_for_answer()
    for act in (while_a_slider_moves, while_a_moving_picture_is_saved, while_a_picture_is_saved):
        before = contents(project_copy / "notebooks")
        act(notebook)
        kill_kernel(lab)
        dialog = notebook.page.locator(".jp-Dialog", has_text="Kernel Restarting")
        dialog.wait_for(timeout=60_000)
        assert "appears to have died" in dialog.inner_text()
        no_file_is_harmed(project_copy / "notebooks", before, saved)
        dialog.get_by_role("button", name="Ok").click()
        run_again(notebook)


def no_file_is_harmed(folder, before, saved):
    """What was there is as it was; what came is whole, or says by its name that it is not."""
    after = contents(folder)
    assert {path: after.get(path) for path in before} == before
    for path in after.keys() - before.keys():
        if not path.name.startswith(".unfinished-"):
            assert (folder / path).parent == saved and path.suffix == ".png"
            Image.open(folder / path).load()  # raises if it is not whole


def run_again(notebook):
    """Run all cells in the new kernel: the panel answers again, and saves."""
    notebook.wait_for_kernel()
    shown = notebook.page.locator(".bladelab-panel").evaluate_all(
        "all => all.map(one => one.dataset.old = 'yes')"
    )
    assert len(shown) == 2
    notebook.run_all()
    fresh = ".bladelab-panel:not([data-old]) .bladelab-picture svg"
    until(notebook.page, f"document.querySelectorAll('{fresh}').length === 2", patience_s=90)
    notebook.page.locator("[data-dial=frame]:visible").wait_for()
    notebook.wait_for_answer()
    pictures, sentences = notebook.pictures(), notebook.sentences()
    notebook.press("moment of the stride", "ArrowRight", times=3)
    notebook.wait_for_change(pictures, sentences)
    notebook.page.get_by_role("button", name="save picture").last.click()
    notebook.page.locator(".bladelab-report:visible", has_text="saved as").wait_for()
    assert notebook.cell_errors() == []
