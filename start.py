"""Start bladelab: `python3 start.py` (Windows: `py start.py`).

The first time this makes a virtual environment in the folder .venv and installs what requirements.txt
lists, which needs the internet and takes a few minutes; after that it opens at once. Then JupyterLab opens in
the web browser on the first notebook. Close the window this runs in, or press Ctrl-C twice, to end it.
"""

from __future__ import annotations

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
    print("Setting up, a few minutes this first time ...", flush=True)
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
        f"--LabApp.extra_labextensions_path={project / 'lab' / 'labextensions'}",
        f"--LabApp.app_settings_dir={project / 'lab' / 'settings'}",
        f"--ServerApp.root_dir={project}",
        "--ServerApp.kernel_websocket_connection_class=bladelab.show.connection.PromptConnection",
    ]


def main(extra: list[str]) -> int:
    """Install, then start JupyterLab with the options `extra`; return its exit code."""
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
    print("Opening JupyterLab in your web browser. Leave this window open; Ctrl-C twice ends it.")
    try:
        return subprocess.run([*lab_command(python), str(ROOT / FIRST_NOTEBOOK), *extra], cwd=ROOT).returncode
    except KeyboardInterrupt:
        return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
