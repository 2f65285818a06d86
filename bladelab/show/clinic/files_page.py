"""The clinic's files tab: the clinic's name, which files to write, and writing them one by one."""

from __future__ import annotations

from collections.abc import Callable, Generator
from pathlib import Path

import ipywidgets as widgets

from bladelab.show.clinic.deck import Deck
from bladelab.show.clinic.export import FORMS, FileUnderWay, export_steps
from bladelab.show.panel.file_work import FileWork
from bladelab.show.panel.forms import beside
from bladelab.show.panel.long_work import Step
from bladelab.show.wording.words import counted


class FilesPage(widgets.VBox):
    """What the files are called, which ones, a button that writes them, and its progress.

    Parameters
    ----------
    deck : callable
        Returns the `Deck` when files are to be written.
    folder : path
        Where files go.
    name : str
        The clinic's initial name.
    renamed : callable
        Called when the trainer changes the clinic's name or who gives it.

    Attributes
    ----------
    ticks : dict of str to Checkbox
        Which kinds of file, and "replace".
    name, contact : Text
    work : FileWork
    """

    def __init__(
        self, deck: Callable[[], Deck], folder: str | Path, name: str, renamed: Callable[[], None]
    ) -> None:
        self._deck, self._folder = deck, Path(folder)
        texts = {**FORMS, "replace": "replace files of the same name"}
        self.ticks = {
            key: widgets.Checkbox(value=key != "replace", description=text, indent=False)
            for key, text in texts.items()
        }
        self.name = widgets.Text(value=name, description="clinic", layout=widgets.Layout(width="460px"))
        self.contact = widgets.Text(description="from", layout=widgets.Layout(width="460px"))
        self.contact.placeholder = "your name and how to reach you: on the first slide and the handout"
        for field in (self.name, self.contact):
            field.observe(lambda _: renamed(), names="value")
        write = widgets.Button(description="write the files", button_style="primary")
        write.on_click(lambda _: self.export())
        self.work = FileWork([write])
        super().__init__([self.name, self.contact, beside(*self.ticks.values()), beside(write, self.work)])

    def export(self) -> None:
        """Write the chosen files one by one, showing progress; an error is shown, and nothing is lost."""
        self.work.start(
            self._steps(),
            stopped="Stopped after {done} of {total} files; each of them is complete.",
            failed="Not written: {problem}.",
        )

    def _steps(self) -> Generator[Step, None, str]:
        forms = [key for key in FORMS if self.ticks[key].value]
        written: list[Path] = []
        for file in export_steps(self._deck(), forms, self._folder, self.ticks["replace"].value):
            if isinstance(file, FileUnderWay):
                text = f"{file.done + 1} of {file.total}: {file.path.name}, {file.made.text}"
            else:
                written.append(file.path)
                self.work.offer(written)
                text = f"{file.done} of {file.total}: {file.path.name}"
            yield Step(file.done, file.total, text)
        where = next(parent for parent in file.path.parents if parent.name != "pictures")
        return f"{counted(file.total, 'file')} written to {where.as_posix()}."
