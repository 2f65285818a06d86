"""The oldest versions are the bounds in our own files, and every package below show/ is tested on them."""

import importlib.util
import tomllib
from itertools import chain
from pathlib import Path

import pytest
from packaging.requirements import Requirement

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture(scope="module")
def script():
    spec = importlib.util.spec_from_file_location("oldest_versions", ROOT / "tools" / "oldest_versions.py")
    assert spec and spec.loader
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_each_package_that_bladelab_asks_for_is_held_at_its_lower_bound(script):
    # Read here as an installer reads them, which knows the standard for such lines (PEP 508).
    extras = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]["optional-dependencies"]
    lines = [line for line in (ROOT / "requirements.txt").read_text().splitlines() if line[:1] not in "#"]
    asked = [Requirement(line) for line in chain(lines, extras["shared"])]
    wanted = set()
    for one in asked:
        for bound in one.specifier:
            if bound.operator == ">=":
                wanted.add(f"{one.name}=={bound.version}")
    assert {line.lower() for line in script.oldest_versions()} == {line.lower() for line in wanted}


def test_the_tests_of_every_package_below_show_are_run(script):
    run = script.library_tests()
    packages = {path.parent.name for path in (ROOT / "bladelab").glob("*/__init__.py")} - {"show", "trust"}
    assert {f"tests/{name}" for name in packages} | {"tests/published"} <= set(run)
    assert not any(name in "".join(run[:-1]) for name in ("show", "browser", "journeys"))
