"""Opens notebooks in a real browser, in JupyterLab or under voila, the way a reader meets them.

Everything runs on a copy of the project's notebooks in a temporary folder (see server.py); page.py has what
an open notebook can be asked.
"""

from __future__ import annotations

import json
import os
import re
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory

from playwright.sync_api import BrowserContext, Page, sync_playwright

from tests.browser.page import DIALOG, NotebookPage, end_kernels, until
from tests.browser.server import ROOT, Server, copy_project, forked_kernels, give_book, start_server
from tests.browser.watching import CLOSE_TABS, FORGET_UNITS, LISTEN, OPEN_TAB

__all__ = [
    "ROOT",
    "NotebookPage",
    "Server",
    "Window",
    "chromium",
    "copy_project",
    "find_chromium",
    "forked_kernels",
    "give_book",
    "notebook_names",
    "open_notebook",
    "start_server",
    "tried_in_lab",
    "uses_widgets",
]

#: Notebooks that the fitter and the trainer open in JupyterLab (tests/journeys), by their numbers.
IN_LAB_ON_A_JOURNEY = frozenset({"00", "07", "08", "10", "11", "12", "13", "14", "15", "16"})

LAPTOP = {"width": 1366, "height": 768}

CHROMIUM_FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]

# Messages of JupyterLab, voila or the browser that say nothing about our pages. voila's own page asks a
# server far away for icons that we don't use, and loads extensions of JupyterLab that it has no use for.
_HARMLESS = re.compile(
    r"favicon|source ?map|ERR_ABORTED|ResizeObserver loop"
    r"|fontawesome|font-awesome|/voila/labextensions/|/voila/templates/"
)


def find_chromium() -> str | None:
    """Path of a Chromium or Chrome on this machine, or None; the variable CHROMIUM goes first."""
    names = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable", "chrome", "msedge")
    places = (
        "/Applications/Google Chrome.app/Contents/MacOS/Google Chrome",
        "/Applications/Chromium.app/Contents/MacOS/Chromium",
        r"C:\Program Files\Google\Chrome\Application\chrome.exe",
        r"C:\Program Files (x86)\Microsoft\Edge\Application\msedge.exe",
    )
    candidates = [os.environ.get("CHROMIUM"), *map(shutil.which, names), *places]
    return next((path for path in candidates if path and Path(path).exists()), None)


def notebook_names(folder: Path = ROOT / "notebooks") -> list[str]:
    """File names of the notebooks in `folder`, in order."""
    return sorted(path.name for path in folder.glob("*.ipynb"))


def tried_in_lab(name: str) -> bool:
    """Whether a notebook is tried at length in JupyterLab; the others are as plain pages. Each is opened and
    used in both."""
    return name[:2] not in IN_LAB_ON_A_JOURNEY


def uses_widgets(path: Path) -> bool:
    """Whether the notebook, as committed, shows a widget."""
    widget = "application/vnd.jupyter.widget-view+json"
    cells = json.loads(path.read_text(encoding="utf-8"))["cells"]
    return any(widget in output.get("data", {}) for cell in cells for output in cell.get("outputs", []))


@contextmanager
def chromium() -> Iterator[BrowserContext]:
    """A headless Chromium with a profile, ended with the block: like a reader's it has the scripts of
    JupyterLab and voila ready once it has run them.

    Raises
    ------
    RuntimeError
        If this machine has none.
    """
    path = find_chromium()
    if path is None:
        raise RuntimeError("no Chromium or Chrome was found; name one in the variable CHROMIUM")
    with TemporaryDirectory(ignore_cleanup_errors=True) as profile, sync_playwright() as driver:
        browser = driver.chromium.launch_persistent_context(
            profile, executable_path=path, headless=True, args=CHROMIUM_FLAGS
        )
        browser.add_init_script(LISTEN + FORGET_UNITS)
        try:
            yield browser
        finally:
            browser.close()


def _new_page(browser: BrowserContext) -> tuple[Page, list[str]]:
    """An empty page, and the list in which its errors will be noted."""
    page, errors = browser.new_page(), []

    def note(text: str) -> None:
        if not _HARMLESS.search(text):
            errors.append(text)

    page.on("pageerror", lambda error: note(f"page: {error}"))
    page.on(
        "console",
        lambda said: said.type == "error" and note(f"console: {said.text} ({said.location.get('url', '')})"),
    )
    return page, errors


def open_notebook(
    browser: BrowserContext,
    server: Server,
    name: str,
    width: int = 1366,
    height: int = 900,
    wait: bool = True,
) -> NotebookPage:
    """Open a notebook by its address in a fresh window; with `wait`, return only when all its cells have run.

    Its `close` closes the window.
    """
    page, errors = _new_page(browser)
    page.set_viewport_size({"width": width, "height": height})
    opened = NotebookPage(server, name, page, errors)
    address = server.url(name) if server.kind == "voila" else server.url(name) + "&reset"
    page.goto(address, wait_until="domcontentloaded", timeout=90_000)
    if wait:
        opened.wait_until_run()
    return opened


class Window:
    """A window in which notebooks are opened one after the other, as readers do.

    JupyterLab is loaded once, with the address of the first notebook, as `start.py` does, and the others are
    its tabs; plain pages follow each other in one tab, whose process has their scripts ready. Reloading them
    for every notebook takes longer than all the rest.
    """

    def __init__(self, browser: BrowserContext, server: Server) -> None:
        self.server = server
        self._browser = browser
        self._page: Page | None = None
        self._errors: list[str] = []

    def open(self, name: str, width: int = 1366, height: int = 900) -> NotebookPage:
        """Open a notebook; it does not wait for its cells. Close it before the next is opened."""
        new = self._page is None
        if self._page is None:
            self._page, self._errors = _new_page(self._browser)
        self._page.bring_to_front()
        if new and self.server.kind == "lab":
            self._page.set_viewport_size(LAPTOP)  # where the list of files is closed at first
            self._page.goto(f"{self.server.url(name)}&reset", timeout=90_000)
            until(self._page, "window.jupyterapp?.restored.then(() => true)", patience_s=90)
        self._page.set_viewport_size({"width": width, "height": height})
        if self.server.kind == "voila":
            self._errors.clear()
            self._page.goto(self.server.url(name), wait_until="domcontentloaded", timeout=90_000)
        elif not new:
            self._page.evaluate(FORGET_UNITS)
            self._page.evaluate(OPEN_TAB, self.server.place(name))
        return NotebookPage(self.server, name, self._page, self._errors)

    def close_notebook(self) -> None:
        """Close the notebook that is open and end its kernel."""
        if self._page is None:
            return
        if self.server.kind == "voila":
            self._page.goto("about:blank")  # a page that is left ends its kernel
            return
        self._page.evaluate(CLOSE_TABS)
        end_kernels(self._page, self.server)
        self._errors.clear()
        if self._page.locator(DIALOG).count():
            self._page.close()
            self._page = None

    def close(self) -> None:
        """Close the window."""
        if self._page is not None:
            self._page.close()
