"""One notebook open in a browser: what it shows, and what can be moved."""

from __future__ import annotations

import re
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import TypeVar

from playwright.sync_api import Locator, Page

from tests.browser.server import Server
from tests.browser.watching import END_KERNELS, READ_PICTURE, WATCH

PICTURE = ".bladelab-picture"
SENTENCE = ".bladelab-sentence"
DIALOG = ".jp-Dialog-content, .Toastify__toast"

#: How long a page may take to show what it should, on a busy machine.
PATIENCE_S = 30.0

#: A menu of a panel or a form; not the choice of a skater.
MENU = "select:visible:not(.bladelab-bar select)"
#: What moves a slider: of our panels, and of the ipywidgets that the latency script compares them with.
HANDLE = "input[type=range], .noUi-handle"
HANDLES = f"[...document.querySelectorAll('{HANDLE}')].filter(one => one.offsetParent && !one.disabled)"
LABEL = """(one => (one.closest('.bladelab-dial')?.querySelector('.bladelab-name')
             ?? one.closest('.widget-slider').querySelector('.widget-label'))?.textContent.trim() ?? '')"""
READOUT = """(one => (one.closest('label')?.querySelector('output')
               ?? one.closest('.widget-slider').querySelector('.widget-readout')).innerText.trim())"""

Found = TypeVar("Found")


def wait_for(
    what: Callable[[], Found], said: Callable[[], object] = str, patience_s: float = PATIENCE_S
) -> Found:
    """Ask until the answer is yes, less and less often; returns it.

    Raises
    ------
    AssertionError
        If it stays no; the message is what `said` returns then.
    """
    end, pause_s = time.monotonic() + patience_s, 0.02
    while not (found := what()):
        assert time.monotonic() < end, said()
        time.sleep(pause_s)
        pause_s = min(1.5 * pause_s, 0.15)
    return found


def until(page: Page, holds: str, given: object = None, patience_s: float = PATIENCE_S) -> None:
    """Wait until a condition holds in the page. It is looked at now and then: to look before every frame, as
    playwright does unless told otherwise, makes the browser draw frames that nothing else asks for."""
    page.wait_for_function(holds, arg=given, timeout=1e3 * patience_s, polling=50)


@dataclass
class NotebookPage:
    """One notebook open in the browser, in JupyterLab or under voila."""

    server: Server
    name: str
    page: Page
    errors: list[str] = field(default_factory=list)

    # -- opening ---------------------------------------------------------------------------------------------

    def wait_until_run(self, patience_s: float = 90) -> None:
        """Wait until every cell of the notebook has run and the kernel is idle."""
        if self.server.kind == "voila":
            self.page.wait_for_selector("#rendered_cells, body:not(:has(#loading))", timeout=patience_s * 1e3)
            until(self.page, "!document.querySelector('#loading')?.offsetParent", patience_s=patience_s)
            return
        until(
            self.page,
            """() => {
              const panel = window.jupyterapp?.shell?.currentWidget;
              if (panel?.sessionContext?.session?.kernel?.status !== 'idle') return false;
              if (panel.hasClass('run-on-open-done')) return true;
              if (!panel.hasClass('run-on-open-waits')) return false;
              const cells = panel.content.widgets.filter(cell => cell.model.type === 'code');
              return cells.every(cell => cell.model.executionCount);
            }""",
            patience_s=patience_s,
        )

    def wait_for_panel(self, patience_s: float = 60) -> Locator:
        """Wait for the first panel's picture to be drawn and return it."""
        picture = self.page.locator(f"{PICTURE}:visible").first
        picture.wait_for(timeout=patience_s * 1e3)
        until(
            self.page,
            """(selector) => [...document.querySelectorAll(selector)].some(node => {
                 const image = node.tagName === 'IMG' ? node : node.querySelector('img');
                 return image ? image.naturalWidth > 0 : node.querySelector('svg, canvas');
               })""",
            PICTURE,
            patience_s,
        )
        return picture

    def wait_for_kernel(self, patience_s: float = 60) -> None:
        """Wait until the notebook's kernel has started and is idle (JupyterLab only)."""
        until(
            self.page,
            "window.jupyterapp?.shell?.currentWidget?.sessionContext?.session?.kernel?.status === 'idle'",
            patience_s=patience_s,
        )

    def is_unsaved(self) -> bool:
        """Whether JupyterLab holds changes that are not in the file."""
        return self.page.evaluate("jupyterapp.shell.currentWidget.context.model.dirty")

    def run_all(self) -> None:
        """Run the notebook from the menu (for one that does not run on opening)."""
        self.page.get_by_role("menuitem", name="Run", exact=True).click()
        self.page.locator(".lm-Menu-item", has_text=re.compile(r"^Run All Cells")).click()

    # -- panel -----------------------------------------------------------------------------------------------

    def picture(self, which: int = 0) -> str:
        """Fingerprint of what picture number `which` shows; equal pictures have equal fingerprints."""
        return self.page.locator(PICTURE).nth(which).evaluate(READ_PICTURE)

    def pictures(self) -> list[str]:
        """Fingerprints of all pictures on the page."""
        return self.page.evaluate(
            f"picture => Promise.all([...document.querySelectorAll(picture)].map({READ_PICTURE}))", PICTURE
        )

    def sentence(self, which: int = 0) -> str:
        """Text of sentence number `which`."""
        return self.page.locator(SENTENCE).nth(which).inner_text().strip()

    def sentences(self) -> list[str]:
        """Texts of all sentences on the page."""
        return [text.strip() for text in self.page.locator(SENTENCE).all_inner_texts()]

    def slider_labels(self) -> list[str]:
        """Labels of the sliders that can be seen and moved, in the order of the page."""
        return self.page.evaluate(f"() => {HANDLES}.map({LABEL})")

    def slider(self, label: str | int) -> Locator:
        """The slider with this label, or slider number `label`; of one made of ipywidgets its handle."""
        if isinstance(label, str):
            labels = self.slider_labels()
            if label not in labels:
                raise LookupError(f"no slider is called {label!r}; there are: {labels}")
            label = labels.index(label)
        return self.page.locator(f"{HANDLE} >> visible=true").nth(label)

    def slider_value(self, label: str | int) -> str:
        """What the slider's value reads on the page, with its unit."""
        return self.slider(label).evaluate(READOUT)

    def slider_values(self) -> list[str]:
        """What the sliders read that can be seen and moved, in the order of the page."""
        return self.page.evaluate(f"() => {HANDLES}.map({READOUT})")

    def readouts(self) -> dict[str, str]:
        """What all sliders say, in whatever tab they are, by place and name."""
        return self.page.evaluate(
            """() => Object.fromEntries([...document.querySelectorAll('input[type=range]')].map(
                 (slider, i) => [`${i} ${slider.ariaLabel}`, slider.getAttribute('aria-valuetext')]))"""
        )

    def press(self, label: str | int, key: str = "ArrowRight", times: int = 1) -> None:
        """Press `key` on a slider."""
        self.slider(label).focus()
        for _ in range(times):
            self.page.keyboard.press(key)

    def dropdown_labels(self) -> list[str]:
        """Labels of the menus that can be seen; of one without a label, an empty text."""
        return self.page.locator(MENU).evaluate_all(
            """menus => menus.map(menu =>
                 (menu.closest('.bladelab-dial')?.querySelector('.bladelab-name') ??
                  menu.closest('.widget-dropdown')?.querySelector('.widget-label')
                 )?.innerText.trim() ?? '')"""
        )

    def choose_other(self, number: int) -> int:
        """Choose the next entry of menu number `number`, or the first after the last.

        Returns the place of the entry chosen before, for `choose`.
        """
        menu = self.page.locator(MENU).nth(number)
        now, count = menu.evaluate("menu => [menu.selectedIndex, menu.length]")
        self.choose(number, (now + 1) % max(count, 1))
        return now

    def choose(self, number: int, entry: int) -> None:
        """Choose entry number `entry` of menu number `number`."""
        menu = self.page.locator(MENU).nth(number)
        if 0 <= entry < menu.evaluate("menu => menu.length"):
            menu.select_option(index=[entry])  # a bare 0 is no index to old versions of playwright

    def tick(self, number: int) -> None:
        """Click tick box number `number`."""
        self.page.locator("input[type=checkbox]:visible").nth(number).click()

    def wait_for_change(self, pictures: list[str] | None, sentences: list[str] | None) -> None:
        """Wait until some picture and some sentence differ from those given (None: not asked for).

        Raises
        ------
        AssertionError
            If they stay the same; the message says which.
        """

        def same() -> list[str]:
            return ["picture"] * (pictures is not None and self.pictures() == pictures) + ["sentence"] * (
                sentences is not None and self.sentences() == sentences
            )

        wait_for(lambda: not same(), lambda: f"{self.name}: {' and '.join(same())} did not change")

    def wait_for_answer(self, quiet_s: float = 0.15, patience_s: float = 60) -> None:
        """Wait until the kernel has dealt with all that it was sent, and has said nothing more for a moment.

        In JupyterLab it is asked something first, which it answers after what it put off.
        """
        self.page.evaluate(
            "window.jupyterapp?.shell?.currentWidget?.sessionContext?.session?.kernel?.requestKernelInfo()"
        )
        self.page.wait_for_function(
            # What was on its way to a kernel that was killed is never dealt with: a long silence ends that.
            """quiet => {
              const silent = performance.now() - bladelabKernel.last;
              const done = !bladelabKernel.sent.size && !bladelabKernel.busy;
              return silent > quiet && (done || silent > 10_000);
            }""",
            arg=1e3 * quiet_s,
            timeout=1e3 * patience_s,
            polling=25,
        )

    def settle(self, quiet_s: float = 0.4, patience_s: float = 20) -> None:
        """Wait until the pictures have stayed the same for `quiet_s`."""
        end, last, since = time.monotonic() + patience_s, self.pictures(), time.monotonic()
        while time.monotonic() - since < quiet_s and time.monotonic() < end:
            time.sleep(0.05)
            now = self.pictures()
            if now != last:
                last, since = now, time.monotonic()

    # -- watching --------------------------------------------------------------------------------------------

    def watch(self, selector: str = PICTURE) -> None:
        """Start noting, in the page, keys, mouse moves, changed pictures on the screen, values of sliders."""
        self.page.evaluate(WATCH, selector)

    def watched(self, clear: bool = True) -> dict[str, list[float]]:
        """Times (ms) of `acts` (keys, mouse moves), `frames` (changed pictures) and `values` (of sliders),
        since the last call."""
        seen = self.page.evaluate("() => ({...bladelabWatch})")
        if clear:
            self.page.evaluate("() => { for (const kind in bladelabWatch) bladelabWatch[kind] = []; }")
        return seen

    def cell_errors(self) -> list[str]:
        """Tracebacks and error texts that the page shows."""
        shown = self.page.locator(
            '[data-mime-type="application/vnd.jupyter.error"], .jp-RenderedText[data-mime-type$="stderr"], '
            ".jp-OutputArea-error, .voila-error, .widget-error, .jupyter-widgets-error-widget"
        )
        return [text.strip()[:2000] for text in shown.all_inner_texts()]

    def all_errors(self) -> list[str]:
        """Errors of the console, of the page's scripts, of the cells, and of what a slider set off."""
        raised = self.page.evaluate("window.bladelabKernel?.errors ?? []")
        return self.errors + self.cell_errors() + [text for text in raised if text not in self.cell_errors()]

    def dialogs(self) -> list[str]:
        """Texts of the dialogs and pop-up messages that JupyterLab shows."""
        return self.page.locator(DIALOG).all_inner_texts()

    def screenshot(self, path: str | Path, whole_panel: bool = False) -> Path:
        """Save what the window shows, or with `whole_panel` the first panel in full, as PNG."""
        target = Path(path)
        target.parent.mkdir(parents=True, exist_ok=True)
        if whole_panel:
            panel = self.page.locator(f".jp-OutputArea-output:has({PICTURE}), .widget-vbox:has({PICTURE})")
            panel.first.screenshot(path=target)
        else:
            self.page.screenshot(path=target)
        return target

    def close(self) -> None:
        """Close the window; in JupyterLab end the notebook's kernel too."""
        end_kernels(self.page, self.server)
        self.page.close()


def end_kernels(page: Page, server: Server) -> None:
    """End all kernels of the JupyterLab that the page shows, and wait until they are gone."""
    if server.kind == "lab":
        page.evaluate(END_KERNELS, server.token)
