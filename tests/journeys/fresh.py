"""A panel as it should be: its own answer to the numbers a person means, drawn by a view that is new."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from contextlib import chdir
from importlib import import_module
from pathlib import Path
from types import SimpleNamespace
from typing import Any
from unittest.mock import patch

from bladelab import InputError
from bladelab.show.panel.engine import Panel
from bladelab.show.wording.units_shown import UNITS

_PANEL = re.compile(r"from (bladelab\.show\S+) import (\w+_panel)\b")


def factories(notebook: Path) -> list[Callable[[], Any]]:
    """What the notebook calls to make its panels, in their order on the page."""
    cells = json.loads(notebook.read_text(encoding="utf-8"))["cells"]
    sources = ["".join(cell["source"]) for cell in cells if cell["cell_type"] == "code"]
    names = [found for source in sources for found in _PANEL.findall(source)]
    return [getattr(import_module(module), name) for module, name in names]


class Fresh:
    """One panel, and the values that a person means its dials to have.

    Parameters
    ----------
    make : callable
        Makes the panel, as the notebook does.
    folder : Path
        Where the notebook lies: files are looked for beside it.

    Attributes
    ----------
    box : Any
        What `make` returned; `panel` is the panel in it.
    meant : dict
        What each dial should be at, by name, in internal units.
    has_worked : bool
        Whether any numbers were answered so far: then there is a picture.
    """

    def __init__(self, make: Callable[[], Any], folder: Path) -> None:
        self._make, self._folder = make, folder
        with chdir(folder), patch.object(Panel, "refresh"):  # the picture it opens with is drawn for nobody
            self.box = make()
        self.panel = getattr(self.box, "panel", self.box)
        self.controls = {name: dial.control for name, dial in self.panel.dials.items()}
        self.meant: dict[str, Any] = {name: dial.value for name, dial in self.panel.dials.items()}
        self._works, self.has_worked, self._narrow = dict(self.meant), False, False

    def state(self, meant: dict[str, Any]) -> SimpleNamespace:
        """What the panel should read from its dials."""
        state = SimpleNamespace()
        for name, value in meant.items():
            home, column = state, self.controls[name].column
            if column:
                if not hasattr(state, column):
                    setattr(state, column, SimpleNamespace())
                home = getattr(state, column)
            setattr(home, self.controls[name].key, value)
        return state

    def shown(self, name: str) -> bool:
        """Whether the control should be seen, once its tab is open."""
        control, state = self.controls[name], self.state(self.meant)
        return not control.when or control.when(getattr(state, control.column) if control.column else state)

    def answer(self, system: str, narrow: bool) -> tuple[str, str, bool]:
        """Sentence, picture, and whether the numbers meant can't be: then the sentence is advice, and the
        picture is that of the last numbers that worked, or none. A page with little room has a narrow one."""
        self._narrow = narrow
        with UNITS.lent(system), chdir(self._folder):
            try:
                sentence, picture = self._drawn(self.meant)
            except InputError as problem:
                advice = f"{problem}"
                return advice[:1].upper() + advice[1:], self._last_that_worked(), True
        self._works, self.has_worked = dict(self.meant), True
        return sentence, picture, False

    def _last_that_worked(self) -> str:
        try:
            picture = self._drawn(self._works)[1]
        except InputError:
            assert not self.has_worked
            return ""
        self.has_worked = True
        return picture

    def _drawn(self, meant: dict[str, Any]) -> tuple[str, str]:
        answer = self.panel._picture.answer(self.state(meant))
        view = type(self.panel.view)()
        view.lay_out(self._narrow)
        view.show(answer)
        return answer.sentence, view.still_html() + view.frame_html(answer.sentence)
