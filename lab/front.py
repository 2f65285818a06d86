"""What the plain pages have of their own: a front page, titles for the browser's tabs, and words that fit a
page without a menu."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import nbformat
from jupyter_server.base.handlers import JupyterHandler
from nbformat import NotebookNode
from tornado import web

#: Where the front page is, and the notebook whose map of all pages it shows.
PLACE, MAP = "/start", "00_start_here.ipynb"

# A row of the map: the theme where a new one begins, the link, the question.
_ROW = re.compile(
    r"^\| *(?:\*\*(?P<theme>[^*|]+)\*\*)? *\| *\[[^]]+\]\((?P<file>\S+?)\) *\| *(?P<question>[^|]+?) *\|$"
)
# What a notebook says of JupyterLab's menu, in parentheses.
_OF_THE_MENU = re.compile(r"\s*\(No \w+\? [^()]*\bmenu\b[^()]*\)")


@dataclass(frozen=True)
class Page:
    """One notebook on the map.

    Attributes
    ----------
    file, question : str
    """

    file: str
    question: str


@dataclass(frozen=True)
class Theme:
    """What belongs together on the map.

    Attributes
    ----------
    name : str
    pages : list of Page
    """

    name: str
    pages: list[Page] = field(default_factory=list)


def themes(notebooks: Path) -> list[Theme]:
    """Return the map of all pages as `MAP` has it."""
    found: list[Theme] = []
    for cell in nbformat.read(notebooks / MAP, as_version=4).cells:
        for line in cell.source.splitlines() if cell.cell_type == "markdown" else ():
            if row := _ROW.match(line):
                if row["theme"]:
                    found.append(Theme(row["theme"]))
                if found:
                    found[-1].pages.append(Page(row["file"], row["question"]))
    return found


def question(notebook: NotebookNode) -> str:
    """Return the question that a notebook answers, from its first line."""
    return str(notebook.cells[0].source).partition("\n")[0].lstrip("# ").strip()


def as_page(handler: Any, notebook: NotebookNode, cwd: str) -> NotebookNode:
    """Give a notebook its title, and leave out what it says of JupyterLab's menu; voila calls this before it
    shows one."""
    notebook.metadata.title = question(notebook)
    for cell in notebook.cells:
        if cell.cell_type == "markdown":
            cell.source = _OF_THE_MENU.sub("", cell.source)
    return notebook


class FrontPage(JupyterHandler):
    """The page on which the plain pages open."""

    @web.authenticated
    def get(self) -> None:
        """Show it."""
        notebooks = Path(self.settings["server_root_dir"])
        pages = f"{self.base_url}voila/render/"
        self.finish(self.render_template("front.html", pages=pages, themes=themes(notebooks)))
