"""Files of a clinic: named safely, each written completely or not at all, none replaced unless told to."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import IO

from bladelab._errors import InputError
from bladelab.show.clinic.deck import Deck
from bladelab.show.clinic.drawing import write_pdf, write_picture
from bladelab.show.clinic.handout import write_handout
from bladelab.show.clinic.home_page import write_home_page
from bladelab.show.clinic.powerpoint import write_pptx
from bladelab.show.clinic.quiz_slides import quiz_deck
from bladelab.show.clinic.slide import Slide
from bladelab.show.panel.files import FOLDER, safe_name, save_as

#: What can be exported: key -> label.
FORMS = {
    "slides": "slides (PPTX)",
    "pages": "slides as PDF",
    "handout": "handout (PDF)",
    "quiz": "quiz as slides (PPTX, PDF)",
    "home": "quiz to take home (a page for a phone)",
    "pictures": "pictures (SVG and PNG)",
}


@dataclass(frozen=True)
class WrittenFile:
    """One file of an export: `path` is already written when the step is yielded; `done` of `total`."""

    path: Path
    done: int
    total: int


def planned_files(
    deck: Deck, forms: Iterable[str] = tuple(FORMS), folder: str | Path = FOLDER
) -> dict[Path, Callable[[IO[bytes]], object]]:
    """Return the files an export writes, each with what writes it.

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
    files: dict[Path, Callable[[IO[bytes]], object]] = {}
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
        files[home / f"{stem}-quiz.html"] = partial(write_home_page, deck)
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
) -> Iterator[WrittenFile]:
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
    WrittenFile
        After each file.

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
        yield WrittenFile(save_as(path, write, replace=replace), done, len(files))


def export_deck(
    deck: Deck, forms: Iterable[str] = tuple(FORMS), folder: str | Path = FOLDER, replace: bool = False
) -> list[Path]:
    """Export a deck in one go, as `export_steps` does step by step; return the files written."""
    return [step.path for step in export_steps(deck, forms, folder, replace)]
