"""Run notebooks and store them the way they are committed.

    python tools/execute_notebooks.py                 all notebooks
    python tools/execute_notebooks.py 01 07_compare   those whose names begin so
    python tools/execute_notebooks.py --check         run nothing, only report what breaks the rules
    python tools/execute_notebooks.py --list          run nothing, only write the list below

A notebook is run from top to bottom in a fresh kernel and written back with its outputs, without anything
that changes from run to run (times, versions, widget state). Its code is hidden. If a cell fails, or a
stored notebook would break a rule of this project, the file stays as it was and the exit code is 1.

JupyterLab runs a notebook when it opens if its code is on a list, which this script brings up to date: a hash
of the code of each notebook, in lab/labextensions/run-on-open/static/notebooks.json.
"""

from __future__ import annotations

import argparse
import hashlib
import json
import os
import re
import sys
from pathlib import Path

import nbformat
from nbclient import NotebookClient
from nbclient.exceptions import CellExecutionError, CellTimeoutError, DeadKernelError
from nbformat import NotebookNode

PROJECT = Path(__file__).resolve().parents[1]
NOTEBOOKS = PROJECT / "notebooks"
LIST = "lab/labextensions/run-on-open/static/notebooks.json"
WIDGET_VIEW = "application/vnd.jupyter.widget-view+json"
CODE_LINES_LIMIT = 40

# Headings in the order every notebook has them; DEVELOPERS.md says what goes under each.
SECTIONS = (
    "Try it",
    "What the pictures mean",
    "Three things to try",
    "A number to check",
    "How far to trust it",
    "Sources",
)

# What would make an output differ from machine to machine or from run to run.
_UNSTABLE = re.compile(r"0x[0-9a-f]{6,}|/(?:home|root|tmp|work|Users)/|[A-Z]:\\|\d\d:\d\d:\d\d")


def tidy(notebook: NotebookNode) -> NotebookNode:
    """Return the notebook with the metadata it is committed with (changes it in place).

    Widgets get one fixed model id, so that running a notebook again changes nothing in its file.
    """
    notebook.metadata = nbformat.from_dict(
        {
            "kernelspec": {"display_name": "Python 3", "language": "python", "name": "python3"},
            "language_info": {"name": "python"},
        }
    )
    for cell in notebook.cells:
        tags = cell.metadata.get("tags")
        cell.metadata = nbformat.from_dict({"tags": tags} if tags else {})
        if cell.cell_type != "code":
            continue
        cell.metadata["jupyter"] = {"source_hidden": True}
        for output in cell.outputs:
            output.pop("transient", None)
            if WIDGET_VIEW in output.get("data", {}):
                output.data[WIDGET_VIEW]["model_id"] = "made-when-the-notebook-runs"
    return notebook


def faults(notebook: NotebookNode) -> list[str]:
    """What in a stored notebook breaks the rules of this project; an empty list if nothing does."""
    found = []
    markdown = [cell.source for cell in notebook.cells if cell.cell_type == "markdown"]
    code = [cell for cell in notebook.cells if cell.cell_type == "code"]
    first_line = markdown[0].strip().splitlines()[0] if markdown and markdown[0].strip() else ""
    if not (first_line.startswith("# ") and first_line.endswith("?")):
        found.append(f"its first line is {first_line!r}; it must be '# ' and a question")
    headings = re.findall(r"^## (.+?)\s*$", "\n".join(markdown), re.MULTILINE)
    known = [heading for heading in headings if heading in SECTIONS]
    if known != list(SECTIONS):
        found.append(f"its sections are {known}; they must be {list(SECTIONS)}")
    lines = [line for cell in code for line in cell.source.splitlines() if line.strip()]
    if len(lines) > CODE_LINES_LIMIT:
        found.append(f"it has {len(lines)} lines of code; at most {CODE_LINES_LIMIT} are allowed")
    if any(re.match(r"\s*(def|class)\s", line) for line in lines):
        found.append("it defines a function or class; those belong in the library")
    panels = [
        any(WIDGET_VIEW in output.get("data", {}) for output in cell.get("outputs", [])) for cell in code
    ]
    if any(panels) and not panels[0]:
        found.append("its first code cell is not its panel, which the reader should see at once")
    if "widgets" in notebook.metadata:
        found.append("it holds widget state, which hides the pictures from readers without a kernel")
    for number, cell in enumerate(code, 1):
        if not cell.execution_count:
            found.append(f"code cell {number} was not run, so the tests would compare nothing")
        if not cell.metadata.get("jupyter", {}).get("source_hidden"):
            found.append(f"the code of cell {number} is not hidden")
        for output in cell.get("outputs", []):
            text = str(output.get("text", "")) + str(output.get("data", {}).get("text/plain", ""))
            if output.output_type == "error":
                found.append(f"code cell {number} ends in {output.ename}: {output.evalue}")
            elif output.get("name") == "stderr":
                found.append(f"code cell {number} writes a warning: {text.strip()[:200]}")
            elif unstable := _UNSTABLE.search(text):
                found.append(f"code cell {number} prints {unstable.group()!r}, which differs between runs")
    return found


def code_hash(notebook: NotebookNode) -> str:
    """Hash of the sources of all code cells, in order: SHA-256 of the list as JSON, as in the extension."""
    sources = [cell.source for cell in notebook.cells if cell.cell_type == "code"]
    return hashlib.sha256(json.dumps(sources, ensure_ascii=False, separators=(",", ":")).encode()).hexdigest()


def hashes(project: Path) -> dict[str, str]:
    """Name and hash of each notebook of the collection, as they are stored."""
    paths = sorted((project / "notebooks").glob("[0-9][0-9]_*.ipynb"))
    return {path.name: code_hash(nbformat.read(path, as_version=4)) for path in paths}


def read_list(project: Path) -> dict[str, str]:
    """Name and hash of each notebook that runs when it opens."""
    return json.loads((project / LIST).read_text(encoding="utf-8"))


def write_list(project: Path, listed: dict[str, str]) -> None:
    """Say which notebooks run when they open."""
    (project / LIST).write_text(json.dumps(listed, indent=1) + "\n", encoding="utf-8", newline="\n")


def execute(path: Path, timeout_s: float = 300) -> list[str]:
    """Run one notebook, with no book, and store it if it keeps the rules; return what is wrong with it."""
    os.environ["BLADELAB_BOOK"] = ""
    notebook = nbformat.read(path, as_version=4)
    client = NotebookClient(
        notebook,
        timeout=timeout_s,
        kernel_name="python3",
        record_timing=False,
        store_widget_state=False,
        resources={"metadata": {"path": str(path.parent)}},
    )
    try:
        client.execute()
    except (CellExecutionError, CellTimeoutError, DeadKernelError) as error:
        return [str(error).strip()]
    wrong = faults(tidy(notebook))
    if not wrong:
        part = path.with_suffix(".part")
        nbformat.write(notebook, part)
        os.replace(part, path)
    return wrong


def main(arguments: list[str]) -> int:
    """Run or check the notebooks named on the command line; 0 if all are right."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("names", nargs="*", help="beginnings of file names; none means all")
    parser.add_argument("--check", action="store_true", help="run nothing, only check the stored files")
    parser.add_argument("--list", action="store_true", help="run nothing, only list what runs when it opens")
    options = parser.parse_args(arguments)
    if options.list:
        write_list(PROJECT, hashes(PROJECT))
        return 0
    chosen = []
    for name in options.names or [""]:
        matching = sorted(NOTEBOOKS.glob(f"{Path(name).stem}*.ipynb"))
        if not matching:
            parser.error(f"no notebook in {NOTEBOOKS.name}/ begins with {name!r}")
        chosen += matching
    failed = False
    for path in chosen:
        wrong = faults(nbformat.read(path, as_version=4)) if options.check else execute(path)
        print(f"{path.name}: {'ok' if not wrong else ''}", *wrong, sep="\n  " if wrong else "", flush=True)
        failed |= bool(wrong)
    if options.check and read_list(PROJECT) != hashes(PROJECT):
        print("the list of notebooks that run when they open is out of date: --list writes it")
        failed = True
    elif not options.check:
        write_list(PROJECT, hashes(PROJECT))
    return int(failed)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
