"""What the forms around panels are made of."""

from __future__ import annotations

import datetime
import html
import math
import tempfile
import time
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path
from typing import TypeVar

import ipywidgets as widgets

from bladelab._errors import InputError
from bladelab._files import called
from bladelab.shape.hollow import USUAL_HOLLOWS_MM
from bladelab.show.panel.file_button import FileButton
from bladelab.show.panel.files import download_links
from bladelab.show.wording.units_shown import UNITS

SomeWidget = TypeVar("SomeWidget")

# Nobody reads an answer and presses again in less.
_WAITING_S = 0.3


def beside(*parts: widgets.Widget) -> widgets.HBox:
    """Widgets beside each other, or below where there is no space."""
    return widgets.HBox(parts, layout=widgets.Layout(flex_flow="row wrap"))


def field(
    kind: Callable[..., SomeWidget],
    name: str,
    name_width: str = "150px",
    width: str = "460px",
    **traits: object,
) -> SomeWidget:
    """One field of a form, with its name before it; narrower on a narrow page."""
    # A field has a margin of 2 px on both sides.
    layout = widgets.Layout(width=width, max_width="calc(100% - 4px)")
    return kind(description=name, layout=layout, style={"description_width": name_width}, **traits)


def button(text: str, act: Callable[[], object], once: bool = False) -> widgets.Button:
    """A button as wide as its text.

    With `once`, a press that was already waiting when the one before was answered does nothing: people press
    twice, and what the second would say, such as that the form is empty, reads as if the first had failed.
    """
    made = widgets.Button(description=text, layout=widgets.Layout(width="auto"))
    answered = -math.inf

    def pressed(_: object) -> None:
        nonlocal answered
        if once and time.monotonic() - answered < _WAITING_S:
            return
        act()
        answered = time.monotonic()

    made.on_click(pressed)
    return made


def past_day(name: str, day: datetime.date | None) -> datetime.date:
    """The day in a field on which something happened; an InputError if there is none, or it is to come."""
    if day is None:
        raise InputError(f"the {name} is missing")
    if day > datetime.date.today():
        raise InputError(f"the {name} is {day}, which is in the future; it must be today or earlier")
    return day


def coming_day(name: str, day: datetime.date) -> datetime.date:
    """The day in a field on which something is to happen; an InputError if it is not after today."""
    if day <= datetime.date.today():
        raise InputError(f"the {name} is {day}; it must be after today")
    return day


def usual_hollows(otherwise: str) -> list[tuple[str, float | None]]:
    """The usual hollows in the units chosen now, for a menu; `otherwise` is what None says."""
    return [(otherwise, None), *((UNITS.say("hollow", mm), mm) for mm in USUAL_HOLLOWS_MM)]


def upload(text: str, suffixes: str, take: Callable[[str, Path], object]) -> FileButton:
    """A button that brings a file from the user's computer.

    Parameters
    ----------
    text : str
        On the button.
    suffixes : str
        Of the files on offer: ``".csv"``.
    take : callable
        Gets the name that the file has at home, and where its contents are until it returns.
    """

    def brought(files: Sequence[tuple[str, bytes]]) -> None:
        for name, contents in files:
            with tempfile.TemporaryDirectory() as folder:
                path = Path(folder) / f"brought{Path(name).suffix.lower()}"
                path.write_bytes(contents)
                take(called(name), path)

    return FileButton(text, suffixes, brought)


class Message(widgets.HTML):
    """A sentence beside a form, as plain text: what people type is no part of the page.

    Attributes
    ----------
    text : str
        What it says.
    """

    text = ""

    def say(self, sentence: str, fault: bool = False, files: Iterable[Path] = ()) -> None:
        """Show a sentence, or nothing; `fault` marks one that asks for a correction. On plain pages, link to
        the files that it is about."""
        self.text, kind = sentence, ' class="bladelab-fault"' if fault else ""
        self.value = f"<p{kind}>{html.escape(sentence)}</p>{download_links(files)}" if sentence else ""
