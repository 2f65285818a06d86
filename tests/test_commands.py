"""The commands in README.md are those that are tested."""

import re
from pathlib import Path

from pages import settings
from prompt_connection import PromptConnection
from traitlets.utils.importstring import import_item

import start

ROOT = Path(__file__).resolve().parents[1]


def test_ci_runs_the_test_command_of_the_readme():
    (command,) = re.findall(r"^python3 .* pytest .*$", (ROOT / "README.md").read_text(), re.M)
    steps = command.split(" && ")
    lines = (ROOT / ".ci" / "run").read_text().rstrip().splitlines()
    assert len(steps) == 3 and [line for line in lines if line in steps] == steps and lines[-1] == steps[-1]


def test_the_readme_lists_every_notebook_once():
    text = (ROOT / "README.md").read_text()
    for path in sorted((ROOT / "notebooks").glob("*.ipynb")):
        assert text.count(f"(notebooks/{path.name})") == 1, path.name


def test_start_opens_what_is_there():
    assert (ROOT / start.FIRST_NOTEBOOK).exists()
    options = dict(option.split("=", 1) for option in start.lab_command("python") if "=" in option)
    assert list(Path(options["--LabApp.extra_labextensions_path"]).glob("*/package.json"))
    assert (Path(options["--LabApp.app_settings_dir"]) / "overrides.json").exists()
    assert import_item(options["--ServerApp.kernel_websocket_connection_class"]) is PromptConnection
    assert options["--log-level"] == "WARN", "the address is not lost among what the server says of itself"


def test_the_pages_send_at_once_too():
    told = settings(network=False).ServerApp
    assert import_item(told.kernel_websocket_connection_class) is PromptConnection
