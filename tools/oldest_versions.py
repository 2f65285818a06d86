"""Run the tests of the library on the oldest versions of everything that its lower bounds allow.

    python3 tools/oldest_versions.py           makes .venv-oldest, installs there, and tests
    python3 tools/oldest_versions.py --list    only lists the versions

The versions are the lower bounds of what bladelab itself needs, in requirements.txt and the extra `shared` in
pyproject.toml; the tools of the tests are the newest. The tests are the quick ones of the packages below
`show/`, with the examples in their docstrings: pages and notebooks are tested on the newest versions, which
start.py installs. Needs no package.
"""

from __future__ import annotations

import argparse
import os
import re
import shutil
import subprocess
import sys
import tomllib
import venv
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
PLACE = ROOT / ".venv-oldest"
#: What has to do with pages and notebooks, or with the project as a whole.
NOT_THE_LIBRARY = {"benchmarks", "browser", "forgiving", "journeys", "lab", "reference", "show", "tools"}


def oldest_versions() -> list[str]:
    """Return a line for pip for each package: its name and its lower bound."""
    extras = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]["optional-dependencies"]
    wanted = [*(ROOT / "requirements.txt").read_text().splitlines(), *extras["shared"]]
    found = [re.match(r"([\w-]+)(?:\[\w+\])?>=([\w.]+)", line) for line in wanted]
    return [f"{match[1]}=={match[2]}" for match in found if match]


def library_tests() -> list[str]:
    """Return the files and folders that test the packages below `show/`."""
    folders = [
        path.relative_to(ROOT).as_posix()
        for path in sorted((ROOT / "tests").iterdir())
        if any(path.glob("test_*.py")) and path.name not in NOT_THE_LIBRARY
    ]
    return [*folders, "bladelab", "--ignore=bladelab/show"]


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--list", action="store_true", help="only list the versions")
    if parser.parse_args().list:
        print("\n".join(oldest_versions()))
        return 0
    shutil.rmtree(PLACE, ignore_errors=True)
    venv.create(PLACE, with_pip=True)
    python = str(PLACE / ("Scripts/python.exe" if os.name == "nt" else "bin/python"))
    bounds = PLACE / "oldest.txt"
    bounds.write_text("\n".join(oldest_versions()) + "\n")
    for arguments in (
        ["pip", "install", "--quiet", "--constraint", str(bounds), "--editable", ".[test]"],
        ["pytest", "-n", "2", "-q", "-m", "not slow", *library_tests()],
    ):
        done = subprocess.run([python, "-m", *arguments], cwd=ROOT)
        if done.returncode:
            return done.returncode
    return 0


if __name__ == "__main__":
    sys.exit(main())
