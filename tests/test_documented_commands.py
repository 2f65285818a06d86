"""Every command that README.md and DEVELOPERS.md name does what it says, tried in its shortest form."""

import os
import re
import runpy
import shutil
import signal
import subprocess
import sys
import time
import tomllib
import urllib.request
from contextlib import chdir
from importlib.metadata import version
from pathlib import Path
from unittest.mock import patch

import nbformat
import pytest
from packaging.requirements import Requirement

pytestmark = pytest.mark.slow

ROOT = Path(__file__).resolve().parents[1]
TEXTS = {name: (ROOT / name).read_text(encoding="utf-8") for name in ("README.md", "DEVELOPERS.md")}
PYTHON = ".venv/bin/python"
BENCHMARKS = [path.stem for path in sorted((ROOT / "tests" / "benchmarks").glob("*.py"))]
BENCHMARKS.remove("timing")  # what they share

_COLLECT = (
    "-m pytest -n 3 --collect-only -q tests/shape/test_hollow.py bladelab/units.py notebooks/06_glide.ipynb "
    "tests/browser/test_jupyterlab.py -m slow"
)
# Whether what it would bring is there, `test_what_is_to_be_installed_is_what_the_tests_run_on` tells.
_INSTALL = (
    "-m pip install --dry-run --quiet --no-index --no-deps --no-build-isolation --editable "
    "{project}[test,shared]"
)
_QUICK = '"not browser and not journey and not slow"'
_STORE = "{project}/tools/execute_notebooks.py"
#: Command -> the arguments of Python that try it.
SHORTEST = {
    "python3 -m venv .venv": "-m venv --without-pip {empty}/.venv",
    f'{PYTHON} -m pip install --editable ".[test]"': _INSTALL,
    f'{PYTHON} -m pip install --editable ".[shared]"': _INSTALL,
    f"{PYTHON} -m pytest -n 3": _COLLECT,
    f"{PYTHON} -m pytest tests/shape": _COLLECT,
    f"{PYTHON} -m pytest bladelab": _COLLECT,
    f"{PYTHON} -m pytest notebooks": _COLLECT,
    f"{PYTHON} -m pytest tests/browser": _COLLECT,
    f"{PYTHON} -m pytest tests/journeys": _COLLECT,
    f"{PYTHON} -m pytest -n 2 -m {_QUICK}": _COLLECT,
    f"{PYTHON} -m pytest -n 2 -m {_QUICK} --cov": "-m pytest -n 0 -q --cov=bladelab.units bladelab/units.py",
    f"{PYTHON} tools/oldest_versions.py": "{project}/tools/oldest_versions.py --list",
    f"{PYTHON} tools/execute_notebooks.py 07": f"{_STORE} 07",
    f"{PYTHON} tools/execute_notebooks.py": _STORE,
    f"{PYTHON} tools/execute_notebooks.py --check": f"{_STORE} --check",
    f"{PYTHON} tools/execute_notebooks.py --list": f"{_STORE} --list",
    f"{PYTHON} -m tests.browser.latency": "-m tests.browser.latency --help",
    f"{PYTHON} -m tests.browser.first_minute": "-m tests.browser.first_minute --help",
    f"{PYTHON} -m tests.book.faults": "-m tests.book.faults read_only --quick",
    f"{PYTHON} -m tests.forgiving.shaking --count 20000": "-m tests.forgiving.shaking --count 3 bite_panel",
    f"{PYTHON} -m tests.rink.simulated_runs": "-m tests.rink.simulated_runs 3",
    **{f"{PYTHON} -m tests.benchmarks.{name}": f"-m tests.benchmarks.{name} --quick" for name in BENCHMARKS},
}
#: The script that gets a process of its own, since it opens a browser. The others run here, where all that
#: each would have to load first is there.
APART = "tests.benchmarks.take_home"
#: What only .ci/run runs, beside the tests.
BESIDE = {f"{PYTHON} -m ruff check .", f"{PYTHON} -m mypy"}
#: Command -> options with which start.py is tried, and how the address begins that it must print.
STARTS = {
    "python3 start.py": ([], "/lab/tree/notebooks/00_start_here.ipynb?token="),
    "python3 start.py --no-browser": ([], "/lab/tree/notebooks/00_start_here.ipynb?token="),
    "python3 start.py --pages": (["--pages"], "/start?token="),
    "python3 start.py --pages --network": (
        ["--pages", "--network"],
        "/start?token=",
    ),
}


def commands(text: str) -> set[str]:
    """The commands a text names, in blocks and within lines, in the words of Linux."""
    blocks = re.findall(r"^```\n(.*?)^```", text, re.M | re.S)
    lines = [line for block in blocks for line in block.splitlines()]
    lines += re.findall(r"`([^`\n]+)`", re.sub(r"^```.*?^```", "", text, flags=re.M | re.S))
    found = set()
    for line in lines:
        for part in re.split(r" {3,}", line)[0].split(" && "):
            part = part.replace("\\", "/").replace(".venv/Scripts", ".venv/bin")
            part = re.sub(r"^py ", "python3 ", part)
            part = re.sub(r"^python -m", f"{PYTHON} -m", part)
            part = re.sub(r"^start\.py", "python3 start.py", part)
            if re.match(r"(python3|\.venv/bin/\S+) |\.ci/run", part):
                found.add(part)
    return found


COMMANDS = set.union(*map(commands, TEXTS.values()))


@pytest.fixture(scope="module")
def places(tmp_path_factory) -> dict[str, Path]:
    """An empty folder, and a small copy of the project that may be changed, with a single notebook."""
    project = tmp_path_factory.mktemp("project")
    skip = shutil.ignore_patterns("__pycache__", "static/*.js")
    for name in ("bladelab", "data", "tools", "lab"):
        shutil.copytree(ROOT / name, project / name, ignore=skip)
    for name in ("pyproject.toml", "requirements.txt", "README.md"):
        shutil.copy(ROOT / name, project)
    (project / "notebooks").mkdir()
    notebook = nbformat.read(ROOT / "notebooks" / "07_compare_two_blades.ipynb", as_version=4)
    for cell in notebook.cells:
        if cell.cell_type == "code":
            cell.update(source="print(40 + 2)", outputs=[])
    nbformat.write(notebook, project / "notebooks" / "07_short.ipynb")
    assert run_here([str(project / "tools" / "execute_notebooks.py"), "--list"]) == 0
    return {"empty": tmp_path_factory.mktemp("empty"), "project": project}


def run(words: list[str]) -> subprocess.CompletedProcess:
    return subprocess.run(
        [sys.executable, *words],
        cwd=ROOT,
        capture_output=True,
        text=True,
        env=os.environ | {"PYTHONPATH": str(ROOT)},
    )


def run_here(words: list[str]) -> object:
    """Run a script, or a module after -m, in this process; returns what it ends with."""
    module = words[0] == "-m"
    with patch.object(sys, "argv", words[module:]), chdir(ROOT):
        try:
            if module:
                runpy.run_module(words[1], run_name="__main__", alter_sys=True)
            else:
                runpy.run_path(words[0], run_name="__main__")
        except SystemExit as end:
            return end.code or 0
    return 0


def test_every_command_is_tried():
    known = {*SHORTEST, *BESIDE, *STARTS, ".ci/run"}
    assert known >= COMMANDS, "a command without a trial"
    unnamed = known - COMMANDS - {f"{PYTHON} -m tests.benchmarks.{name}" for name in BENCHMARKS}
    assert not unnamed, "a trial of what no text names"
    for name in BENCHMARKS:
        assert re.search(rf"[`.]{name}`", TEXTS["DEVELOPERS.md"]), f"{name} is not named"


@pytest.mark.parametrize("trial", sorted(set(SHORTEST.values())))
@pytest.mark.filterwarnings("ignore:.* found in sys.modules after import:RuntimeWarning")
def test_command_runs(trial, places):
    if trial.startswith(("-m tests.", _STORE)) and APART not in trial:
        assert run_here([word.format(**places) for word in trial.split()]) == 0
        return
    done = run([word.format(**places) for word in trial.split()])
    assert done.returncode == 0, done.stdout + done.stderr
    assert "Traceback" not in done.stderr


def test_what_is_to_be_installed_is_what_the_tests_run_on():
    parts = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    lines = (ROOT / "requirements.txt").read_text(encoding="utf-8").splitlines()
    wanted = [line for line in lines if line and not line.startswith("#")]
    wanted += [line for extra in parts["optional-dependencies"].values() for line in extra]
    assert len(wanted) > 20
    for line in wanted:
        one = Requirement(line)
        if one.name == parts["name"]:
            assert one.extras <= set(parts["optional-dependencies"]), line
        elif one.marker is None or one.marker.evaluate():
            assert one.specifier.contains(version(one.name)), f"{line}: {version(one.name)} is here"


def test_the_command_from_nothing_is_sound():
    if shutil.which("bash") is None:
        pytest.skip("no bash on this machine")
    assert os.access(ROOT / ".ci" / "run", os.X_OK) or os.name == "nt"
    subprocess.run(["bash", "-n", ".ci/run"], cwd=ROOT, check=True)
    _, checks = (ROOT / ".ci" / "run").read_text().split("rm -rf .venv\n")
    lines = checks.splitlines()
    assert commands(f"```\n{checks}\n```") == set(lines) and len(lines) == 5, "each on a line that can fail"
    assert BESIDE < set(lines) <= {*SHORTEST, *BESIDE}
    assert f"{PYTHON} -m pytest -n 3" in lines


@pytest.mark.parametrize("command", sorted({str(start): name for name, start in STARTS.items()}.values()))
def test_it_starts_and_prints_an_address_that_opens(command, tmp_path):
    """With the environment of the tests in place of one that start.py makes, and without a browser.

    JupyterLab starts without the grammar that it does not ask (tests/before_all.py).
    """
    options, begins = STARTS[command]
    code = "import sys, start; start.install = lambda _: sys.executable; sys.exit(start.main(sys.argv[1:]))"
    folders = {f"JUPYTER_{name}_DIR": str(tmp_path / name) for name in ("CONFIG", "DATA", "RUNTIME")}
    with (tmp_path / "log").open("w") as log:
        started = subprocess.Popen(
            [sys.executable, "-c", code, *options, "--no-browser", "--allow-root"],
            cwd=ROOT,
            env=os.environ | folders | ({} if options else {"PYTHONPROFILEIMPORTTIME": "1"}),
            stdin=subprocess.DEVNULL,
            stdout=log,
            stderr=subprocess.STDOUT,
            start_new_session=True,
        )
    try:
        address = None
        for _ in range(600):
            said = (tmp_path / "log").read_text()
            address = re.search(rf"(http://\S+?){re.escape(begins)}(\w+)", said)
            if address or started.poll() is not None:
                break
            time.sleep(0.1)
        assert address, said
        assert "Warning" not in said, "a reader takes it for a fault"
        assert opens(f"{address[1]}/api/status?token={address[2]}") and not opens(f"{address[1]}/api/status")
        if not options:
            assert "jsonschema._format" in said and "rfc3987_syntax." not in said
        if "--network" in options:
            assert re.search(rf"http://\S+:\d+/\n    code: {address[2]}\n", said) and "Take care" in said
    finally:
        if os.name == "nt":
            subprocess.run(["taskkill", "/T", "/F", "/PID", str(started.pid)], capture_output=True)
        else:
            os.killpg(started.pid, signal.SIGTERM)
        started.wait(30)


def opens(address: str) -> bool:
    """Whether a server has this for us; it may need a moment to listen."""
    for _ in range(100):
        try:
            return urllib.request.urlopen(address, timeout=30).status == 200
        except urllib.error.HTTPError:
            return False
        except OSError:
            time.sleep(0.1)
    return False
