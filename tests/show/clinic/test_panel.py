"""The clinic's panel: each choice reaches the slides, faults are told and lose nothing, files are written."""

import asyncio
import base64
import datetime
import io
import random
import re

import pytest
from PIL import Image
from pptx import Presentation
from pypdf import PdfReader

from bladelab import Blade, Hollow, Rocker
from bladelab.book.steel_happenings import Fitted, Stated
from bladelab.show.clinic.deck import TOPICS, build_deck
from bladelab.show.clinic.drawing import Page
from bladelab.show.clinic.lesson import AUDIENCES, Examples
from bladelab.show.clinic.overview import Overview
from bladelab.show.clinic.panel import ClinicPanel
from bladelab.show.clinic.quiz_panel import quiz_panel
from bladelab.show.controls.control import Tick
from bladelab.show.panel.skater import SKATER
from bladelab.show.wording.say import say_day
from tests.show.engine_checks import draw_value, extremes, units


@pytest.fixture
def whole_panel(tmp_path):
    panel = ClinicPanel(tmp_path)
    yield panel
    panel.close()


@pytest.fixture
def panel(tmp_path, monkeypatch):
    """A panel that does not redraw its overview of all slides, for tests that do not look at it."""
    monkeypatch.setattr(Overview, "drawing", lambda overview, deck, at: iter(()))
    panel = ClinicPanel(tmp_path)
    yield panel
    panel.close()


def test_a_closed_panel_is_at_rest(panel):
    before = panel.panel.sentence_text
    panel.close()
    with units("metric"):
        assert panel.panel.sentence_text == before


def unnamed(svg):
    """An SVG without the names that tell the parts of one picture from those of another."""
    return re.sub(r'(?<=[#"])[pmh][0-9a-f]{8,}', "name", svg)


def click(panel, text):
    found = []

    def look(widget):
        if getattr(widget, "description", "") == text and hasattr(widget, "click"):
            found.append(widget)
        for child in getattr(widget, "children", ()):
            look(child)

    look(panel)
    found[0].click()


def press(panel, text):
    number = panel.panel._spec["buttons"].index(text)
    panel.panel._from_page(panel.panel, {"do": "press", "button": number}, [])


def test_it_starts_with_every_slide_of_the_whole_clinic(whole_panel):
    panel = whole_panel
    assert panel.deck == build_deck("adults", TOPICS, Examples())
    assert not panel.panel.fault and panel.panel.sentence_text.startswith(
        "24 slides for adults. Blade A: rocker 10\u00a0ft"
    )
    assert panel.overview.value.count("<img") == 24 and panel.overview.value.count("aria-current=") == 1


@pytest.mark.slow
def test_a_slider_moves_the_slides(panel):
    for number in range(24):
        panel.go_to(number)
        panel.panel.dials["radius_a_mm"].value = 3352.8 + number
        fresh = build_deck("adults", examples=Examples(radius_a_mm=3352.8 + number))
        assert panel.deck.slides[number].sentence == fresh.slides[number].sentence
        page = Page()
        page.draw(fresh.slides[number], number + 1)
        assert unnamed(panel.panel._frame) == unnamed(page.html(fresh.slides[number].alt))


@pytest.mark.slow
def test_audience_units_topics(panel):
    for audience in AUDIENCES:
        panel.panel.dials["audience"].value = audience
        assert panel.deck == build_deck(audience)
    with units("metric"):
        assert panel.deck == build_deck("coaches", system="metric")
        assert "3.05\u00a0m" in panel.panel.sentence_text
    panel.panel.dials["audience"].value = "young players"
    assert [key for key in TOPICS if not panel.panel.dials[key].shown] == ["zones", "steel", "season"]
    panel.panel.dials["audience"].value = "coaches"
    for key in TOPICS:
        panel.panel.dials[key].value = False
    assert panel.panel.fault and panel.panel.sentence_text.startswith("No topic is chosen")
    assert len(panel.deck.slides) == 6, "the last good deck stays"
    panel.panel.dials["turn"].value = True
    assert not panel.panel.fault and [s.key for s in panel.deck.findings] == ["turn"]


def keep_only(panel, topic):
    """Leave one topic: six slides."""
    with panel.panel.quiet():
        for key in TOPICS:
            panel.panel.dials[key].value = key == topic


@pytest.mark.slow
def test_the_overview_follows(whole_panel):
    keep_only(whole_panel, "rocker")
    assert whole_panel.overview.value.count("<img") == 6
    before = whole_panel.overview.value
    whole_panel.go_to(2)
    assert whole_panel.overview.value != before, "it marks the slide shown"


def test_blades_that_agree_are_told_and_the_slides_stay(panel):
    before, picture = panel.deck, panel.panel._frame
    panel.panel.dials["radius_a_mm"].value = panel.panel.dials["radius_b_mm"].value
    assert panel.panel.fault and "must differ" in panel.panel.sentence_text and panel.panel._fault
    assert panel.deck == before and panel.panel._frame == picture
    panel.panel.dials["radius_a_mm"].value = 3048.0
    assert not panel.panel.fault and panel.deck == before


@pytest.mark.slow
def test_turning_the_pages(panel):
    titles = []
    for _ in range(24):
        titles.append(panel._texts["title"].value)
        press(panel, "next ▶")
    assert titles == [slide.title for slide in panel.deck.slides]
    assert panel._texts["title"].value == titles[0]
    press(panel, "◀ back")
    assert panel._texts["title"].value == titles[-1]
    panel.go_to(4)
    assert panel._texts["notes"].value == panel.deck.slides[4].notes


def test_own_words(panel):
    panel.go_to(3)
    ours = panel.deck.slides[3].title
    panel._texts["title"].value = "My <own> title & more"
    assert panel.deck.slides[3].title == "My <own> title & more"
    assert "Slide 4 keeps your own words" in panel.panel.sentence_text
    panel.panel.dials["mass_kg"].value = 90
    assert panel.deck.slides[3].title == "My <own> title & more", "they outlive a slider"
    panel.panel.dials["audience"].value = "coaches"
    assert panel.deck.slides[3].title != "My <own> title & more", "each audience has its own"
    panel.panel.dials["audience"].value = "adults"
    assert panel._texts["title"].value == "My <own> title & more"
    click(panel, "put the original words back")
    assert panel.deck.slides[3].title == ours and "own words" not in panel.panel.sentence_text
    panel._texts["sentence"].value = "word " * 90
    assert panel.panel.fault and re.search(r"Slide 4 .*please shorten it", panel.panel.sentence_text)
    click(panel, "put the original words back")
    assert not panel.panel.fault


@pytest.mark.slow
def test_every_choice_at_its_ends(panel):
    for name, dial in panel.panel.dials.items():
        if isinstance(dial.control, Tick):
            continue
        before = dial.value
        for value in extremes(dial):
            dial.value = value
            assert panel.panel.sentence_text and "nan" not in panel.panel.sentence_text, name
            for slide in panel.deck.slides:
                assert not re.search(r"\b(nan|inf|None)\b", slide.title + slide.sentence + slide.notes), name
        dial.value = before
    assert not panel.panel.fault


def test_random_states(panel):
    chance = random.Random(3)
    for _ in range(6):
        for dial in chance.sample(list(panel.panel.dials.values()), 3):
            dial.value = draw_value(dial, chance)
        assert len(panel.panel.sentence_text) > 10
        if not panel.panel.fault:
            panel.deck.check()


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
    panel.files.name.value = "Tuesday: U12 / rink 2"
    click(panel, "write the files")
    folder = tmp_path / "tuesday-u12-rink-2-adults"
    assert panel.files.work.report == f"18 files written to {folder.as_posix()}."
    assert (panel.files.work.bar.value, panel.files.work.bar.max) == (18, 18)
    assert len([p for p in folder.rglob("*") if p.is_file()]) == 18
    said, pages = whose(folder, "Present:")
    assert not said and "K07" not in str(pages) and not has_a_strip_of_words(folder), "no card is open"
    stamp = {p: p.stat().st_mtime_ns for p in folder.rglob("*.p*")}
    click(panel, "write the files")
    assert "would be replaced" in panel.files.work.report and panel.files.work.fault
    assert stamp == {p: p.stat().st_mtime_ns for p in folder.rglob("*.p*")}
    panel.files.ticks["replace"].value = True
    for key in ("slides", "pages", "quiz", "home", "pictures"):
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


@pytest.mark.slow
def test_in_a_running_kernel(whole_panel, tmp_path):
    """Drawing of the overview waits until nothing has moved for a moment; an export can be stopped, and what
    it wrote is whole."""
    panel = whole_panel
    keep_only(panel, "hollow")

    async def play():
        old = panel.overview.value
        for mass in (70, 71, 72):
            panel.panel.dials["mass_kg"].value = mass
        assert panel.overview.value == old and "159\u00a0lb" in panel.panel.sentence_text, (
            "the slide shown is renewed at once"
        )
        await panel.at_rest.task
        assert panel.overview.value != old and panel.overview.value.count("<img") == 6
        panel.files.export()
        while not panel.files.work.bar.value:
            await asyncio.sleep(0.01)
        panel.files.export()  # a second click does nothing
        panel.files.work.stop_button.click()
        await panel.files.work.task

    asyncio.run(play())
    assert re.fullmatch(r"Stopped after \d+ of 18 files; each of them is complete\.", panel.files.work.report)
    written = [p for p in tmp_path.rglob("*") if p.is_file()]
    assert 1 <= len(written) < 18
    assert all(p.stat().st_size > 1000 and not p.name.startswith(".") for p in written)


@pytest.mark.slow
def test_without_a_kernel(whole_panel):
    """A reader without a kernel gets every slide in one picture and as text, the same in every run."""
    panel = whole_panel
    bundle, _ = panel._repr_mimebundle_()
    assert "application/vnd.jupyter.widget-view+json" in bundle
    for slide in panel.deck.slides:
        assert slide.title in bundle["text/plain"] and slide.sentence in bundle["text/plain"]
    assert Image.open(io.BytesIO(base64.b64decode(bundle["image/png"]))).width > 900
    assert bundle["text/plain"] == ClinicPanel()._repr_mimebundle_()[0]["text/plain"]


def test_the_picture_of_all_slides_asked_for_while_they_are_drawn():
    """It draws what is missing, and the drawing that goes on then draws no slide twice."""
    overview, deck = Overview(), build_deck(topics=["rocker"])
    drawing = overview.drawing(deck, 0)
    next(drawing)
    whole = overview.png(deck)
    assert list(drawing) == []
    assert overview.value.count("<img") == 6 and overview.png(deck) == whole
