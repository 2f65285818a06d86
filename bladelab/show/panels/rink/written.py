"""A form under a panel for what was written down at the rink: typed in, or from a CSV file."""

from __future__ import annotations

import html
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import ipywidgets as widgets

from bladelab._errors import InputError
from bladelab.show.controls.control import Choice
from bladelab.show.panel.engine import Panel
from bladelab.show.panel.forms import Message, beside, button, field, upload
from bladelab.show.wording.words import ended

_LASTS = "What is typed here lasts as long as this page; with a skater's card open you can keep it."


def text_field(name: str, placeholder: str) -> widgets.Text:
    """A field for one line."""
    return field(widgets.Text, name, placeholder=placeholder)


def menu_field(name: str, options: tuple[tuple[str, str], ...]) -> widgets.Dropdown:
    """A menu."""
    return field(widgets.Dropdown, name, options=options)


def lines_field(name: str, placeholder: str, rows: int = 6) -> widgets.Textarea:
    """A field for several lines."""
    return field(widgets.Textarea, name, placeholder=placeholder, rows=rows)


def offer_more(panel: Panel, dial: str, words: str, value: object) -> None:
    """Offer one more entry in a menu of the panel, and choose it; a like one is replaced."""
    control = panel.dials[dial].control
    assert isinstance(control, Choice)
    kept = tuple(pair for pair in control.options if pair[0] != words)
    panel.dials[dial].offer((*kept, (words, value)), value)
    panel.dials[dial].value = value
    panel.refresh()


def say_taken(message: Message, said: str, panel: Panel) -> None:
    """Say what was taken over, and what the panel has against it: its own sentence may be out of sight."""
    why = panel.sentence_text if panel.fault else ""
    message.say(f"{said} But {why[:1].lower()}{why[1:]}" if why else said, fault=bool(why))


class WrittenDown(widgets.VBox):
    """Fields, a button that takes them over, and one that brings a file.

    Parameters
    ----------
    panel : Panel
        That works with it.
    head : str
        What the form is for.
    fields : mapping of str to widget
    read : callable
        Makes something of what the fields say, by their names; may raise InputError.
    take : callable
        Gets it, and the words for the menu, and says what became of it.
    from_file : callable
        Reads it from a file instead.
    """

    def __init__(
        self,
        panel: Panel,
        head: str,
        fields: Mapping[str, widgets.Widget],
        read: Callable[[Mapping[str, str]], object],
        take: Callable[[str, Any], str],
        from_file: Callable[[Path], object],
    ) -> None:
        self._panel, self.fields = panel, dict(fields)
        self._read, self._take, self._from_file = read, take, from_file
        self.message = Message()
        parts = (button("use these", self.use), upload("or bring a CSV file", ".csv,.txt", self.bring))
        title = widgets.HTML(f"<h3>{html.escape(head)}</h3><p>{_LASTS}</p>")
        super().__init__([title, *self.fields.values(), beside(*parts), self.message])

    def use(self) -> None:
        """Take over what the fields say."""
        self._tried("typed in", lambda: self._read({name: one.value for name, one in self.fields.items()}))

    def bring(self, name: str, path: Path) -> None:
        """Take over what a file says."""
        self._tried(f"{name} (added)", lambda: self._from_file(path))

    def _tried(self, words: str, read: Callable[[], object]) -> None:
        try:
            said = self._take(words, read())
        except (InputError, OSError) as problem:
            self.message.say(f"Not taken over: {ended(str(problem))}", fault=True)
        else:
            say_taken(self.message, said, self._panel)
