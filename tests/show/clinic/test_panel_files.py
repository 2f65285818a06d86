"""What the clinic's panel writes: every file whole, none replaced unasked, each saying whose card is open."""

import datetime

import pytest
from PIL import Image
from pptx import Presentation
from pypdf import PdfReader

from bladelab import Blade, Hollow, Rocker
from bladelab.book.steel_happenings import Fitted, Stated
from bladelab.show.clinic.deck import build_deck
from bladelab.show.clinic.quiz_panel import quiz_panel
from bladelab.show.panel.skater import SKATER
from bladelab.show.wording.say import say_day
from tests.show.clinic.hands import click, keep_only


def whose(folder, said):
    """Which files of a written clinic, by the ends of their names, say these words on every page."""
    [pptx], [pdf], [handout] = (
        list(folder.rglob(f"*-adults{end}")) for end in (".pptx", ".pdf", "-handout.pdf")
    )
    on_slides = [
        "\n".join(shape.text_frame.text for shape in page.shapes if shape.has_text_frame)
        for page in Presentation(str(pptx)).slides
    ]
    pages = {
        ".pptx": on_slides,
        ".pdf": [page.extract_text() for page in PdfReader(pdf).pages],
        "-handout.pdf": [page.extract_text() for page in PdfReader(handout).pages],
    }
    assert [len(texts) for texts in pages.values()] == [6, 6, 1]
    return {end for end, texts in pages.items() if all(said in text for text in texts)}, pages


def has_a_strip_of_words(folder):
    """Whether the picture of a slide has words below it: it is then higher than its place."""
    [picture] = folder.rglob("04-turn.png")
    place = build_deck(topics=["turn"]).slide("turn").layout.picture
    with Image.open(picture) as shown:
        return shown.height / shown.width > 1.02 * place.height / place.width


@pytest.mark.slow
def test_files(panel, tmp_path):
    keep_only(panel, "turn")
    assert all(tick.value for key, tick in panel.files.ticks.items() if key != "replace")
    for key in ("quiz", "home"):  # that all are written is tested in test_writing.py
        panel.files.ticks[key].value = False
    panel.files.name.value = "Tuesday: U12 / rink 2"
    click(panel, "write the files")
    folder = tmp_path / "tuesday-u12-rink-2-adults"
    assert panel.files.work.report == f"15 files written to {folder.as_posix()}."
    assert (panel.files.work.bar.value, panel.files.work.bar.max) == (15, 15)
    assert len([p for p in folder.rglob("*") if p.is_file()]) == 15
    said, pages = whose(folder, "Present:")
    assert not said and "K07" not in str(pages) and not has_a_strip_of_words(folder), "no card is open"
    stamp = {p: p.stat().st_mtime_ns for p in folder.rglob("*.p*")}
    click(panel, "write the files")
    assert "would be replaced" in panel.files.work.report and panel.files.work.fault
    assert stamp == {p: p.stat().st_mtime_ns for p in folder.rglob("*.p*")}
    panel.files.ticks["replace"].value = True
    for key in ("slides", "pages", "pictures"):
        panel.files.ticks[key].value = False
    click(panel, "write the files")
    assert panel.files.work.report.startswith("1 file written")
    panel.files.ticks["handout"].value = False
    click(panel, "write the files")
    assert panel.files.work.report.startswith("Not written: nothing to export is chosen")


@pytest.mark.slow
def test_every_file_says_whose_card_is_open(panel, book_file, tmp_path):
    SKATER.begin("K07")
    SKATER.write(Fitted("S1"), Stated("S1", Blade(Rocker.single(2743.2, 280.0), Hollow(12.7, 2.9))))
    keep_only(panel, "turn")
    for key in ("quiz", "home"):  # the slides of the quiz are written as the others are
        panel.files.ticks[key].value = False
    click(panel, "write the files")
    said, _ = whose(tmp_path, f"K07, {say_day(datetime.date.today())}. Present: single 9 ft")
    assert said == {".pptx", ".pdf", "-handout.pdf"} and has_a_strip_of_words(tmp_path)


def test_the_quiz_says_whose_card_is_open(book_file, tmp_path):
    plain = quiz_panel().save("PNG", tmp_path)
    SKATER.begin("K07")
    panel = quiz_panel()
    assert panel.bar.footer() == f"K07, {say_day(datetime.date.today())}"
    with Image.open(plain) as before, Image.open(panel.save("PNG", tmp_path)) as after:
        assert after.width == before.width and after.height > before.height


@pytest.mark.slow
def test_a_folder_in_the_way_is_told(panel, tmp_path):
    keep_only(panel, "turn")
    (tmp_path / "the-shape-of-your-blade-adults").write_text("in the way")
    click(panel, "write the files")
    assert panel.files.work.fault and len(panel.files.work.report) > 5
