"""The JavaScript passes the linter set up in .oxlintrc.json."""

import re
import subprocess
from importlib.metadata import files
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]

SCRIPTS = ["bladelab", "lab"]


def oxlint(*what: str | Path) -> subprocess.CompletedProcess[str]:
    """Lint scripts with the program that pip has installed."""
    program = next(file.locate() for file in files("oxlint") or () if file.stem == "oxlint")
    return subprocess.run([program, *what], cwd=ROOT, capture_output=True, text=True)


def test_scripts_pass():
    done = oxlint(*SCRIPTS)
    assert done.returncode == 0, done.stdout + done.stderr
    on = int(re.search(r"on (\d+) files", done.stdout)[1])
    assert on == sum(len(list((ROOT / folder).rglob("*.js"))) for folder in SCRIPTS)


def test_the_linter_of_scripts_notices(tmp_path):
    (tmp_path / "bad.js").write_text("const unused = 1; if (unused2 = 2) {}")
    done = oxlint("-c", ROOT / ".oxlintrc.json", tmp_path / "bad.js")
    assert done.returncode == 1 and "no-unused-vars" in done.stdout and "no-cond-assign" in done.stdout
