"""The script that runs and stores notebooks, and the stored notebooks themselves."""

import nbformat
import pytest
from nbformat.v4 import new_code_cell, new_markdown_cell, new_notebook

from tools import execute_notebooks as tool

STORED = sorted(tool.NOTEBOOKS.glob("*.ipynb"))


@pytest.mark.parametrize("path", STORED, ids=lambda path: path.name)
def test_stored_notebook_keeps_the_rules(path):
    assert tool.faults(nbformat.read(path, as_version=4)) == []


def test_the_list_of_notebooks_that_run_when_they_open_is_current():
    assert tool.read_list(tool.PROJECT) == tool.hashes(tool.PROJECT), (
        "python tools/execute_notebooks.py --list writes it"
    )
    assert set(tool.read_list(tool.PROJECT)) == {path.name for path in STORED}


def test_only_code_makes_the_hash():
    notebook = good_notebook("print(40 + 2)")
    first = tool.code_hash(notebook)
    notebook.cells[0].source += " More."
    notebook.cells[1].outputs = [nbformat.v4.new_output("stream", text="42\n")]
    notebook.metadata["bladelab"] = {"run_on_open": True}
    assert tool.code_hash(notebook) == first
    notebook.cells[1].source += " "
    assert tool.code_hash(notebook) != first
    # Two cells are not one.
    assert tool.code_hash(new_notebook(cells=[new_code_cell("a"), new_code_cell("b")])) != tool.code_hash(
        new_notebook(cells=[new_code_cell("a\nb")])
    )


@pytest.mark.slow
def test_running_notebooks_brings_the_list_up_to_date(monkeypatch, tmp_path, capsys):
    (tmp_path / tool.LIST).parent.mkdir(parents=True)
    (tmp_path / "notebooks").mkdir()
    monkeypatch.setattr(tool, "NOTEBOOKS", tmp_path / "notebooks")
    monkeypatch.setattr(tool, "PROJECT", tmp_path)
    nbformat.write(good_notebook("1 + 1"), tmp_path / "notebooks" / "01_one.ipynb")
    tool.write_list(tmp_path, {})
    assert tool.main(["--check"]) == 1 and "--list" in capsys.readouterr().out
    assert tool.main(["01"]) == 0 and list(tool.read_list(tmp_path)) == ["01_one.ipynb"]
    assert tool.main(["--check"]) == 0
    tool.write_list(tmp_path, {})
    assert tool.main(["--list"]) == 0 and list(tool.read_list(tmp_path)) == ["01_one.ipynb"]


def good_notebook(code="print(40 + 2)"):
    text = "# How much is it?\n\nFor everybody.\n\n" + "\n\n".join(
        f"## {name}\n\nText." for name in tool.SECTIONS
    )
    return new_notebook(cells=[new_markdown_cell(text), new_code_cell(code)])


@pytest.fixture
def write(tmp_path):
    def write_one(notebook):
        return nbformat.write(notebook, tmp_path / "sample.ipynb") or tmp_path / "sample.ipynb"

    return write_one


@pytest.mark.slow
def test_a_good_notebook_is_run_and_stored_and_running_it_again_changes_nothing(write):
    path = write(good_notebook("import ipywidgets\nprint(40 + 2)\nipywidgets.IntSlider()"))
    assert tool.execute(path) == []
    first = path.read_bytes()
    stored = nbformat.read(path, as_version=4)
    assert stored.cells[1].outputs[0].text == "42\n"
    assert stored.cells[1].execution_count == 1
    assert tool.WIDGET_VIEW in stored.cells[1].outputs[1].data
    assert tool.execute(path) == []
    assert path.read_bytes() == first


@pytest.mark.slow
@pytest.mark.parametrize(
    ("code", "complaint"),
    [
        ("1 / 0", "ZeroDivisionError"),
        ("object()", "differs between runs"),
        ("import os\nprint(os.getcwd() + '/x')", "differs between runs"),
        ("import warnings\nwarnings.warn('mind')", "writes a warning"),
    ],
)
def test_a_notebook_that_breaks_a_rule_when_it_runs_is_left_as_it_was(write, code, complaint):
    path = write(good_notebook(code))
    before = path.read_bytes()
    assert any(complaint in fault for fault in tool.execute(path))
    assert path.read_bytes() == before


@pytest.mark.slow
def test_a_notebook_with_missing_sections_or_no_question_is_refused(write):
    path = write(new_notebook(cells=[new_markdown_cell("# A statement"), new_code_cell("print(1)")]))
    before = path.read_bytes()
    wrong = " ".join(tool.execute(path))
    assert "a question" in wrong and "sections" in wrong
    assert path.read_bytes() == before


@pytest.mark.parametrize(
    ("code", "complaint"),
    [("def helper():\n    return 1", "belong in the library"), ("x = 1\n" * 41, "41 lines of code")],
)
def test_rules_on_the_code_are_read_off_the_notebook(code, complaint):
    assert any(complaint in fault for fault in tool.faults(good_notebook(code)))


def test_a_panel_that_does_not_come_first_is_told():
    shown = nbformat.v4.new_output("display_data", {tool.WIDGET_VIEW: {}})
    panel, other = new_code_cell("panel()", outputs=[shown]), new_code_cell("print(1)")
    text = good_notebook().cells[0]
    first, second = new_notebook(cells=[text, panel, other]), new_notebook(cells=[text, other, panel])
    told = "its first code cell is not its panel"
    assert not any(told in fault for fault in tool.faults(first))
    assert any(told in fault for fault in tool.faults(second))


def test_a_name_that_fits_no_notebook_is_refused(capsys):
    with pytest.raises(SystemExit) as stop:
        tool.main(["99_nothing"])
    assert stop.value.code == 2
    assert "99_nothing" in capsys.readouterr().err
