"""The code passes the linter and the type checker set up in pyproject.toml."""

import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]


@pytest.mark.parametrize("check", [["ruff", "check", "."], ["mypy"]], ids=["ruff", "mypy"])
def test_code_passes(check):
    done = subprocess.run([sys.executable, "-m", *check], cwd=ROOT, capture_output=True, text=True)
    assert done.returncode == 0, done.stdout + done.stderr
