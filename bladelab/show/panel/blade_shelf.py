"""A shelf of saved blades under a panel: save one of its blades, or load one as present or trial."""

from __future__ import annotations

from contextlib import suppress
from pathlib import Path

import ipywidgets as widgets

from bladelab._errors import InputError
from bladelab._files import regular_files
from bladelab.advice.blade_file import LONGEST_NAME, load_blade, save_blade
from bladelab.book.exchange import FILE_KIND
from bladelab.shape.blade import Blade
from bladelab.show.controls.blade import blade_of
from bladelab.show.controls.blade_dials import dials_of
from bladelab.show.panel.card_dials import beyond
from bladelab.show.panel.engine import Panel
from bladelab.show.panel.files import FOLDER, safe_name
from bladelab.show.panel.forms import Message, beside


def show_blade(panel: Panel, column: str, blade: Blade) -> None:
    """Move the dials of one column to a blade.

    Raises
    ------
    ValueError
        If a number lies outside the range of its slider; then no dial has moved.
    """
    values = dials_of(blade)
    for key, value in values.items():
        if said := beyond(panel.dials[f"{column}.{key}"], value):
            raise InputError(said)
    with panel.quiet():
        for key, value in values.items():
            panel.dials[f"{column}.{key}"].value = value


class BladeShelf(widgets.VBox):
    """Save the present or the trial blade of a panel to a file, and load saved ones back."""

    def __init__(self, panel: Panel, folder: str | Path = FOLDER) -> None:
        self._panel, self._folder = panel, Path(folder)
        small = widgets.Layout(width="auto")
        self.name = widgets.Text(
            description="name",
            placeholder=f"of the blade, at most {LONGEST_NAME} letters",
            layout=widgets.Layout(width="380px"),
        )
        self.saved = widgets.Dropdown(description="saved", layout=widgets.Layout(width="380px"))
        self.message = Message()
        rows = []
        for verb, act, box in (("save", self.save, self.name), ("load as", self.take, self.saved)):
            buttons = []
            for column in ("present", "trial"):
                button = widgets.Button(description=f"{verb} {column}", layout=small)
                button.on_click(lambda _, act=act, column=column: act(column))
                buttons.append(button)
            rows.append(beside(box, *buttons))
        super().__init__([*rows, self.message])
        self._look()

    def save(self, column: str) -> None:
        """Save one column's blade under the name in the box."""
        name = self.name.value.strip()
        try:
            blade = blade_of(getattr(self._panel.state(), column))
            path = save_blade(self._folder / f"{safe_name(name, 'blade')}.json", blade, name)
        except (InputError, OSError) as problem:
            self.message.say(f"Not saved: {problem}.")
            return
        self._look()
        self.saved.value = path
        self.message.say(f"Saved as {path.as_posix()}.", files=[path])

    def take(self, column: str) -> None:
        """Put the chosen saved blade into one column."""
        if self.saved.value is None:
            self.message.say("No blade has been saved yet.")
            return
        try:
            name, blade = load_blade(self.saved.value)
            show_blade(self._panel, column, blade)
        except (InputError, OSError) as problem:
            self.message.say(f"Not loaded: {problem}.")
            return
        self.message.say(f"The {column} blade is now: {name}.")

    def _look(self) -> None:
        files = [path for path in regular_files(self._folder, ".json") if not _is_book(path)]
        before = self.saved.value
        self.saved.options = [(path.stem, path) for path in files]
        self.saved.value = before if before in files else next(iter(files), None)


def _is_book(path: Path) -> bool:
    """Whether it is an exported book, which is saved in the same folder."""
    with suppress(OSError), path.open("rb") as file:
        return FILE_KIND.encode() in file.read(100)
    return False
