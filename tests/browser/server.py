"""Starts JupyterLab or the plain pages on a copy of the project, on a free port of this machine and with
settings of its own: neither the reader's files nor their Jupyter settings are touched."""

from __future__ import annotations

import json
import os
import posixpath
import secrets
import shutil
import signal
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory

from start import lab_command, pages_command
from tests.browser import ready_kernels

ROOT = Path(__file__).resolve().parents[2]


def copy_project(folder: Path) -> Path:
    """Copy what the servers need into `folder` and return it."""
    skip = shutil.ignore_patterns(".ipynb_checkpoints", "__pycache__")
    for name in ("notebooks", "data", "lab"):
        if (ROOT / name).is_dir():
            shutil.copytree(ROOT / name, folder / name, ignore=skip)
    (folder / "notebooks").mkdir(exist_ok=True)
    return folder


@dataclass
class Server:
    """A running JupyterLab, or the plain pages under voila."""

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
        return f"{self.address}/lab/tree/{self.place(notebook)}?token={self.token}"

    def place(self, notebook: str) -> str:
        """Path of a notebook in JupyterLab's list of files."""
        return posixpath.normpath(f"notebooks/{notebook}")

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


@contextmanager
def forked_kernels(unloaded: str = "") -> Iterator[Path | None]:
    """The place of kernels that are there at once (see ready_kernels.py), as long as the block runs; None
    where a process can't be forked so. They have not loaded the package `unloaded`, just what it needs."""
    if sys.platform != "linux":
        yield None
        return
    with TemporaryDirectory() as folder, socket.socket(socket.AF_UNIX) as door:
        door.bind(f"{folder}/door")
        door.listen()
        spec = Path(folder) / "kernels" / "python3" / "kernel.json"
        spec.parent.mkdir(parents=True)
        spec.write_text(json.dumps(ready_kernels.kernel_spec(sys.executable, door.getsockname())))
        process = subprocess.Popen(
            [sys.executable, "-P", ready_kernels.__file__, "serve", str(door.fileno()), unloaded],
            pass_fds=[door.fileno()],
            env=_paths(os.environ),
        )
        try:
            yield Path(folder)
        finally:
            process.terminate()
            process.wait()


def give_book(kernels: Path, book: str | Path) -> None:
    """All kernels that come from `kernels` from now on have this book, whichever server asks for them."""
    spec = kernels / "kernels" / "python3" / "kernel.json"
    said = json.loads(spec.read_text()) | {"env": {"BLADELAB_BOOK": str(book)}}
    spec.write_text(json.dumps(said))


def _paths(environment: Mapping[str, str]) -> dict[str, str]:
    """The environment, with the project where Python looks for modules."""
    places = [str(ROOT), environment.get("PYTHONPATH", "")]
    return {**environment, "PYTHONPATH": os.pathsep.join(filter(None, places))}


def start_server(
    kind: str,
    folder: Path,
    *options: str,
    patience_s: float = 60,
    book: str | Path = "",
    kernels: Path | None = None,
    theme: str = "",
) -> Server:
    """Start `kind` ("lab", or "voila" for the plain pages) on the project copied to `folder`, with more
    `options` of its own; returns when it answers. Its notebooks have this `book`, by default none, and its
    kernels come from `kernels` (`forked_kernels`), by default each from a new Python. JupyterLab has the
    `theme` that is named, by default its own.

    Raises
    ------
    RuntimeError
        If the server ends or stays silent; the message holds the end of its log.
    """
    port, token = _free_port(), secrets.token_hex(16)
    home = folder / ".jupyter-home"
    environment = _paths(os.environ) | {
        "JUPYTER_CONFIG_DIR": str(home / "config"),
        "JUPYTER_DATA_DIR": str(home / "data"),
        "JUPYTER_RUNTIME_DIR": str(home / "runtime"),
        "IPYTHONDIR": str(home / "ipython"),
        "BLADELAB_BOOK": str(book),
    }
    if kernels:
        environment["JUPYTER_PATH"] = str(kernels)
    if kind == "lab":
        # The flag --expose-app-in-browser lets the tests ask the page which cells have run.
        command = [*lab_command(sys.executable, folder), "--expose-app-in-browser"]
        if theme:
            settings = home / "config/lab/user-settings/@jupyterlab/apputils-extension"
            settings.mkdir(parents=True, exist_ok=True)
            (settings / "themes.jupyterlab-settings").write_text(json.dumps({"theme": theme}))
        command += ["--KernelRestarter.time_to_dead=0.5"]  # how often it looks whether a kernel lives, s
    elif kind == "voila":
        command = pages_command(sys.executable, folder)
    else:
        raise ValueError(f"kind is {kind!r}; it must be 'lab' or 'voila'")
    command += [
        f"--port={port}",
        "--no-browser",
        "--allow-root",
        "--ServerApp.port_retries=0",
        f"--IdentityProvider.token={token}",
        *options,
    ]
    log = folder / f"{kind}-{port}.log"
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
    end = time.monotonic() + patience_s
    while time.monotonic() < end and process.poll() is None:
        try:
            urllib.request.urlopen(f"{server.address}/api", timeout=5).close()
            return server
        except OSError:
            time.sleep(0.2)
    server.stop()
    raise RuntimeError(f"{kind} did not start; its log ends:\n{log.read_text()[-3000:]}")
