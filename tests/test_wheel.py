"""Installed from a wheel, with no checkout near, bladelab has all its files and works."""

import os
import shutil
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

pytestmark = pytest.mark.slow

ROOT = Path(__file__).resolve().parents[1]
NOT_OURS = shutil.ignore_patterns("__pycache__", ".ipynb_checkpoints")

# Run outside the checkout. It does what needs the files of data/: the stride, the measured edges, the
# invented log and every published check; and it writes the slides of the clinic.
WORK = """
from pathlib import Path
import bladelab
from bladelab.physics.friction_gap import MEASURED_FILE
from bladelab.physics.stride import read_stride
from bladelab.show.clinic.export import export_deck
from bladelab.show.clinic.deck import build_deck
from bladelab.show.panels.workshop.measured_files import measured, offered
from bladelab.show.panels.ice.stride import stride_panel
from bladelab.show.panels.advice.trials import trials_panel
from bladelab.trust.published import published_checks

assert Path(bladelab.__file__).is_relative_to(r"{target}"), bladelab.__file__
assert MEASURED_FILE.is_relative_to(r"{target}"), MEASURED_FILE
print(len(read_stride().time_s), "moments")
print(len([measured(path) for _, path in offered(".csv")]), "measured edges")
stride_panel(), trials_panel()
print(sum(check.agrees(check.computed()) for check in published_checks()), len(published_checks()))
print(*(file.name for file in export_deck(build_deck(topics=["rocker"]), ["slides"])))
"""


@pytest.fixture(scope="module")
def wheel(tmp_path_factory) -> Path:
    """A wheel built from a copy, so that nothing is left in the checkout."""
    source, made = tmp_path_factory.mktemp("source"), tmp_path_factory.mktemp("wheel")
    for name in ("bladelab", "data"):
        shutil.copytree(ROOT / name, source / name, ignore=NOT_OURS)
    for name in ("pyproject.toml", "requirements.txt", "README.md"):
        shutil.copy(ROOT / name, source)
    # What pip calls to build one (tests/test_documented_commands.py tries pip itself).
    build = f"from setuptools.build_meta import build_wheel; build_wheel({str(made)!r})"
    done = subprocess.run([sys.executable, "-c", build], cwd=source, capture_output=True, text=True)
    assert done.returncode == 0, done.stdout + done.stderr
    return next(made.glob("bladelab-*.whl"))


def files_in(folder: Path) -> set[str]:
    return {
        f"{folder.name}/{path.relative_to(folder).as_posix()}"
        for path in folder.rglob("*")
        if path.is_file() and "__pycache__" not in path.parts and path.suffix != ".pyc"
    }


def test_the_wheel_holds_every_file_of_the_library_and_its_data(wheel):
    there = {name for name in zipfile.ZipFile(wheel).namelist() if ".dist-info/" not in name}
    assert there == files_in(ROOT / "bladelab") | {f"bladelab/{name}" for name in files_in(ROOT / "data")}


def test_what_is_installed_works_with_no_checkout_near(wheel, tmp_path):
    target, elsewhere = tmp_path / "installed", tmp_path / "elsewhere"
    elsewhere.mkdir()
    zipfile.ZipFile(wheel).extractall(target)  # all that installing a wheel of plain Python does
    done = subprocess.run(
        [sys.executable, "-c", WORK.format(target=target)],
        cwd=elsewhere,
        env=os.environ | {"PYTHONPATH": str(target)},  # before the checkout, which the environment may know
        capture_output=True,
        text=True,
    )
    assert done.returncode == 0, done.stderr
    moments, edges, checks, files = done.stdout.splitlines()
    assert int(moments.split()[0]) > 10 and int(edges.split()[0]) == 3
    agreeing, all_checks = checks.split()
    assert agreeing == all_checks and int(all_checks) > 20
    assert files.endswith(".pptx")
