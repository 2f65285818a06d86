"""How long it takes from the start of the server to a slider that moves a picture, beside an empty notebook
with one plain slider in the same run.

    python -m tests.browser.first_minute              JupyterLab and the plain pages
    python -m tests.browser.first_minute --rounds 5   the median of more rounds
    python -m tests.browser.first_minute --phases     also when each phase of it ends

The browser has opened both before, as at a reader's second start. Each round starts the server again, and the
two take turns. Aims: 1.3 in JupyterLab, 1.5 as plain pages.
"""

from __future__ import annotations

import argparse
import os
import statistics
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

from tests.browser import harness, samples

OURS, PLAIN = "00_start_here.ipynb", "plain_slider.ipynb"
_SLIDER = "from ipywidgets import IntSlider\n\nIntSlider(description='radius')"
# The slider of either page, and what its value is read from.
_HANDLE = ".bladelab-panel input[type=range], .widget-slider .noUi-handle"
_VALUE = "one => one.getAttribute('aria-valuetext') + one.getAttribute('aria-valuenow')"


def start_to_move(browser: Any, kind: str, folder: Path, name: str) -> dict[str, float]:
    """Seconds from the start of the server to: its answer, the first cell on the page, the slider, its move;
    where there is one, to the picture that follows."""
    begin, times = time.monotonic(), {}

    def note(phase: str) -> None:
        times[phase] = time.monotonic() - begin

    server = harness.start_server(kind, folder)
    note("server")
    try:
        notebook = harness.open_notebook(browser, server, name, width=1366, height=768, wait=False)
        page = notebook.page
        page.wait_for_selector("h1:visible", timeout=60_000)
        note("words")
        handle = page.locator(_HANDLE).first
        handle.wait_for(timeout=60_000)
        note("slider")
        before = handle.evaluate(_VALUE)
        seen = notebook.pictures()
        handle.focus()
        page.keyboard.press("ArrowRight")
        while handle.evaluate(_VALUE) == before:
            page.wait_for_timeout(5)
        while seen and notebook.pictures() == seen:
            page.wait_for_timeout(10)
        note("moved")
        notebook.close()
    finally:
        server.stop()
    return times


def measure(browser: Any, kind: str, folder: Path, rounds: int, phases: bool) -> float:
    """Print a line for each notebook and their ratio; return that."""
    for name in (OURS, PLAIN):
        start_to_move(browser, kind, folder, name)  # as at a first start
    found: dict[str, list[dict[str, float]]] = {OURS: [], PLAIN: []}
    for _ in range(rounds):
        for name, times in found.items():
            times.append(start_to_move(browser, kind, folder, name))
    middle = {name: statistics.median(one["moved"] for one in times) for name, times in found.items()}
    for name, times in found.items():
        told = [f"{phase} {statistics.median(one[phase] for one in times):5.2f}" for phase in times[0]]
        print(f"{kind:6s} {name:22s} {middle[name]:5.2f} s   {'  '.join(told) if phases else ''}", flush=True)
    ratio = middle[OURS] / middle[PLAIN]
    print(f"{kind:6s} ratio {ratio:.2f}", flush=True)
    return ratio


def main(arguments: list[str]) -> int:
    """Measure what the command line asks for."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--rounds", type=int, default=3)
    parser.add_argument("--phases", action="store_true", help="also the seconds to the end of each phase")
    parser.add_argument("--kinds", nargs="*", default=["lab", "voila"], help="of lab and voila; both")
    options = parser.parse_args(arguments)
    # Many a container tells Python to compile every module at every start; a reader's computer doesn't.
    os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
    with tempfile.TemporaryDirectory() as temporary, harness.chromium() as browser:
        folder = harness.copy_project(Path(temporary) / "project")
        samples.write_notebook(folder / "notebooks" / PLAIN, _SLIDER)
        for kind in options.kinds:
            measure(browser, kind, folder, options.rounds, options.phases)
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
