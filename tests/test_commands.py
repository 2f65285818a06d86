"""The commands in README.md are those that are tested."""

from pathlib import Path

import start

ROOT = Path(__file__).resolve().parents[1]


def test_ci_runs_the_test_command_of_the_readme():
    command = (ROOT / ".ci" / "run").read_text().rstrip().splitlines()[-1]
    assert "pytest" in command
    assert f"\n{command}\n" in (ROOT / "README.md").read_text()


def test_the_readme_lists_every_notebook_once():
    text = (ROOT / "README.md").read_text()
    for path in sorted((ROOT / "notebooks").glob("*.ipynb")):
        assert text.count(f"(notebooks/{path.name})") == 1, path.name


def test_start_opens_what_is_there():
    assert (ROOT / start.FIRST_NOTEBOOK).exists()
    options = dict(option.split("=", 1) for option in start.lab_command("python") if "=" in option)
    assert list(Path(options["--LabApp.extra_labextensions_path"]).glob("*/package.json"))
    assert (Path(options["--LabApp.app_settings_dir"]) / "overrides.json").exists()
