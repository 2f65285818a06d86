"""How is the book kept? The whole of it out to a file and in again, and a skater forgotten."""

from __future__ import annotations

import datetime
import tempfile
from collections.abc import Callable, Sequence
from pathlib import Path

import ipywidgets as widgets

from bladelab._errors import InputError
from bladelab.book.bring_in import bring_in
from bladelab.book.exchange import book_as_csv, book_as_json
from bladelab.book.store import Book
from bladelab.show.panel.file_button import FileButton
from bladelab.show.panel.file_work import FileWork
from bladelab.show.panel.files import FOLDER, save_numbered
from bladelab.show.panel.forms import Message, beside, button
from bladelab.show.panel.skater import SKATER
from bladelab.show.wording.say_entry import say_entry

#: Over the buttons, where they are hidden.
WHOLE_BOOK = "the whole book: export, bring in, forget a skater"
_REMAIN = "Papers, exports and copies of the book made earlier remain: delete those too"


def _table(book: Book) -> bytes:
    return book_as_csv(book, say_entry)


class BookKeeping(widgets.VBox):
    """Buttons that export the book, bring files in, and forget a skater.

    Parameters
    ----------
    folder : str or Path
        Where exports go.

    Attributes
    ----------
    upload : FileButton
    codes, forgotten : Text
        Codes to change on the way in, and whom to forget.
    message : Message
    saving : FileWork
        Where the last export was saved.
    """

    def __init__(self, folder: str | Path = FOLDER) -> None:
        self._folder = Path(folder)
        self.upload = FileButton("bring in files", ".json,.csv", self._arrived, several=True)
        self.codes = widgets.Text(
            description="codes",
            placeholder="K08=K80 where K08 is taken, K08=K08 for the same skater",
            layout=widgets.Layout(width="560px", max_width="100%"),
        )
        self.forgotten = widgets.Text(
            description="forget", placeholder="type the skater's code", layout=widgets.Layout(width="300px")
        )
        self.message = Message()
        warning = Message()
        warning.say(
            "Forgetting deletes everything about a skater from the book, and it can't be brought back. "
            f"{_REMAIN}. To confirm, type the code."
        )
        savers = [
            button("export the book (JSON)", lambda: self.export("json", book_as_json)),
            button("as a table (CSV)", lambda: self.export("csv", _table)),
        ]
        self.saving = FileWork(savers)
        super().__init__(
            [
                beside(*savers, self.saving),
                beside(self.upload, self.codes),
                warning,
                beside(self.forgotten, button("forget this skater for good", self.forget)),
                self.message,
            ]
        )

    def export(self, suffix: str, contents: Callable[[Book], bytes]) -> None:
        """Write the whole book to a new file."""

        def write() -> tuple[Path, str]:
            if not SKATER.codes:
                raise InputError("nobody is in the book")
            written = contents(SKATER.book)
            path = save_numbered("book", suffix, lambda file: file.write(written), self._folder)
            return path, ". It holds all that is known of every skater: keep it safe"

        self.saving.save(write)

    def take(self, name: str, contents: bytes) -> str:
        """Bring one file into the book; returns how it went.

        Raises
        ------
        InputError
            If it is no file that bladelab writes, or can't be brought in; nothing of it was.
        """
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / Path(name).name
            path.write_bytes(contents)
            done = bring_in(SKATER.book, path, SKATER.code, datetime.date.today(), self._renamed())
        return f"{path.name}: {done.sentence}"

    def forget(self) -> None:
        """Delete all that is known of the skater whose code was typed."""
        code = self.forgotten.value.strip()
        try:
            if code not in SKATER.book.skaters():
                raise InputError(
                    f"{code!r:.60} is not in the book" if code else "type the skater's code first"
                )
            SKATER.book.forget(code)
            SKATER.load()
        except InputError as problem:
            self._say(f"Not forgotten: {problem}", True)
            return
        self.forgotten.value = ""
        self._say(f"{code} is forgotten. {_REMAIN}")

    def _arrived(self, files: Sequence[tuple[str, bytes]]) -> None:
        told, fault = [], False
        for name, contents in files:
            try:
                told.append(self.take(name, contents).rstrip("."))
            except InputError as problem:
                told.append(str(problem))
                fault = True
        if told:
            SKATER.load()
            self._say(". ".join(told), fault)

    def _renamed(self) -> dict[str, str]:
        """The codes to change, as typed: ``K08=K80, K09=K09``."""
        pairs = [pair.split("=") for pair in self.codes.value.replace(";", ",").split(",") if pair.strip()]
        if wrong := [pair for pair in pairs if len(pair) != 2]:
            raise InputError(f"codes is {'='.join(wrong[0])!r:.60}; write the old code, =, and the new one")
        return {old.strip(): new.strip() for old, new in pairs}

    def _say(self, sentence: str, fault: bool = False) -> None:
        self.message.say(f"{sentence}.", fault)
