"""A row to add a picture from the user's own computer or phone to a panel."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import TypeAlias

import ipywidgets as widgets
import numpy as np
from numpy.typing import NDArray

from bladelab._errors import InputError
from bladelab._files import PHOTO, called
from bladelab.show.panel.file_button import FileButton
from bladelab.show.panel.forms import Message
from bladelab.workshop.picture_file import READABLE, read_photo

#: Grey values of a picture, 0 to 255, (rows, columns).
Grey: TypeAlias = NDArray[np.uint8]


@dataclass(frozen=True, eq=False)
class Photograph:
    """A photograph that was read: what the page calls it, and grey values 0 to 255, (rows, columns)."""

    name: str
    grey: Grey = field(repr=False)


class PhotoUpload(widgets.HBox):
    """A button that adds a picture, and a line that says what became of it.

    The picture stays in memory for as long as the page is open; no file is written.

    Parameters
    ----------
    brought : callable
        Gets each `Photograph`.
    says : str
        What the line says at first.
    """

    def __init__(self, brought: Callable[[Photograph], object], says: str = "") -> None:
        self._brought = brought
        self.button = FileButton(
            "add a picture",
            ",".join((*READABLE, "image/jpeg", "image/png")),
            self._arrived,
            hint=f"JPEG, PNG, WebP or BMP, up to {PHOTO.most_bytes / 1e6:.0f} MB; it is not stored",
        )
        self.line = Message().add_class("bladelab-report")
        super().__init__([self.button, self.line], layout=widgets.Layout(flex_flow="row wrap"))
        self.line.say(says)

    def _arrived(self, files: Sequence[tuple[str, bytes]]) -> None:
        if not files:
            return
        told, contents = files[-1]
        name = called(told or "picture")
        try:
            photograph = Photograph(name, read_photo(contents, name))
        except InputError as problem:
            self.line.say(f"{problem}.", fault=True)
            return
        self.line.say(f"{name}: {photograph.grey.shape[1]} by {photograph.grey.shape[0]} px")
        self._brought(photograph)
