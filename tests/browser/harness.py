"""Opens notebooks in a real browser, in JupyterLab or under voila, the way a reader meets them.

Everything runs on a copy of the project's notebooks in a temporary folder, on a free port of this machine,
with settings of its own: neither the reader's files nor their Jupyter settings are touched.
"""

from __future__ import annotations

import os
import posixpath
import re
import secrets
import shutil
import signal
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

import nbformat
from playwright.sync_api import Browser, BrowserContext, Locator, Page, sync_playwright

from start import lab_command

ROOT = Path(__file__).resolve().parents[2]

CHROMIUM_FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]

PICTURE = ".bladelab-picture"
SENTENCE = ".bladelab-sentence"

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


def uses_widgets(path: Path) -> bool:
    """Whether the notebook, as committed, shows a widget."""
    widget = "application/vnd.jupyter.widget-view+json"
    cells = nbformat.read(path, as_version=4).cells
    return any(widget in output.get("data", {}) for cell in cells for output in cell.get("outputs", []))


def copy_project(folder: Path) -> Path:
    """Copy what JupyterLab and voila need into `folder` and return it."""
    skip = shutil.ignore_patterns(".ipynb_checkpoints", "__pycache__")
    for name in ("notebooks", "data", "lab"):
        if (ROOT / name).is_dir():
            shutil.copytree(ROOT / name, folder / name, ignore=skip)
    (folder / "notebooks").mkdir(exist_ok=True)
    return folder


@dataclass
class Server:
    """A running JupyterLab or voila."""

    kind: str
    folder: Path
    address: str
    token: str
    process: subprocess.Popen
    log: Path

    def url(self, notebook: str) -> str:
        """Address of a notebook, given by its file name in notebooks/."""
        if self.kind == "voila":
            return f"{self.address}/voila/render/{notebook}?token={self.token}"
        place = posixpath.normpath(f"notebooks/{notebook}")
        return f"{self.address}/lab/tree/{place}?token={self.token}"

    def stop(self) -> None:
        """End the server and, by asking it first, its kernels."""
        self.process.send_signal(signal.SIGINT if os.name == "nt" else signal.SIGTERM)
        try:
            self.process.wait(15)
        except subprocess.TimeoutExpired:
            self.process.kill()
            self.process.wait()


def _free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


def start_server(kind: str, folder: Path, patience_s: float = 60) -> Server:
    """Start `kind` ("lab" or "voila") on the project copied to `folder`; returns when it answers.

    Raises
    ------
    RuntimeError
        If the server ends or stays silent; the message holds the end of its log.
    """
    port, token = _free_port(), secrets.token_hex(16)
    home = folder / ".jupyter-home"
    environment = os.environ | {
        "JUPYTER_CONFIG_DIR": str(home / "config"),
        "JUPYTER_DATA_DIR": str(home / "data"),
        "JUPYTER_RUNTIME_DIR": str(home / "runtime"),
        "IPYTHONDIR": str(home / "ipython"),
        "PYTHONPATH": os.pathsep.join(filter(None, [str(ROOT), os.environ.get("PYTHONPATH", "")])),
    }
    common = [f"--port={port}", "--no-browser"]
    if kind == "lab":
        # The flag --expose-app-in-browser lets the tests ask the page which cells have run.
        command = [
            *lab_command(sys.executable, folder),
            *common,
            "--ServerApp.port_retries=0",
            "--allow-root",
            "--expose-app-in-browser",
            f"--IdentityProvider.token={token}",
        ]
    elif kind == "voila":
        command = [
            sys.executable,
            "-m",
            "voila",
            "notebooks",
            *common,
            "--Voila.ip=127.0.0.1",
            f"--token={token}",
        ]
    else:
        raise ValueError(f"kind is {kind!r}; it must be 'lab' or 'voila'")
    log = folder / f"{kind}.log"
    with log.open("w") as sink:
        process = subprocess.Popen(
            command,
            cwd=folder,
            env=environment,
            stdin=subprocess.DEVNULL,
            stdout=sink,
            stderr=subprocess.STDOUT,
        )
    server = Server(kind, folder, f"http://127.0.0.1:{port}", token, process, log)
    probe = server.address + ("/api" if kind == "lab" else "/")
    end = time.monotonic() + patience_s
    while time.monotonic() < end and process.poll() is None:
        try:
            urllib.request.urlopen(f"{probe}?token={token}", timeout=5).close()
            return server
        except urllib.error.HTTPError:
            return server
        except OSError:
            time.sleep(0.2)
    server.stop()
    raise RuntimeError(f"{kind} did not start; its log ends:\n{log.read_text()[-3000:]}")


@contextmanager
def chromium() -> Iterator[Browser]:
    """A headless Chromium, ended with the block.

    Raises
    ------
    RuntimeError
        If this machine has none.
    """
    path = find_chromium()
    if path is None:
        raise RuntimeError("no Chromium or Chrome was found; name one in the variable CHROMIUM")
    with sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=path, headless=True, args=CHROMIUM_FLAGS)
        try:
            yield browser
        finally:
            browser.close()


# Runs in every page before anything else: notes what its kernel says of itself, and when it last spoke.
_LISTEN = """
window.bladelabKernel = {busy: false, last: 0};
window.WebSocket = class extends WebSocket {
  constructor(...given) {
    super(...given);
    this.addEventListener('message', event => {
      const text = typeof event.data === 'string' ? event.data.slice(0, 3000)
        : event.data instanceof ArrayBuffer ? new TextDecoder().decode(event.data.slice(0, 3000)) : '';
      const state = text.match(/"execution_state": ?"([a-z]+)"/);
      if (state) bladelabKernel.busy = state[1] !== 'idle';
      bladelabKernel.last = performance.now();
    });
  }
  send(data) { bladelabKernel.last = performance.now(); return super.send(data); }
};
"""

# Runs in the page: notes the time of each key press and mouse move, and of each frame with a changed picture.
_WATCH = """
(selector) => {
  const watch = window.bladelabWatch = {acts: [], frames: []};
  for (const kind of ['keydown', 'mousemove'])
    document.addEventListener(kind, () => watch.acts.push(performance.now()), true);
  const around = node => (node.nodeType === Node.ELEMENT_NODE ? node : node.parentElement)?.closest(selector);
  const within = node => node.nodeType === Node.ELEMENT_NODE && node.querySelector(selector);
  let waiting = false;
  new MutationObserver(async records => {
    const touched = records.some(record => around(record.target) ||
                                           [...record.addedNodes].some(node => around(node) || within(node)));
    if (!touched || waiting) return;
    waiting = true;
    const images = [...document.querySelectorAll(selector)].flatMap(
      node => node.tagName === 'IMG' ? [node] : [...node.querySelectorAll('img')]);
    await Promise.all(images.map(image => image.complete ? null : image.decode().catch(() => null)));
    requestAnimationFrame(() => { waiting = false; watch.frames.push(performance.now()); });
  }).observe(document.body, {subtree: true, childList: true, attributes: true, characterData: true});
}
"""

# Runs in the page: draws what the picture shows, whatever it is made of, and returns it as a short text.
_PICTURE = """
async (element) => {
  const pieces = [];
  const images = element.tagName === 'IMG' ? [element] : [...element.querySelectorAll('img')];
  for (const image of images) {
    await image.decode().catch(() => null);
    const canvas = document.createElement('canvas');
    canvas.width = image.naturalWidth; canvas.height = image.naturalHeight;
    if (!canvas.width) { pieces.push('empty'); continue; }
    const pen = canvas.getContext('2d');
    pen.drawImage(image, 0, 0);
    const bytes = pen.getImageData(0, 0, canvas.width, canvas.height).data;
    const digest = await crypto.subtle.digest('SHA-256', bytes);
    pieces.push([...new Uint8Array(digest)].map(b => b.toString(16).padStart(2, '0')).join(''));
  }
  for (const drawing of element.querySelectorAll('svg')) {
    const copy = drawing.cloneNode(true);
    copy.removeAttribute('aria-label');  // words about the picture are not the picture
    pieces.push(copy.outerHTML);
  }
  for (const sheet of element.querySelectorAll('canvas')) pieces.push(sheet.toDataURL());
  return pieces.join('|');
}
"""


@dataclass
class NotebookPage:
    """One notebook open in the browser, in JupyterLab or under voila."""

    server: Server
    name: str
    page: Page
    errors: list[str] = field(default_factory=list)

    # -- opening ---------------------------------------------------------------------------------------------

    def wait_until_run(self, patience_s: float = 90) -> None:
        """Wait until every cell of the notebook has run and the kernel rests."""
        if self.server.kind == "voila":
            self.page.wait_for_selector("#rendered_cells, body:not(:has(#loading))", timeout=patience_s * 1e3)
            self.page.wait_for_function(
                "!document.querySelector('#loading')?.offsetParent", timeout=patience_s * 1e3
            )
            return
        self.page.wait_for_function(
            """() => {
              const panel = window.jupyterapp?.shell?.currentWidget;
              if (panel?.sessionContext?.session?.kernel?.status !== 'idle') return false;
              if (panel.context.model.getMetadata('bladelab')?.run_on_open)
                return panel.hasClass('run-on-open-done');
              const cells = panel.content.widgets.filter(cell => cell.model.type === 'code');
              return cells.every(cell => cell.model.executionCount);
            }""",
            timeout=patience_s * 1e3,
        )

    def wait_for_panel(self, patience_s: float = 60) -> Locator:
        """Wait for the first panel's picture to be drawn and return it."""
        picture = self.page.locator(f"{PICTURE}:visible").first
        picture.wait_for(timeout=patience_s * 1e3)
        self.page.wait_for_function(
            """(selector) => [...document.querySelectorAll(selector)].some(node => {
                 const image = node.tagName === 'IMG' ? node : node.querySelector('img');
                 return image ? image.naturalWidth > 0 : node.querySelector('svg, canvas');
               })""",
            arg=PICTURE,
            timeout=patience_s * 1e3,
        )
        return picture

    def wait_for_kernel(self, patience_s: float = 60) -> None:
        """Wait until the notebook's kernel has started and rests (JupyterLab only)."""
        self.page.wait_for_function(
            "window.jupyterapp?.shell?.currentWidget?.sessionContext?.session?.kernel?.status === 'idle'",
            timeout=patience_s * 1e3,
        )

    def is_unsaved(self) -> bool:
        """Whether JupyterLab holds changes that are not in the file."""
        return self.page.evaluate("jupyterapp.shell.currentWidget.context.model.dirty")

    def run_all(self) -> None:
        """Run the notebook from the menu (for one that does not run by itself)."""
        self.page.get_by_role("menuitem", name="Run", exact=True).click()
        self.page.locator(".lm-Menu-item", has_text=re.compile(r"^Run All Cells")).click()

    # -- panel -----------------------------------------------------------------------------------------------

    def picture(self, which: int = 0) -> str:
        """Fingerprint of what picture number `which` shows; equal pictures have equal fingerprints."""
        return self.page.locator(PICTURE).nth(which).evaluate(_PICTURE)

    def pictures(self) -> list[str]:
        """Fingerprints of all pictures on the page."""
        return [self.picture(i) for i in range(self.page.locator(PICTURE).count())]

    def sentence(self, which: int = 0) -> str:
        """Text of sentence number `which`."""
        return self.page.locator(SENTENCE).nth(which).inner_text().strip()

    def sentences(self) -> list[str]:
        """Texts of all sentences on the page."""
        return [text.strip() for text in self.page.locator(SENTENCE).all_inner_texts()]

    def slider_labels(self) -> list[str]:
        """Labels of the sliders that can be seen and moved, in the order of the page."""
        return self.page.evaluate(
            """() => [...document.querySelectorAll('.widget-slider')]
                 .filter(box => box.offsetParent && box.querySelector('.noUi-handle') &&
                                !box.querySelector('[disabled]'))
                 .map(box => box.querySelector('.widget-label')?.textContent.trim() ?? '')"""
        )

    def slider(self, label: str | int) -> Locator:
        """Handle of the slider with this label, or of slider number `label`, scrolled into view."""
        boxes = self.page.locator(".widget-slider:visible")
        if isinstance(label, str):
            text = self.page.locator(".widget-label", has_text=re.compile(f"^\\s*{re.escape(label)}\\s*$"))
            boxes = boxes.filter(has=text)
            if not boxes.count():
                raise LookupError(f"no slider is called {label!r}; there are: {self.slider_labels()}")
            boxes = boxes.first
        else:
            boxes = boxes.nth(label)
        handle = boxes.locator(".noUi-handle").first
        handle.scroll_into_view_if_needed()
        return handle

    def slider_value(self, label: str | int) -> str:
        """Text that the slider's readout shows."""
        box = self.slider(label).locator("xpath=ancestor::*[contains(@class,'widget-slider')][1]")
        return box.locator(".widget-readout").inner_text().strip()

    def press(self, label: str | int, key: str = "ArrowRight", times: int = 1) -> None:
        """Press `key` on a slider."""
        self.slider(label).focus()
        for _ in range(times):
            self.page.keyboard.press(key)

    def dropdown_labels(self) -> list[str]:
        """Labels of the dropdowns that can be seen; of one without a label, an empty text."""
        boxes = self.page.locator(".widget-dropdown:visible")
        return [box.locator(".widget-label").inner_text().strip() for box in boxes.all()]

    def choose_other(self, number: int) -> int:
        """Choose the next entry of dropdown number `number`, or the first if it stands at the last.

        Returns the place of the entry chosen before, for `choose`.
        """
        menu = self.page.locator(".widget-dropdown:visible").nth(number).locator("select")
        now, count = menu.evaluate("menu => [menu.selectedIndex, menu.length]")
        self.choose(number, (now + 1) % max(count, 1))
        return now

    def choose(self, number: int, entry: int) -> None:
        """Choose entry number `entry` of dropdown number `number`."""
        menu = self.page.locator(".widget-dropdown:visible").nth(number).locator("select")
        if 0 <= entry < menu.evaluate("menu => menu.length"):
            menu.select_option(index=entry)

    def tick(self, number: int) -> None:
        """Click tick box number `number`."""
        self.page.locator(".widget-checkbox:visible input").nth(number).click()

    def wait_for_change(
        self, pictures: list[str] | None, sentences: list[str] | None, patience_s: float = 10
    ) -> None:
        """Wait until some picture and some sentence differ from those given (None: not asked for).

        Raises
        ------
        AssertionError
            If they stay the same; the message says which.
        """
        end = time.monotonic() + patience_s
        while True:
            same = []
            if pictures is not None and self.pictures() == pictures:
                same.append("picture")
            if sentences is not None and self.sentences() == sentences:
                same.append("sentence")
            if not same:
                return
            if time.monotonic() > end:
                raise AssertionError(f"{self.name}: {' and '.join(same)} did not change in {patience_s} s")
            time.sleep(0.05)

    def wait_for_answer(self, quiet_s: float = 0.3, patience_s: float = 30) -> None:
        """Wait until the kernel has dealt with what was moved: it rests, and has said nothing for a while."""
        self.page.wait_for_function(
            "quiet => !bladelabKernel.busy && performance.now() - bladelabKernel.last > quiet",
            arg=1e3 * quiet_s,
            timeout=1e3 * patience_s,
            polling=50,
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
        """Start noting, in the page, when keys are pressed and when a changed picture is on the screen."""
        self.page.evaluate(_WATCH, selector)

    def watched(self, clear: bool = True) -> dict[str, list[float]]:
        """Times (ms) of `acts` (keys, mouse moves) and `frames` (changed pictures) since the last call."""
        seen = self.page.evaluate("() => ({acts: bladelabWatch.acts, frames: bladelabWatch.frames})")
        if clear:
            self.page.evaluate("() => { bladelabWatch.acts = []; bladelabWatch.frames = []; }")
        return seen

    def cell_errors(self) -> list[str]:
        """Tracebacks and error texts that the page shows."""
        shown = self.page.locator(
            '[data-mime-type="application/vnd.jupyter.error"], .jp-RenderedText[data-mime-type$="stderr"], '
            ".jp-OutputArea-error, .voila-error, .widget-error, .jupyter-widgets-error-widget"
        )
        return [text.strip()[:2000] for text in shown.all_inner_texts()]

    def all_errors(self) -> list[str]:
        """Errors of the console, of the page's scripts and of the cells."""
        return self.errors + self.cell_errors()

    def dialogs(self) -> list[str]:
        """Texts of the dialogs and pop-up messages that JupyterLab shows."""
        return self.page.locator(".jp-Dialog-content, .Toastify__toast").all_inner_texts()

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
        """Close the tab; in JupyterLab end the notebook's kernel too."""
        if self.server.kind == "lab":
            self.page.evaluate(
                """async (token) => {
                  const head = {headers: {Authorization: 'token ' + token}};
                  const all = await (await fetch('/api/sessions', head)).json();
                  for (const one of all) await fetch('/api/sessions/' + one.id, {method: 'DELETE', ...head});
                }""",
                self.server.token,
            )
        self.page.context.close()


def open_notebook(
    browser: Browser, server: Server, name: str, width: int = 1366, height: int = 900, wait: bool = True
) -> NotebookPage:
    """Open a notebook in a fresh window; with `wait`, return only when all its cells have run."""
    context: BrowserContext = browser.new_context(viewport={"width": width, "height": height})
    context.add_init_script(_LISTEN)
    page = context.new_page()
    opened = NotebookPage(server, name, page)

    def note(text: str) -> None:
        if not _HARMLESS.search(text):
            opened.errors.append(text)

    page.on("pageerror", lambda error: note(f"page: {error}"))
    page.on(
        "console",
        lambda said: said.type == "error" and note(f"console: {said.text} ({said.location.get('url', '')})"),
    )
    address = server.url(name) if server.kind == "voila" else server.url(name) + "&reset"
    page.goto(address, wait_until="domcontentloaded", timeout=90_000)
    if wait:
        opened.wait_until_run()
    return opened
