"""Saved pictures: numbered, whole or not there, with progress and a way to stop."""

from __future__ import annotations

import asyncio
import csv
import datetime
import io
import re
from pathlib import Path
from types import SimpleNamespace

import pytest
from PIL import Image

from bladelab import Blade, Hollow, Rocker, read_trace
from bladelab._errors import InputError
from bladelab.book.steel_happenings import Fitted, Stated
from bladelab.show.controls.control import Frames, Slider
from bladelab.show.panel.engine import Panel
from bladelab.show.panel.files import download_links, save_numbered
from bladelab.show.panel.skater import SKATER
from bladelab.show.panels.advice.compare import compare_panel
from bladelab.show.panels.workshop.photo import photo_panel
from bladelab.show.wording.units_shown import UNITS
from tests.show.bars import Bars, Heights, heights, make
from tests.show.engine_checks import click, units


@pytest.mark.parametrize("form", ["PNG", "SVG", "PDF", "GIF"])
def test_saved_pictures_are_numbered_and_whole(form, tmp_path):
    panel = make()
    paths = [panel.save(form, tmp_path) for _ in range(2)]
    assert [path.name for path in paths] == [f"bars-1.{form.lower()}", f"bars-2.{form.lower()}"]
    assert sorted(tmp_path.iterdir()) == sorted(paths)
    if form == "GIF":
        assert Image.open(io.BytesIO(paths[0].read_bytes())).n_frames in (1, 3)  # equal frames may be joined
        assert panel.state().frame == 0
    elif form == "PNG":
        assert Image.open(io.BytesIO(paths[0].read_bytes())).size == (1200, 600)
        assert paths[0].read_bytes() == paths[1].read_bytes()
    else:
        assert paths[0].read_bytes()[:5] in (b"<?xml", b"%PDF-")


def test_the_save_button_names_the_file_or_says_why_not(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    panel = make()
    panel._from_page(panel, {"do": "save", "form": "PNG"}, [])
    assert panel.saving.work.report == "saved as saved/bars-1.png"
    (tmp_path / "other").mkdir()
    monkeypatch.chdir(tmp_path / "other")
    (tmp_path / "other" / "saved").write_text("a file where the folder should be")
    panel._from_page(panel, {"do": "save", "form": "PNG"}, [])
    assert panel.saving.work.report.startswith("not saved: ") and panel.saving.work.fault


def frames_of(path: Path) -> list[bytes]:
    with Image.open(path) as picture:
        frames = []
        for number in range(picture.n_frames):
            picture.seek(number)
            frames.append(picture.convert("RGB").tobytes())
    return frames


class Rising(Panel):
    """A panel whose every frame differs from the one before."""

    def __init__(self, count: int = 8) -> None:
        def rise(state: SimpleNamespace) -> Heights:
            if state.frame == state.no_frame:
                raise InputError("there is no such frame")
            high = state.start + state.frame / 2
            return heights(high, high, f"Up to {UNITS.say('radius', 300 * high)}.")

        start = Slider("start", "start", "rocker", low=0, high=5, default=1)
        none = Slider("no_frame", "none at", "rocker", low=-1, high=count, default=-1)
        super().__init__(
            "rising", Bars(), [start, none, Frames("frame", "moment", "view", count=count)], rise
        )


@pytest.mark.slow
def test_a_moving_picture_shows_its_progress_and_sliders_stay_free(tmp_path, monkeypatch):
    """What is moved while it is saved changes the page, and neither the file nor what is saved after it."""
    monkeypatch.chdir(tmp_path)
    panel, said = Rising(), []
    wanted = frames_of(panel.save("GIF", tmp_path))
    assert len(set(wanted)) == len(wanted) == 8
    panel.observe(lambda change: said.append(change["new"]["text"]), names="_report")

    async def play():
        panel._from_page(panel, {"do": "save", "form": "GIF"}, [])
        assert said == ["frame 1 of 8"] and panel._report["going"]
        seen, start = 0, 1.0
        while not panel.saving.work.task.done():
            on_page = panel.view.line["trial"].get_ydata()[0]
            assert on_page == pytest.approx(start), "the picture on the page is the sliders'"
            if len(said) > seen:
                assert not (tmp_path / "saved").exists() or seen == 8, "no file until the last frame"
                seen = len(said)
                panel.dials["start"].value = start = 5 - seen / 4
            await asyncio.sleep(0)
        return seen

    assert asyncio.run(play()) >= 8
    assert said == [*(f"frame {n} of 8" for n in range(1, 9)), "saved as saved/rising-1.gif"]
    assert frames_of(tmp_path / "saved" / "rising-1.gif") == wanted
    assert not panel._report["going"]
    fresh = Rising()
    fresh.dials["start"].value = panel.dials["start"].value
    assert panel.view.png() == fresh.view.png()


@pytest.mark.parametrize("how", ["the button", "other units", "a frame without a picture", "a full disk"])
def test_a_moving_picture_that_is_not_finished_leaves_no_file(how, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    panel = Rising()

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    async def play():
        if how == "a frame without a picture":
            panel.dials["no_frame"].value = 3
        if how == "a full disk":
            monkeypatch.setattr("bladelab._files.os.fsync", full)
        panel._from_page(panel, {"do": "save", "form": "GIF"}, [])
        if how == "the button":
            panel._from_page(panel, {"do": "stop"}, [])
        if how == "other units":
            UNITS.system = "metric"
        await panel.saving.work.task

    with units("feet and inches"):
        asyncio.run(play())
    assert [path for path in tmp_path.rglob("*") if path.is_file()] == []
    assert (
        panel.saving.work.report
        == {
            "the button": "stopped after 1 of 8; no file was written",
            "other units": "not saved: the units were changed in the meantime; please save again",
            "a frame without a picture": "not saved: there is no such frame",
            "a full disk": "not saved: rising-1.gif: it can't be written: the disk is full",
        }[how]
    )
    monkeypatch.undo()
    assert len(frames_of(Rising().save("GIF", tmp_path))) == 8
    assert not panel._report["going"]


def test_a_write_that_fails_leaves_nothing(tmp_path):
    def broken(file):
        file.write(b"half")
        raise RuntimeError("the power is out")

    with pytest.raises(RuntimeError):
        save_numbered("x", "png", broken, tmp_path)
    assert list(tmp_path.iterdir()) == []


def test_no_file_is_overwritten_even_by_a_race(tmp_path):
    def rival(file):
        file.write(b"mine")
        (tmp_path / "x-1.png").write_bytes(b"theirs")  # appears while we write

    assert save_numbered("x", "png", rival, tmp_path).name == "x-2.png"
    assert (tmp_path / "x-1.png").read_bytes() == b"theirs"


def test_plain_pages_get_links_to_what_was_written(monkeypatch, tmp_path):
    files = [tmp_path / "saved" / name for name in ("a & b.pptx", "a.pdf", "pictures/01 é.png")]
    monkeypatch.delenv("BLADELAB_SERVED", raising=False)
    assert download_links(files) == ""
    monkeypatch.setenv("BLADELAB_SERVED", str(tmp_path))
    monkeypatch.setenv("VOILA_BASE_URL", "/at/")
    links = download_links(files)
    assert re.findall(r'href="(.*?)".*?>(.*?)</a>', links) == [
        ("/at/files/saved/a%20%26%20b.pptx?download=1", "a &amp; b.pptx"),
        ("/at/files/saved/a.pdf?download=1", "a.pdf"),
        ("/at/files/saved/pictures/01%20%C3%A9.png?download=1", "01 é.png"),
    ]
    assert links.index("<details>") > links.index("a.pdf")
    assert "<details>" not in download_links(files[:2]) and download_links([]) == ""


def table_in(path: Path) -> list[dict[str, str]]:
    """The rows of a CSV file as a spreadsheet reads them, by column; notes left out."""
    lines = [line for line in path.read_text(encoding="utf-8").splitlines() if not line.startswith("#")]
    return list(csv.DictReader(lines))


def test_a_saved_table_says_in_columns_whose_it_is(book_file, monkeypatch, tmp_path):
    monkeypatch.chdir(tmp_path)
    panel = compare_panel(tmp_path).panel
    click(panel, "save all moments as a table (CSV)")
    plain = table_in(tmp_path / "saved" / "scorecard-1.csv")
    assert list(plain[0])[:2] == ["moment", "quantity"]
    SKATER.begin("K07")
    SKATER.write(Fitted("S1"), Stated("S1", Blade(Rocker.single(2743.2, 280.0), Hollow(12.7, 2.9))))
    panel = compare_panel(tmp_path).panel
    click(panel, "save all moments as a table (CSV)")
    rows = table_in(tmp_path / "saved" / "scorecard-2.csv")
    assert "K07" not in "".join(
        line for line in (tmp_path / "saved" / "scorecard-2.csv").read_text().splitlines() if line[0] == "#"
    )
    assert len(rows) == len(plain)
    for row in rows:
        assert (row["skater"], row["date"]) == ("K07", datetime.date.today().isoformat())
        assert row["present_blade"] == "single 9 ft, hollow 1/2 in" and row["moment"] and row["present"]


def test_a_saved_trace_with_a_skaters_columns_reads_back(book_file, monkeypatch, tmp_path):
    monkeypatch.chdir(tmp_path)
    SKATER.begin("K07")
    SKATER.write(Fitted("S1"), Stated("S1", Blade(Rocker.single(2743.2, 280.0), Hollow(12.7, 2.9))))
    panel = photo_panel().panel
    click(panel, "set up the example")
    click(panel, "save the trace as CSV")
    path = tmp_path / "saved" / "photo_trace-1.csv"
    assert {(row["skater"], row["present_blade"]) for row in table_in(path)} == {
        ("K07", "single 9 ft, hollow 1/2 in")
    }
    again, trace = read_trace(path), panel.result.trace.trace
    assert again.x_mm == pytest.approx(trace.x_mm, abs=6e-4)
    assert again.y_mm == pytest.approx(trace.y_mm, abs=6e-5)


def test_a_file_out_of_the_pages_reach_has_no_link(monkeypatch, tmp_path):
    monkeypatch.setenv("BLADELAB_SERVED", str(tmp_path / "served"))
    assert download_links([tmp_path / "elsewhere" / "trials.csv"]) == ""


def test_a_saved_blade_can_be_fetched_from_a_plain_page(monkeypatch, tmp_path):
    monkeypatch.setenv("BLADELAB_SERVED", str(tmp_path))
    monkeypatch.setenv("VOILA_BASE_URL", "/")
    shelf = compare_panel(tmp_path / "saved").shelf
    shelf.name.value = "old faithful"
    shelf.save("present")
    assert 'href="/files/saved/old-faithful.json?download=1"' in shelf.message.value


def test_a_plain_page_can_fetch_the_picture_that_was_just_saved(monkeypatch, tmp_path):
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("BLADELAB_SERVED", raising=False)
    panel = make()
    panel._from_page(panel, {"do": "save", "form": "PNG"}, [])
    assert panel._report["text"] == "saved as saved/bars-1.png" and panel._report["links"] == []
    monkeypatch.setenv("BLADELAB_SERVED", str(tmp_path))
    monkeypatch.setenv("VOILA_BASE_URL", "/")
    panel._from_page(panel, {"do": "save", "form": "PNG"}, [])
    assert panel._report["links"] == [
        {"href": "/files/saved/bars-2.png?download=1", "text": "download bars-2.png"}
    ]
    panel._from_page(panel, {"do": "type", "name": "present.radius_mm", "text": "x"}, [])
    assert panel._report["fault"] and panel._report["links"] == [], "another report is about no file"
