"""Saving a panel's picture: still as PNG, SVG or PDF, moving as GIF."""

from __future__ import annotations

import io
from collections.abc import Callable, Generator, Mapping, Sequence
from pathlib import Path
from types import SimpleNamespace
from typing import IO, TYPE_CHECKING

import numpy as np

from bladelab._checks import one_of
from bladelab._errors import InputError
from bladelab.show.canvas.footer import footer_pixels
from bladelab.show.canvas.result import Result
from bladelab.show.controls.control import Frames
from bladelab.show.panel.files import FOLDER, download_address, save_as, save_numbered
from bladelab.show.panel.long_work import Step, Work, at_once
from bladelab.show.panel.take_home import USUAL_STEPS, page_to_take_home, usual_dials
from bladelab.show.wording.units_shown import UNITS

if TYPE_CHECKING:
    from bladelab.show.panel.engine import Panel

_FORMS = ("PNG", "SVG", "PDF")
#: What the page calls a panel saved whole, for a phone without bladelab.
PAGE = "page to take home"


class Saving:
    """Saves a panel's picture, and what else its buttons save; reports the file written or why there is none.

    Parameters
    ----------
    panel : Panel
        Whose picture is saved.
    answer : callable
        The panel's own ``answer(state) -> Result``.
    changed : callable
        Called when there is something else to report.

    Attributes
    ----------
    forms : tuple of str
        What a picture can be saved as.
    work : Work
    """

    def __init__(
        self, panel: Panel, answer: Callable[[SimpleNamespace], Result], changed: Callable[[], None]
    ) -> None:
        self._panel, self._answer = panel, answer
        moving = any(isinstance(dial.control, Frames) for dial in panel.dials.values())
        self.forms = (*_FORMS, "GIF") if moving else _FORMS
        if panel.goes_home and usual_dials(panel):
            self.forms = (*self.forms, PAGE)
        self.work = Work(changed)
        self._saved, self._said = Path(), ""  # the last file, and what was said of it

    @property
    def links(self) -> list[dict[str, str]]:
        """Where the page fetches the file that the report is about; none where it needs no link."""
        if not self._said or self.work.report != self._said or not (href := download_address(self._saved)):
            return []
        return [{"href": href, "text": f"download {self._saved.name}"}]

    def save(self, form: str) -> None:
        """Save the picture in one of `forms`, and say so."""
        if form == PAGE:
            dials = usual_dials(self._panel)
            self._start(self.page_steps(dials, USUAL_STEPS[: len(dials)]))
        else:
            self._start(self.steps(form))

    def save_other(self, stem: str, suffix: str, write: Callable[[IO[bytes]], object]) -> None:
        """Save something else than the picture to a new numbered file, and say so."""
        self._start(at_once(lambda: save_numbered(stem, suffix, write)))

    def save_table(self, stem: str, table: Callable[[Mapping[str, str]], bytes]) -> None:
        """Save a table to a new numbered CSV file; `table` gets the columns that say whose it is, while a
        card is open."""
        self.save_other(stem, "csv", lambda file: file.write(table(self._panel.bar.table_columns())))

    def steps(self, form: str, folder: str | Path = FOLDER) -> Generator[Step, None, Path]:
        """Save the current picture; for a moving picture, a step is a frame.

        Parameters
        ----------
        form : {"PNG", "SVG", "PDF", "GIF"}
        folder : path

        Yields
        ------
        Step
            Only of a GIF. Until the last there is no file.

        Raises
        ------
        ValueError
            If a frame has no picture, or the units were changed between two frames.
        InputError
            If the folder can't be written or the disk is full.
        """
        one_of("the form", form, self.forms)
        self._panel.moving.catch_up()
        if not self._panel.has_picture:
            raise InputError(f"there is no picture yet: {self._panel.sentence_text}".rstrip("."))
        suffix = form.lower()
        if suffix == "gif":
            contents = yield from self._frames()
            return save_numbered(self._panel.panel_name, suffix, lambda file: file.write(contents), folder)
        write, footer = self._panel.view.write, self._panel.bar.footer()
        return save_numbered(self._panel.panel_name, suffix, lambda file: write(file, suffix, footer), folder)

    def page_steps(
        self, dials: Sequence[str], steps: Sequence[int], target: str | Path | None = None
    ) -> Generator[Step, None, Path]:
        """Save the panel as a page to take home; a step is a setting.

        Parameters
        ----------
        dials : sequence of str
            The names of the dials that the page offers.
        steps : sequence of int
            How many positions of each.
        target : path, optional
            The file; by default a new numbered one. A file of this name is replaced.

        Yields
        ------
        Step
            Until the last there is no file.

        Raises
        ------
        InputError
            If the panel has no such page or dial, there are too many settings, no setting has a picture, the
            units were changed between two settings, the folder can't be written or the disk is full.
        """
        if PAGE not in self.forms:
            raise InputError(
                f"the panel {self._panel.panel_name} has no {PAGE}: in it, one slider sets others"
            )
        self._panel.moving.catch_up()
        contents = yield from page_to_take_home(self._panel, self._answer, dials, steps)

        def write(file: IO[bytes]) -> None:
            file.write(contents)

        if target is not None:
            return save_as(target, write, replace=True)
        return save_numbered(self._panel.panel_name, "html", write)

    def _frames(self) -> Generator[Step, None, bytes]:
        """Draw every frame of the current state, in a view of their own: the user may go on moving
        sliders, and the picture on the page stays what they say."""
        from PIL import Image

        dial = next(dial for dial in self._panel.dials.values() if isinstance(dial.control, Frames))
        control, state, units = dial.control, self._panel.state(), UNITS.system
        assert isinstance(control, Frames)
        view, pages = type(self._panel.view)(), []
        footer = self._panel.bar.footer()
        below = [footer_pixels(footer, view.width_px)] if footer else []
        for frame in range(control.count):
            if UNITS.system != units:
                raise InputError("the units were changed in the meantime; please save again")
            setattr(state, control.key, frame)
            view.show(self._answer(state))
            page = Image.fromarray(np.vstack([view.pixels(), *below])).convert("RGB")
            pages.append(page.convert("P", palette=Image.Palette.ADAPTIVE))
            yield Step(frame + 1, control.count, f"frame {frame + 1} of {control.count}")
        file = io.BytesIO()
        pages[0].save(
            file, format="GIF", save_all=True, append_images=pages[1:], duration=control.interval_ms, loop=0
        )
        return file.getvalue()

    def _start(self, steps: Generator[Step, None, Path]) -> None:
        def told() -> Generator[Step, None, str]:
            path = self._saved = yield from steps
            note = ", the picture for the last setting that works" if self._panel.fault else ""
            self._said = f"saved as {path.as_posix()}{note}"
            return self._said

        self.work.start(
            told(),
            stopped="stopped after {done} of {total}; no file was written",
            failed="not saved: {problem}",
        )
