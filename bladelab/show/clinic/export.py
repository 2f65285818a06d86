"""Files of a clinic: named safely, each written completely or not at all, none replaced unless told to."""

from __future__ import annotations

from collections.abc import Callable, Generator, Iterable, Iterator
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import IO

from bladelab._errors import InputError
from bladelab.show.clinic.deck import Deck
from bladelab.show.clinic.drawing import write_pdf, write_picture
from bladelab.show.clinic.handout import write_handout
from bladelab.show.clinic.home_page import home_page
from bladelab.show.clinic.powerpoint import write_pptx
from bladelab.show.clinic.quiz_slides import quiz_deck
from bladelab.show.clinic.slide import Slide
from bladelab.show.panel.files import FOLDER, safe_name, save_as
from bladelab.show.panel.long_work import Step

#: What can be exported: key -> label.
FORMS = {
    "slides": "slides (PPTX)",
    "pages": "slides as PDF",
    "handout": "handout (PDF)",
    "quiz": "quiz as slides (PPTX, PDF)",
    "home": "quiz to take home (a page for a phone)",
    "pictures": "pictures (SVG and PNG)",
}


#: What writes a file: at once, or step by step. Then it returns the contents.
Writer = Callable[[IO[bytes]], object] | Generator[Step, None, bytes]


@dataclass(frozen=True)
class FileUnderWay:
    """A file that is being made.

    Attributes
    ----------
    path : Path
    done, total : int
        How many files are written, and how many there will be.
    made : Step
        How far this one is.
    """

    path: Path
    done: int
    total: int
    made: Step


@dataclass(frozen=True)
class WrittenFile:
    """One file of an export, which is whole by then.

    Attributes
    ----------
    path : Path
    done, total : int
        Which one it is, from 1, and how many there will be.
    """

    path: Path
    done: int
    total: int


def planned_files(
    deck: Deck, forms: Iterable[str] = tuple(FORMS), folder: str | Path = FOLDER
) -> dict[Path, Writer]:
    """Return the files an export writes, each with what writes it.

    Parameters
    ----------
    deck : Deck
    forms : iterable of str
        Keys of `FORMS`.
    folder : path
        The files go into a folder of the clinic's name inside this one.

    Raises
    ------
    ValueError
        If a form does not exist or none is chosen.
    """
    chosen = set(forms)
    if unknown := chosen - set(FORMS):
        raise InputError(f"the forms {sorted(unknown)} do not exist; there are {', '.join(FORMS)}")
    if not chosen:
        raise InputError("nothing to export is chosen; tick at least one kind of file")
    stem = safe_name(f"{deck.name} {deck.audience}", "clinic")
    home = Path(folder) / stem
    files: dict[Path, Writer] = {}
    if "slides" in chosen:
        files[home / f"{stem}.pptx"] = partial(write_pptx, deck)
    if "pages" in chosen:
        files[home / f"{stem}.pdf"] = partial(write_pdf, deck)
    if "handout" in chosen:
        files[home / f"{stem}-handout.pdf"] = partial(write_handout, deck)
    if "quiz" in chosen:
        quiz = quiz_deck(deck)
        files[home / f"{stem}-quiz.pptx"] = partial(write_pptx, quiz)
        files[home / f"{stem}-quiz.pdf"] = partial(write_pdf, quiz)
    if "home" in chosen:
        files[home / f"{stem}-quiz.html"] = home_page(deck)
    if "pictures" in chosen:
        for number, slide in enumerate(deck.slides, 1):
            for form in ("svg", "png"):
                files[home / "pictures" / f"{number:02d}-{slide.key}.{form}"] = partial(
                    _write_picture, slide, form, deck.footer
                )
    return files


def _write_picture(slide: Slide, form: str, footer: str, file: IO[bytes]) -> None:
    write_picture(slide, file, form, footer=footer)


def export_steps(
    deck: Deck, forms: Iterable[str] = tuple(FORMS), folder: str | Path = FOLDER, replace: bool = False
) -> Iterator[WrittenFile | FileUnderWay]:
    """Export a deck file by file; stop taking steps to stop the export.

    Parameters
    ----------
    deck : Deck
    forms : iterable of str
        Keys of `FORMS`.
    folder : path
        The files go into a folder of the clinic's name inside this one.
    replace : bool
        Whether files of the same names may be replaced.

    Yields
    ------
    WrittenFile, FileUnderWay
        After each file, and after each step of a file that takes long.

    Raises
    ------
    ValueError
        Before the first file, if a text does not fit its slide or nothing is chosen.
    FileExistsError
        Before the first file, if one of them is there and may not be replaced.
    InputError
        If the folder can't be written or the disk is full.

    Notes
    -----
    Each file is written under a temporary name and renamed when complete: an interrupted or killed export
    leaves every old file as it was.
    """
    deck.check()
    files = planned_files(deck, forms, folder)
    there = [path.name for path in files if path.exists()]
    if there and not replace:
        more = f" and {len(there) - 1} more" if len(there) > 1 else ""
        raise FileExistsError(
            f"{there[0]}{more} would be replaced: allow it, or give the clinic another name"
        )
    for done, (path, write) in enumerate(files.items(), 1):
        if isinstance(write, Generator):
            write = yield from _made_first(path, write, done - 1, len(files))
        yield WrittenFile(save_as(path, write, replace=replace), done, len(files))


def _made_first(
    path: Path, steps: Generator[Step, None, bytes], done: int, total: int
) -> Generator[FileUnderWay, None, Callable[[IO[bytes]], object]]:
    """Make a file step by step before there is anything of it in the folder; return what writes it."""
    while True:
        try:
            made = next(steps)
        except StopIteration as end:
            contents: bytes = end.value
            return lambda file: file.write(contents)
        yield FileUnderWay(path, done, total, made)


def export_deck(
    deck: Deck, forms: Iterable[str] = tuple(FORMS), folder: str | Path = FOLDER, replace: bool = False
) -> list[Path]:
    """Export a deck in one go, as `export_steps` does step by step; return the files written."""
    return [step.path for step in export_steps(deck, forms, folder, replace) if isinstance(step, WrittenFile)]
