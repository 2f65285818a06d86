"""How large a page to take home is, and how fast it is on a phone, beside a page with one plain slider.

    python -m tests.benchmarks.take_home           the main panel: 21 x 13 x 4 settings
    python -m tests.benchmarks.take_home --quick   a few settings, to try this

Both pages are opened at 390 x 844 in Chromium without a network, with the processor slowed four times, as on
a phone. Printed are the time until the first picture can be seen, and the time from a move of a slider to
the end of the frame with the new picture. The plain page redraws the same picture by setting its whole SVG.
Aims, on a quiet machine: 2 MB, one second, and a frame of 16.7 ms.
"""

from __future__ import annotations

import json
import statistics
import tempfile
import time
from pathlib import Path

from playwright.sync_api import BrowserContext

from bladelab.show.panels.blade.main import main_panel
from tests.benchmarks.timing import command_line
from tests.browser import harness

DIALS, STEPS, FEW = ("trial.radius_mm", "trial.hollow_mm", "mass_kg"), (21, 13, 4), (3, 2, 2)
SLOWED = 4
# Moves each slider to and fro; a message posted from within a frame arrives when the frame is done.
MOVES = """async times => {
  const sliders = [...document.querySelectorAll('input[type=range]')], taken = [];
  for (let k = 0; k < times; k += 1) {
    const slider = sliders[k % sliders.length], next = Number(slider.value) + 1;
    slider.value = next > Number(slider.max) ? 0 : next;
    const start = performance.now();
    slider.dispatchEvent(new Event('input'));
    await new Promise(done => requestAnimationFrame(() => {
      const channel = new MessageChannel();
      channel.port1.onmessage = done;
      channel.port2.postMessage(0);
    }));
    taken.push(performance.now() - start);
    await new Promise(done => setTimeout(done, 50));
  }
  return taken;
}"""


def plain_page(frames: list[str]) -> str:
    """A page with one slider, which puts one of these pictures in whole."""
    return f"""<!DOCTYPE html><meta charset="utf-8"><meta name="viewport" content="width=device-width">
<input type="range" min="0" max="{len(frames) - 1}" value="0"><div></div><script>
const frames = {json.dumps(frames).replace("<", chr(92) + "u003c")};
const slider = document.querySelector('input'), picture = document.querySelector('div');
const show = () => {{ picture.innerHTML = frames[slider.value]; }};
slider.addEventListener('input', show);
show();
</script>"""


def measured(browser: BrowserContext, file: Path, moves: int) -> tuple[float, list[float]]:
    """Time until the first picture, and of each move, ms."""
    page = browser.new_page()
    page.set_viewport_size({"width": 390, "height": 844})
    browser.new_cdp_session(page).send("Emulation.setCPUThrottlingRate", {"rate": SLOWED})
    page.goto(file.as_uri(), wait_until="commit")
    page.wait_for_selector("svg text")
    ready = page.evaluate("performance.now()")
    page.wait_for_timeout(3000)  # the rest is unpacked meanwhile
    taken = page.evaluate(MOVES, moves)
    page.close()
    return ready, taken


def main() -> None:
    quick = command_line(__doc__).parse_args().quick
    panel = main_panel()
    with tempfile.TemporaryDirectory() as folder:
        start = time.process_time()
        page = panel.save_page(Path(folder) / "page.html", DIALS, FEW if quick else STEPS)
        made = time.process_time() - start
        panel.lay_out(narrow=True)
        frames = []
        for at in range(2, 8):
            panel.dials["trial.hollow_mm"].value = panel.dials["trial.hollow_mm"].positions.value(at)
            frames.append(panel.view.frame_html(panel.sentence_text))
        plain = Path(folder) / "plain.html"
        plain.write_text(plain_page(frames), encoding="utf-8")
        print(f"{page.stat().st_size / 1e6:.2f} MB, made in {made:.1f} s of processor time")
        with harness.chromium() as browser:
            browser.set_offline(True)
            for name, file in (("plain page", plain), ("page to take home", page)):
                ready, moves = measured(browser, file, 6 if quick else 60)
                middle, slow = statistics.median(moves), statistics.quantiles(moves, n=10)[-1]
                said = f"a move {middle:.1f} ms median, {slow:.1f} ms for 9 of 10"
                print(f"{name}: first picture after {ready:.0f} ms; {said}")


if __name__ == "__main__":
    main()
