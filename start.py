"""Start bladelab: `python3 start.py` (Windows: `py start.py`).

    python3 start.py                     the notebooks in JupyterLab
    python3 start.py --pages             as plain pages without code
    python3 start.py --pages --network   as plain pages, for phones and computers on the same network too

Options it doesn't know go to the server: `--no-browser` only prints the address, `--port=9000` changes it.

The first time this makes a virtual environment in the folder .venv and installs what requirements.txt
lists, which needs the internet and takes a few minutes; after that it opens right away. Then the web browser
opens on the first notebook. Close the window this runs in, or press Ctrl-C twice, to end it.
"""

from __future__ import annotations

import argparse
import hashlib
import os
import subprocess
import sys
import venv
from pathlib import Path

ROOT = Path(__file__).resolve().parent
FIRST_NOTEBOOK = "notebooks/00_start_here.ipynb"
OLDEST_PYTHON = (3, 11)


def environment_python(folder: Path) -> Path:
    """Path of the Python inside a virtual environment."""
    return folder / ("Scripts/python.exe" if os.name == "nt" else "bin/python")


def install(folder: Path) -> Path:
    """Make the virtual environment, or bring it up to date if the packages changed; return its Python."""
    python, stamp = environment_python(folder), folder / "installed"
    wanted = hashlib.sha256((ROOT / "requirements.txt").read_bytes() + str(ROOT).encode()).hexdigest()
    if python.exists() and stamp.exists() and stamp.read_text() == wanted:
        return python
    print("Setting up; this takes a few minutes the first time ...", flush=True)
    there = python.exists()
    # One without pip was broken off while it was made.
    if not there or subprocess.run([python, "-m", "pip", "--version"], capture_output=True).returncode:
        venv.create(folder, with_pip=True, clear=not there, symlinks=os.name != "nt")
    subprocess.run(
        [python, "-m", "pip", "install", "--quiet", "--disable-pip-version-check", "--editable", str(ROOT)],
        check=True,
    )
    stamp.write_text(wanted)
    return python


def lab_command(python: str | Path, project: Path = ROOT) -> list[str]:
    """The call that starts JupyterLab with the settings and the extension in `project`/lab."""
    return [
        str(python),
        str(project / "lab" / "serve.py"),
        "lab",
        f"--LabApp.extra_labextensions_path={project / 'lab' / 'share' / 'labextensions'}",
        f"--LabApp.extra_labextensions_path={project / 'lab' / 'labextensions'}",
        f"--LabApp.app_settings_dir={project / 'lab' / 'settings'}",
        f"--ServerApp.root_dir={project}",
        f"--LabApp.default_url=/lab/tree/{FIRST_NOTEBOOK}",
        "--log-level=WARN",  # the address, and what goes wrong
        # Takes settings of Jupyter's first notebook server, and prints a warning about one we don't use.
        "--ServerApp.jpserver_extensions={'notebook_shim': False}",
        "--ServerApp.kernel_websocket_connection_class=prompt_connection.PromptConnection",
        "--MappingKernelManager.kernel_manager_class=quiet_kernel.QuietKernel",
        # A photograph comes to its panel in one message; by default the connection breaks at 10 MB.
        "--ServerApp.tornado_settings={'websocket_max_message_size': 60000000}",
    ]


def pages_command(python: str | Path, project: Path = ROOT, network: bool = False) -> list[str]:
    """The call that serves the notebooks in `project` as plain pages; see lab/pages.py."""
    return [str(python), str(project / "lab" / "serve.py"), "pages", *["--network"] * network]


def main(arguments: list[str]) -> int:
    """Install, then start what the command line asks for; return its exit code."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter, allow_abbrev=False
    )
    parser.add_argument("--pages", action="store_true", help="plain pages instead of JupyterLab")
    parser.add_argument("--network", action="store_true", help="with --pages: for others on the network too")
    options, extra = parser.parse_known_args(arguments)
    if options.network and not options.pages:
        parser.error("--network only works with --pages")
    if sys.version_info < OLDEST_PYTHON:
        print(f"This Python is {sys.version.split()[0]}; bladelab needs 3.11 or newer, from python.org.")
        return 1
    try:
        python = install(ROOT / ".venv")
    except (subprocess.CalledProcessError, OSError) as error:
        print(f"\nSetting up did not finish: {error}")
        print("Is this computer connected to the internet? On Debian and Ubuntu, is python3-venv installed?")
        print("Then start again: nothing is lost.")
        return 1
    except KeyboardInterrupt:
        print("\nSetting up was stopped. Start again: nothing is lost.")
        return 1
    command = pages_command(python, ROOT, options.network) if options.pages else lab_command(python, ROOT)
    first = "Starting." if "--no-browser" in extra else "Opening your web browser."
    print(f"{first} Leave this window open; Ctrl-C twice ends it.", flush=True)
    try:
        return subprocess.run([*command, *extra], cwd=ROOT).returncode
    except KeyboardInterrupt:
        return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
