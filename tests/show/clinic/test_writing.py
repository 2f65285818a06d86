"""How the files of a clinic are written: nothing is lost, replaced without leave or left half done."""

import os
import re
import signal
import socket
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest
from pptx import Presentation
from pypdf import PdfReader

from bladelab import InputError
from bladelab.show.canvas.text_lines import text_width_in
from bladelab.show.clinic import export
from bladelab.show.clinic.deck import build_deck
from bladelab.show.clinic.export import FORMS, WrittenFile, export_deck, export_steps, planned_files
from bladelab.show.clinic.files_page import FilesPage
from bladelab.show.clinic.page import FOOTER, NUMBER, PAGE_IN
from bladelab.show.panel.files import safe_name, save_as
from bladelab.show.wording.units_shown import UNITS
from bladelab.units import SYSTEMS

ROOT = Path(__file__).resolve().parents[3]
SMALL = build_deck("coaches", ["rocker"], system="metric", name="Tom & Jo's 1st: clinic/évening?")


@pytest.mark.slow
def test_all_files_and_progress_without_a_network(tmp_path, monkeypatch):
    def refuse(*args, **kwargs):
        raise AssertionError("the export asked for the network")

    monkeypatch.setattr(socket, "socket", refuse)
    monkeypatch.setattr(socket, "create_connection", refuse)
    monkeypatch.setattr(socket, "getaddrinfo", refuse)
    steps = [step for step in export_steps(SMALL, folder=tmp_path) if isinstance(step, WrittenFile)]
    assert [step.done for step in steps] == list(range(1, 19)) and {step.total for step in steps} == {18}
    names = sorted(p.relative_to(tmp_path).as_posix() for p in tmp_path.rglob("*") if p.is_file())
    stem = "tom-jo-s-1st-clinic-evening-coaches"
    assert names == sorted(
        [
            f"{stem}/{stem}{end}"
            for end in (".pptx", ".pdf", "-handout.pdf", "-quiz.pptx", "-quiz.pdf", "-quiz.html")
        ]
        + [
            f"{stem}/pictures/{n}.{form}"
            for n in ("01-title", "02-blades", "03-rocker-asked", "04-rocker", "05-safety", "06-home")
            for form in ("svg", "png")
        ]
    )


@pytest.mark.slow
def test_a_footer_too_long_for_its_line_is_cut_and_stays_on_the_page(tmp_path):
    long = replace(SMALL, footer="K07, 27 November 2026. Present: " + "8.5 ft for 90 mm, then " * 40)
    [pdf] = export_deck(long, ["pages"], tmp_path)
    [pptx] = export_deck(long, ["slides"], tmp_path)
    for page in PdfReader(pdf).pages:
        words = page.extract_text()
        assert "K07, 27 November 2026." in words and "…" in words
    for page in Presentation(str(pptx)).slides:
        [footer] = [shape for shape in page.shapes if shape.name == "footer"]
        [run] = footer.text_frame.paragraphs[0].runs
        assert footer.text_frame.text.endswith("…")
        assert text_width_in(footer.text_frame.text, run.font.size.pt) <= FOOTER.width
    assert FOOTER.top + FOOTER.height <= PAGE_IN[1] and FOOTER.top > NUMBER.top


@pytest.mark.parametrize(("text", "name"), [
    ("A Clinic", "a-clinic"), ("..", "clinic"), ("/etc/passwd", "etc-passwd"), ("", "clinic"),
    ("漢字", "clinic"),
    ("Nul", "nul-clinic"), ("x" * 300, "x" * 60), ("a\x00b\n", "a-b"), ("Ünïted", "united"),
])  # fmt: skip
def test_names_are_safe(text, name):
    assert safe_name(text, "clinic") == name
    assert re.fullmatch(r"[a-z0-9][a-z0-9-]*", safe_name(text, "clinic"))


@pytest.mark.slow
def test_refuses_to_overwrite_unless_told(tmp_path):
    export_deck(SMALL, ["handout"], tmp_path)
    [old] = tmp_path.rglob("*handout.pdf")
    old.write_bytes(b"mine")
    with pytest.raises(FileExistsError, match="would be replaced"):
        export_deck(SMALL, FORMS, tmp_path)
    assert old.read_bytes() == b"mine"
    assert len([p for p in tmp_path.rglob("*") if p.is_file()]) == 1, (
        "it looks before it writes the first file"
    )
    export_deck(SMALL, ["handout"], tmp_path, replace=True)
    assert old.read_bytes().startswith(b"%PDF")


@pytest.mark.slow
def test_a_page_to_take_home_says_how_far_it_is_and_can_be_stopped(tmp_path):
    page = FilesPage(lambda: SMALL, tmp_path, SMALL.name, lambda: None)
    for key in FORMS:
        page.ticks[key].value = key == "home"
    work, said = page.work.work, []

    def stop_after_two():
        said.append(work.report)
        assert not list(tmp_path.rglob("*.html"))
        assert UNITS.system == SYSTEMS[0], "the notebook goes on in its own units"
        if len(said) == 2:
            work.stop()

    work._changed = stop_after_two
    page.export()
    stem = "tom-jo-s-1st-clinic-evening-coaches-quiz.html"
    assert said == [
        f"1 of 1: {stem}, setting 1 of 40",
        f"1 of 1: {stem}, setting 2 of 40",
        "Stopped after 0 of 1 files; each of them is complete.",
    ]
    work._changed = lambda: None
    page.export()
    assert [path.name for path in tmp_path.rglob("*.html")] == [stem]


@pytest.mark.parametrize("stop", [KeyboardInterrupt, MemoryError, OSError("no space left")], ids=repr)
def test_an_interrupted_export_leaves_the_old_file(tmp_path, monkeypatch, stop):
    monkeypatch.setattr(export, "write_pptx", lambda deck, file: file.write(b"a whole file"))
    [path] = export_deck(SMALL, ["slides"], tmp_path)
    old = path.read_bytes()

    def half(deck, file):
        file.write(b"half a file")
        raise stop

    monkeypatch.setattr(export, "write_pptx", half)
    with pytest.raises(stop if isinstance(stop, type) else OSError):
        export_deck(SMALL, ["slides"], tmp_path, replace=True)
    assert path.read_bytes() == old
    assert list(path.parent.iterdir()) == [path], "nothing unfinished is left behind"


def test_a_killed_export_leaves_the_old_file(tmp_path):
    """Killed when the new file is written but not yet safe on the disk."""
    path = tmp_path / "old.pptx"
    path.write_bytes(b"old")
    script = (
        "import os, signal, sys\nfrom bladelab.show.panel.files import safe_name, save_as\n"
        "os.fsync = lambda handle: os.kill(os.getpid(), signal.SIGKILL)\n"
        "save_as(sys.argv[1], lambda file: file.write(b'new'), replace=True)"
    )
    done = subprocess.run([sys.executable, "-c", script, str(path)], cwd=ROOT, capture_output=True)
    assert done.returncode == -signal.SIGKILL, done.stderr.decode()
    assert path.read_bytes() == b"old"
    assert save_as(path, lambda file: file.write(b"new"), replace=True).read_bytes() == b"new"


def test_two_writers_never_mix(tmp_path, monkeypatch):
    """A file that appears while another is written is not replaced without leave."""
    path = tmp_path / "a.pdf"
    monkeypatch.setattr(os, "fsync", lambda handle: path.write_bytes(b"theirs"))
    with pytest.raises(FileExistsError, match=r"a\.pdf is there already"):
        save_as(path, lambda file: file.write(b"mine"))
    assert path.read_bytes() == b"theirs"
    assert [p.name for p in tmp_path.iterdir()] == ["a.pdf"]


def test_a_text_too_long_is_refused_before_the_first_file(tmp_path):
    long = SMALL.edited("rocker", sentence="word " * 100)
    with pytest.raises(ValueError, match=r"slide 4 .*please shorten it"):
        export_deck(long, FORMS, tmp_path)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.slow
def test_own_words_reach_every_file(tmp_path):
    own = SMALL.edited("rocker", title="Costs $5 & <b>no</b> $x^2$", notes="Só wäs: 漢字")
    for path in export_deck(own, ["slides", "pages", "handout"], tmp_path):
        if path.suffix == ".pptx":
            page = Presentation(path).slides[3]
            assert page.shapes.title.text_frame.text == "Costs $5 & <b>no</b> $x^2$"
            assert page.notes_slide.notes_text_frame.text == "Só wäs: 漢字"


@pytest.mark.parametrize(("forms", "why"), [([], "nothing to export"), (["odp"], "odp")])
def test_forms_that_do_not_exist(forms, why):
    with pytest.raises(ValueError, match=why):
        planned_files(SMALL, forms)


def test_a_folder_that_can_not_be_made(tmp_path):
    (tmp_path / "file").write_text("in the way")
    with pytest.raises(InputError, match="it can't be written: part of the path is a file"):
        export_deck(SMALL, ["handout"], tmp_path / "file")


@pytest.mark.slow
def test_files_have_no_time_in_them(tmp_path):
    """Two exports of one deck give the same PDF, and none says when it was made."""
    pages = {p.name: p.read_bytes() for p in export_deck(SMALL, ["pages", "handout"], tmp_path / "a")}
    [again] = export_deck(SMALL, ["handout"], tmp_path / "b")
    assert again.read_bytes() == pages[again.name]
    for path in (tmp_path / "a").rglob("*.pdf"):
        assert set(PdfReader(path).metadata) <= {"/Title", "/Subject", "/Producer"}
