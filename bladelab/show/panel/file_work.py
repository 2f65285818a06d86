"""Files written from a form: how far it is, what was written, and on plain pages a link to fetch it."""

from __future__ import annotations

import io
from collections.abc import Callable, Generator, Iterable, Sequence
from pathlib import Path
from typing import IO

import ipywidgets as widgets

from bladelab.show.panel.files import download_links, save_numbered
from bladelab.show.panel.long_work import LongWork, Outcome, Step, at_once


class FileWork(LongWork):
    """`LongWork` that writes files.

    Parameters
    ----------
    starters : sequence of Button
        What starts the work; can't be pressed while it goes on.

    Attributes
    ----------
    links : HTML
        On plain pages, a link to each file of the last work.
    """

    def __init__(self, starters: Sequence[widgets.Button] = ()) -> None:
        super().__init__(starters)
        self.links = widgets.HTML()
        self.children = (self.stop_button, self.bar, self._line, self.links)

    def offer(self, written: Iterable[Path]) -> None:
        """Link to these files and to no others."""
        self.links.value = download_links(written)

    def save(self, work: Callable[[], tuple[Path, str]]) -> None:
        """Write a file at once; see `save_steps`."""
        self.save_steps(at_once(work))

    def save_steps(self, steps: Generator[Step, None, tuple[Path, str]]) -> None:
        """Write a file step by step, report where it is and link to it.

        Parameters
        ----------
        steps : generator
            Yields a `Step` after each piece of work, and returns the file and what else there is to say of
            it, such as ``" with 3 orders"``. The file is written last: until then there is none.
        """
        if self.busy:
            return

        def told() -> Generator[Step, None, str]:
            path, more = yield from steps
            self.offer([path])
            return f"Saved as {path.as_posix()}{more}."

        self.offer([])
        self.start(
            told(),
            stopped="Stopped after {done} of {total}; no file was written.",
            failed="Not saved: {problem}.",
        )


def numbered_in_steps(
    stem: str, suffix: str, steps: Callable[[IO[bytes]], Generator[Step, None, Outcome]]
) -> Generator[Step, None, tuple[Path, Outcome]]:
    """Write a new numbered file as `save_numbered` does, from work that writes to a file step by step.

    Returns
    -------
    Path
        The file written.
    Outcome
        What the steps returned.
    """
    contents = io.BytesIO()
    outcome = yield from steps(contents)
    return save_numbered(stem, suffix, lambda file: file.write(contents.getvalue())), outcome
