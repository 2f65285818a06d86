"""How large a page to take home is, and how fast it is on a phone, beside pages with one plain slider.

    python -m tests.benchmarks.take_home           the main panel: 21 x 13 x 4 settings
    python -m tests.benchmarks.take_home --quick   three settings, at full speed, to try this

All pages are opened at 390 x 844 in Chromium without a network, with the processor slowed four times, as on
a phone, and take turns. Printed are the time until the first picture can be seen; the time from a key press,
and from a drag by one step, to the end of the frame with the new picture; and how long the page's own thread
works for a key press, measured at full speed and times four, which a busy machine changes little. Of the time
to the end of the frame, 8 ms on average is the wait for the next of 60 frames a second: a page with nothing
but a slider has that too. The plain page redraws the same picture by setting its whole SVG. Aims, on a quiet
machine: 2 MB, one second, and a frame of 16.7 ms.
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

DIALS, STEPS = ("trial.radius_mm", "trial.hollow_mm", "mass_kg"), (21, 13, 4)
SLOWED = 4
# From the hand to the end of its frame: a message posted from within a frame arrives when that is done.
LISTEN = """() => {
  let from;
  Object.assign(window, { taken: [], frame: () => new Promise(done => requestAnimationFrame(() => {
    const channel = new MessageChannel();
    channel.port1.onmessage = done;
    channel.port2.postMessage(0);
  })) });
  for (const kind of ['keydown', 'pointermove'])
    addEventListener(kind, event => { from = event.timeStamp; }, true);
  addEventListener('input', async () => {
    const start = from;
    await window.frame();
    window.taken.push(performance.now() - start);
  }, true);
}"""


def plain_page(frames: list[str]) -> str:
    """A page with one slider, which puts one of these pictures in whole."""
    return f"""<!DOCTYPE html><meta charset="utf-8"><meta name="viewport" content="width=device-width">
<input type="range" min="0" max="{len(frames) - 1}" value="0" style="width: 100%"><div></div><script>
const frames = {json.dumps(frames).replace("<", chr(92) + "u003c")};
const slider = document.querySelector('input'), picture = document.querySelector('div');
const show = () => {{ picture.innerHTML = frames[slider.value]; }};
slider.addEventListener('input', show);
show();
</script>"""


class Opened:
    """A page on the slowed phone, and what was measured there."""

    def __init__(self, browser: BrowserContext, file: Path, quick: bool) -> None:
        self.slowed = 1 if quick else SLOWED
        self.page = browser.new_page()
        self.page.set_viewport_size({"width": 390, "height": 844})
        self._tools = browser.new_cdp_session(self.page)
        self._slow_down(self.slowed)
        self._tools.send("Performance.enable", {"timeDomain": "threadTicks"})
        self.page.goto(file.as_uri(), wait_until="commit")
        self.page.wait_for_selector("svg text, .empty", state="attached")
        self.first = self.page.evaluate("performance.now()")
        self.page.wait_for_timeout(300 if quick else 3000)  # the rest is unpacked meanwhile
        self.page.evaluate(LISTEN)

    def measure(self, times: int) -> None:
        """Press, drag, and press at full speed."""
        self._slow_down(SLOWED)  # again: now and then it is lost when the page opens
        self._press(times)
        self.pressed = self._taken()
        self._drag(times)
        self.dragged = self._taken()
        self._slow_down(1)
        before = self._thread_ms()
        self._press(times)
        self.worked = self.slowed * (self._thread_ms() - before) / len(self._taken())

    def _slow_down(self, rate: int) -> None:
        self._tools.send("Emulation.setCPUThrottlingRate", {"rate": rate})

    def _press(self, times: int) -> None:
        """Press an arrow on each slider in turn, to and fro."""
        for slider in self.page.locator("input[type=range]").all():
            slider.focus()
            for k in range(times):
                self.page.keyboard.press("ArrowLeft" if k // 2 % 2 else "ArrowRight")
                self.page.wait_for_timeout(50)

    def _drag(self, times: int) -> None:
        """Drag the first slider, a step at a time."""
        slider = self.page.locator("input[type=range]").first
        slider.scroll_into_view_if_needed()
        box, last = slider.bounding_box(), int(slider.get_attribute("max") or 1)
        at = int(slider.input_value())
        step, x, y = (box["width"] - 44) / last, box["x"] + 22, box["y"] + box["height"] / 2
        self.page.mouse.move(x + step * at, y)
        self.page.mouse.down()
        self._taken()
        for k in range(times):
            there = k % (2 * last)
            self.page.mouse.move(x + step * (there if there <= last else 2 * last - there), y)
            self.page.wait_for_timeout(50)
        self.page.mouse.up()

    def _taken(self) -> list[float]:
        return self.page.evaluate("async () => { await window.frame(); return taken.splice(0); }")

    def _thread_ms(self) -> float:
        told = self._tools.send("Performance.getMetrics")["metrics"]
        return 1e3 * next(one["value"] for one in told if one["name"] == "ThreadTime")


def said(times: list[float]) -> str:
    slow = statistics.quantiles(times, n=10)[-1]
    return f"{statistics.median(times):.1f} ms median, {slow:.1f} ms for 9 of 10"


def main() -> None:
    quick = command_line(__doc__).parse_args().quick
    panel = main_panel()
    dials, steps = (DIALS[:1], (3,)) if quick else (DIALS, STEPS)
    with tempfile.TemporaryDirectory() as folder:
        start = time.process_time()
        page = panel.save_page(Path(folder) / "page.html", dials, steps)
        made = time.process_time() - start
        panel.lay_out(narrow=True)
        frames = []
        for at in range(2, 5 if quick else 8):
            panel.dials["trial.hollow_mm"].value = panel.dials["trial.hollow_mm"].positions.value(at)
            frames.append(panel.view.frame_html(panel.sentence_text))
        empty, plain = Path(folder) / "empty.html", Path(folder) / "plain.html"
        empty.write_text(plain_page(['<p class="empty"></p>'] * len(frames)), encoding="utf-8")
        plain.write_text(plain_page(frames), encoding="utf-8")
        print(f"{page.stat().st_size / 1e6:.2f} MB, made in {made:.1f} s of processor time")
        with harness.chromium() as browser:
            browser.set_offline(True)
            files = {"nothing but a slider": empty, "plain page": plain, "page to take home": page}
            opened: dict[str, list[Opened]] = {name: [] for name in files}
            for _ in range(1 if quick else 3):
                for name, file in files.items():
                    one = Opened(browser, file, quick)
                    opened[name].append(one)
                    one.measure(4 if quick else 20)
                    one.page.close()
        for name, turns in opened.items():
            print(f"{name}: first picture after {statistics.median(one.first for one in turns):.0f} ms")
            print(f"  a key press {said([ms for one in turns for ms in one.pressed])}")
            print(f"  a drag {said([ms for one in turns for ms in one.dragged])}")
            print(f"  its thread works {statistics.median(one.worked for one in turns):.1f} ms for a press")


if __name__ == "__main__":
    main()
