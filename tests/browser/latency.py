"""How fast the panels answer in real JupyterLab, beside plain `interact` in the same run.

    python -m tests.browser.latency                 all notebooks that show a panel
    python -m tests.browser.latency 00 03           those whose names begin so
    python -m tests.browser.latency --sample        a small panel made for the tests, to try this

For each notebook's first panel it prints the median and the 90th percentile of the milliseconds from a key
press to the frame that shows the new picture, over `--presses` presses; how many times faster that is than an
`interact` notebook with a figure of three parts; how many pictures a second appear while a key is held and
while the mouse drags; and whether the last picture is the right one, the same as a fresh drawing of the value
at which the slider stopped.
"""

from __future__ import annotations

import argparse
import statistics
import sys
import tempfile
import time
from pathlib import Path

from tests.browser import harness, samples

HOLD_S = 2.0
KEY_REPEAT_S = 1 / 30
MOUSE_STEP_S = 1 / 60


def press_times_ms(notebook: harness.NotebookPage, label: str | int, presses: int) -> list[float]:
    """Time from each of `presses` key presses to the first frame that shows a changed picture."""
    times = []
    notebook.slider(label).focus()
    for number in range(-3, presses):  # the first three warm up
        notebook.watched()
        notebook.page.keyboard.press("ArrowLeft" if number % 2 else "ArrowRight")
        # The page is left alone meanwhile: asking it again and again would cost part of what is measured.
        notebook.page.wait_for_timeout(300)
        for _ in range(50):
            if (seen := notebook.watched(clear=False))["frames"]:
                break
            notebook.page.wait_for_timeout(300)
        if number >= 0:
            times.append(seen["frames"][0] - seen["acts"][0])
    return times


def held_key_per_s(notebook: harness.NotebookPage, label: str | int) -> float:
    """Pictures a second while arrow keys are held down, six steps to and fro so that short sliders last."""
    notebook.slider(label).focus()
    notebook.watched()
    end, step = time.monotonic() + HOLD_S, 0
    while time.monotonic() < end:
        tick = time.monotonic() + KEY_REPEAT_S
        notebook.page.keyboard.down("ArrowLeft" if step // 6 % 2 else "ArrowRight")
        step += 1
        time.sleep(max(0.0, tick - time.monotonic()))
    seen = notebook.watched(clear=False)
    for key in ("ArrowLeft", "ArrowRight"):
        notebook.page.keyboard.up(key)
    return len(seen["frames"]) / HOLD_S


def drag_per_s(notebook: harness.NotebookPage, label: str | int) -> float:
    """Pictures a second while the mouse drags the handle to and fro."""
    handle = notebook.slider(label)
    box = handle.bounding_box()
    track = handle.locator("xpath=ancestor::*[contains(@class,'noUi-target')][1]").bounding_box()
    assert box and track, "the slider is on the page"
    y = box["y"] + box["height"] / 2
    notebook.page.mouse.move(box["x"] + box["width"] / 2, y)
    notebook.page.mouse.down()
    notebook.watched()
    start = time.monotonic()
    while (passed := time.monotonic() - start) < HOLD_S:
        tick = time.monotonic() + MOUSE_STEP_S
        place = abs((passed / HOLD_S * 2 + 0.25) % 2 - 1)
        notebook.page.mouse.move(track["x"] + (0.1 + 0.8 * place) * track["width"], y)
        time.sleep(max(0.0, tick - time.monotonic()))
    seen = notebook.watched(clear=False)
    notebook.page.mouse.up()
    return len(seen["frames"]) / HOLD_S


def ends_right(notebook: harness.NotebookPage, label: str | int) -> bool:
    """Whether what is shown now is what the slider's value gives when it is drawn afresh."""
    notebook.settle()
    shown, value = notebook.pictures(), notebook.slider_value(label)
    for away, back in (("ArrowRight", "ArrowLeft"), ("ArrowLeft", "ArrowRight")):
        notebook.press(label, away)
        notebook.settle()
        if notebook.slider_value(label) != value:
            notebook.press(label, back)
            notebook.settle()
            return notebook.pictures() == shown and notebook.slider_value(label) == value
    return False


def first_that_moves(notebook: harness.NotebookPage) -> int | None:
    """Number of the first slider in sight of which one step changes a picture, or None."""
    for number in range(len(notebook.slider_labels())):
        before = notebook.pictures()
        for key in ("ArrowRight", "ArrowLeft"):
            notebook.press(number, key)
            try:
                notebook.wait_for_change(before, None, patience_s=2)
                return number
            except AssertionError:
                continue
    return None


def measure_panel(browser, server, name: str, presses: int, interact_ms: float) -> None:
    """Print the line of one notebook."""
    notebook = harness.open_notebook(browser, server, name)
    notebook.wait_for_panel()
    notebook.settle()
    notebook.watch()
    number = first_that_moves(notebook)
    if number is None:
        print(f"{name:34s} no slider in sight changes the picture")
        notebook.close()
        return
    label = notebook.slider_labels()[number]
    times = sorted(press_times_ms(notebook, number, presses))
    held = held_key_per_s(notebook, number)
    right = ends_right(notebook, number)
    dragged = drag_per_s(notebook, number)
    right &= ends_right(notebook, number)
    median = statistics.median(times)
    print_line(name, label, times, interact_ms / median, held, f"{dragged:7.1f}   {'yes' if right else 'NO'}")
    for error in notebook.all_errors():
        print("    ", error)
    notebook.close()


def print_line(name: str, label: str, times: list[float], ratio: float, held: float, rest: str) -> None:
    """Print one line of the table; `times` are sorted."""
    middle, slow = statistics.median(times), times[int(0.9 * len(times))]
    print(
        f"{name:34s} {label[:24]:24s} {middle:6.1f} {slow:6.1f} {ratio:7.1f}x {held:7.1f} {rest}", flush=True
    )


def main(arguments: list[str]) -> int:
    """Measure the notebooks named on the command line."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("names", nargs="*", help="beginnings of file names; none means all")
    parser.add_argument("--presses", type=int, default=30)
    parser.add_argument("--sample", action="store_true", help="measure the small panel of the tests")
    options = parser.parse_args(arguments)
    with tempfile.TemporaryDirectory() as temporary:
        folder = harness.copy_project(Path(temporary))
        notebooks = folder / "notebooks"
        names = [
            path.name
            for path in sorted(notebooks.glob("*.ipynb"))
            if harness.uses_widgets(path) and path.name.startswith(tuple(options.names or [""]))
        ]
        if options.sample:
            names = [samples.write_notebook(notebooks / "sample.ipynb", samples.PANEL).name]
        samples.write_notebook(notebooks / "interact.ipynb", samples.INTERACT)
        server = harness.start_server("lab", folder)
        try:
            with harness.chromium() as browser:
                plain = harness.open_notebook(browser, server, "interact.ipynb")
                plain.page.wait_for_selector(".jp-OutputArea img")
                plain.watch(".jp-OutputArea img")
                times = sorted(press_times_ms(plain, 0, options.presses))
                interact_ms = statistics.median(times)
                held = held_key_per_s(plain, 0)
                plain.close()
                print(f"{'':60s} median    p90  faster  pictures per second   ends")
                print(f"{'notebook':34s} {'slider':24s}     ms     ms          held key  drag  right")
                print_line("plain interact, three parts", "radius", times, 1, held, "      -")
                for name in names:
                    measure_panel(browser, server, name, options.presses, interact_ms)
        finally:
            server.stop()
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
