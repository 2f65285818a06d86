"""start.py: sets up once, then needs no internet; whatever breaks a setting up, the next start mends it."""

import subprocess
from pathlib import Path
from types import SimpleNamespace

import pytest

import start


class Machine:
    """A machine whose environments and programmes are pretended.

    `broken` says what fails: ``"venv"`` leaves an environment without pip, as ensurepip does when it fails;
    ``"pip"`` can't install, as without the internet; ``"Ctrl-C"`` is pressed while pip installs.
    """

    def __init__(self, root: Path) -> None:
        self.root, self.folder, self.broken, self.did = root, root / ".venv", "", []

    def create(self, folder, clear, **_):
        python = start.environment_python(folder)
        assert folder == self.folder and clear == (not python.exists()), "what works is kept"
        self.did.append("venv")
        python.parent.mkdir(parents=True, exist_ok=True)
        python.write_text("a Python")
        if self.broken == "venv":
            raise subprocess.CalledProcessError(1, "ensurepip")
        (folder / "pip").write_text("pip")

    def run(self, command, **options):
        words = [str(word) for word in command]
        assert words[0] == str(start.environment_python(self.folder)) and Path(words[0]).exists()
        if Path(words[1]).parts[-2:] == ("lab", "serve.py"):
            self.did.append(words[2])
            self.asked = words[3:]
            return SimpleNamespace(returncode=0)
        assert words[1:3] == ["-m", "pip"]
        if words[3] == "--version":
            return SimpleNamespace(returncode=0 if (self.folder / "pip").exists() else 1)
        self.did.append("pip")
        if self.broken == "Ctrl-C":
            raise KeyboardInterrupt
        if self.broken == "pip" or not (self.folder / "pip").exists():
            assert options["check"], "a failure is noticed"
            raise subprocess.CalledProcessError(1, "pip install")
        return SimpleNamespace(returncode=0)


@pytest.fixture
def machine(tmp_path, monkeypatch):
    (tmp_path / "requirements.txt").write_text("numpy>=2\n")
    monkeypatch.setattr(start, "ROOT", tmp_path)
    pretended = Machine(tmp_path)
    monkeypatch.setattr(start, "venv", SimpleNamespace(create=pretended.create))
    monkeypatch.setattr(start.subprocess, "run", pretended.run)
    return pretended


def test_after_the_first_time_nothing_is_fetched(machine):
    assert start.main([]) == 0 and machine.did == ["venv", "pip", "lab"]
    machine.did.clear()
    machine.broken = "pip"  # no internet any more
    assert start.main([]) == 0 and machine.did == ["lab"]


@pytest.mark.parametrize("broken", ["venv", "pip", "Ctrl-C"])
def test_a_setup_that_fails_is_told_and_done_at_the_next_start(broken, machine, capsys):
    machine.broken = broken
    assert start.main([]) == 1 and "lab" not in machine.did
    said = capsys.readouterr().out
    assert "Start again: nothing is lost." in said.replace("Then start", "Start")
    assert ("connected to the internet?" in said) == (broken != "Ctrl-C")
    machine.broken = ""
    assert start.main([]) == 0 and machine.did[-2:] == ["pip", "lab"]


def test_other_packages_are_fetched_into_the_environment_that_is_there(machine):
    assert start.main([]) == 0
    (machine.root / "requirements.txt").write_text("numpy>=3\n")
    machine.did.clear()
    machine.broken = "pip"
    assert start.main([]) == 1 and machine.did == ["pip"]
    machine.broken = ""
    assert start.main([]) == 0 and machine.did == ["pip", "pip", "lab"]
    assert start.main([]) == 0 and machine.did[3:] == ["lab"]


def test_pages_are_started_when_asked_for_and_other_options_are_handed_on(machine, capsys):
    assert start.main(["--pages", "--no-browser"]) == 0
    assert machine.did[-1] == "pages" and machine.asked == ["--no-browser"]
    assert start.main(["--network", "--pages", "--port=9000"]) == 0
    assert machine.did[-1] == "pages" and machine.asked == ["--network", "--port=9000"]
    capsys.readouterr()
    assert start.main(["--no-browser"]) == 0
    assert machine.did[-1] == "lab" and machine.asked[-1] == "--no-browser"
    assert "Opening your web browser" not in capsys.readouterr().out
    machine.did.clear()
    with pytest.raises(SystemExit):
        start.main(["--network"])  # JupyterLab is for this computer
    assert machine.did == [] and "--network only works with --pages" in capsys.readouterr().err
