"""How fast the panels answer in real JupyterLab, beside plain `interact` in the same run.

    python -m tests.browser.latency                 every panel of every notebook
    python -m tests.browser.latency 00 03           those of the notebooks whose names begin so
    python -m tests.browser.latency --sample        a small panel made for the tests, to try this

For each panel, and its slider of which the most steps change the picture (rounded numbers may stay as they
are), it prints the median and the 90th percentile of the milliseconds from a key press to the frame
that shows the new picture, over `--presses` presses; how many times faster that is than `interact` around a
function that redraws the same picture, and than `interact` around a plain figure of three parts; how many
pictures a second appear while a key is held and while the mouse drags, and how many values a second the
dragged handle passed (a slider of few steps has no more to show); and whether the last picture is the right
one, the same as a fresh drawing of the value at which the slider stopped.
"""

from __future__ import annotations

import argparse
import itertools
import math
import re
import statistics
import sys
import tempfile
import time
from pathlib import Path

import nbformat

from tests.browser import harness, samples
from tests.browser.page import HANDLES

HOLD_S = 2.0
KEY_REPEAT_S = 1 / 30
_MOST_STEPS = 30  # that a held key goes before it turns
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


def steps_to_ends(notebook: harness.NotebookPage, number: int) -> tuple[int, int]:
    """How many steps the slider can go down and up from where it is."""
    down, up = notebook.slider(number).evaluate(
        """handle => {
          if (handle.type === 'range') return [handle.value - handle.min, handle.max - handle.value];
          const {start, range, step} = {...handle.closest('.noUi-target').noUiSlider.options};
          const low = [range.min].flat()[0], high = [range.max].flat()[0];
          const now = Number(handle.closest('.noUi-target').noUiSlider.get(true));
          return [(now - low) / step, (high - now) / step];
        }"""
    )
    return round(down), round(up)


def keys_and_turn(notebook: harness.NotebookPage, number: int) -> tuple[tuple[str, str], int]:
    """The keys to where a slider has more room and back, and how many steps to go before turning: as many
    as there are, at most 30."""
    down, up = steps_to_ends(notebook, number)
    keys = ("ArrowRight", "ArrowLeft") if up >= down else ("ArrowLeft", "ArrowRight")
    return keys, max(1, min(_MOST_STEPS, max(up, down)))


def held_key_per_s(notebook: harness.NotebookPage, number: int) -> float:
    """Pictures a second while an arrow key is held down; at the end of a slider, or after 30 steps, back."""
    keys, turn = keys_and_turn(notebook, number)
    notebook.slider(number).focus()
    notebook.watched()
    end, step = time.monotonic() + HOLD_S, 0
    while time.monotonic() < end:
        tick = time.monotonic() + KEY_REPEAT_S
        notebook.page.keyboard.down(keys[step // turn % 2])
        step += 1
        time.sleep(max(0.0, tick - time.monotonic()))
    seen = notebook.watched(clear=False)
    for key in keys:
        notebook.page.keyboard.up(key)
    return len(seen["frames"]) / HOLD_S


def drag_per_s(notebook: harness.NotebookPage, label: str | int) -> tuple[float, float]:
    """Pictures, and values of the slider, a second while the mouse drags the handle to and fro."""
    handle = notebook.slider(label)
    handle.scroll_into_view_if_needed()
    box = handle.bounding_box()
    track = handle.evaluate(
        "handle => (handle.closest('.noUi-target') ?? handle).getBoundingClientRect().toJSON()"
    )
    if handle.evaluate("handle => handle.type === 'range'"):  # take it by its knob
        share = handle.evaluate("handle => (handle.value - handle.min) / (handle.max - handle.min)")
        box = {**box, "x": track["x"] + 8 + share * (track["width"] - 16), "width": 0}
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
    return len(seen["frames"]) / HOLD_S, len(seen["values"]) / HOLD_S


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


def liveliest(notebook: harness.NotebookPage, panel: int = 0) -> int | None:
    """Number of the slider in sight of one panel of which the most steps change a picture, the first among
    equals; None where no step of any does.

    Where numbers are shown rounded, a step may leave the picture as it is, and there is nothing to count.
    """
    of_panel = notebook.page.evaluate(
        f"""() => {{ const panels = [...document.querySelectorAll('.bladelab-panel')];
             return {HANDLES}.map(one => panels.indexOf(one.closest('.bladelab-panel'))); }}"""
    )
    best, most = None, 0
    for number in (n for n, of in enumerate(of_panel) if of == panel):
        (key, back), turn = keys_and_turn(notebook, number)
        seen = [notebook.pictures()]
        for _ in range(turn):
            notebook.press(number, key)
            notebook.wait_for_answer()
            seen.append(notebook.pictures())
        for _ in range(turn):
            notebook.press(number, back)
            notebook.wait_for_answer()
        changes = sum(before != after for before, after in itertools.pairwise(seen))
        if changes > most:
            best, most = number, changes
        if changes == _MOST_STEPS:
            break
    return best


def panel_calls(path: Path) -> list[tuple[str, str]]:
    """Import line and call of each panel with sliders that a notebook shows, in order."""
    found = []
    for cell in nbformat.read(path, as_version=4).cells:
        call = re.search(r"^(\w+_panel)\(\)\s*$", cell.source, re.M)
        home = call and re.search(rf"^from \S+ import .*\b{call[1]}\b.*$", cell.source, re.M)
        if call and home:
            # The clinic's slides are no panel that `interact` could show.
            found.append(("" if call[1] == "clinic_panel" else home[0], call[0].strip()))
    return found


# `interact` around the same picture, as one would write it: each move makes a new figure and shows it.
_SAME_PICTURE = """
{home}
from IPython.display import Image, display
from ipywidgets import IntSlider, interact

made = {call}
panel = getattr(made, "panel", made)
dial = next(one for one in panel.dials.values() if one.control.label == {label!r} and one.shown)
page, positions = dial.page(), dial.positions

@interact(at=IntSlider(value=page["at"], min=0, max=page["last"]))
def show(at):
    dial._value = positions.value(at)
    view = type(panel.view)()
    view.show(panel._picture.answer(panel.state()))
    display(Image(view.png(1.0)))
"""


def interact_ms(window: harness.Window, code: str, presses: int) -> tuple[list[float], float]:
    """Times of key presses on an `interact` slider, ms, sorted; and its pictures a second on a held key."""
    name = samples.write_notebook(folder_of(window) / "interact.ipynb", code).name
    plain = window.open(name)
    plain.wait_until_run()
    plain.page.wait_for_selector(".jp-OutputArea img")
    plain.watch(".jp-OutputArea img")
    times = sorted(press_times_ms(plain, 0, presses))
    held = held_key_per_s(plain, 0)
    window.close_notebook()
    return times, held


def folder_of(window: harness.Window) -> Path:
    """Where the notebooks lie that the window opens."""
    return window.server.folder / "notebooks"


def measure_notebook(window: harness.Window, name: str, presses: int, plain_ms: float) -> None:
    """Print a line for each panel of one notebook."""
    calls = panel_calls(folder_of(window) / name) or [("", name)]
    for panel, (home, call) in enumerate(calls):
        notebook = window.open(name)
        notebook.wait_until_run()
        notebook.wait_for_panel()
        notebook.wait_for_answer()
        notebook.watch()
        number = liveliest(notebook, panel)
        if number is None:
            print(f"{call:24s} no slider in sight changes the picture", flush=True)
            window.close_notebook()
            continue
        label = notebook.slider_labels()[number]
        times = sorted(press_times_ms(notebook, number, presses))
        held = held_key_per_s(notebook, number)
        right = ends_right(notebook, number)
        dragged, passed = drag_per_s(notebook, number)
        right &= ends_right(notebook, number)
        errors = notebook.all_errors()
        window.close_notebook()
        same = math.nan
        if home:
            code = _SAME_PICTURE.format(home=home, call=call, label=label)
            same = statistics.median(interact_ms(window, code, max(5, presses // 3))[0])
        median = statistics.median(times)
        print_line(
            call, label, times, (same / median, plain_ms / median), held,
            f"{dragged:6.1f} of {passed:4.1f}   {'yes' if right else 'NO'}",
        )  # fmt: skip
        for error in errors:
            print("    ", error)


def print_line(
    name: str, label: str, times: list[float], ratios: tuple[float, float], held: float, rest: str
) -> None:
    """Print one line of the table; `times` are sorted."""
    middle, slow = statistics.median(times), times[int(0.9 * len(times))]
    print(
        f"{name:24s} {label[:24]:24s} {middle:6.1f} {slow:6.1f} {ratios[0]:7.1f}x {ratios[1]:6.1f}x "
        f"{held:7.1f} {rest}",
        flush=True,
    )


def options_from(arguments: list[str]) -> argparse.Namespace:
    """Read the command line."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("names", nargs="*", help="beginnings of file names; none means all")
    parser.add_argument("--presses", type=int, default=30)
    parser.add_argument(
        "--hold", type=float, default=HOLD_S, help="seconds that a key is held, a mouse drags"
    )
    parser.add_argument("--sample", action="store_true", help="measure the small panel of the tests")
    return parser.parse_args(arguments)


def measure(options: argparse.Namespace, window: harness.Window) -> None:
    """Measure the panels of the notebooks that the command line names, and print the table."""
    global HOLD_S, _MOST_STEPS
    HOLD_S = options.hold
    notebooks = folder_of(window)
    if options.sample:
        _MOST_STEPS = 3
        names = [samples.write_notebook(notebooks / "sample.ipynb", samples.PANEL).name]
    else:
        names = [
            path.name
            for path in sorted(notebooks.glob("*.ipynb"))
            if harness.uses_widgets(path) and path.name.startswith(tuple(options.names or [""]))
        ]
    times, held = interact_ms(window, samples.INTERACT, options.presses)
    print(f"{'':49s} median    p90   faster than     pictures a second   ends")
    columns = "    ms     ms same pict.  plain held key   drag of values right"
    print(f"{'panel':24s} {'slider':24s} {columns}")
    print_line("plain interact", "radius", times, (math.nan, 1.0), held, "     -")
    for name in names:
        measure_notebook(window, name, options.presses, statistics.median(times))


def main(arguments: list[str]) -> int:
    """Measure in a JupyterLab and a browser of its own."""
    options = options_from(arguments)
    with tempfile.TemporaryDirectory() as temporary:
        server = harness.start_server("lab", harness.copy_project(Path(temporary)))
        try:
            with harness.chromium() as browser:
                measure(options, harness.Window(browser, server))
        finally:
            server.stop()
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
